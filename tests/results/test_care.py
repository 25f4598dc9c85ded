"""Rows of `results.care`: digits for every number, written and described like any other row."""

import dataclasses
import json
from dataclasses import MISSING
from typing import get_args, get_type_hints

import pytest
from jsonschema import Draft202012Validator

from lampwright.results import care
from lampwright.results.care import (
    AgedMargin,
    CareReport,
    ContactLoad,
    CopyYield,
    DiodeHeat,
    Endurance,
    FaultChange,
    FaultOverload,
    FaultReport,
    FaultRow,
    LampLife,
    Regulated,
    RegulationNote,
    ResistorHeat,
    SneakPath,
    Tolerance,
    ToleranceCost,
)
from lampwright.results.encode import to_json
from lampwright.results.rounding import BY_FIELD
from lampwright.results.schema import _row

ROWS = [row for row in vars(care).values() if dataclasses.is_dataclass(row) and isinstance(row, type)]

EXAMPLE = CareReport(
    Tolerance(
        51,
        1.23456,
        (ToleranceCost("side", "±9 % watts", 1.3, 0.06544),),
        "side",
        CopyYield(1000, 990, 0.98169, 0.99519, 0.95, 7, -0.02, 0.9, "uniform"),
        (AgedMargin("all", 0.9, True),),
        0.97,
        0.85,
        ("flux apart",),
    ),
    FaultReport(
        0.66799,
        (
            FaultRow(
                "ground lost at lamp",
                "ground lost at rear",
                21,
                36,
                0.33333,
                (FaultChange("stop", "full", "off", ("brake on",)),),
                (
                    SneakPath("made live", "54", ("58", "tail", "54"), None, 12.51234, ("lights on",)),
                    SneakPath("reversed", "stop", ("58", "stop", "31"), 0.161234, None, ("lights on",)),
                ),
                (FaultOverload("brake", 4.00049, 2.5, "A", "brake on"),),
                ("turn on (closed)",),
            ),
        ),
        16,
        14,
        0,
        "LED substitute",
    ),
    Endurance(
        (ResistorHeat("R1", 11.2, 15.0, 25.0), ResistorHeat("R2", 80.0, 100.0, None)),
        (DiodeHeat("D1", "1N5404", 1.0, 3.0, 0.83, 0.83, 3.0),),
        (
            LampLife("side", "W3W", 14.4, 0.4186, None, True),
            LampLife("stop", "1157", 14.4, 0.2137, 256.4, True),
            LampLife("spare", "W3W", 0.0, None, None, False),
        ),
        (ContactLoad("brake", 2.1, 8.0, "all corners"), ContactLoad("turn", 2.2, None, "nominal")),
    ),
    (
        Regulated("side", "flashes", ("turn on (closed)", "turn on (open)")),
        Regulated("side", "dims", ("all off",)),
        Regulated("side", "brake varies", ("brake on",)),
    ),
    (
        RegulationNote("UN R48", "6.5", "flashes", "Indicators flash.", "READ", "S62", "medium"),
        RegulationNote("UN R53", "5", "any", "Look.", "READ", "S94", "medium", "category L3", ("side",)),
    ),
)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.__name__)
def test_every_number_has_a_rounding_rule(row: type) -> None:
    hints = get_type_hints(row)
    for field in dataclasses.fields(row):
        if float in {hints[field.name], *get_args(hints[field.name])}:
            assert field.name in BY_FIELD, f"{row.__name__}.{field.name} has no row in the rounding table"


def test_no_row_leaves_a_field_out() -> None:
    assert len(ROWS) >= 16
    spared = {(row.__name__, f.name) for row in ROWS for f in dataclasses.fields(row) if f.default != MISSING}
    assert spared == {("RegulationNote", "vehicles"), ("RegulationNote", "lamps")}, "added after the first"


def test_it_is_written_and_fits_its_schema() -> None:
    plain = json.loads(to_json(EXAMPLE))  # type: ignore[arg-type]  # no result by itself: a part of a design
    below: dict[str, object] = {}
    schema = _row(CareReport, below)  # type: ignore[arg-type]
    schema["$defs"] = below  # type: ignore[assignment]
    Draft202012Validator.check_schema(schema)
    assert list(Draft202012Validator(schema).iter_errors(plain)) == []
    # exact: the nearest binary numbers to the decimals by hand
    assert plain["tolerance"]["margin_stops"] == 1.235
    assert plain["faults"]["faults"][0]["value"] == 0.333
    assert plain["faults"]["faults"][0]["overloads"][0]["load"] == 4.0
    assert plain["faults"]["faults"][0]["sneak_paths"][0]["volts"] == 12.512
    assert plain["endurance"]["lamps"][2]["life"] is None


def test_text_fields_get_no_digits() -> None:
    for row in ROWS:
        hints = get_type_hints(row)
        wrong = [f.name for f in dataclasses.fields(row) if hints[f.name] is str and f.name in BY_FIELD]
        assert not wrong, f"{row.__name__}: {wrong}"
