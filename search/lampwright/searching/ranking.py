"""Designs set in order: by the aims in the order preferred, then by form; and the front among them.

Fault scores take a hundredth to a fifth of a second each, so at most a fixed number of
designs get one: first those that none beats in parts, wires, conductors and margin, then
in the order of the ranking. What is not known stays unknown, in the ranking and on the front:
where the score decides, designs without one come last; no score is made up for them.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from msgspec import structs

from lampwright.assess.assess import Assessor
from lampwright.judge.design_rows import Presenter
from lampwright.judge.minimality import DECIMALS, Winner
from lampwright.results.design import Design
from lampwright.results.ranking import Front, FrontPoint
from lampwright.searching.front import compare, worth_scoring
from lampwright.searching.options import DEFAULT_ORDER, completed
from lampwright.words import Aim

MOST_SCORED = 200
"""Designs whose fault score is worked out, at the most."""

NO_SCORE = 1.0
"""Above minus any score, so behind every design that has one."""


@dataclass(frozen=True)
class RankedDesign:
    """A design among others: how it was found, its row, its fault score from 0 to 1; None where unknown."""

    winner: Winner
    design: Design
    score: float | None = None

    def measure(self, aim: Aim) -> float:
        """What it has in one aim; the least is the best."""
        design = self.design
        if aim == "margin":
            return -round(design.margin_stops, DECIMALS)
        if aim == "faults":
            return NO_SCORE if self.score is None else -round(self.score, DECIMALS)
        parts = design.extra_parts + design.helper_lamps
        counts = parts, design.wires, design.joints, design.conductors
        return dict(zip(("extra parts", "wires", "joints", "conductors"), counts, strict=True))[aim]


def in_order(designs: Iterable[RankedDesign], prefer: Sequence[Aim]) -> tuple[RankedDesign, ...]:
    """The designs, the best first; equals stand by form, so that chance decides nothing."""
    aims = completed(prefer)
    return tuple(
        sorted(designs, key=lambda one: (*map(one.measure, aims), one.winner.netlist.form)),
    )


def rank_designs(
    winners: Iterable[Winner],
    prefer: Sequence[Aim],
    presenters: Sequence[Presenter],
    assessors: Sequence[Assessor] = (),
    most: int = MOST_SCORED,
    is_over: Callable[[], bool] = lambda: False,
) -> tuple[RankedDesign, ...]:
    """All designs, the best first by the aims preferred; at most `most` with a fault score.

    is_over: whether it is time to stop; there are fewer designs then, one at the least, and fewer scores.

    presenters: write the rows, one for each way of the spec; assessors: work out the faults, one for each
    way, none where no score is wanted.
    """
    told = [
        RankedDesign(one, _design(one, presenters)) for one in _until(is_over, _foreseen(winners, prefer))
    ]
    found = list(in_order(told, prefer))
    # one design alone has nothing to be set against
    if assessors and len(found) > 1:
        for at in worth_scoring([one.design for one in found], most):
            if is_over():
                break
            winner, design = found[at].winner, found[at].design
            score = assessors[winner.way].score(winner.netlist, winner.passing[0].choice, design)
            found[at] = replace(found[at], score=score)
    return tuple(
        replace(one, design=structs.replace(one.design, rank=rank))
        for rank, one in enumerate(in_order(found, prefer), 1)
    )


def _foreseen(winners: Iterable[Winner], prefer: Sequence[Aim]) -> list[Winner]:
    """Designs about in the order in which they will stand: all but their faults is known of them."""

    def order(one: Winner) -> tuple[float, ...]:
        net = one.netlist
        # lamps of the spec are as many in all
        counts = len(net.ends), net.wires, net.joints, one.conductors, -one.passing[0].margin, 0.0
        known = dict(zip(DEFAULT_ORDER, counts, strict=True))
        return (*(known[aim] for aim in completed(prefer)), *net.form)

    return sorted(winners, key=order)


def _until(is_over: Callable[[], bool], winners: Iterable[Winner]) -> Iterator[Winner]:
    """Some designs, the first at the least, as long as there is time."""
    for number, one in enumerate(winners):
        if number and is_over():
            return
        yield one


def _design(winner: Winner, presenters: Sequence[Presenter]) -> Design:
    """The row of a design, with the other ways in which its circuit meets the spec."""
    design = presenters[winner.way].design(winner, 0)
    others = tuple(presenters[one.way].other_way(one) for one in winner.elsewhere)
    return structs.replace(design, other_ways=others)


def front_of(
    designs: Sequence[Design], scores: Sequence[float | None], prefer: Sequence[Aim]
) -> Front | None:
    """The front of these ranked designs, whose scores stand beside them; None where there is no design.

    The score of a design that was assessed is taken from its faults.
    """
    if not designs:
        return None
    known = [
        score if design.care is None else design.care.faults.score
        for design, score in zip(designs, scores, strict=True)
    ]
    found = compare(designs, known)
    alike: dict[tuple[object, ...], list[int]] = {}
    for at in found.members:
        # what is not known equals nothing
        score = at if known[at] is None else round(known[at] or 0.0, DECIMALS)
        one = designs[at]
        margin = round(one.margin_stops, DECIMALS)
        parts = one.extra_parts + one.helper_lamps
        key = parts, one.wires, one.conductors, margin, known[at] is None, score
        alike.setdefault(key, []).append(at)
    certain = dict(zip(found.members, found.certain, strict=True))
    points = tuple(
        FrontPoint(
            rank=designs[at].rank,
            extra_parts=designs[at].extra_parts,
            helper_lamps=designs[at].helper_lamps,
            wires=designs[at].wires,
            conductors=designs[at].conductors,
            margin_stops=designs[at].margin_stops,
            fault_score=known[at],
            certain=certain[at],
            as_good=tuple(designs[other].rank for other in others),
        )
        for at, *others in alike.values()
    )
    return Front(
        preferred=completed(prefer),
        compared=len(designs),
        scored=sum(score is not None for score in known),
        undecided=len(found.undecided),
        points=points,
    )
