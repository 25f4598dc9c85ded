"""Care as text: what it says, and that lines keep to the width."""

from typing import get_args

import pytest
from msgspec.structs import replace

from lampwright.report.topics.care import (
    care_text,
    endurance_text,
    faults_text,
    regulated_text,
    tolerance_text,
)
from lampwright.report.topics.states import said_of
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
    positions = tuple((one, "on" if f"{one} on" in name else "off") for one in ("turn", "brake"))
    return StateRow(
        positions=positions,
        state=name,
        phase=phase,
        lamps=(
            LampReading(
                lamp="side",
                volts=13.5,
                amps=0.2,
                flux=1.0,
                level="full",
                wanted="any",
                meets=True,
                margin_stops=None,
            ),
        ),
        nodes=(),
        parts=(),
    )


STATES = (
    state("all off"),
    state("brake on"),
    state("turn on", "closed"),
    state("turn on", "open"),
    state("turn on, brake on", "closed"),
    state("turn on, brake on", "open"),
)
TOLERANCE = Tolerance(
    corners=51,
    margin_stops=0.84,
    costs=(
        ToleranceCost(ref="supply", span="11.8 to 14.4 V", margin_without=1.6, cost_stops=0.76),
        ToleranceCost(ref="side", span="±9 % watts", margin_without=0.9, cost_stops=0.06),
    ),
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
        spread="uniform within tolerance",
    ),
    aged=(
        AgedMargin(ref="side", margin_stops=0.6, meets=True),
        AgedMargin(ref="all", margin_stops=-0.1, meets=False),
    ),
    aged_current=0.97,
    aged_light=0.85,
    remarks=("Flux apart.",),
)
DARK = FaultChange(lamp="side", was="full", now="off", states=("brake on", "turn on, brake on (open)"))
LIVE = SneakPath(
    kind="made live", at="49a", path=("54", "side", "49a"), amps=None, volts=13.5, states=("brake on",)
)
BACK = SneakPath(
    kind="reversed", at="stop", path=("58", "stop", "31"), amps=0.16, volts=None, states=("brake on",)
)
OPEN = FaultRow(
    kind="filament open",
    fault="front open",
    met=28,
    asked=36,
    value=0.528,
    changes=(DARK,),
    sneak_paths=(LIVE,),
    overloads=(),
    shorted=(),
)
OVER = FaultOverload(ref="brake", load=4.0, allowed=2.5, unit="A", state="brake on")
FAULTS = FaultReport(
    score=0.67,
    faults=(
        OPEN,
        replace(OPEN, kind="ground lost at lamp", fault="ground lost at front"),
        FaultRow(
            kind="feeds bridged",
            fault="49a and 54 bridged",
            met=20,
            asked=36,
            value=0.0,
            changes=(),
            sneak_paths=(BACK,),
            overloads=(OVER,),
            shorted=("brake on",),
        ),
        FaultRow(
            kind="part open",
            fault="D1 open",
            met=36,
            asked=36,
            value=1.0,
            changes=(),
            sneak_paths=(),
            overloads=(),
            shorted=(),
        ),
    ),
    types_tried=16,
    types_harmless=14,
    unsolved=0,
    led_model="LED substitute: 148 mA at 13.5 V",
)
ENDURANCE = Endurance(
    resistors=(
        ResistorHeat(ref="R1", watts=11.2, fitted_watts=25.0, advised_watts=25.0),
        ResistorHeat(ref="R2", watts=80.0, fitted_watts=100.0, advised_watts=None),
    ),
    diodes=(
        DiodeHeat(ref="D1", type="1N5404", amps=1.0, most_amps=3.0, volts=0.83, watts=0.83, most_watts=3.0),
    ),
    lamps=(
        LampLife(ref="side", type="W3W", volts=14.4, life=0.4186, hours=None, in_range=True),
        LampLife(ref="stop", type="1157", volts=14.4, life=0.2137, hours=256.4, in_range=True),
        LampLife(ref="weak", type="W3W", volts=5.0, life=2.5e5, hours=1e9, in_range=False),
        LampLife(ref="spare", type="W3W", volts=0.0, life=None, hours=None, in_range=False),
    ),
    contacts=(
        ContactLoad(control="brake", amps=2.1, most_amps=8.0, corner="all corners"),
        ContactLoad(control="turn", amps=2.2, most_amps=None, corner="nominal"),
    ),
)
NOTES = (
    RegulationNote(
        regime="UN R48",
        clause="6.5",
        subject="flashes",
        says="Indicators flash.",
        status="READ",
        source="S62",
        confidence="medium",
        vehicles="cars",
    ),
    RegulationNote(
        regime="any",
        clause="",
        subject="both",
        says="Check the code.",
        status="common practice",
        source="common practice",
        confidence="high",
    ),
)
LAMPS = (Regulated(lamp="side", does="flashes", states=("turn on (closed)", "turn on (open)")),)
CARE = CareReport(tolerance=TOLERANCE, faults=FAULTS, endurance=ENDURANCE, regulated=LAMPS, regulations=NOTES)


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
    assert said_of(STATES, chosen) == said


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
    said = flat(faults_text(FAULTS, STATES, 80, 12))
    assert said.index("49a and 54 bridged") < said.index("front open; ground lost at front")
    assert said.count("side off for full: turn off, brake on; turn on, brake on (open)") == 1
    assert "sneak path to 49a, 13.5 V: 54 - side - 49a" in said
    assert "sneak path backward through stop, 0.16 A: 58 - stop - 31" in said
    assert "overload: brake 4 A of 2.5 A, brake on" in said
    assert "short, a fuse blows: turn off, brake on" in said
    assert "1 fault does nothing" in said
    assert "Of 16 other types that the lamps' holders take, 14 still meet everything" in said


