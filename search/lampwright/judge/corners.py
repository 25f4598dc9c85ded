"""The full judgement of one fitted circuit, compiled: every corner of supply and tolerance.

A corner is one of the three supplies with every part at nominal, or with every part
at one end of its tolerance: 1 + 2^parts patterns for each supply. Written down are the
worst margin of every filament in every state, the worst load of every part and
control, and where each was met.
"""

from typing import NamedTuple

import numpy as np
from numba import njit

from lampwright.judge.fitting import same_margin
from lampwright.problem.demands import JudgingTables, Limits
from lampwright.solve.laws import DIODE, FILAMENT, Bytes, Floats, Ints, filament_stops
from lampwright.solve.newton import (
    CURRENT,
    HEAD,
    KIND,
    ROW,
    TAIL,
    VALUE,
    Workspace,
    X,
    bind_ends,
    cold_start,
    drop_of,
    solve_bound,
)

CAP = 10.0
"""Margins above this many stops are all the same to a builder."""

SUPPLIES = 3
"""Low, normal, high; corner number = pattern * 3 + supply."""

NOMINAL = 1
"""The corner with normal supply and nominal parts."""


class Verdicts(NamedTuple):
    """What the corners said; the judge allocates, the kernel fills.

    margin, margin_corner: (states, filaments). same, same_corner: (pairs,) [stops].
    volts, amps: (states, parts) at normal supply and nominal parts, tail to head.
    potential: (states, vertices) likewise [V]; a vertex that no part touches keeps 0.
    load, load_state, load_corner: (parts,) worst volts of filaments [V], amps of
    diodes [A], watts of resistors [W].
    control, control_state, control_corner: (controls,) worst amps [A].
    """

    margin: Floats
    margin_corner: Ints
    same: Floats
    same_corner: Ints
    volts: Floats
    amps: Floats
    potential: Floats
    load: Floats
    load_state: Ints
    load_corner: Ints
    control: Floats
    control_state: Ints
    control_corner: Ints


class Spread(NamedTuple):
    """The values of every part: nominal, and at the ends of its tolerance; each (parts,)."""

    nominal: Floats
    low: Floats
    high: Floats


class CornerCircuit(NamedTuple):
    """A circuit with its parts fitted, as it is tried at corners.

    ends: (1, parts, 2). vertex_node: (states, vertices). gates: state, control, beyond and exact, as in
    `solve.boundary.Gates`.
    """

    ends: Bytes
    vertex_node: Bytes
    spread: Spread
    gates: tuple[Ints, Ints, Ints, Bytes]


@njit(cache=True, nogil=True)
def _note_light(state: int, corner: int, tables: JudgingTables, work: Workspace, out: Verdicts) -> float:
    """Lower the margins of this state to what this corner gives; the least of them."""
    reals, whole = work.reals, work.whole
    demands, limits, _, models = tables
    least = CAP
    supply = corner % SUPPLIES
    for f in range(out.margin.shape[1]):
        row = whole[ROW + f]
        low = demands.low_stops[supply, state, f, row]
        high = demands.high_stops[supply, state, f, row]
        if low == -np.inf and high == np.inf:
            continue
        stops = filament_stops(drop_of(f, reals, whole), row, models.table, models.stops)
        margin = min(CAP, min(stops - low, high - stops))
        least = min(least, margin)
        if margin < out.margin[state, f]:
            out.margin[state, f] = margin
            out.margin_corner[state, f] = corner
    for pair in range(demands.same_state.shape[0]):
        if demands.same_state[pair] == state:
            margin = min(CAP, same_margin(pair, demands, limits, models, work))
            least = min(least, margin)
            if margin < out.same[pair]:
                out.same[pair] = margin
                out.same_corner[pair] = corner
    return least


@njit(cache=True, nogil=True)
def _note_loads(state: int, corner: int, parts: int, limits: Limits, work: Workspace, out: Verdicts) -> bool:
    """Raise the worst loads of parts to what this corner gives; whether all are in rating."""
    reals, whole = work.reals, work.whole
    fine = True
    for p in range(parts):
        drop = drop_of(p, reals, whole)
        row = whole[ROW + p]
        if whole[KIND + p] == FILAMENT:
            load = abs(drop)
            fine = fine and load <= limits.lamp_volts[row] + 1e-9
        elif whole[KIND + p] == DIODE:
            load = reals[CURRENT + p]
            fine = fine and load <= limits.diode_amps[row]
        else:
            load = abs(drop * reals[CURRENT + p])
            fine = fine and load <= limits.watts
        if load > out.load[p]:
            out.load[p] = load
            out.load_state[p] = state
            out.load_corner[p] = corner
    return fine


