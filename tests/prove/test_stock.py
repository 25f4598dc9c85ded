"""Plans from a parts box: the best of all, where every plan is looked at.

Outside judges: `itertools` over all plans, in which every copy has its own way and every place its
own item; and `scipy.optimize.milp` (HiGHS), on a model with a variable for each of these. Boxes are
random with a fixed seed. Whole numbers throughout, so all comparisons are exact.
"""

import random
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations_with_replacement, product

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp
from tests.selection import some

from lampwright.prove.stock import Box, Copy, Plan, Way, cost_of, least_missing, plan_builds
from lampwright.prove.stock_model import Item, Place

BOXES = 150


def some_box(seed: int) -> Box:
    """A box small enough for every plan to be looked at, often with equal ways, margins and prices."""
    dice = random.Random(seed)
    items = tuple(
        Item(dice.choice((0, 0, 0, 1, 1, 2, 4)), dice.choice((None, None, None, None, 0, 10, 10, 30)))
        for _ in range(dice.randint(2, 5))
    )

    def place() -> Place:
        count = dice.choice((1, 1, 1, 2, 3))
        return tuple(sorted(dice.sample(range(len(items)), min(count, len(items)))))

    designs = tuple(
        tuple(
            Way(dice.choice((100, 200, 200, 300)), tuple(place() for _ in range(places)))
            for _ in range(dice.randint(1, 4))
        )
        for places in (dice.randint(1, 3) for _ in range(dice.randint(1, 3)))
    )
    return Box(items, designs, dice.randint(1, 3))


def plans(box: Box) -> Iterator[Plan]:
    """Every plan, copies in order of their ways."""
    for design, ways in enumerate(box.designs):
        for chosen in combinations_with_replacement(range(len(ways)), box.copies):
            for filled in product(*(product(*ways[way].places) for way in chosen)):
                yield Plan("best", design, tuple(map(Copy, chosen, filled)))


def used(plan: Plan) -> Counter[int]:
    return Counter(item for copy in plan.copies for item in copy.items)


def is_possible(box: Box, plan: Plan) -> bool:
    ways = box.designs[plan.design]
    filled = all(
        item in place
        for copy in plan.copies
        for item, place in zip(copy.items, ways[copy.way].places, strict=True)
    )
    there = all(
        box.items[item].price is not None or n <= box.items[item].have for item, n in used(plan).items()
    )
    return filled and there and len(plan.copies) == box.copies


def cost(box: Box, plan: Plan) -> int:
    return sum((box.items[i].price or 0) * max(0, n - box.items[i].have) for i, n in used(plan).items())


def worth(box: Box, plan: Plan) -> tuple[object, ...]:
    """All that plans are compared by, least first, as the module's text has it."""
    ways = box.designs[plan.design]
    chosen = tuple(copy.way for copy in plan.copies)
    fillings: Counter[tuple[Place, int]] = Counter()
    places = set()
    for copy in plan.copies:
        for item, place in zip(copy.items, ways[copy.way].places, strict=True):
            able = tuple(i for i in place if box.items[i].have or box.items[i].price is not None)
            fillings[able, item] += 1
            places.add(able)
    return (
        cost(box, plan),
        -min(ways[way].margin for way in chosen),
        plan.design,
        len(set(chosen)),
        len(used(plan)),
        chosen,
        tuple(-fillings[place, item] for place in sorted(places) for item in place),
    )


@pytest.mark.parametrize("seed", some(range(BOXES), 12))
def test_the_plan_is_the_best_of_all(seed: int) -> None:
    box = some_box(seed)
    every = [plan for plan in plans(box) if is_possible(box, plan)]
    found = plan_builds(box)
    if not every:
        assert found == Plan("none", 0, ())
        return
    assert found.status == "best"
    assert is_possible(box, found)
    assert worth(box, found) == min(worth(box, plan) for plan in every)
    assert cost_of(box, found) == cost(box, found)


@pytest.mark.parametrize("seed", some(range(BOXES), 12))
def test_no_plan_lacks_fewer(seed: int) -> None:
    box = some_box(seed)

    def missing(plan: Plan) -> int:
        return sum(max(0, n - box.items[i].have) for i, n in used(plan).items() if box.items[i].price is None)

    assert missing(least_missing(box)) == min(missing(plan) for plan in plans(box))


def test_random_boxes_are_of_every_sort() -> None:
    """Some boxes have no plan, some one at no cost, some one that costs: all are really tried."""
    found = [(box, plan_builds(box)) for box in map(some_box, range(BOXES))]
    sorts = Counter(
        plan.status if plan.status == "none" else "costs" if cost_of(box, plan) else "free"
        for box, plan in found
    )
    assert min(sorts[sort] for sort in ("none", "costs", "free")) >= 15, sorts
    assert sum(len({copy.way for copy in plan.copies}) > 1 for _, plan in found) >= 5, "mixed ways"