def test_what_is_left_out_is_counted() -> None:
    said = flat(faults_text(FAULTS, STATES, 80, 1))
    assert "2 more faults do less" in said
    assert "front open" not in said


def test_endurance() -> None:
    said = flat(endurance_text(ENDURANCE, 80))
    assert "R1, 25 W: 11 W of heat at worst, half loaded at most" in said
    assert "R2, 100 W: 80 W of heat at worst, loaded to 80 % and hot" in said
    assert "D1 1N5404: 1 A of 3 A, drops 0.83 V, 0.83 W of 3 W of heat" in said
    assert "side W3W 14.4 V 0.42 × not published" in said
    assert "stop 1157 14.4 V 0.21 × 260" in said
    assert "weak W3W 5 V ~>1000 × >100,000" in said
    assert "spare W3W 0 V never lit" in said
    assert "brake 2.1 A of 8 A; turn 2.2 A" in said


def test_the_law_is_cited_and_no_verdict_given() -> None:
    said = flat(regulated_text(LAMPS, NOTES, STATES, 80))
    assert (
        "side flashes: turn on, brake off. - UN R48 6.5, cars: Indicators flash. (medium confidence)" in said
    )
    assert "check the local code" in said
    assert said.endswith("Whatever a lamp does: - any code: Check the code. (high confidence)")
    assert regulated_text((), (), STATES, 80) == ""


def test_each_act_has_words_and_its_own_rules() -> None:
    lamps = tuple(Regulated(lamp="side", does=act, states=("brake on",)) for act in get_args(Act))
    notes = tuple(
        RegulationNote(
            regime="R", clause=act, subject=act, says="So.", status="READ", source="S62", confidence="medium"
        )
        for act in get_args(Act)
    )
    lines = regulated_text(lamps, notes, STATES, 100).splitlines()
    of_lamp = [at for at, line in enumerate(lines) if line.startswith("side ")]
    assert len(of_lamp) == len(get_args(Act))
    assert [lines[at + 1].strip() for at in of_lamp] == [
        f"- R {act}: So. (medium confidence)" for act in get_args(Act)
    ]
    alone = flat(regulated_text(lamps[:1], notes, STATES, 100))
    assert "R dims" in alone
    assert "R flashes" not in alone, "no rule without its act"
