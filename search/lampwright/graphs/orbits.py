"""How many circuits a cell has, counted without listing one.

Burnside's lemma (source: Harary and Palmer, Graphical Enumeration, 1973, chapter 2, from
memory): the number of classes is the mean over the renamings p of the number of
circuits p fixes. The rule looks only at the support, and the support of a fixed circuit is
a union of p's orbits of vertex pairs. For such a union U let f(U) be the number of fixed
circuits with support inside U, a product: a labelled edge must lie on a pair that p fixes;
a fixed multiset, of arcs, links or
alike edges, is a multiset of p's cycles. Moebius inversion over unions turns "inside U"
into "exactly S", and the sum over the S that obey the rule is wanted. It is the sum of w(U) f(U) over all U,
where w(U) is the sum over the S that obey the rule and include U of -1 to the number of orbits in S beyond U.
These weights hang on the vertices alone; they are worked out once, and nearly all are zero.

The path rule is decided from its words: a set is good if the simple paths between different
terminals that it contains cover it. Nothing here is shared with the listing but the
definition of a cell. Two terminals and one free edge: identity alone, f({01}) = 1.

Assumes at most 21 vertex pairs under a rule; without a rule there is no limit.
"""

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache, reduce
from itertools import combinations, pairwise, permutations
from math import comb, factorial

import numpy as np
import numpy.typing as npt

from lampwright.graphs.cell import Cell, CellError, PathRule

MOST_PAIRS = 21

Pair = tuple[int, int]
Counts = npt.NDArray[np.int64] | npt.NDArray[np.object_]


@dataclass(frozen=True)
class _PairOrbit:
    """An orbit of vertex pairs under a renaming, and the lengths of its cycles of ordered pairs."""

    pairs: tuple[Pair, ...]
    arc_cycles: tuple[int, ...]


def count_orbits(cell: Cell, rule: PathRule = PathRule.PATH_USED) -> int:
    """The number of classes of circuits that obey the rule.

    >>> count_orbits(Cell(2, 1, (), 0, 2))  # two links in series
    1
    """
    if rule is PathRule.ALL:
        return count_all(cell)
    if cell.pairs > MOST_PAIRS:
        raise CellError(
            f"{cell}: {cell.pairs} vertex pairs are too many to count by supports; "
            f"use at most {MOST_PAIRS} (7 vertices)"
        )
    return _mean_fixed(cell, lambda renaming: _fixed_under_rule(cell, renaming, rule))


def count_all(cell: Cell) -> int:
    """The number of classes of circuits, with no rule."""

    def fixed(renaming: Sequence[int]) -> int:
        orbits = _pair_orbits(cell, renaming)
        return int(_placements(cell, orbits, np.ones((1, len(orbits)), np.bool_), np.object_)[0])

    return _mean_fixed(cell, fixed)


def _mean_fixed(cell: Cell, fixed: Callable[[tuple[int, ...]], int]) -> int:
    """The mean of `fixed` over S_k, one renaming evaluated per cycle type."""
    representative: dict[tuple[int, ...], tuple[int, ...]] = {}
    size: Counter[tuple[int, ...]] = Counter()
    for images in permutations(range(cell.terminals, cell.vertices)):
        renaming = (*range(cell.terminals), *images)
        cycle_type = tuple(sorted(_cycle_length(renaming, vertex) for vertex in range(cell.vertices)))
        representative.setdefault(cycle_type, renaming)
        size[cycle_type] += 1
    total = sum(number * fixed(representative[cycle_type]) for cycle_type, number in size.items())
    mean, rest = divmod(total, factorial(cell.internal))
    if rest:
        raise ArithmeticError(f"{cell}: the fixed circuits, {total}, do not divide by the group's order")
    return mean


def _cycle_length(renaming: Sequence[int], vertex: int) -> int:
    """The length of the cycle through a vertex."""
    length, at = 1, renaming[vertex]
    while at != vertex:
        length, at = length + 1, renaming[at]
    return length


def _pair_orbits(cell: Cell, renaming: Sequence[int]) -> list[_PairOrbit]:
    """The orbits of unordered pairs.

    A cycle of ordered pairs either meets each pair both ways round or has a twin, its reverse.
    """
    orbits: list[_PairOrbit] = []
    seen: set[Pair] = set()
    for pair in combinations(range(cell.vertices), 2):
        if pair in seen:
            continue
        tail, head = renaming[pair[0]], renaming[pair[1]]
        cycle = [pair]
        while (tail, head) != pair:
            cycle.append((tail, head))
            tail, head = renaming[tail], renaming[head]
        pairs = tuple(dict.fromkeys((min(arc), max(arc)) for arc in cycle))
        seen.update(pairs)
        lengths = (len(cycle),) if len(cycle) > len(pairs) else (len(cycle), len(cycle))
        orbits.append(_PairOrbit(pairs, lengths))
    return orbits


