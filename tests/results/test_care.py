"""Rows of `results.care`: digits for every number, written and described like any other row."""

import json

from jsonschema import Draft202012Validator
from msgspec.structs import fields

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
from lampwright.results.json_text import _schema_of, to_json
from lampwright.results.row import Row

ROWS = [row for row in vars(care).values() if isinstance(row, type) and issubclass(row, Row)]

EXAMPLE = CareReport(
    tolerance=Tolerance(
        corners=51,
        margin_stops=1.23456,
        costs=(ToleranceCost(ref="side", span="±9 % watts", margin_without=1.3, cost_stops=0.06544),),
        costliest="side",
        drawn=CopyYield(
            copies=1000,
            good=990,
            share_low=0.98169,
            share_high=0.99519,
            confidence_level=0.95,
            seed=7,
            least_margin=-0.02,
            median_margin=0.9,
            spread="uniform",
        ),
        aged=(AgedMargin(ref="all", margin_stops=0.9, meets=True),),
        aged_current=0.97,
        aged_light=0.85,
        remarks=("flux apart",),
    ),
    faults=FaultReport(
        score=0.66799,
        faults=(
            FaultRow(
                kind="ground lost at lamp",
                fault="ground lost at rear",
                met=21,
                asked=36,
                value=0.33333,
                changes=(FaultChange(lamp="stop", was="full", now="off", states=("brake on",)),),
                sneak_paths=(
                    SneakPath(
                        kind="made live",
                        at="54",
                        path=("58", "tail", "54"),
                        amps=None,
                        volts=12.51234,
                        states=("lights on",),
                    ),
                    SneakPath(
                        kind="reversed",
                        at="stop",
                        path=("58", "stop", "31"),
                        amps=0.161234,
                        volts=None,
                        states=("lights on",),
                    ),
                ),
                overloads=(
                    FaultOverload(ref="brake", load=4.00049, allowed=2.5, unit="A", state="brake on"),
                ),
                shorted=("turn on (closed)",),
            ),
        ),
        types_tried=16,
        types_harmless=14,
        unsolved=0,
        led_model="LED substitute",
    ),
    endurance=Endurance(
        resistors=(
            ResistorHeat(ref="R1", watts=11.2, fitted_watts=25.0, advised_watts=25.0),
            ResistorHeat(ref="R2", watts=80.0, fitted_watts=100.0, advised_watts=None),
        ),
        diodes=(
            DiodeHeat(
                ref="D1", type="1N5404", amps=1.0, most_amps=3.0, volts=0.83, watts=0.83, most_watts=3.0
            ),
        ),
        lamps=(
            LampLife(ref="side", type="W3W", volts=14.4, life=0.4186, hours=None, in_range=True),
            LampLife(ref="stop", type="1157", volts=14.4, life=0.2137, hours=256.4, in_range=True),
            LampLife(ref="spare", type="W3W", volts=0.0, life=None, hours=None, in_range=False),
        ),
        contacts=(
            ContactLoad(control="brake", amps=2.1, most_amps=8.0, corner="all corners"),
            ContactLoad(control="turn", amps=2.2, most_amps=None, corner="nominal"),
        ),
    ),
    regulated=(
        Regulated(lamp="side", does="flashes", states=("turn on (closed)", "turn on (open)")),
        Regulated(lamp="side", does="dims", states=("all off",)),
        Regulated(lamp="side", does="brake varies", states=("brake on",)),
    ),
    regulations=(
        RegulationNote(
            regime="UN R48",
            clause="6.5",
            subject="flashes",
            says="Indicators flash.",
            status="READ",
            source="S62",
            confidence="medium",
        ),
        RegulationNote(
            regime="UN R53",
            clause="5",
            subject="any",
            says="Look.",
            status="READ",
            source="S94",
            confidence="medium",
            vehicles="category L3",
            lamps=("side",),
        ),
    ),
)


def test_no_row_leaves_a_field_out() -> None:
    assert len(ROWS) >= 16
    spared = {(row.__name__, f.name) for row in ROWS for f in fields(row) if not f.required}
    later = {
        ("RegulationNote", "vehicles"),
        ("RegulationNote", "lamps"),
        ("FaultRow", "lost"),
        ("TypeNote", "cap"),
    }
    assert spared == later, "added after the first"


def test_it_is_written_and_fits_its_schema() -> None:
    plain = json.loads(to_json(EXAMPLE))  # type: ignore[arg-type]  # no result by itself: a part of a design
    schema = _schema_of(CareReport)
    Draft202012Validator.check_schema(schema)
    assert list(Draft202012Validator(schema).iter_errors(plain)) == []
    # exact: the nearest binary numbers to the decimals by hand
    assert plain["tolerance"]["margin_stops"] == 1.235
    assert plain["faults"]["faults"][0]["value"] == 0.333
    assert plain["faults"]["faults"][0]["overloads"][0]["load"] == 4.0
    assert plain["faults"]["faults"][0]["sneak_paths"][0]["volts"] == 12.512
    assert plain["endurance"]["lamps"][2]["life"] is None
