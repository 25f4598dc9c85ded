"""The value-free rules over a block of listed circuits, compiled.

Rules run in the order of `rules.RULES`, cheap ones first; a circuit counts for the
first that refutes it. The first pass reads diodes as undirected edges, which can only
let more through; a second pass over what is left gives them their direction.
"""

from typing import NamedTuple

import numpy as np
from numba import njit

from lampwright.graphs.between import Bytes, Ints, Words, edges_between, recall_pairs
from lampwright.refute.demand import Demand

ACROSS_AT = 0
MONOTONE_AT = 1
PATH_AT = 2
SAME_NET_AT = 3
COUNT = 4


class Geometry(NamedTuple):
    """Where the filaments of a listed circuit lie.

    coordinate: (filaments,) the coordinate (star) each belongs to. pair_of: (filaments,
    options) the vertex pair it takes for each option of that star. bars: (stars, options)
    0, or one more than the number of the rule that refutes every circuit with that option.
    low_end, high_end: (pairs,) vertices of each pair.
    """

    coordinate: Ints
    pair_of: Ints
    bars: Bytes
    low_end: Ints
    high_end: Ints


class Rows(NamedTuple):
    """`Demand` as the kernel takes it, with the states' nodes."""

    glow: Bytes
    clash: Ints
    apart: Ints
    vertex_node: Bytes


def rows_of(demand: Demand, vertex_node: Bytes) -> Rows:
    """The kernel's view of a demand."""
    return Rows(demand.glow, demand.clash, demand.apart, vertex_node)


@njit(cache=True, nogil=True)
def _misses_path(
    support: int, pair: Ints, geometry: Geometry, rows: Rows, adjacent: Ints, memory: Words
) -> bool:
    """Whether in some state a filament that must glow lies on no supply-to-ground path."""
    for state in range(rows.glow.shape[0]):
        live = -1
        for f in range(pair.shape[0]):
            if rows.glow[state, f] == 1:
                if live < 0:
                    live = recall_pairs(
                        state,
                        support,
                        rows.vertex_node,
                        geometry.low_end,
                        geometry.high_end,
                        adjacent,
                        memory,
                    )
                if (live >> pair[f]) & 1 == 0:
                    return True
    return False


@njit(cache=True, nogil=True)
def _looks_same(support: int, geometry: Geometry, rows: Rows, adjacent: Ints, memory: Words) -> bool:
    """Whether two states that must differ have the same live net between the same terminals."""
    for k in range(rows.clash.shape[0]):
        first = recall_pairs(
            rows.clash[k, 0], support, rows.vertex_node, geometry.low_end, geometry.high_end, adjacent, memory
        )
        second = recall_pairs(
            rows.clash[k, 1], support, rows.vertex_node, geometry.low_end, geometry.high_end, adjacent, memory
        )
        if first != second:
            continue
        touched = 0
        for pair in range(geometry.low_end.shape[0]):
            if (first >> pair) & 1:
                touched |= (1 << geometry.low_end[pair]) | (1 << geometry.high_end[pair])
        if touched & rows.apart[k] == 0:
            return True
    return False


@njit(cache=True, nogil=True)
def apply_refutations(
    options: Words,
    masks: Ints,
    geometry: Geometry,
    rows: Rows,
    enabled: Bytes,
    memory: Words,
    keep: Ints,
    refuted: Ints,
) -> int:
    """Write the indices of circuits no rule refutes into `keep`; returns how many.

    options: (circuits, coordinates); masks: (circuits,) supports. enabled: (rules,)
    int8. refuted: (rules,) counts, added to.
    """
    filaments = geometry.coordinate.shape[0]
    pair = np.zeros(filaments, np.int64)
    adjacent = np.zeros(64, np.int64)
    kept = 0
    for c in range(options.shape[0]):
        by = -1
        for star in range(geometry.bars.shape[0]):
            if geometry.bars[star, options[c, star]] > 0:
                by = geometry.bars[star, options[c, star]] - 1
                break
        for f in range(filaments):
            pair[f] = geometry.pair_of[f, options[c, geometry.coordinate[f]]]
        if (
            by < 0
            and enabled[PATH_AT] == 1
            and _misses_path(masks[c], pair, geometry, rows, adjacent, memory)
        ):
            by = PATH_AT
        if by < 0 and enabled[SAME_NET_AT] == 1 and _looks_same(masks[c], geometry, rows, adjacent, memory):
            by = SAME_NET_AT
        if by < 0:
            keep[kept] = c
            kept += 1
        else:
            refuted[by] += 1
    return kept


@njit(cache=True, nogil=True)
def _arcs_miss_path(live: Ints, filaments: int, rows: Rows) -> bool:
    """Whether in some state a filament that must glow is not among the live parts."""
    for state in range(rows.glow.shape[0]):
        for f in range(filaments):
            if rows.glow[state, f] == 1 and (live[state] >> f) & 1 == 0:
                return True
    return False


@njit(cache=True, nogil=True)
def _arcs_look_same(ends: Bytes, circuit: int, live: Ints, rows: Rows) -> bool:
    """Whether two states that must differ have the same live parts between the same terminals."""
    for k in range(rows.clash.shape[0]):
        first = live[rows.clash[k, 0]]
        if first != live[rows.clash[k, 1]]:
            continue
        touched = 0
        for p in range(ends.shape[1]):
            if (first >> p) & 1:
                touched |= (1 << int(ends[circuit, p, 0])) | (1 << int(ends[circuit, p, 1]))
        if touched & rows.apart[k] == 0:
            return True
    return False


@njit(cache=True, nogil=True)
def refute_arcs(
    ends: Bytes, filaments: int, diodes: int, rows: Rows, enabled: Bytes, keep: Ints, refuted: Ints
) -> int:
    """The rules `path` and `same net` with every diode's direction; as `apply_refutations`.

    ends: (circuits, parts, 2), a diode's from its anode.
    """
    states = rows.vertex_node.shape[0]
    live = np.zeros(states, np.int64)
    stack = np.zeros(64, np.int64)
    kept = 0
    for c in range(ends.shape[0]):
        for state in range(states):
            live[state] = edges_between(
                ends, c, filaments, filaments + diodes, rows.vertex_node, state, stack
            )
        if enabled[PATH_AT] == 1 and _arcs_miss_path(live, filaments, rows):
            refuted[PATH_AT] += 1
        elif enabled[SAME_NET_AT] == 1 and _arcs_look_same(ends, c, live, rows):
            refuted[SAME_NET_AT] += 1
        else:
            keep[kept] = c
            kept += 1
    return kept