def _placements(
    cell: Cell, orbits: Sequence[_PairOrbit], unions: npt.NDArray[np.bool_], dtype: type
) -> Counts:
    """f for unions of orbits, (unions,): how many fixed circuits are inside each.

    unions: (unions, orbits) which orbits each has.
    """

    def held(numbers: Sequence[int]) -> Counts:
        return np.asarray(unions @ np.array(numbers, np.int64)).astype(dtype)

    alone = [orbit.pairs[0] if len(orbit.pairs) == 1 else () for orbit in orbits]
    degree = [held([vertex in pair for pair in alone]) for vertex in range(cell.vertices)]
    pairs = held([len(pair) > 0 for pair in alone])
    arcs = [orbit.arc_cycles for orbit in orbits]
    links = [(len(orbit.pairs),) for orbit in orbits]
    ways = _fixed_multisets(unions, arcs, cell.arcs, dtype) * _fixed_multisets(
        unions, links, cell.links, dtype
    )
    for star in cell.stars:
        if star.alike:
            ways = ways * _fixed_multisets(unions, links, star.edges, dtype)
        elif star.hub is not None:
            ways = ways * degree[star.hub] ** star.edges
        else:
            # edges on one pair have two common vertices and are counted from both
            ways = ways * (sum((each**star.edges for each in degree), 0 * pairs) - pairs)
    return ways


def _labelled_bound(cell: Cell) -> int:
    """No fewer than any number met on the way."""
    stars = (cell.vertices * max(cell.vertices - 1, 1) ** star.edges for star in cell.stars)
    arcs = comb(2 * cell.pairs + cell.arcs, cell.arcs)
    return reduce(lambda a, b: a * b, stars, 1) * arcs * comb(cell.pairs + cell.links, cell.links)


def _fixed_multisets(
    unions: npt.NDArray[np.bool_], cycles: Sequence[Sequence[int]], size: int, dtype: type
) -> Counts:
    """For every union, how many multisets of `size` items are unions of its orbits' cycles.

    The coefficient of x^size in the product of 1 / (1 - x^length).
    """
    series: Counts = np.zeros((len(unions), size + 1), dtype=dtype)
    series[:, 0] = 1
    for orbit, lengths in enumerate(cycles):
        grown = series[unions[:, orbit]]
        for length in lengths:
            for degree in range(length, size + 1):
                grown[:, degree] += grown[:, degree - length]
        series[unions[:, orbit]] = grown
    return series[:, size]


@dataclass(frozen=True, eq=False)
class _Weighted:
    """The unions of orbits whose weight is not zero, (unions, orbits), and their weights (unions,)."""

    unions: npt.NDArray[np.bool_]
    weights: npt.NDArray[np.int64]


@lru_cache(maxsize=128)
def _weighted(terminals: int, internal: int, renaming: tuple[int, ...], rule: PathRule) -> _Weighted:
    """The weights w of a renaming under a rule."""
    cell = Cell(terminals, internal, (), 0, 0)
    orbits = _pair_orbits(cell, renaming)
    bit = {pair: 1 << place for place, pair in enumerate(combinations(range(cell.vertices), 2))}
    supports = np.zeros(1, dtype=np.int64)
    for orbit in orbits:
        supports = np.concatenate([supports, supports | sum(bit[pair] for pair in orbit.pairs)])
    good = _touched(cell, bit, supports)
    if rule is PathRule.PATH_USED:
        good &= _covered_by_paths(cell, bit, supports)
    weights = good.astype(np.int64)
    for place in range(len(orbits)):
        halves = weights.reshape(-1, 2, 1 << place)
        halves[:, 0] -= halves[:, 1]
    kept = np.flatnonzero(weights)
    return _Weighted((kept[:, None] >> np.arange(len(orbits)) & 1).astype(np.bool_), weights[kept])


def _fixed_under_rule(cell: Cell, renaming: tuple[int, ...], rule: PathRule) -> int:
    """The circuits a renaming fixes that obey the rule."""
    weighted = _weighted(cell.terminals, cell.internal, renaming, rule)
    most = _labelled_bound(cell) * int(np.abs(weighted.weights).sum())
    dtype = np.int64 if most < 1 << 62 else np.object_
    ways = _placements(cell, _pair_orbits(cell, renaming), weighted.unions, dtype)
    return int((ways * weighted.weights.astype(dtype)).sum())


def _touched(cell: Cell, bit: dict[Pair, int], supports: npt.NDArray[np.int64]) -> npt.NDArray[np.bool_]:
    """Which supports touch every internal vertex."""
    good = np.ones(len(supports), dtype=bool)
    for vertex in range(cell.terminals, cell.vertices):
        good &= (supports & sum(bit[pair] for pair in bit if vertex in pair)) != 0
    return good


def _covered_by_paths(
    cell: Cell, bit: dict[Pair, int], supports: npt.NDArray[np.int64]
) -> npt.NDArray[np.bool_]:
    """Which supports are the union of the terminal-to-terminal paths they contain."""
    covered = np.zeros_like(supports)
    for path in _terminal_paths(cell):
        steps = sum(bit[min(step), max(step)] for step in pairwise(path))
        covered[(supports & steps) == steps] |= steps
    good: npt.NDArray[np.bool_] = covered == supports
    return good


def _terminal_paths(cell: Cell) -> Iterator[tuple[int, ...]]:
    """Simple paths between two terminals with none between; a path through a third is two such."""
    internal = range(cell.terminals, cell.vertices)
    for first, final in combinations(range(cell.terminals), 2):
        for length in range(cell.internal + 1):
            for between in permutations(internal, length):
                yield (first, *between, final)
