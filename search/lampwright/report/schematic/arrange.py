"""The best order of rails and columns: exactly where that is quick, else by descent.

Exactly, by dynamic programming over sets of columns. Columns are set from left to right. What the next
one costs depends only on the set of those already set: a rail passes over it if it has a column inside
the set and one still outside. So the least cost of each set follows from the sets that lack one column
(Held and Karp's scheme for sequencing, 1962), here for all orders of the rails at once. That takes
up to `WORK` steps, which is 12 parts on 8 nets with up to four feeds.

Beyond, from the natural order, columns (lamps with their filaments as one) are moved one at a time
and rails swapped in pairs, as long as that lessens crossings, then length. At most `TRIALS`
orders are measured; always the same answer for the same puzzle. No source: plain descent.
"""

import math
from collections.abc import Iterator, Sequence
from itertools import permutations, product

import numpy as np
from numpy.typing import NDArray

from lampwright.report.schematic.order import (
    Column,
    Order,
    Puzzle,
    between,
    heights_of,
    hung,
    levels,
    measure,
    natural,
    stacked,
)

WORK = 160_000_000
"""Most steps: sets of columns times columns times orders of the rails."""
TRIALS = 6_000

CROSSING = 1 << 20
LENGTH = 1 << 10
NEVER = 1 << 29
TIES = 64

_Ints = NDArray[np.int32]
_Sets = NDArray[np.int64]
_Step = tuple[Column, int, int, _Ints]
"""One way to set the next column: the columns it uses, as a set, and those that must stand before it;
its crossings by rails passing and order of the rails."""
_Blocks = tuple[tuple[Column, ...], ...]


def arrange(puzzle: Puzzle) -> Order:
    """Order rails and columns: exactly where that is quick, else by descent."""
    return exact(puzzle) or descend(puzzle)


def exact(puzzle: Puzzle) -> Order | None:
    """Find the best order, or None where that would take too long."""
    joints = puzzle.nets - puzzle.fixed
    orders = math.factorial(puzzle.fixed) * math.factorial(joints)
    if (orders * len(puzzle.items)) << len(puzzle.items) > WORK:
        return None
    pairs = product(permutations(range(puzzle.fixed)), permutations(range(puzzle.fixed, puzzle.nets)))
    return _Search(puzzle, [(*feeds, *rest) for feeds, rest in pairs]).best()


