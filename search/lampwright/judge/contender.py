"""Designs set in order: by the aims in the order preferred, then by their numbers.

The fault score takes long to work out, so that a contender may have none. Where the score
decides, contenders without one come last; no score is made up for them.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from lampwright.judge.front import Standing
from lampwright.judge.minimality import DECIMALS, Winner
from lampwright.judge.preference import Aim, completed

NO_SCORE = 1.0
"""Above minus any score, so behind every contender that has one."""


@dataclass(frozen=True)
class Contender:
    """A design and its fault score, from 0 to 1; None where that was not worked out."""

    winner: Winner
    score: float | None = None

    @property
    def standing(self) -> Standing:
        """What it has in the aims of the front."""
        winner = self.winner
        circuit, margin = winner.netlist, winner.passing[0].margin
        return Standing(circuit.extra_parts, circuit.wires, winner.conductors, margin, self.score)

    def measure(self, aim: Aim) -> float:
        """What it has in one aim; the least is the best."""
        circuit = self.winner.netlist
        if aim == "margin":
            return -round(self.winner.passing[0].margin, DECIMALS)
        if aim == "faults":
            return NO_SCORE if self.score is None else -round(self.score, DECIMALS)
        if aim == "conductors":
            return self.winner.conductors
        return {"extra parts": circuit.extra_parts, "wires": circuit.wires, "joints": circuit.joints}[aim]


def ranking_order(contenders: Sequence[Contender], prefer: Sequence[Aim]) -> tuple[int, ...]:
    """The places of the contenders, the best first; equals stand by form, so that chance decides nothing."""
    aims = completed(prefer)

    def key(at: int) -> tuple[object, ...]:
        one = contenders[at]
        return (*(one.measure(aim) for aim in aims), one.winner.netlist.form)

    return tuple(sorted(range(len(contenders)), key=key))
