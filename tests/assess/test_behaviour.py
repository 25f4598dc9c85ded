"""What designs do that codes speak of, on small made-up tables of states; each act seen and not seen.

A table is a text: one row a state, one letter a filament: f full, m dim, . off.
"""

from typing import get_args

import pytest

from lampwright.assess.behaviour import ACTS, acts_of, occasions, regulated, regulations
from lampwright.parts.tables import read_table
from lampwright.results.care import Act, Regulated, Subject
from lampwright.results.design import LampReading, StateRow
from lampwright.spec.model import Control, Position
from lampwright.spec.states import moments

LEVEL = {"f": "full", "m": "dim", ".": "off"}


def control(name: str, feed: str, kind: str = "switch") -> Control:
    positions = (Position("off", ()), Position("on", (("30", feed),)))
    return Control(name, kind, feed, positions, None)  # type: ignore[arg-type]  # the kind is a plain text here


BRAKE, LIGHTS, TURN = control("b", "54"), control("l", "58"), control("t", "49a", "flasher")
OTHER, SECOND = control("x", "61"), control("u", "L", "flasher")


def rows(controls: tuple[Control, ...], table: str) -> tuple[StateRow, ...]:
    """Make the states of these controls; each word of the table is one state."""
    found = []
    for moment, letters in zip(moments(controls), table.split(), strict=True):
        said = ", ".join(f"{name} {position}" for name, position in moment.setting if position != "off")
        phase = ", ".join(phase for _, phase in moment.phases)
        lamps = tuple(
            LampReading(
                lamp=f"lamp{at}",
                volts=13.5,
                amps=0.2,
                flux=1.0,
                level=LEVEL[letter],
                wanted="any",
                meets=True,
                margin_stops=None,
            )
            for at, letter in enumerate(letters)
        )
        found.append(StateRow(state=said or "all off", phase=phase, lamps=lamps, nodes=(), parts=()))
    return tuple(found)


def seen(controls: tuple[Control, ...], table: str) -> dict[str, tuple[str, ...]]:
    """The acts of the first filament, with their states."""
    return {one.does: one.states for one in regulated(rows(controls, table), controls) if one.lamp == "lamp0"}


# states of a switch and a flasher, in order: off; flasher closed, open; switch on; both closed, open
@pytest.mark.parametrize(
    ("controls", "table", "act", "states"),
    [
        ((OTHER,), ". m", "dims", ("x on",)),
        ((OTHER,), ". f", "dims", None),
        ((TURN,), ". f .", "flashes", ("t on (closed)", "t on (open)")),
        ((TURN,), ". f m", "flashes", None),
        ((TURN,), ". f f", "flashes", None),
        ((TURN,), ". . f", "counterflashes", ("t on (closed)", "t on (open)")),
        ((TURN,), ". f .", "counterflashes", None),
        ((OTHER, TURN), ". f . . . .", "flash varies", ("x on, t on (closed)", "x on, t on (open)")),
        ((OTHER, TURN), ". f . . . f", "flash varies", ("x on, t on (closed)", "x on, t on (open)")),
        ((OTHER, TURN), ". f . f f .", "flash varies", None),
        ((OTHER, TURN), ". . . . f .", "flash varies", None),
        ((BRAKE,), ". f", "burns with brake", ("b on",)),
        ((BRAKE,), "f f", "burns with brake", None),
        ((BRAKE,), "f .", "burns with brake", None),
        ((OTHER,), ". f", "burns with brake", None),
        ((control("brake", "B"),), ". f", "burns with brake", ("brake on",)),
        ((BRAKE, TURN), ". . . f . f", "brake varies", ("b on, t on (closed)", "b on, t on (open)")),
        ((BRAKE, OTHER), ". . f .", "brake varies", ("b on, x on",)),
        ((BRAKE, TURN), ". . . f f f", "brake varies", None),
        ((BRAKE, TURN), ". f . . f .", "brake varies", None),
        ((TURN,), ". ff f.", "steady beside flash", ("t on (closed)", "t on (open)")),
        ((TURN,), ". ff ff", "steady beside flash", None),
        ((TURN,), ". ff ..", "steady beside flash", None),
        ((LIGHTS, OTHER), ". . f .", "position varies", ("l on, x on",)),
        ((LIGHTS, OTHER), ". f f f", "position varies", None),
        ((BRAKE, OTHER), ". . f .", "position varies", None),
        ((LIGHTS, OTHER), ". . f .", "brake varies", None),
    ],
)
def test_every_act_is_seen_where_it_is_and_nowhere_else(
    controls: tuple[Control, ...], table: str, act: str, states: tuple[str, ...] | None
) -> None:
    wide = max(len(word) for word in table.split())
    assert seen(controls, " ".join(word.ljust(wide, ".") for word in table.split())).get(act) == states


