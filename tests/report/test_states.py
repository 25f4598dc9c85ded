"""Truth tables: folding says exactly what the long table says, and nothing is cut off.

The long table is the judge: each of its rows must be in exactly one folded row.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from lampwright.report.topics.states import ANY, PHASE, Line, TruthTable, cell, folded, state_tables, unfolded
from lampwright.results.design import LampReading, StateRow
from lampwright.results.ranking import Ranking

LIT = LampReading(
    lamp="side", volts=13.5, amps=0.8, flux=0.923, level="lit", wanted="lit", meets=True, margin_stops=0.84
)


def row(reading: LampReading, phase: str = "", **positions: str) -> StateRow:
    """A state with one lamp; its name says nothing, and need not."""
    return StateRow(
        state="s", phase=phase, lamps=(reading,), nodes=(), parts=(), positions=tuple(positions.items())
    )


def covers(row: Line, long: Line, controls: tuple[str, ...]) -> bool:
    """Tell whether a folded row speaks of a setting."""
    return all(
        said in (value, ANY) or (control == PHASE and said == "")
        for said, value, control in zip(row.setting, long.setting, controls, strict=True)
    )


def assert_same_meaning(whole: TruthTable, short: TruthTable) -> None:
    """Compare a folded table with the long one, setting by setting."""
    for long in whole.rows:
        found = [row for row in short.rows if covers(row, long, whole.controls)]
        assert len(found) == 1, f"{long.setting} is in {len(found)} rows"
        assert found[0].cells == long.cells, f"{long.setting} reads otherwise after folding"
        assert set(long.states) <= set(found[0].states), f"{long.setting} is not counted after folding"
    numbers = sorted(number for row in short.rows for number in row.states)
    assert numbers == sorted(number for row in whole.rows for number in row.states), "counted twice"


@st.composite
def tables(draw: st.DrawFn) -> TruthTable:
    """Draw a table of up to three switches and a flasher, with few different cells."""
    switches = draw(st.integers(0, 3))
    settings: list[tuple[str, ...]] = [()]
    for values in [("off", "on")] * switches:
        settings = [(*setting, value) for setting in settings for value in values]
    flasher = (("off", ""), ("on", "closed"), ("on", "open"))
    rows = [
        Line(setting, (draw(st.sampled_from(("off", "lit 92 %"))),), (at,))
        for at, setting in enumerate((*setting, *phase) for setting in settings for phase in flasher)
    ]
    names = ("brake", "lights", "reverse")[:switches]
    return TruthTable((*names, "turn", PHASE), ("side",), tuple(rows))


@given(tables())
def test_folding_keeps_the_meaning(whole: TruthTable) -> None:
    assert_same_meaning(whole, folded(whole))


def test_folding_keeps_the_meaning_of_the_examples(ranking: Ranking) -> None:
    for design in ranking.designs[:1]:
        whole = unfolded(design.states)
        assert_same_meaning(whole, folded(whole))


def test_a_control_that_makes_no_difference_is_a_dash() -> None:
    states = tuple(
        row(replace(LIT, level=level), brake=brake, lights=lights)
        for brake, level in (("off", "off"), ("on", "lit"))
        for lights in ("off", "on")
    )
    assert [row.setting for row in folded(unfolded(states)).rows] == [("off", ANY), ("on", ANY)], "not folded"


def test_a_flasher_that_makes_no_difference_is_a_dash() -> None:
    states = (
        row(LIT, turn="off"),
        row(LIT, "closed", turn="on"),
        row(LIT, "open", turn="on"),
    )
    assert [row.setting for row in folded(unfolded(states)).rows] == [(ANY, "")], "phases not folded"


def test_asked_unasked_and_missed_differ_without_colour() -> None:
    said = {
        cell(LIT),
        cell(replace(LIT, wanted="any", margin_stops=None)),
        cell(replace(LIT, meets=False)),
        cell(replace(LIT, wanted="off", meets=False)),
    }
    assert len(said) == 4, "two answers look the same"


def test_darkness_has_no_percent() -> None:
    assert cell(replace(LIT, level="off", flux=0.0004, wanted="off")) == "off", "no light is just off"


@pytest.mark.parametrize("width", [40, 60, 80, 120])
def test_every_lamp_and_cell_is_drawn(ranking: Ranking, width: int) -> None:
    for design in ranking.designs[:1]:
        drawn = state_tables(design.states, width)
        page = "\n".join(drawn)
        assert max(len(line) for line in page.splitlines()) <= width, "wider than asked"
        if width >= 60:
            for reading in {cell(reading) for row in design.states for reading in row.lamps}:
                assert reading in page, f"{reading} is cut off"


def test_a_control_has_a_column_whatever_its_name() -> None:
    states = tuple(
        row(LIT, **{"gear, left = on": gear, "lights": lights})
        for gear, lights in (("off", "off"), ("far left", "on"))
    )
    whole = unfolded(states)
    assert whole.controls == ("gear, left = on", "lights"), "controls out of order"
    assert [line.setting for line in whole.rows] == [("off", "off"), ("far left", "on")], "values differ"


def test_states_of_older_results_stand_as_they_are_called() -> None:
    whole = unfolded(tuple(replace(row(LIT), state=name) for name in ("lights on", "all off")))
    assert whole.controls == ("state",), "what is not known is one column"
    assert [line.setting for line in whole.rows] == [("lights on",), ("all off",)], "texts changed"


def test_no_states_no_tables() -> None:
    assert state_tables((), 80) == [], "an empty table was drawn"
