"""Which lamps a design dims or flashes, by what it does and not by their names, and what codes say.

A lamp that is dim, or between two levels, in some state is dimmed; one that is off in one
phase of a flasher and not off in the other flashes.
"""

from collections.abc import Sequence
from typing import Literal, cast

from lampwright.parts.tables import read_table
from lampwright.store.care import Regulated, RegulationNote
from lampwright.store.design import OUT, StateRow

DIMMED = ("dim", "between")


def named(state: StateRow) -> str:
    """A state in words, with the flasher's phase in brackets."""
    return f"{state.state} ({state.phase})" if state.phase else state.state


def regulated(states: Sequence[StateRow]) -> tuple[Regulated, ...]:
    """What a design dims, then what it flashes."""
    found: list[Regulated] = []
    lamps = [reading.lamp for reading in states[0].lamps] if states else []
    for at, lamp in enumerate(lamps):
        dim = tuple(named(state) for state in states if state.lamps[at].level in DIMMED)
        if dim:
            found.append(Regulated(lamp, "dims", dim))
    for at, lamp in enumerate(lamps):
        flashing = []
        for setting in dict.fromkeys(state.state for state in states):
            phases = [state for state in states if state.state == setting]
            levels = {state.lamps[at].level for state in phases}
            if levels & set(OUT) and levels - set(OUT):
                flashing += [named(state) for state in phases]
        if flashing:
            found.append(Regulated(lamp, "flashes", tuple(flashing)))
    return tuple(found)


def regulations(found: tuple[Regulated, ...]) -> tuple[RegulationNote, ...]:
    """What codes say of what is dimmed or flashed; nothing where nothing is."""
    does = {one.does for one in found}
    notes = (
        RegulationNote(
            row.text("regime"),
            row.text("clause"),
            cast(Literal["dims", "flashes", "both"], row.text("subject")),
            row.text("says"),
            row.text("status"),
            row.text("source"),
            row.text("confidence"),
        )
        for row in read_table("regulations.csv").rows
    )
    return tuple(note for note in notes if note.subject in does or (note.subject == "both" and does))
