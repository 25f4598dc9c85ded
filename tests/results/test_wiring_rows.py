"""The wiring rows hold only what can be written: every number has its rounding, every field a schema.

No outside source: our own format.
"""

from typing import get_type_hints

from msgspec.structs import fields

from lampwright.results import wiring as wiring_rows
from lampwright.results.rounding import BY_FIELD, written
from lampwright.results.row import Row

ROWS = [
    row
    for row in vars(wiring_rows).values()
    if isinstance(row, type) and issubclass(row, Row) and row.__module__ == wiring_rows.__name__
]


def test_there_are_seven_rows() -> None:
    assert len(ROWS) == 7


def test_every_number_is_rounded() -> None:
    floats = {
        field.name
        for row in ROWS
        for field in fields(row)
        if get_type_hints(row)[field.name] in (float, float | None)
    }
    assert floats <= set(BY_FIELD)
    assert {"metres", "area_mm2", "drop_volts", "fuse_amps", "carries_amps"} <= floats


def test_digits_kept() -> None:
    assert written("metres", 4.0049) == 4.0
    assert written("area_mm2", 0.75) == 0.75
    assert written("drop_volts", 0.42564) == 0.426
    assert written("fuse_amps", 7.5) == 7.5