class _Search:
    """The least cost of every set of columns, for every order of the rails."""

    def __init__(self, puzzle: Puzzle, tracks: Sequence[tuple[int, ...]]) -> None:
        """Prepare the steps and the tables of sets, and fill these set by set in rising size."""
        self.puzzle = puzzle
        self.tracks = tracks
        self.columns = natural(puzzle)
        self.full = (1 << len(self.columns)) - 1
        self.sets = np.arange(self.full + 1)
        self.begun = self._begun()
        groups = dict.fromkeys(puzzle.groups)
        self.groups = [self._members(group) for group in groups if group is not None]
        self.steps = self._steps()
        open_rails = self.begun & self.begun[self.full ^ self.sets]
        self.gap = np.bitwise_count(open_rails).astype(np.int32) * LENGTH
        self.cost: _Ints = np.full((self.full + 1, len(tracks)), NEVER, dtype=np.int32)
        self.cost[0] = 0
        sizes = np.bitwise_count(self.sets)
        for size in range(len(self.columns)):
            layer = self.sets[(sizes == size) & (self.cost.min(axis=1) < NEVER)]
            for step in self.steps:
                before = layer[self._allowed(layer, step)]
                after = before | step[1]
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
                column, used, _, _ = step
                before = np.array([after ^ used])
                if used & ~after or not self._allowed(before, step)[0]:
                    continue
                reached = self.cost[before, place] + self._added(before, step)[0, place]
                if reached[0] == self.cost[after, place]:
                    columns.append(column)
                    after ^= used
                    break
            else:
                raise AssertionError("the table of sets does not add up")
        return measure(self.puzzle, self.tracks[place], columns[::-1])

    def _allowed(self, before: _Sets, step: _Step) -> NDArray[np.bool_]:
        """Tell after which sets a step may come: nothing twice, twins in order, groups unbroken."""
        _, used, needs, _ = step
        ok: NDArray[np.bool_] = (before & used == 0) & (before & needs == needs)
        for group in self.groups:
            if not group & used:
                inside = before & group
                ok = ok & ((inside == 0) | (inside == group))
        return ok

    def _added(self, before: _Sets, step: _Step) -> _Ints:
        """Tell what a step adds: crossings and swaps of its column, rails over the gap after it."""
        _, used, _, table = step
        after = before | used
        passing = self.begun[before] & self.begun[self.full ^ after]
        lowest = (used & -used) - 1
        swaps = np.bitwise_count(~after & lowest).astype(np.int32)
        return np.asarray(table[passing] + (self.gap[after] + swaps)[:, None], dtype=np.int32)

    def _begun(self) -> _Sets:
        """Tell for each set of columns the nets it touches, ground left out."""
        touched = np.zeros(self.full + 1, dtype=np.int64)
        for place, column in enumerate(self.columns):
            nets = sum({1 << net for net in self.puzzle.nets_of(column) if net < self.puzzle.nets})
            touched[self.sets & (1 << place) != 0] |= nets
        return touched

    def _members(self, group: int) -> int:
        """Collect the columns of a group as a set."""
        own = [place for place, column in enumerate(self.columns) if self.puzzle.group_of(column) == group]
        return sum(1 << place for place in own)

    def _steps(self) -> list[_Step]:
        """List every single column, and every part below a drop."""
        heights = [heights_of(self.puzzle, tracks) for tracks in self.tracks]
        singles = [(column, 1 << place) for place, column in enumerate(self.columns)]
        pairs = [
            ((*drop, *part), here | there)
            for drop, here in singles
            for part, there in singles
            if self.puzzle.has_drop(drop)
            if any(hung(self.puzzle, height, drop, part) for height in heights)
        ]
        return [
            (column, used, self._twins(column) & ~used, self._table(column, heights))
            for column, used in (*singles, *pairs)
        ]

    def _table(self, column: Column, heights: Sequence[tuple[int, ...]]) -> _Ints:
        """Count the crossings of a column for each set of passing rails and each order of them."""
        table = np.zeros((1 << self.puzzle.nets, len(heights)), dtype=np.int32)
        for place, height in enumerate(heights):
            if len(column) > 1:
                table[:, place] += (NEVER >> 1) * (hung(self.puzzle, height, column[:1], column[1:]) is None)
            over = sum(1 << net for net in between(self.puzzle, height, column))
            passing = np.bitwise_count(np.arange(1 << self.puzzle.nets) & over)
            table[:, place] += passing.astype(np.int32) * CROSSING
        return table

    def _twins(self, column: Column) -> int:
        """Collect the earlier columns that differ from this one's part in nothing but their number."""
        ends = {*self.puzzle.items[column[-1]]}
        if self.puzzle.has_drop(column[-1:]) or self.puzzle.groups[column[-1]] is not None:
            return 0
        earlier = self.columns[: self.columns.index(column[-1:])]
        return sum(
            1 << place
            for place, other in enumerate(earlier)
            if not self.puzzle.has_drop(other)
            and self.puzzle.group_of(other) is None
            and {*self.puzzle.nets_of(other)} == ends
        )


def descend(puzzle: Puzzle) -> Order:
    """Improve the natural order step by step."""
    tracks = tuple(range(puzzle.nets))
    blocks = _blocks(puzzle)
    best = _measured(puzzle, tracks, blocks)
    trials = 0
    better = True
    while better and trials < TRIALS:
        better = False
        for new_tracks, new_blocks in _neighbours(puzzle, tracks, blocks):
            trials += 1
            order = _measured(puzzle, new_tracks, new_blocks)
            if (order.crossings, order.length) < (best.crossings, best.length):
                best, tracks, blocks, better = order, new_tracks, new_blocks, True
                break
            if trials >= TRIALS:
                break
    return best


def _blocks(puzzle: Puzzle) -> _Blocks:
    """Keep what must stand side by side together."""
    blocks: dict[tuple[str, int], tuple[Column, ...]] = {}
    for place, column in enumerate(natural(puzzle)):
        group = puzzle.group_of(column)
        key = ("alone", place) if group is None else ("group", group)
        blocks[key] = (*blocks.get(key, ()), column)
    return tuple(blocks.values())


def _measured(puzzle: Puzzle, tracks: Sequence[int], blocks: _Blocks) -> Order:
    """Measure an order, neighbours set in lines."""
    columns = tuple(column for block in blocks for column in block)
    return stacked(puzzle, measure(puzzle, tracks, columns))


def _neighbours(
    puzzle: Puzzle, tracks: tuple[int, ...], blocks: _Blocks
) -> Iterator[tuple[tuple[int, ...], _Blocks]]:
    """Yield every order one move away."""
    for place in range(len(blocks)):
        rest = (*blocks[:place], *blocks[place + 1 :])
        for target in range(len(blocks)):
            if target != place:
                yield tracks, (*rest[:target], blocks[place], *rest[target:])
    for place, block in enumerate(blocks):
        if 1 < len(block) < 5:
            for turned in permutations(block):
                yield tracks, (*blocks[:place], turned, *blocks[place + 1 :])
    for low in range(puzzle.nets):
        for high in range(low + 1, puzzle.nets):
            if (low < puzzle.fixed) == (high < puzzle.fixed):
                swapped = list(tracks)
                swapped[low], swapped[high] = swapped[high], swapped[low]
                yield tuple(swapped), blocks