class ByHighs:
    """The same question with a variable per copy and way, per copy, place and item, and per item bought."""

    def __init__(self, box: Box) -> None:
        self.box = box
        ways = [(d, w) for d, own in enumerate(box.designs) for w in range(len(own))]
        copies = range(box.copies)
        self.fitted = {key: at for at, key in enumerate(product(copies, ways))}
        filled = [
            (copy, way, at, item)
            for copy, way in self.fitted
            for at, place in enumerate(box.designs[way[0]][way[1]].places)
            for item in place
        ]
        self.filled = {key: len(self.fitted) + at for at, key in enumerate(filled)}
        self.bought = len(self.fitted) + len(self.filled)
        self.least = self.bought + len(box.items)
        self.rows: list[tuple[dict[int, float], float, float]] = []
        for copy in copies:
            self._add({self.fitted[copy, way]: 1.0 for way in ways}, 1, 1)
            for design in range(len(box.designs)):  # the same design as the first copy
                own = {self.fitted[copy, way]: 1.0 for way in ways if way[0] == design}
                if copy:
                    self._add(own | {self.fitted[0, way]: -1.0 for way in ways if way[0] == design}, 0, 0)
        for (copy, way), at in self.fitted.items():
            for place, items in enumerate(box.designs[way[0]][way[1]].places):
                self._add({self.filled[copy, way, place, i]: 1.0 for i in items} | {at: -1.0}, 0, 0)
            margin = box.designs[way[0]][way[1]].margin
            self._add({self.least: 1.0, at: 1000.0}, -np.inf, margin + 1000.0)
        for number, item in enumerate(box.items):
            takes = {at: 1.0 for key, at in self.filled.items() if key[3] == number}
            self._add(takes | {self.bought + number: -1.0}, -np.inf, item.have)

    def _add(self, row: dict[int, float], low: float, high: float) -> None:
        self.rows.append((row, low, high))

    def least_of(self, aim: dict[int, float]) -> float | None:
        """The least value of an aim, None where there is no plan."""
        size = self.least + 1
        table, c = np.zeros((len(self.rows), size)), np.zeros(size)
        for at, (row, _, _) in enumerate(self.rows):
            table[at, list(row)] = list(row.values())
        c[list(aim)] = list(aim.values())
        high = np.ones(size)
        high[self.bought : self.least] = [0 if i.price is None else 100 for i in self.box.items]
        high[self.least] = 1000
        within = LinearConstraint(table, [row[1] for row in self.rows], [row[2] for row in self.rows])
        answer = milp(c, constraints=within, bounds=Bounds(0, high), integrality=np.ones(size, np.int64))
        assert answer.status in (0, 2), answer.message  # a best one, or proved none
        return None if answer.fun is None else round(answer.fun)

    def answer(self) -> tuple[float, float] | None:
        """The least cost, and at that cost the greatest least margin."""
        paid = {self.bought + at: float(item.price or 0) for at, item in enumerate(self.box.items)}
        cost = self.least_of(paid)
        if cost is None:
            return None
        self._add(paid, -np.inf, cost)
        least = self.least_of({self.least: -1.0})
        assert least is not None
        return cost, -least


@pytest.mark.parametrize("seed", some(range(1000, 1040), 10))
def test_cost_and_margin_are_those_of_highs(seed: int) -> None:
    box = some_box(seed)
    found = plan_builds(box)
    margins = [box.designs[found.design][copy.way].margin for copy in found.copies]
    ours = None if found.status == "none" else (cost_of(box, found), min(margins))
    assert ours == ByHighs(box).answer()


def test_none_is_a_proof_and_not_for_want_of_work() -> None:
    one = Way(100, ((0,),))
    assert plan_builds(Box((Item(1, None),), ((one,),), 2)).status == "none", "one lamp for two copies"
    assert plan_builds(Box((Item(5, None),), (), 2)).status == "none", "no design"
    assert plan_builds(Box((Item(5, None),), ((),), 2)).status == "none", "a design no way of which will do"
    assert plan_builds(Box((Item(0, None),), ((one,),), 1)).status == "none", "an empty box"


def test_without_work_there_is_no_proof() -> None:
    """A box that needs a search, and no work allowed: never called best, and never none."""
    dice = random.Random(5)
    items = tuple(Item(dice.randint(0, 3), dice.randint(1, 99)) for _ in range(30))
    ways = tuple(
        Way(dice.randint(1, 10**6), tuple((i,) for i in dice.sample(range(30), 8))) for _ in range(300)
    )
    found = plan_builds(Box(items, (ways,), 6), work=1e-6)
    assert found.status == "stopped"


def test_copies_are_of_one_design() -> None:
    """Each design alone lacks a lamp for the second copy; a mixture would not."""
    designs = ((Way(100, ((0,),)),), (Way(100, ((1,),)),))
    assert plan_builds(Box((Item(1, None), Item(1, None)), designs, 2)).status == "none"


def test_copies_may_differ_and_would_rather_not() -> None:
    ways = (Way(300, ((0,),)), Way(200, ((1,),)))
    mixed = plan_builds(Box((Item(1, None), Item(2, 50)), (ways,), 2))
    assert [copy.way for copy in mixed.copies] == [1, 1], "as good as one of each, and alike"
    scarce = plan_builds(Box((Item(1, None), Item(1, 50)), (ways,), 2))
    assert [copy.way for copy in scarce.copies] == [0, 1], "nothing to pay"


def test_copies_alike_go_before_fewer_kinds_of_item() -> None:
    """Two copies with four kinds of item each, or two unlike ones with two in all; no others can be had."""
    ways = (Way(1, ((0,), (1,), (2,), (3,))), Way(1, ((4,), (4,))), Way(1, ((4,), (5,))))
    plan = plan_builds(Box((*[Item(2, None)] * 4, Item(3, None), Item(1, None)), (ways,), 2))
    assert [copy.way for copy in plan.copies] == [0, 0]


def test_money_goes_before_margin_and_margin_before_rank() -> None:
    dear = Box((Item(0, 1), Item(1, None)), ((Way(900, ((0,),)), Way(1, ((1,),))),), 1)
    assert [copy.way for copy in plan_builds(dear).copies] == [1]
    ranked = Box((Item(2, None),), ((Way(1, ((0,),)),), (Way(2, ((0,),)),)), 1)
    assert plan_builds(ranked).design == 1
    tied = replace(ranked, designs=((Way(2, ((0,),)),), (Way(2, ((0,),)),)))
    assert plan_builds(tied).design == 0


def test_the_same_again() -> None:
    for seed in range(20):
        assert plan_builds(some_box(seed)) == plan_builds(some_box(seed))
