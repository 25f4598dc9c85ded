"""Care as text: what it says, and that lines keep to the width."""

from dataclasses import replace
from typing import get_args

import pytest

from lampwright.report.care import care_text, endurance_text, faults_text, regulated_text, tolerance_text
from lampwright.report.settings import Settings
from lampwright.results.care import (
    Act,
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
from lampwright.results.design import LampReading, StateRow


def state(name: str, phase: str = "") -> StateRow:
    return StateRow(name, phase, (LampReading("side", 13.5, 0.2, 1.0, "full", "any", True, None),), (), ())


STATES = (
    state("all off"),
    state("brake on"),
    state("turn on", "closed"),
    state("turn on", "open"),
    state("turn on, brake on", "closed"),
    state("turn on, brake on", "open"),
)
TOLERANCE = Tolerance(
    51,
    0.84,
    (ToleranceCost("supply", "11.8 to 14.4 V", 1.6, 0.76), ToleranceCost("side", "±9 % watts", 0.9, 0.06)),
    "side",
    CopyYield(1000, 990, 0.98169, 0.99519, 0.95, 7, -0.02, 0.9, "uniform within tolerance"),
    (AgedMargin("side", 0.6, True), AgedMargin("all", -0.1, False)),
    0.97,
    0.85,
    ("Flux apart.",),
)
DARK = FaultChange("side", "full", "off", ("brake on", "turn on, brake on (open)"))
LIVE = SneakPath("made live", "49a", ("54", "side", "49a"), None, 13.5, ("brake on",))
BACK = SneakPath("reversed", "stop", ("58", "stop", "31"), 0.16, None, ("brake on",))
OPEN = FaultRow("filament open", "front open", 28, 36, 0.528, (DARK,), (LIVE,), (), ())
OVER = FaultOverload("brake", 4.0, 2.5, "A", "brake on")
FAULTS = FaultReport(
    0.67,
    (
        OPEN,
        replace(OPEN, kind="ground lost at lamp", fault="ground lost at front"),
        FaultRow("feeds bridged", "49a and 54 bridged", 20, 36, 0.0, (), (BACK,), (OVER,), ("brake on",)),
        FaultRow("part open", "D1 open", 36, 36, 1.0, (), (), (), ()),
    ),
    16,
    14,
    0,
    "LED substitute: 148 mA at 13.5 V",
)
ENDURANCE = Endurance(
    (ResistorHeat("R1", 11.2, 15.0, 25.0), ResistorHeat("R2", 80.0, 100.0, None)),
    (DiodeHeat("D1", "1N5404", 1.0, 3.0, 0.83, 0.83, 3.0),),
    (
        LampLife("side", "W3W", 14.4, 0.4186, None, True),
        LampLife("stop", "1157", 14.4, 0.2137, 256.4, True),
        LampLife("weak", "W3W", 5.0, 2.5e5, 1e9, False),
        LampLife("spare", "W3W", 0.0, None, None, False),
    ),
    (ContactLoad("brake", 2.1, 8.0, "all corners"), ContactLoad("turn", 2.2, None, "nominal")),
)
NOTES = (
    RegulationNote("UN R48", "6.5", "flashes", "Indicators flash.", "READ", "S62", "medium", "cars"),
    RegulationNote("any", "", "both", "Check the code.", "common practice", "common practice", "high"),
)
LAMPS = (Regulated("side", "flashes", ("turn on (closed)", "turn on (open)")),)
CARE = CareReport(TOLERANCE, FAULTS, ENDURANCE, LAMPS, NOTES)


@pytest.mark.parametrize(
    ("chosen", "said"),
    # by hand, over the six states of a switch and a flasher
    [
        (("brake on", "turn on, brake on (closed)", "turn on, brake on (open)"), "brake on"),
        (("turn on (closed)", "turn on, brake on (closed)"), "turn on (closed)"),
        (("brake on", "turn on, brake on (open)"), "turn off, brake on; turn on, brake on (open)"),
        (("all off",), "turn off, brake off"),
        (tuple(f"{s.state} ({s.phase})" if s.phase else s.state for s in STATES), "always"),
        ((), ""),
    ],
)
def test_states_are_said_in_few_words(chosen: tuple[str, ...], said: str) -> None:
    assert Settings(STATES).said(chosen) == said


def test_all_of_it_keeps_to_the_width() -> None:
    for width in (60, 80, 100):
        text = care_text(CARE, STATES, width)
        assert max(len(line) for line in text.splitlines()) <= width
        assert all(line == line.rstrip() for line in text.splitlines())
        assert "…" not in text


def flat(text: str) -> str:
    return " ".join(text.replace("\u00a0", " ").split())


def test_tolerance_names_the_part_that_costs_most() -> None:
    said = flat(tolerance_text(TOLERANCE, 80))
    assert "The worst of 51 corners keeps 0.84 stops" in said
    assert "Of the parts, side costs most by its tolerance: 0.06 stops" in said
    assert "990 meet the spec: 98.2 to 99.5 % of all copies, with 95 % confidence" in said
    assert "all -0.10 stops (!)" in said
    assert "Flux apart." in said
    assert "No part's tolerance" in flat(tolerance_text(replace(TOLERANCE, costliest=""), 80))


def test_faults_that_do_the_same_are_one_entry_and_the_worst_comes_first() -> None:
    said = flat(faults_text(FAULTS, Settings(STATES), 80, 12))
    assert said.index("49a and 54 bridged") < said.index("front open; ground lost at front")
    assert said.count("side off for full: turn off, brake on; turn on, brake on (open)") == 1
    assert "sneak path to 49a, 13.5 V: 54 - side - 49a" in said
    assert "sneak path backward through stop, 0.16 A: 58 - stop - 31" in said
    assert "overload: brake 4 A of 2.5 A, brake on" in said
    assert "short, a fuse blows: turn off, brake on" in said
    assert "1 fault does nothing" in said
    assert "Of 16 other types that the lamps' holders take, 14 still meet everything" in said


def test_what_is_left_out_is_counted() -> None:
    said = flat(faults_text(FAULTS, Settings(STATES), 80, 1))
    assert "2 more faults do less" in said
    assert "front open" not in said


def test_endurance() -> None:
    said = flat(endurance_text(ENDURANCE, 80))
    assert "R1: 11 W at worst, 15 W chosen; take 25 W, half loaded at most" in said
    assert "R2: 80 W at worst, 100 W chosen; no stock rating is large enough" in said
    assert "D1 1N5404: 1 A of 3 A, drops 0.83 V, 0.83 W of 3 W of heat" in said
    assert "side W3W 14.4 V 0.42 × not published" in said
    assert "stop 1157 14.4 V 0.21 × 260" in said
    assert "weak W3W 5 V ~>1000 × >100,000" in said
    assert "spare W3W 0 V never lit" in said
    assert "brake 2.1 A of 8 A; turn 2.2 A" in said


def test_the_law_is_cited_and_no_verdict_given() -> None:
    said = flat(regulated_text(LAMPS, NOTES, Settings(STATES), 80))
    assert (
        "side flashes: turn on, brake off. - UN R48 6.5, cars: Indicators flash. (medium confidence)" in said
    )
    assert "check the local code" in said
    assert said.endswith("Whatever a lamp does: - any code: Check the code. (high confidence)")
    assert regulated_text((), (), Settings(STATES), 80) == ""


def test_each_act_has_words_and_its_own_rules() -> None:
    lamps = tuple(Regulated("side", act, ("brake on",)) for act in get_args(Act))
    notes = tuple(RegulationNote("R", act, act, "So.", "READ", "S62", "medium") for act in get_args(Act))
    lines = regulated_text(lamps, notes, Settings(STATES), 100).splitlines()
    of_lamp = [at for at, line in enumerate(lines) if line.startswith("side ")]
    assert len(of_lamp) == len(get_args(Act))
    assert [lines[at + 1].strip() for at in of_lamp] == [
        f"- R {act}: So. (medium confidence)" for act in get_args(Act)
    ]
    alone = flat(regulated_text(lamps[:1], notes, Settings(STATES), 100))
    assert "R dims" in alone
    assert "R flashes" not in alone, "no rule without its act"