def test_every_act_was_tried() -> None:
    (marked,) = (m for m in test_every_act_is_seen_where_it_is_and_nowhere_else.pytestmark)  # type: ignore[attr-defined]
    tried = {(case[2], case[3] is not None) for case in marked.args[1]}
    assert tried == {(act, fires) for act in ACTS for fires in (True, False)}


def test_two_flashers_are_out_of_phase_only_where_both_are() -> None:
    # t and u: off; u closed, open; t closed, open; both: closed closed, closed open, open closed, open open
    assert seen((TURN, SECOND), ". . . . . . . . f")["counterflashes"] == (
        "t on, u on (closed, closed)",
        "t on, u on (closed, open)",
        "t on, u on (open, closed)",
        "t on, u on (open, open)",
    )
    assert "counterflashes" not in seen((TURN, SECOND), ". . . . . . f . .")


def test_a_lamps_name_plays_no_part() -> None:
    controls = (BRAKE, TURN)
    found = occasions(rows(controls, ". f . f . f"), controls)
    acts = [[one.does for one in acts_of([name], found, controls)] for name in ("stop", "bell")]
    assert acts[0] == acts[1]


def test_the_side_lamp_of_a_sidecar_does_all_that_matters() -> None:
    # README: lit with the brake, flashes with the indicator, against it when both; front, side, stop
    table = "... ff. ... .ff f.f .ff"
    controls = (BRAKE, TURN)
    found = regulated(rows(controls, table), controls)
    side = {one.does for one in found if one.lamp == "lamp1"}
    assert side == {"flashes", "counterflashes", "flash varies", "burns with brake", "brake varies"}
    notes = regulations(found)
    said = {(note.regime, note.subject) for note in notes}
    assert {("UN R53", "counterflashes"), ("UN R50", "burns with brake"), ("UK RVLR", "flashes")} <= said
    assert ("UN R50", "dims") not in said, "nothing is dimmed"
    sidecar = [note for note in notes if "sidecar" in note.vehicles or "sidecar" in note.says]
    assert {note.regime for note in sidecar} >= {"UN R53", "Switzerland VTS", "UK RVLR"}
    against = next(note for note in notes if note.subject == "counterflashes")
    assert against.lamps == ("lamp1",)


def test_every_fact_has_a_trigger_of_the_set_and_every_trigger_a_fact() -> None:
    triggers = [row.text("trigger") for row in read_table("regulations.csv").rows]
    assert set(triggers) == {*get_args(Act), "any"}
    assert set(triggers) <= set(get_args(Subject))
    assert sorted(triggers, key=[*ACTS, "any"].index) == triggers, "facts stand by their triggers"


@pytest.mark.parametrize("act", ACTS)
def test_an_act_brings_up_its_own_facts_and_the_general_ones(act: Act) -> None:
    notes = regulations((Regulated(lamp="side", does=act, states=("x on",)),))
    assert {note.subject for note in notes} == {act, "any"}
    assert {note.lamps for note in notes if note.subject == act} == {("side",)}
    assert all(note.source and note.confidence and note.vehicles for note in notes)


def test_nothing_done_brings_up_nothing() -> None:
    assert regulations(()) == ()


def test_older_numbers_of_fmvss_are_called_so() -> None:
    # 72 FR 68234 (S102): numbered anew in 2007; nothing of the present numbering but S3 was read
    for row in read_table("regulations.csv").rows:
        if row.text("regime") == "FMVSS 108" and row.text("clause") not in ("", "S3"):
            assert row.text("clause").endswith(", numbering before 2007")
