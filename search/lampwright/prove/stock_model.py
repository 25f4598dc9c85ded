"""Copies as counts: the model that prices ways to build from a parts box, and settles between them.

How many copies are fitted in each way, and how many places are filled with each item: with
these counts all that a plan costs, and how varied it is, is linear. Two rules bind them.
Every place of every copy is filled with an item that will do; and of what has no price no
more is used than there is. Aims are taken one after the other, each without loss to those
before. No source: our model; the solver is CP-SAT.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from ortools.sat.python import cp_model

from lampwright.prove.solver import Answer, new_solver, solve

MOST_WEIGHT = 2**40
"""Counts that are to be greatest in turn share one aim while their weights stay below this."""

Place = tuple[int, ...]
"""The items of which one will do."""


class Filling(NamedTuple):
    """Places that the same items will do for, and one of these items."""

    place: Place
    item: int


@dataclass(frozen=True)
class Item:
    """One kind of part: how many there are, and what one more costs (None: it cannot be bought)."""

    have: int
    price: int | None


class CountModel:
    """All copies as counts: how many are fitted in each way, how many places filled with what."""

    def __init__(
        self, items: Sequence[Item], ways: Sequence[tuple[Place, ...]], copies: int, work: float
    ) -> None:
        """Make the model of all plans in these ways, of which there is one; the aims are apart."""
        self.items, self.ways, self.copies = items, ways, copies
        self.model, self.solver = cp_model.CpModel(), new_solver(work)
        self.answer = Answer.UNDECIDED
        self.work = 0.0
        self.counts: list[int] = []
        self.filled: dict[Filling, int] = {}
        self._most = copies * max(len(places) for places in ways)
        self._fitted = [self.model.new_int_var(0, copies, "") for _ in ways]
        self._fillings = {
            Filling(place, item): self.model.new_int_var(0, self._most, "")
            for place in sorted({place for places in ways for place in places})
            for item in place
        }
        taken: dict[int, list[cp_model.IntVar]] = {}
        for filling, count in self._fillings.items():
            taken.setdefault(filling.item, []).append(count)
        self._used = [(item, sum(taken[item])) for item in sorted(taken)]
        self.model.add(sum(self._fitted) == copies)
        self._places_are_filled()
        self._what_has_no_price_is_there()

    def _places_are_filled(self) -> None:
        wanted: dict[Place, list[cp_model.LinearExprT]] = {}
        for count, places in zip(self._fitted, self.ways, strict=True):
            for place, alike in Counter(places).items():
                wanted.setdefault(place, []).append(alike * count)
        for place, parts in wanted.items():
            self.model.add(sum(self._fillings[Filling(place, item)] for item in place) == sum(parts))

    def _what_has_no_price_is_there(self) -> None:
        for item, used in self._used:
            if self.items[item].price is None:
                self.model.add(used <= self.items[item].have)

    def cost(self) -> cp_model.LinearExprT:
        """What is to be paid for what is bought."""
        paid = []
        for item, used in self._used:
            price = self.items[item].price
            if price:
                bought = self.model.new_int_var(0, self._most, "")
                self.model.add(bought >= used - self.items[item].have)
                paid.append(price * bought)
        return sum(paid)

    def variety(self) -> cp_model.LinearExprT:
        """How many different ways are used, and, weighing less than one of them, kinds of item."""
        different = []
        for count in self._fitted:
            different.append(self.model.new_bool_var(""))
            self.model.add(count <= self.copies * different[-1])
        kinds = []
        for _, used in self._used:
            kinds.append(self.model.new_bool_var(""))
            self.model.add(used <= self._most * kinds[-1])
        return (len(kinds) + 1) * sum(different) + sum(kinds)

    def first_ways(self) -> tuple[cp_model.LinearExprT, ...]:
        """To fit as many copies as can be in the first way, then in the second, and so on."""
        return _greatest_in_turn(self._fitted, self.copies)

    def first_items(self) -> tuple[cp_model.LinearExprT, ...]:
        """To fill as many places as can be with the first item that will do, then with the second."""
        return _greatest_in_turn(list(self._fillings.values()), self._most)

    def keep(self, counts: Sequence[int]) -> None:
        """Fit these numbers of copies in each way, and no others."""
        for count, fitted in zip(counts, self._fitted, strict=True):
            self.model.add(fitted == count)

    def pursue(self, aims: Sequence[cp_model.LinearExprT]) -> tuple[int, ...]:
        """Make each aim least in turn, without loss to those before; what they came to, while proved."""
        reached = []
        for aim in aims:
            self.model.minimize(aim)
            self.answer = solve(self.solver, self.model)
            self.work += self.solver.response_proto.deterministic_time
            if self.answer in (Answer.BEST, Answer.FOUND):
                self.counts = [self.solver.value(count) for count in self._fitted]
                self.filled = {key: self.solver.value(count) for key, count in self._fillings.items()}
            if self.answer is not Answer.BEST:
                break
            reached.append(int(self.solver.value(aim)))
            self.model.add(aim == reached[-1])
        return tuple(reached)


def _greatest_in_turn(counts: Sequence[cp_model.IntVar], most: int) -> tuple[cp_model.LinearExprT, ...]:
    """Aims that make each count greatest without loss to those before; no count is over most."""
    base = most + 1
    at_once = 1
    while base ** (at_once + 1) <= MOST_WEIGHT:
        at_once += 1
    chunks = (counts[at : at + at_once] for at in range(0, len(counts), at_once))
    return tuple(
        -sum(base ** (len(chunk) - 1 - at) * count for at, count in enumerate(chunk)) for chunk in chunks
    )
