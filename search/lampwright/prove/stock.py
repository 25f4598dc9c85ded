"""Which circuit, types and values to build several copies of from a parts box, spending least.

A box has items: how many there are of each, and what one more costs, if it can be bought. A design
can be fitted in several ways, each with a margin and with places that one of some items
fills. All copies are of one design; each may be fitted in its own way. Wanted, each aim
only among the best by those before it:

    least cost; greatest least margin; first design; fewest different ways, then fewest
    kinds of item; first ways; in the places the first items that will do.

What copies cost hangs on what their ways need and not on the design, so each set of needs
is priced once, however many designs can be fitted so. Copies are alike to the solver, which
only counts how many are fitted in which way: no plan is met twice under exchanged names.
The last aims leave one plan and no other, so that the answer does not hang on how the
solver goes about it.

    >>> box = Box((Item(1, None), Item(0, 30)), ((Way(500, ((0,),)), Way(400, ((1,),))),), 2)
    >>> plan = plan_builds(box)
    >>> plan.status, plan.copies
    ('best', (Copy(way=0, items=(0,)), Copy(way=1, items=(1,))))
    >>> cost_of(box, plan)
    30

No source: our model; the solver is CP-SAT.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from lampwright.prove.solver import Answer
from lampwright.prove.stock_model import CountModel, Filling, Item, Place

WORK = 10.0
"""Work allowed to choose the design, and for each aim after that: deterministic time, about seconds."""

Needs = tuple[Place, ...]
"""What one copy takes from the box: its places, sorted."""


@dataclass(frozen=True)
class Way:
    """One way to fit a design: its margin, and its places."""

    margin: int
    places: tuple[Place, ...]


@dataclass(frozen=True)
class Box:
    """The question: items, the ways of each design (designs best first), how many copies."""

    items: tuple[Item, ...]
    designs: tuple[tuple[Way, ...], ...]
    copies: int


@dataclass(frozen=True)
class Copy:
    """One copy: the way in which it is fitted, and the item in each of its places."""

    way: int
    items: tuple[int, ...]


@dataclass(frozen=True)
class Plan:
    """The answer: `best` is proved, `none` is proof that there is no plan, `stopped` is neither.

    copies are of the one design, in order of their ways. There are none where there is no
    plan, nor where the work ran out before one was found.
    """

    status: Literal["best", "none", "stopped"]
    design: int
    copies: tuple[Copy, ...]


def plan_builds(box: Box, work: float = WORK) -> Plan:
    """The best plan for a box, so much work being allowed to choose the design, and to settle the rest."""
    designs = [tuple(_fittable(box.items, ways)) for ways in box.designs]
    choosing = _Choosing(box, work)
    proved = choosing.choose(designs)
    best = choosing.best
    if best is None:
        return Plan("none" if proved else "stopped", 0, ())
    copies = _settled(box, _able(designs[best.design], best.margin), best.cost, work)
    return Plan("best" if proved and copies.proved else "stopped", best.design, copies.copies)


def least_missing(box: Box, work: float = WORK) -> Plan:
    """The plan that lacks fewest things that are neither in the box nor to be bought."""
    free = tuple(replace(item, price=1 if item.price is None else 0) for item in box.items)
    return plan_builds(replace(box, items=free), work)


def cost_of(box: Box, plan: Plan) -> int:
    """What a plan costs beyond what is in the box."""
    used = Counter(item for copy in plan.copies for item in copy.items)
    return sum(
        max(0, count - box.items[item].have) * (box.items[item].price or 0) for item, count in used.items()
    )


@dataclass(frozen=True)
class _Numbered:
    """A way and its number."""

    number: int
    way: Way

    @property
    def needs(self) -> Needs:
        return tuple(sorted(self.way.places))


@dataclass(frozen=True)
class _Best:
    cost: int
    margin: int
    design: int


@dataclass(frozen=True)
class _Copies:
    copies: tuple[Copy, ...]
    proved: bool


class _OutOfWorkError(Exception):
    """The work allowed is done, and nothing is proved."""


def _fittable(items: Sequence[Item], ways: Sequence[Way]) -> Iterator[_Numbered]:
    """The ways for every place of which something is there or can be bought, without the other items."""
    there = [item.have > 0 or item.price is not None for item in items]
    for number, way in enumerate(ways):
        places = tuple(tuple(item for item in place if there[item]) for place in way.places)
        if all(places):
            yield _Numbered(number, Way(way.margin, places))


def _able(ways: Sequence[_Numbered], margin: int) -> tuple[_Numbered, ...]:
    """The ways with no less margin; the first of those with the same needs."""
    first: dict[Needs, _Numbered] = {}
    for one in ways:
        if one.way.margin >= margin:
            first.setdefault(one.needs, one)
    return tuple(first.values())


class _Choosing:
    """Chooses the design: least cost, then greatest least margin, then the first."""

    def __init__(self, box: Box, work: float) -> None:
        self.best: _Best | None = None
        self._box, self._left = box, work
        self._known: dict[frozenset[Needs], int | None] = {}

    def choose(self, designs: Sequence[Sequence[_Numbered]]) -> bool:
        """Look at every design; whether the work allowed was enough to prove the best."""
        try:
            for number, ways in enumerate(designs):
                self._look_at(number, ways)
        except _OutOfWorkError:
            return False
        return True

    def _look_at(self, number: int, ways: Sequence[_Numbered]) -> None:
        best = self.best
        if best is not None and best.cost == 0:  # none costs less: only a greater margin is better
            ways = [one for one in ways if one.way.margin > best.margin]
        cost = self._least_cost(ways)
        if cost is None or (best is not None and cost > best.cost):
            return
        if best is not None and cost == best.cost:
            ways = [one for one in ways if one.way.margin > best.margin]
            if self._least_cost(ways) != cost:
                return
        margins = sorted({one.way.margin for one in ways})
        # the greatest margin at which the cost is still the least: the first of them is known to do
        low, high = 0, len(margins) - 1
        while low < high:
            middle = (low + high + 1) // 2
            if self._least_cost([one for one in ways if one.way.margin >= margins[middle]]) == cost:
                low = middle
            else:
                high = middle - 1
        self.best = _Best(cost, margins[low], number)

    def _least_cost(self, ways: Sequence[_Numbered]) -> int | None:
        """What the copies cost at the least; None where they cannot be had."""
        if not ways:
            return None
        needs = frozenset(one.needs for one in ways)
        if needs not in self._known:
            model = CountModel(self._box.items, sorted(needs), self._box.copies, self._left)
            reached = model.pursue((model.cost(),))
            self._left -= model.work
            if model.answer not in (Answer.BEST, Answer.NONE) or self._left <= 0.0:
                raise _OutOfWorkError
            self._known[needs] = reached[0] if reached else None
        return self._known[needs]


def _settled(box: Box, ways: Sequence[_Numbered], cost: int, work: float) -> _Copies:
    """The copies of a design that cost so much, by the aims that are left."""
    model = CountModel(box.items, [one.way.places for one in ways], box.copies, work)
    model.model.add(model.cost() == cost)
    model.pursue((model.variety(), *model.first_ways()))
    if not model.counts:
        return _Copies((), False)
    fitted = [(one, count) for one, count in zip(ways, model.counts, strict=True) if count]
    last = CountModel(box.items, [one.way.places for one, _ in fitted], box.copies, work)
    last.keep([count for _, count in fitted])
    last.model.add(last.cost() == cost)
    last.pursue((last.variety(), *last.first_items()))
    if not last.counts:
        return _Copies((), False)
    left = dict(last.filled)
    copies = (
        Copy(one.number, tuple(_take(place, left) for place in one.way.places))
        for one, count in fitted
        for _ in range(count)
    )
    return _Copies(tuple(copies), model.answer is Answer.BEST and last.answer is Answer.BEST)


def _take(place: Place, left: dict[Filling, int]) -> int:
    """Fill one place with the first item set aside for places like it."""
    item = next(item for item in place if left[Filling(place, item)])
    left[Filling(place, item)] -= 1
    return item
