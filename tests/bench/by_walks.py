"""The rules `path` and `same net` without tables by circuit: what lies on a path is walked, state by state.

What one support has on paths in one state is remembered, as a plain program would; all else is worked out
for each circuit. To be raced against, and to be counted with.
"""

import numpy as np
from numba import njit

from lampwright.graphs.between import Bytes, Ints, edges_by_row, pairs_between
from lampwright.graphs.listing import endpoints, list_blocks, open_listing
from lampwright.judge.judge import Judge
from lampwright.network.layout import Placing
from lampwright.problem.problem import Problem
from lampwright.refute.apply import bars_of
from lampwright.refute.demand import Demand, demand_of
from lampwright.refute.rules import PATH, RULES, SAME_NET

ON = (True,) * len(RULES)


def refuted_by_walks(problem: Problem, placing: Placing) -> tuple[int, ...]:
    """How many circuits of a cell each rule refutes, and how many are left."""
    cell = placing.cell
    boundary = Judge(problem).boundary(placing.partition, cell.internal)
    assert boundary is not None, "the wires of a cell short nothing"
    demand, listing = demand_of(problem.flux_bands, boundary, cell.terminals), open_listing(cell)
    bars = bars_of(cell, listing.tables, demand, ON)
    low, high = (np.array(side, np.int64) for side in np.triu_indices(cell.vertices, 1))
    memory = np.zeros((len(boundary.vertex_node), 2**cell.pairs), np.int32)
    counts = np.zeros(len(RULES) + 1, np.int64)
    for block in list_blocks(cell, bars=bars):
        counts[: len(block.cut) - 1] += block.cut[1:]
        ends = endpoints(listing, block.options)
        number = np.zeros(len(ends), np.int8)
        _undirected(
            ends, block.masks, demand.glow, demand.clash, demand.apart, boundary.vertex_node, low, high,
            memory, number,
        )  # fmt: skip
        ends = _counted(ends, number, counts)
        first = demand.glow.shape[1]
        if cell.arcs:
            live = edges_by_row(ends, first, first + cell.arcs, boundary.vertex_node)
            ends = _counted(ends, _directed(ends, live, demand), counts)
        counts[-1] += len(ends)
    return tuple(int(count) for count in counts)


def _counted(ends: Bytes, number: Bytes, counts: Ints) -> Bytes:
    """Count what was refuted, by rule; return what is left."""
    for at, rule in ((1, PATH), (2, SAME_NET)):
        counts[RULES.index(rule)] += int((number == at).sum())
    left: Bytes = ends[number == 0]
    return left


@njit(nogil=True)
def _undirected(ends, masks, glow, clash, apart, vertex_node, low, high, memory, number):  # type: ignore[no-untyped-def]
    """Write 1 for a circuit that misses a path, 2 for one in which two states look the same, else 0."""
    states, filaments = glow.shape
    adjacent, live = np.zeros(64, np.int64), np.zeros(states, np.int64)
    for c in range(len(ends)):
        for s in range(states):
            if memory[s, masks[c]] == 0:
                memory[s, masks[c]] = pairs_between(masks[c], vertex_node[s], low, high, adjacent) + 1
            live[s] = memory[s, masks[c]] - 1
            for f in range(filaments):
                a, b = min(ends[c, f, 0], ends[c, f, 1]), max(ends[c, f, 0], ends[c, f, 1])
                pair = a * vertex_node.shape[1] - a * (a + 1) // 2 + b - a - 1
                if glow[s, f] == 1 and (live[s] >> pair) & 1 == 0:
                    number[c] = 1
        for k in range(len(clash) if number[c] == 0 else 0):
            touched = 0
            for pair in range(len(low)):
                if (live[clash[k, 0]] >> pair) & 1:
                    touched |= (1 << low[pair]) | (1 << high[pair])
            if live[clash[k, 0]] == live[clash[k, 1]] and touched & apart[k] == 0:
                number[c] = 2


def _directed(ends: Bytes, live: Ints, demand: Demand) -> Bytes:
    """The same where every diode has its direction, of what its live parts (circuits, states) are."""
    bits = np.int64(1) << np.arange(ends.shape[1])
    lies = (live[:, :, None] & bits) != 0
    missing = ((demand.glow == 1) & ~lies[:, :, : demand.glow.shape[1]]).any(axis=(1, 2))
    parts = np.bitwise_or.reduce(np.int64(1) << ends.astype(np.int64), axis=2)
    alike = np.zeros(len(ends), np.bool_)
    for (s, t), apart in zip(demand.clash.tolist(), demand.apart.tolist(), strict=True):
        touched = np.bitwise_or.reduce(np.where(lies[:, s], parts, 0), axis=1)
        alike |= (live[:, s] == live[:, t]) & (touched & apart == 0)
    return np.where(missing, 1, np.where(alike, 2, 0)).astype(np.int8)