@njit(cache=True, nogil=True)
def _taken_at(vertex: int, ends: Bytes, reals: Floats) -> float:
    """The current [A] that the parts take from one vertex."""
    taken = 0.0
    for p in range(ends.shape[1]):
        if ends[0, p, 0] == vertex and ends[0, p, 1] != vertex:
            taken += reals[CURRENT + p]
        elif ends[0, p, 1] == vertex and ends[0, p, 0] != vertex:
            taken -= reals[CURRENT + p]
    return taken


@njit(cache=True, nogil=True)
def _note_controls(
    state: int, corner: int, circuit: CornerCircuit, limits: Limits, work: Workspace, out: Verdicts
) -> bool:
    """Raise the worst currents of controls to what this corner gives; whether all are in rating."""
    fine = True
    gate_state, gate_control, beyond, exact = circuit.gates
    for gate in range(gate_state.shape[0]):
        if gate_state[gate] != state:
            continue
        total = 0.0
        sizes = 0.0
        for vertex in range(63):
            if (beyond[gate] >> vertex) & 1:
                taken = _taken_at(vertex, circuit.ends, work.reals)
                total += taken
                sizes += abs(taken)
        amps = abs(total) if exact[gate] == 1 else sizes
        control = gate_control[gate]
        fine = fine and amps <= limits.control_amps[control]
        if amps > out.control[control]:
            out.control[control] = amps
            out.control_state[control] = state
            out.control_corner[control] = corner
    return fine


@njit(cache=True, nogil=True)
def set_pattern(pattern: int, spread: Spread, reals: Floats) -> None:
    """Write the parts' values of a pattern: 0 nominal, else one bit for each part that varies."""
    bit = 0
    for p in range(spread.nominal.shape[0]):
        reals[VALUE + p] = spread.nominal[p]
        if spread.low[p] != spread.high[p]:
            if pattern > 0:
                reals[VALUE + p] = spread.high[p] if ((pattern - 1) >> bit) & 1 else spread.low[p]
            bit += 1


@njit(cache=True, nogil=True)
def try_corner(
    corner: int,
    volts: float,
    circuit: CornerCircuit,
    tables: JudgingTables,
    work: Workspace,
    out: Verdicts,
) -> tuple[bool, int]:
    """Note every state of one corner; whether all was met, and how many points did not converge."""
    ends, vertex_node = circuit.ends, circuit.vertex_node
    table, limits = tables.models.table, tables.limits
    parts = ends.shape[1]
    met = True
    unconverged = 0
    for state in range(vertex_node.shape[0]):
        nodes = bind_ends(ends, 0, vertex_node, state, work.whole)
        cold_start(nodes, volts, work.reals)
        steps, _ = solve_bound(parts, nodes, volts, table, work.reals, work.whole)
        unconverged += steps < 0
        met = _note_light(state, corner, tables, work, out) >= 0.0 and met
        met = _note_loads(state, corner, parts, limits, work, out) and met
        met = _note_controls(state, corner, circuit, limits, work, out) and met
        if corner == NOMINAL:
            for p in range(parts):
                out.volts[state, p] = drop_of(p, work.reals, work.whole)
                out.amps[state, p] = work.reals[CURRENT + p]
                for side in range(2):
                    node = work.whole[(TAIL if side == 0 else HEAD) + p]
                    out.potential[state, ends[0, p, side]] = work.reals[X + node]
    return met and unconverged == 0, unconverged


@njit(cache=True, nogil=True)
def try_corners(
    circuit: CornerCircuit, tables: JudgingTables, work: Workspace, until_refused: bool, out: Verdicts
) -> tuple[bool, int]:
    """Fill `out` from every corner; whether all was met, and how many points did not converge.

    work holds the fitted choice. Corner number = pattern * 3 + supply, pattern 0 nominal. With
    until_refused the first corner that refuses ends the work.
    """
    spread, volts = circuit.spread, tables.volts
    met = True
    unconverged = 0
    varied = 0
    for p in range(spread.nominal.shape[0]):
        varied += spread.low[p] != spread.high[p]
    for pattern in range(1 + (1 << varied)):
        set_pattern(pattern, spread, work.reals)
        for supply in range(SUPPLIES):
            corner = pattern * SUPPLIES + supply
            fine, failed = try_corner(corner, volts[supply], circuit, tables, work, out)
            met = met and fine
            unconverged += failed
            if until_refused and not met:
                return False, unconverged
    return met, unconverged
