"""What the spec asks, reduced to what the value-free rules need, for one set of vertices.

Bands are compared only with each other and with the two lights that need no solving:
none, and that of a filament straight across the supply.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lampwright.problem.requirements import FluxBands

Bytes = NDArray[np.int8]
Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Demand:
    """The rules' arrays for one boundary.

    banned_across, banned_monotone: (filaments, pairs) int8, 1 where a filament on that
    pair of vertices is refuted. glow: (states, filaments) int8, 1 where it must glow.
    clash: (clashes, 2) states that ask different things of some filament. apart:
    (clashes,) bit set of vertices whose node differs between the two.
    """

    banned_across: Bytes
    banned_monotone: Bytes
    glow: Bytes
    clash: Ints
    apart: Ints


def demand_of(asked: FluxBands, vertex_node: Bytes, terminals: int) -> Demand:
    """Work out which placings each rule bans. terminals: how many vertices are blocks of them."""
    vertices = vertex_node.shape[1]
    pairs = [(a, b) for a in range(vertices) for b in range(a + 1, vertices)]
    filaments = len(asked.low)
    across = np.zeros((filaments, len(pairs)), np.int8)
    monotone = np.zeros((filaments, len(pairs)), np.int8)
    for at, (a, b) in enumerate(pairs):
        for filament in range(filaments):
            across[filament, at] = b < terminals and _clashes_across(asked, vertex_node, filament, a, b)
    raised = _raised(vertex_node, terminals)
    for s, t in raised:
        for filament in range(filaments):
            falls, rises = asked.above[filament, s, t], asked.above[filament, t, s]
            for at, ends in enumerate(pairs):
                for end in ends:
                    kinds = vertex_node[s, end], vertex_node[t, end]
                    if end < terminals and ((falls and kinds == (0, 0)) or (rises and kinds == (1, 1))):
                        monotone[filament, at] = 1
    clash, apart = _clashes(asked, vertex_node, terminals)
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


def _raised(vertex_node: Bytes, terminals: int) -> list[tuple[int, int]]:
    """Pairs of states (s, t) in which every terminal is as high in t as in s, or higher.

    Only between states whose open terminals are not joined to each other: joining is no rise.
    """
    blocks = vertex_node[:, :terminals].astype(int)
    lone = [len({int(n) for n in row if n > 1}) == sum(1 for n in row if n > 1) for row in blocks]
    height = np.where(blocks == 1, 2, np.where(blocks == 0, 0, 1))
    count = len(blocks)
    return [
        (s, t)
        for s in range(count)
        for t in range(count)
        if s != t and lone[s] and lone[t] and bool(np.all(height[s] <= height[t]))
    ]


def _clashes(asked: FluxBands, vertex_node: Bytes, terminals: int) -> tuple[Ints, Ints]:
    """State pairs asking disjoint bands of a filament, and the vertices whose node differs."""
    rows: list[tuple[int, int]] = []
    apart: list[int] = []
    for s in range(len(vertex_node)):
        for t in range(s + 1, len(vertex_node)):
            if np.any(asked.above[:, s, t] | asked.above[:, t, s]):
                rows.append((s, t))
                apart.append(_differing(vertex_node[s, :terminals], vertex_node[t, :terminals]))
    return np.array(rows, np.int64).reshape(-1, 2), np.array(apart, np.int64)


def _differing(first: Bytes, second: Bytes) -> int:
    """The terminals (bit set) that are not the same node in both states.

    An open terminal joined to others counts as differing unless it is joined alike.
    """
    mask = 0
    for at, (a, b) in enumerate(zip(first, second, strict=True)):
        both_open = a > 1 and b > 1
        alike = a == b if not both_open else bool(np.array_equal(first == a, second == b))
        mask |= (not alike) << at
    return mask
