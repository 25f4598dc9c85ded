"""What the report writes, byte for byte; `gold/README.md` says how to accept a change."""

import math
import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from lampwright.report.lists import catalogue_text, count_text, curves_text
from lampwright.report.table import ranking_csv
from lampwright.report.text import check_text, ranking_text
from lampwright.results.decode import from_json
from lampwright.results.design import LampReading
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
        FORMAT,
        ranking.program,
        ranking.part_data,
        ranking.spec,
        False,
        failures,
        remarks,
        shown,
        ranking.cautions,
    )


def count_report() -> CountReport:
    rows = (CountRow(0, 0, 0, 0, 0, 12), CountRow(0, 0, 0, 1, 1, 1012), CountRow(1, 1, 0, 1, 1, 1234567))
    return CountReport(load("sidecar").spec, rows, 1235591, 40, 4210.0, 1000000)


def catalogue() -> Catalogue:
    """Make a short catalogue; the numbers are invented, the category names are those of UN R37."""
    lines = (
        PartLine("P21W", "lamp", "12 V", "21 W, 460 lm", "BA15s", "gas", "invented", "high"),
        PartLine("P21/5W", "lamp", "12 V", "21 W, 440 lm; 5 W, 35 lm", "BAY15d", "gas", "invented", "medium"),
        PartLine("1N5404", "diode", "", "3 A, 400 V", "", "", "invented", "high"),
    )
    series = (
        SeriesLine("E6", (1.0, 1.5, 2.2, 3.3, 4.7, 6.8), 20.0, "IEC 60063", "high"),
        SeriesLine("wattages", (5.0, 10.0, 25.0), None, "common practice", "medium"),
    )
    return Catalogue(lines, series)


def curves() -> Curves:
    rows = (
        CurveRow(0.0, 0.0, 0.0, 293.0, 0.0, math.inf),
        CurveRow(6.75, 1.12, 7.56, 2012.0, 0.094, 21000.0),
        CurveRow(13.5, 1.85, 24.98, 2790.0, 1.0, 1.0),
        CurveRow(14.4, 1.92, 27.6, 2860.0, 1.25, 0.43),
    )
    gas = FilamentCurve(
        "P21W", "only", 12, 13.5, 25.0, 460.0, 2790.0, "gas", True, "invented", "medium", 0.22, 0.55, 7.29,
        "invented", "high", rows,
    )  # fmt: skip
    vacuum = replace(gas, filament="minor", filling="vacuum", filling_known=False, conducted_share=0.15)
    return Curves("P21W", (gas, vacuum))


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
