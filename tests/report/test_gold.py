"""What the report writes, byte for byte; `gold/README.md` says how to accept a change."""

import math
import os
from collections.abc import Callable
from pathlib import Path

import pytest
from msgspec.structs import replace

from lampwright.report.csv_tables import ranking_csv
from lampwright.report.lists import catalogue_text, count_text, curves_text
from lampwright.report.text import check_text, ranking_text
from lampwright.results.design import LampReading
from lampwright.results.json_text import from_json
from lampwright.results.ranking import (
    FORMAT,
    Catalogue,
    CheckReport,
    CountReport,
    CountRow,
    CurveRow,
    Curves,
    FilamentCurve,
    PartLine,
    Ranking,
    SeriesLine,
)

GOLD = Path(__file__).parent / "gold"
EXAMPLES = Path(__file__).parents[1] / "results" / "examples"


def load(name: str) -> Ranking:
    return from_json((EXAMPLES / f"{name}.json").read_text(encoding="utf-8"))


def check_report() -> CheckReport:
    """Make a circuit that misses the spec in one lamp, and overloads one control."""
    ranking = load("sidecar")
    design = ranking.designs[0]

    def missed(reading: LampReading) -> LampReading:
        if reading.lamp != "side" or reading.wanted != "lit":
            return reading
        return replace(reading, level="dim", flux=0.06, meets=False, margin_stops=-2.06)

    states = tuple(
        replace(row, lamps=tuple(missed(reading) for reading in row.lamps)) for row in design.states
    )
    brake = replace(design.ratings.controls[0], worst=9.1)
    ratings = replace(design.ratings, controls=(brake, *design.ratings.controls[1:]))
    failures = (
        "side at brake off, lights on, turn off: asked lit, is dim (6 %), 2.06 stops short",
        "brake carries 9.1 A at high supply, and 8 A is the most",
    )
    remarks = ("r1 can be left out without any change in what the lamps do",)
    shown = replace(
        design, rank=1, states=states, ratings=ratings, margin_stops=-2.06, choices=(), also_drawn_as=()
    )
    return CheckReport(
        format=FORMAT,
        program=ranking.program,
        part_data=ranking.part_data,
        spec=ranking.spec,
        meets=False,
        failures=failures,
        remarks=remarks,
        design=shown,
        cautions=ranking.cautions,
    )


def count_report() -> CountReport:
    rows = (
        CountRow(extra_parts=0, diodes=0, resistors=0, wires=0, joints=0, circuits=12),
        CountRow(extra_parts=0, diodes=0, resistors=0, wires=1, joints=1, circuits=1012),
        CountRow(extra_parts=1, diodes=1, resistors=0, wires=1, joints=1, circuits=1234567),
    )
    return CountReport(
        spec=load("sidecar").spec, rows=rows, total=1235591, choices=40, about_seconds=4210.0, budget=1000000
    )


def catalogue() -> Catalogue:
    """Make a short catalogue; the numbers are invented, the category names are those of UN R37."""
    lines = (
        PartLine(
            type="P21W",
            kind="lamp",
            system="12 V",
            rated="21 W, 460 lm",
            cap="BA15s",
            filling="gas",
            source="invented",
            confidence="high",
        ),
        PartLine(
            type="P21/5W",
            kind="lamp",
            system="12 V",
            rated="21 W, 440 lm; 5 W, 35 lm",
            cap="BAY15d",
            filling="gas",
            source="invented",
            confidence="medium",
        ),
        PartLine(
            type="1N5404",
            kind="diode",
            system="",
            rated="3 A, 400 V",
            cap="",
            filling="",
            source="invented",
            confidence="high",
        ),
    )
    series = (
        SeriesLine(
            name="E6",
            values=(1.0, 1.5, 2.2, 3.3, 4.7, 6.8),
            tolerance_percent=20.0,
            source="IEC 60063",
            confidence="high",
        ),
        SeriesLine(
            name="wattages",
            values=(5.0, 10.0, 25.0),
            tolerance_percent=None,
            source="common practice",
            confidence="medium",
        ),
    )
    return Catalogue(lines=lines, series=series)


def curves() -> Curves:
    rows = (
        CurveRow(volts=0.0, amps=0.0, watts=0.0, kelvin=293.0, flux=0.0, life=math.inf),
        CurveRow(volts=6.75, amps=1.12, watts=7.56, kelvin=2012.0, flux=0.094, life=21000.0),
        CurveRow(volts=13.5, amps=1.85, watts=24.98, kelvin=2790.0, flux=1.0, life=1.0),
        CurveRow(volts=14.4, amps=1.92, watts=27.6, kelvin=2860.0, flux=1.25, life=0.43),
    )
    gas = FilamentCurve(
        type="P21W",
        filament="only",
        system=12,
        test_volts=13.5,
        rated_watts=25.0,
        rated_lumens=460.0,
        rated_kelvin=2790.0,
        filling="gas",
        filling_known=True,
        filling_status="invented",
        filling_confidence="medium",
        conducted_share=0.22,
        cold_ohms=0.55,
        hot_ohms=7.29,
        source="invented",
        confidence="high",
        rows=rows,
    )
    vacuum = replace(gas, filament="minor", filling="vacuum", filling_known=False, conducted_share=0.15)
    return Curves(type="P21W", curves=(gas, vacuum))


TEXTS: dict[str, Callable[[], str]] = {
    "one.txt": lambda: ranking_text(load("one")),
    "sidecar.txt": lambda: ranking_text(load("sidecar"), most=2),
    "eight.txt": lambda: ranking_text(load("eight")),
    "none.txt": lambda: ranking_text(load("none")),
    "check_fails.txt": lambda: check_text(check_report()),
    "count.txt": lambda: count_text(count_report()),
    "catalogue.txt": lambda: catalogue_text(catalogue()),
    "curves.txt": lambda: curves_text(curves()),
    "one.csv": lambda: ranking_csv(load("one")),
}


@pytest.mark.parametrize("name", TEXTS)
def test_as_accepted(name: str) -> None:
    text = TEXTS[name]()
    if os.environ.get("LAMPWRIGHT_ACCEPT"):
        (GOLD / name).write_text(text, encoding="utf-8")
    assert text == (GOLD / name).read_text(encoding="utf-8"), (
        "the text changed; gold/README.md says what to do"
    )


@pytest.mark.parametrize("name", [name for name in TEXTS if name.endswith(".txt")])
def test_lines_keep_to_80_columns(name: str) -> None:
    lines = TEXTS[name]().splitlines()
    wide = [line for line in lines if len(line) > 80]
    assert wide == [], "lines wider than a terminal"
    assert all(line == line.rstrip() for line in lines), "spaces at the end of a line"
    assert not any("…" in line for line in lines), "something was cut off"


def test_a_circuit_that_meets_says_so_first() -> None:
    report = replace(check_report(), meets=True, failures=(), design=load("sidecar").designs[0])
    first = check_text(report).splitlines()[0]
    assert first == "The circuit meets the spec, with 0.84 stops of margin.", first
