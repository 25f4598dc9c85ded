"""What codes say of what a design does: facts to look up, each hung on an act, never a verdict.

The facts stand in `regulations.csv`, each with its trigger: one of the acts of
`assess.behaviour`, or `any` for those that hold whatever act it is. Only what the design
does brings a fact up, so that the right one shows; for which vehicles it holds it says itself.
"""

from collections.abc import Sequence
from typing import cast

from lampwright.assess.behaviour import acts_of, occasions
from lampwright.parts.tables import DataRow, read_table
from lampwright.results.care import Regulated, RegulationNote, Subject
from lampwright.results.design import StateRow
from lampwright.spec.model import Control

ALWAYS = "any"


def regulated(states: Sequence[StateRow], controls: tuple[Control, ...]) -> tuple[Regulated, ...]:
    """What each filament of a design does that codes speak of, act by act."""
    lamps = [reading.lamp for reading in states[0].lamps] if states else []
    return acts_of(lamps, occasions(states, controls), controls)


def regulations(found: tuple[Regulated, ...]) -> tuple[RegulationNote, ...]:
    """What codes say of these acts, in the order of the acts; nothing where there are none."""
    if not found:
        return ()
    rows = read_table("regulations.csv").rows
    acts = dict.fromkeys(one.does for one in found)
    notes = [
        _note(row, tuple(one.lamp for one in found if one.does == act))
        for act in acts
        for row in rows
        if row.text("trigger") == act
    ]
    return (*notes, *(_note(row, ()) for row in rows if row.text("trigger") == ALWAYS))


def _note(row: DataRow, lamps: tuple[str, ...]) -> RegulationNote:
    return RegulationNote(
        regime=row.text("regime"),
        clause=row.text("clause"),
        subject=cast(Subject, row.text("trigger")),
        says=row.text("says"),
        status=row.text("status"),
        source=row.text("source"),
        confidence=row.text("confidence"),
        vehicles=row.text("vehicles"),
        lamps=lamps,
    )
