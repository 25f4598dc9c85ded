"""How results are written: keys, order, digits. Source: RFC 8259 (JSON), judged by the standard library."""

import json
import math
import types
from typing import Any, get_args, get_type_hints

import pytest
from msgspec.structs import fields

from lampwright.results import bound as bound_rows
from lampwright.results import design
from lampwright.results import front as front_rows
from lampwright.results import ranking as result
from lampwright.results import shortfall as shortfall_rows
from lampwright.results import stock as stock_rows
from lampwright.results import trials as trial_rows
from lampwright.results.decode import from_json
from lampwright.results.design import PartRow, Rating
from lampwright.results.encode import to_json
from lampwright.results.ranking import CurveRow, Curves, FilamentCurve
from lampwright.results.rounding import BY_FIELD, UNIT_FIELDS, written
from lampwright.results.row import Row

MODULES = (result, design, bound_rows, front_rows, shortfall_rows, stock_rows, trial_rows)
ROWS = [
    row
    for module in MODULES
    for row in vars(module).values()
    if isinstance(row, type) and issubclass(row, Row) and row.__module__ == module.__name__
]


def objects(plain: Any) -> list[dict[str, Any]]:
    """Give every object of a JSON text, outer first."""
    if isinstance(plain, dict):
        return [plain, *(found for value in plain.values() for found in objects(value))]
    if isinstance(plain, list):
        return [found for value in plain for found in objects(value)]
    return []


def test_what_is_written_reads_back_the_same(example: str) -> None:
    assert to_json(from_json(example)) == example, "an example changed on its way through the rows"


def test_writing_twice_gives_the_same_bytes(example: str) -> None:
    ranking = from_json(example)
    assert to_json(ranking) == to_json(ranking), "the same rows gave two texts"


def test_keys_stand_in_the_order_of_the_rows(example: str) -> None:
    keys = list(json.loads(to_json(from_json(example))))
    names = [field.name for field in fields(result.Ranking)]
    assert [*keys, *(["hinges"] if "hinges" not in keys else [])] == names, "top-level keys out of order"


def test_nodes_are_written_from_and_to_and_absent_values_left_out(example: str) -> None:
    written_rows = objects(json.loads(to_json(from_json(example))))
    parts = [found for found in written_rows if "ref" in found and "kind" in found]
    for part in parts:
        assert {"from", "to"} <= set(part), f"{part['ref']} has no ends"
        assert "from_node" not in part, "the name inside the program leaked into the file"
        assert None not in part.values(), f"{part['ref']} writes what it does not have"
    assert all("ohms" not in part for part in parts if part["kind"] == "wire"), "a wire has no stated ohms"


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.__name__)
def test_every_number_has_a_rounding_rule(row: type) -> None:
    hints = get_type_hints(row)
    for field in fields(row):
        inside = {hints[field.name], *get_args(hints[field.name])}
        if float in inside:
            known = field.name in BY_FIELD or (row is Rating and field.name in UNIT_FIELDS)
            assert known, f"{row.__name__}.{field.name} has no row in the rounding table"


@pytest.mark.parametrize(
    ("field", "unit", "value", "expected"),
    [
        # Each expected value is the input rounded by hand, as the brief of the format states the digits.
        ("volts", "", 13.49951, 13.5),
        ("volts", "", -0.0001, 0.0),
        ("amps", "", 1.23456, 1.2346),
        ("flux", "", 0.00123456, 0.001235),
        ("flux", "", 1.04349, 1.043),
        ("margin_stops", "", -0.35149, -0.351),
        ("watts", "", 3.21249, 3.212),
        ("seconds", "", 95.2371, 95.24),
        ("worst", "A", 1.23456, 1.2346),
        ("worst", "W", 1.23456, 1.235),
        ("limit", "V", 14.99949, 14.999),
        ("volts", "", math.inf, None),
    ],
)
def test_digits_kept(field: str, unit: str, value: float, expected: float | None) -> None:
    # Exact: both sides are the nearest binary number to the same decimal.
    assert written(field, value, unit) == expected, f"{field} {value} was rounded otherwise"


def test_negative_zero_is_written_as_zero() -> None:
    said = written("volts", -0.0001)
    assert said is not None
    assert math.copysign(1.0, said) == 1.0, "a minus sign before zero differs from run to run"


def test_what_is_not_a_number_is_a_defect() -> None:
    with pytest.raises(ValueError, match="flux is not a number"):
        written("flux", math.nan)


def test_infinity_is_null() -> None:
    rows = (CurveRow(volts=0.0, amps=0.0, watts=0.0, kelvin=293.0, flux=0.0, life=math.inf),)
    curve = FilamentCurve(
        type="W3W",
        filament="only",
        system=12,
        test_volts=13.5,
        rated_watts=3.0,
        rated_lumens=22.0,
        rated_kelvin=2500.0,
        filling="vacuum",
        filling_known=True,
        filling_status="invented",
        filling_confidence="low",
        conducted_share=0.15,
        cold_ohms=4.0,
        hot_ohms=60.0,
        source="invented",
        confidence="high",
        rows=rows,
    )
    text = to_json(Curves(type="W3W", curves=(curve,)))
    assert json.loads(text)["curves"][0]["rows"][0]["life"] is None, "infinite life must be null"
    assert "Infinity" not in text, "Infinity is no JSON"


def test_only_these_leave_out_what_is_absent() -> None:
    optional = [row.__name__ for row in ROWS for field in fields(row) if not field.required]
    known = {"PartRow", "LampReading", "SweepLine", "Design", "Ranking"}
    assert set(optional) == known, "an old reader knows no other gaps"
    assert types.NoneType in get_args(get_type_hints(PartRow)["ohms"]), "ohms may be absent"
