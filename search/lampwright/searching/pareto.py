"""Trade-offs: designs in the order a user prefers, and those among them that no other beats.

Fault scores take a hundredth to a fifth of a second each, so at most a fixed number of
designs get one: first those that none beats in parts, wires, conductors and margin, then
in the order of the ranking. What is not known stays unknown, in the ranking and on the front.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from msgspec import structs

from lampwright.assess.care import Assessor
from lampwright.judge.contender import Contender, ranking_order
from lampwright.judge.design_rows import Presenter
from lampwright.judge.front import Standing, compare, worth_scoring
from lampwright.judge.minimality import Winner
from lampwright.judge.preference import Aim, completed
from lampwright.results.design import Design
from lampwright.results.front import Front, FrontPoint

MOST_SCORED = 200
"""Designs whose fault score is worked out, at the most."""


@dataclass(frozen=True)
class Ranked:
    """One design at its rank: how it was found, its rows, its fault score where known."""

    winner: Winner
    design: Design
    score: float | None


class ParetoRanking:
    """Sets the designs of one problem against each other."""

    def __init__(self, presenter: Presenter, assessor: Assessor) -> None:
        """Take who writes the rows of a design, and who works out its faults."""
        self.presenter, self.assessor = presenter, assessor

    def ranked(
        self, winners: Iterable[Winner], prefer: Sequence[Aim], most: int = MOST_SCORED
    ) -> tuple[Ranked, ...]:
        """All designs, the best first by the aims preferred; at most so many with a fault score."""
        plain = _in_order([Contender(winner) for winner in winners], prefer)
        designs = [self.presenter.design(one.winner, 0) for one in plain]
        contenders = list(plain)
        # one design alone has nothing to be set against
        for at in worth_scoring([one.standing for one in plain], most) if len(plain) > 1 else ():
            contenders[at] = replace(plain[at], score=self._score(plain[at].winner, designs[at]))
        return tuple(
            Ranked(contenders[at].winner, structs.replace(designs[at], rank=rank), contenders[at].score)
            for rank, at in enumerate(ranking_order(contenders, prefer), 1)
        )

    def _score(self, winner: Winner, design: Design) -> float:
        return self.assessor.score(winner.netlist, winner.passing[0].choice, design)


def _in_order(contenders: Sequence[Contender], prefer: Sequence[Aim]) -> tuple[Contender, ...]:
    return tuple(contenders[at] for at in ranking_order(contenders, prefer))


def front_of(
    designs: Sequence[Design], scores: Sequence[float | None], prefer: Sequence[Aim]
) -> Front | None:
    """The front of these ranked designs, whose scores stand beside them; None where there is no design.

    The score of a design that was treated is taken from its faults.
    """
    if not designs:
        return None
    standings = [_standing(design, score) for design, score in zip(designs, scores, strict=True)]
    found = compare(standings)
    points = tuple(
        FrontPoint(
            rank=designs[at].rank,
            extra_parts=designs[at].extra_parts,
            wires=designs[at].wires,
            conductors=designs[at].conductors,
            margin_stops=designs[at].margin_stops,
            fault_score=standings[at].score,
            certain=certain,
        )
        for at, certain in zip(found.members, found.certain, strict=True)
    )
    scored = sum(one.score is not None for one in standings)
    return Front(
        preferred=completed(prefer),
        compared=len(designs),
        scored=scored,
        undecided=len(found.undecided),
        points=points,
    )


def _standing(design: Design, score: float | None) -> Standing:
    known = score if design.care is None else design.care.faults.score
    return Standing(design.extra_parts, design.wires, design.conductors, design.margin_stops, known)
