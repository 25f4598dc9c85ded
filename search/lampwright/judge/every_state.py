"""All states of one fitted circuit at one supply, compiled."""

from typing import NamedTuple

import numpy as np
from numba import njit

from lampwright.compiled import ENTRY
from lampwright.solve.laws import FILAMENT, Bytes, Floats, Models, filament_stops
from lampwright.solve.newton import (
    CURRENT,
    KIND,
    LOCAL,
    ROW,
    Workspace,
    X,
    bind_ends,
    cold_start,
    drop_of,
    solve_bound,
)


class Points(NamedTuple):
    """Where every state settles; the caller allocates, the kernel fills.

    volts, amps: (states, parts) tail to head. stops: (states, parts) log2 of relative
    flux, of filaments alone. potential: (states, vertices) [V], 0 where open and untouched.
    """

    volts: Floats
    amps: Floats
    stops: Floats
    potential: Floats


def new_points(states: int, parts: int, vertices: int) -> Points:
    """Room for these numbers of states, parts and vertices."""
    shape = (states, parts)
    return Points(np.zeros(shape), np.zeros(shape), np.full(shape, -60.0), np.zeros((states, vertices)))


@njit(**ENTRY)
def settle(
    ends: Bytes, vertex_node: Bytes, volts: float, models: Models, work: Workspace, out: Points
) -> int:
    """Fill `out` with every state at a supply [V]; how many did not converge.

    ends: (1, parts, 2). work holds kind, row, place in the table and value of every part.
    """
    parts = ends.shape[1]
    reals, whole = work.reals, work.whole
    unconverged = 0
    for state in range(vertex_node.shape[0]):
        nodes = bind_ends(ends, int(0), vertex_node, state, whole)
        cold_start(nodes, volts, reals)
        steps, _ = solve_bound(parts, nodes, volts, models.table, reals, whole)
        unconverged += steps < 0
        for p in range(parts):
            drop = drop_of(p, reals, whole)
            out.volts[state, p] = drop
            out.amps[state, p] = reals[CURRENT + p]
            if whole[KIND + p] == FILAMENT:
                out.stops[state, p] = filament_stops(drop, whole[ROW + p], models.table, models.stops)
        for vertex in range(vertex_node.shape[1]):
            node = whole[LOCAL + int(vertex_node[state, vertex])]
            if node >= 0:
                out.potential[state, vertex] = reals[X + node]
    return unconverged
