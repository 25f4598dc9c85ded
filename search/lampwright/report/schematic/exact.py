"""The best order of rails and columns, exactly: dynamic programming over sets of columns.

Columns are set from left to right. What the next one costs depends only on the set of those
already set: a rail passes over it if it has a column inside the set and one still outside.
So the least cost of each set follows from the sets that lack one column (Held and Karp's
scheme for sequencing, 1962), here for all orders of the rails at once. Exact up to `WORK`
steps, which is 12 parts on 8 nets with up to four feeds; None beyond.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import permutations, product

import numpy as np
from numpy.typing import NDArray

from lampwright.report.schematic.order import (
    Column,
    Order,
    Puzzle,
    heights_of,
    hung,
    levels,
    measure,
    natural,
    nets_of,
    stacked,
)

WORK = 160_000_000
"""Most steps: sets of columns times columns times orders of the rails."""

CROSSING = 1 << 20
LENGTH = 1 << 10
NEVER = 1 << 29
TIES = 64

Ints = NDArray[np.int32]


@dataclass(frozen=True)
class _Step:
    """One way to set the next column: the items it uses, and its cost by rails passing, then order."""

    column: Column
    items: int
    needs: int
    later: int
    table: Ints


def exact(puzzle: Puzzle) -> Order | None:
    """Find the best order, or None where that would take too long."""
    items = natural(puzzle)
    joints = puzzle.nets - puzzle.fixed
    orders = math.factorial(puzzle.fixed) * math.factorial(joints)
    if (orders * len(items)) << len(items) > WORK:
        return None
    pairs = product(permutations(range(puzzle.fixed)), permutations(range(puzzle.fixed, puzzle.nets)))
    tracks = [(*feeds, *rest) for feeds, rest in pairs]
    search = _Search(puzzle, items, tracks)
    search.run()
    return search.best()


class _Search:
    """The least cost of every set of columns, for every order of the rails."""

    def __init__(self, puzzle: Puzzle, items: Sequence[Column], tracks: Sequence[tuple[int, ...]]) -> None:
        """Prepare the steps and the tables of sets."""
        self.puzzle = puzzle
        self.items = items
        self.tracks = tracks
        self.full = (1 << len(items)) - 1
        self.sets = np.arange(self.full + 1)
        self.begun = self._begun()
        self.groups = self._groups()
        self.steps = self._steps()
        self.cost: Ints = np.full((self.full + 1, len(tracks)), NEVER, dtype=np.int32)
        self.cost[0] = 0
        open_rails = self.begun & self.begun[self.full ^ self.sets]
        self.gap = np.bitwise_count(open_rails).astype(np.int32) * LENGTH

    def run(self) -> None:
        """Fill the table, set by set in rising size."""
        sizes = np.bitwise_count(self.sets)
        for size in range(len(self.items)):
            layer = self.sets[(sizes == size) & (self.cost.min(axis=1) < NEVER)]
            for step in self.steps:
                before = layer[self._allowed(layer, step)]
                after = before | step.items
                reached = self.cost[before] + self._added(before, step)
                self.cost[after] = np.minimum(self.cost[after], reached)

    def best(self) -> Order:
        """Read the best order back, set in lines; of equals, that of shortest rails and fewest levels."""
        last = self.cost[self.full]
        coarse = last // LENGTH
        equal = np.flatnonzero(coarse == coarse.min())[:TIES]
        found = [(stacked(self.puzzle, self._read(int(place))), int(last[place])) for place in equal]
        return min(found, key=lambda pair: (pair[0].length, max(levels(self.puzzle, pair[0])), pair[1]))[0]

    def _read(self, place: int) -> Order:
        """Follow the least costs back from the full set, for one order of the rails."""
        columns: list[Column] = []
        after = self.full
        while after:
            for step in self.steps:
                before = np.array([after ^ step.items])
                if step.items & ~after or not self._allowed(before, step)[0]:
                    continue
                reached = self.cost[before, place] + self._added(before, step)[0, place]
                if reached[0] == self.cost[after, place]:
                    columns.append(step.column)
                    after ^= step.items
                    break
            else:
                raise AssertionError("the table of sets does not add up")
        return measure(self.puzzle, self.tracks[place], columns[::-1])

    def _allowed(self, before: NDArray[np.int64], step: _Step) -> NDArray[np.bool_]:
        """Tell after which sets a step may come: nothing twice, twins in order, groups unbroken."""
        ok: NDArray[np.bool_] = (before & step.items == 0) & (before & step.needs == step.needs)
        for group in self.groups:
            if not group & step.items:
                inside = before & group
                ok = ok & ((inside == 0) | (inside == group))
        return ok

    def _added(self, before: NDArray[np.int64], step: _Step) -> Ints:
        """Tell what a step adds: crossings and swaps of its column, rails over the gap after it."""
        after = before | step.items
        passing = self.begun[before] & self.begun[self.full ^ after]
        swaps = np.bitwise_count(~after & step.later).astype(np.int32)
        return np.asarray(step.table[passing] + (self.gap[after] + swaps)[:, None], dtype=np.int32)

    def _begun(self) -> NDArray[np.int64]:
        """Tell for each set of columns the nets it touches, ground left out."""
        touched = np.zeros(self.full + 1, dtype=np.int64)
        for place, column in enumerate(self.items):
            nets = sum({1 << net for net in nets_of(self.puzzle, column) if net < self.puzzle.nets})
            touched[self.sets & (1 << place) != 0] |= nets
        return touched

    def _groups(self) -> tuple[int, ...]:
        """Collect the columns of each group as a set."""
        found: dict[int, int] = {}
        for place, column in enumerate(self.items):
            for group in (self.puzzle.parts[part].group for part in column.parts):
                if group is not None:
                    found[group] = found.get(group, 0) | 1 << place
        return tuple(found.values())

    def _steps(self) -> tuple[_Step, ...]:
        """List every single column, and every part below a drop."""
        heights = [heights_of(self.puzzle, tracks) for tracks in self.tracks]
        singles = [(column, 1 << place) for place, column in enumerate(self.items)]
        pairs = [
            (Column(drop.drop, part.parts), here | there)
            for drop, here in singles
            for part, there in singles
            if drop.drop is not None
            if any(hung(self.puzzle, height, drop, part) for height in heights)
        ]
        return tuple(self._step(column, items, heights) for column, items in (*singles, *pairs))

    def _step(self, column: Column, items: int, heights: Sequence[tuple[int, ...]]) -> _Step:
        """Prepare one step: its twins before it, and its crossings for each set of passing rails."""
        own = nets_of(self.puzzle, column)
        table = np.zeros((1 << self.puzzle.nets, len(heights)), dtype=np.int32)
        for place, height in enumerate(heights):
            ends = [height[net] for net in own]
            top = -1 if column.drop is not None else min(ends)
            if column.drop is not None and column.parts:
                drop, part = Column(drop=column.drop), Column(parts=column.parts)
                table[:, place] += (NEVER >> 1) * (hung(self.puzzle, height, drop, part) is None)
            between = sum(1 << net for net in range(self.puzzle.nets) if top < height[net] < max(ends))
            passing = np.bitwise_count(np.arange(1 << self.puzzle.nets) & between)
            table[:, place] += passing.astype(np.int32) * CROSSING
        lowest = (items & -items) - 1
        return _Step(column, items, self._twins(items) & ~items, lowest, table)

    def _twins(self, items: int) -> int:
        """Collect the earlier columns that differ from one of these in nothing but their number."""
        found = 0
        for place, column in enumerate(self.items):
            if not items >> place & 1:
                continue
            for earlier, other in enumerate(self.items[:place]):
                if self._twin(column, other):
                    found |= 1 << earlier
        return found

    def _twin(self, column: Column, other: Column) -> bool:
        """Tell whether two parts, both outside any group, join the same nets."""
        if not column.parts or not other.parts:
            return False
        one, two = self.puzzle.parts[column.parts[0]], self.puzzle.parts[other.parts[0]]
        same = {one.one, one.other} == {two.one, two.other}
        return same and one.group is None and two.group is None
