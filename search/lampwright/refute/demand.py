"""What the spec asks, reduced to what the value-free rules need, for one set of vertices.

Bands are compared only with each other and with the two lights that need no solving:
none, and that of a filament straight across the supply.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from lampwright.problem.requirements import FluxBands
from lampwright.solve.boundary import Boundary, Truths
from lampwright.solve.compared import differing, is_raised

Bytes = NDArray[np.int8]
Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Demand:
    """The rules' arrays for one boundary.

    banned_across, banned_monotone: (filaments, pairs) int8, 1 where a filament on that
    pair of vertices is refuted. glow: (states, filaments) int8, 1 where it must glow.
    clash: (clashes, 2) states that ask different things of some filament. apart:
    (clashes,) bit set of columns whose node differs between the two.
    """

    banned_across: Bytes
    banned_monotone: Bytes
    glow: Bytes
    clash: Ints
    apart: Ints

    def among(self, kept: Truths) -> "Demand":
        """What is asked in some of the states, renumbered; kept: (states,)."""
        inside = kept[self.clash].all(axis=1)
        clash = (np.cumsum(kept) - 1)[self.clash[inside]]
        return replace(self, glow=self.glow[kept], clash=clash, apart=self.apart[inside])

    def alike(self, live: Ints, columns: Bytes, kept: Truths) -> Truths:
        """Whether two states that ask different things look the same, one of them not kept, (circuits,).

        live: (circuits, states) the parts that may carry current, as bits. columns: (circuits, parts, 2).
        """
        found = np.zeros(len(live), np.bool_)
        touched = (np.int64(1) << columns.astype(np.int64)).sum(axis=2)
        outside = ~kept[self.clash].all(axis=1)
        for (s, t), apart in zip(self.clash[outside], self.apart[outside], strict=True):
            carries = (live[:, s, None] >> np.arange(columns.shape[1])) & 1 == 1
            felt = carries & (touched & apart != 0)
            found |= (live[:, s] == live[:, t]) & ~felt.any(axis=1)
        return found


def demand_of(asked: FluxBands, boundary: Boundary, terminals: int) -> Demand:
    """Work out which placings each rule bans. terminals: how many vertices are blocks of them."""
    vertices = boundary.vertices
    pairs = [(a, b) for a in range(vertices) for b in range(a + 1, vertices)]
    filaments = len(asked.low)
    across = np.zeros((filaments, len(pairs)), np.int8)
    monotone = np.zeros((filaments, len(pairs)), np.int8)
    own = [boundary.vertex_node[:, copy : copy + vertices] for copy in boundary.copy.tolist()]
    for at, (a, b) in enumerate(pairs):
        for filament in range(filaments):
            across[filament, at] = b < terminals and _clashes_across(asked, own[filament], filament, a, b)
    for s, t in _raised(boundary):
        for filament in range(filaments):
            falls, rises = asked.above[filament, s, t], asked.above[filament, t, s]
            for at, ends in enumerate(pairs):
                for end in ends:
                    kinds = own[filament][s, end], own[filament][t, end]
                    if end < terminals and ((falls and kinds == (0, 0)) or (rises and kinds == (1, 1))):
                        monotone[filament, at] = 1
    clash, apart = _clashes(asked, boundary)
    return Demand(across, monotone, asked.glow, clash, apart)


def _clashes_across(asked: FluxBands, vertex_node: Bytes, filament: int, a: int, b: int) -> bool:
    """Whether in some state the known light of a filament from a to b misses its band for every type."""
    first, second = vertex_node[:, a], vertex_node[:, b]
    if np.any((first == second) & (asked.glow[:, filament] == 1)):
        return True
    straight = (first < 2) & (second < 2) & (first != second)
    misses = asked.misses(filament, slice(None))
    by_type = np.any(misses & straight[:, None, None], axis=(0, 2))
    return bool(np.all(by_type))


def _raised(boundary: Boundary) -> list[tuple[int, int]]:
    """Pairs of states (s, t) in which every terminal is as high in t as in s, or higher."""
    rows = boundary.vertex_node.tolist()
    count = range(len(rows))
    return [(s, t) for s in count for t in count if s != t and is_raised(rows[s], rows[t], boundary.vertices)]


def _clashes(asked: FluxBands, boundary: Boundary) -> tuple[Ints, Ints]:
    """State pairs asking disjoint bands of a filament, and the columns whose node differs."""
    rows: list[tuple[int, int]] = []
    apart: list[int] = []
    nodes = boundary.vertex_node.tolist()
    for s in range(len(nodes)):
        for t in range(s + 1, len(nodes)):
            if np.any(asked.above[:, s, t] | asked.above[:, t, s]):
                rows.append((s, t))
                apart.append(sum(1 << at for at in differing(nodes[s], nodes[t], boundary.vertices)))
    return np.array(rows, np.int64).reshape(-1, 2), np.array(apart, np.int64)
