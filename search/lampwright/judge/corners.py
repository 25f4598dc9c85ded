"""The full judgement of one fitted circuit, compiled: every corner of supply and tolerance.

A corner is one of the three supplies with every part at nominal, or with every part
at one end of its tolerance: 1 + 2^parts patterns for each supply. Written down are the
worst margin of every filament in every state, the worst load of every part and
control, and where each was met.

`judge.all_corners` says which are tried.

Corners may be as bad as each other, where a part's tolerance does not matter; then the first of them is
told, and of its states the first. What lies within `TIE` is as bad.
"""

from typing import NamedTuple

import numpy as np
from numba import njit

from lampwright.compiled import ENTRY, INNER
from lampwright.judge.fitting import same_margin
from lampwright.judge.tolerances import Spread
from lampwright.problem.demands import JudgingTables, Limits
from lampwright.solve.laws import DIODE, FILAMENT, Bytes, Floats, Ints, filament_stops
from lampwright.solve.newton import (
    CURRENT,
    HEAD,
    KIND,
    ROW,
    TAIL,
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

ALL = -1
"""Every part, as a bit set."""

TIE = 1e-7
"""Stops, volts, amps or watts so little apart are the same: what the solver leaves over is below it."""


class Verdicts(NamedTuple):
    """What the corners said; the judge allocates, the kernel fills.

    margin, margin_corner: (states, filaments). same, same_corner: (pairs,) [stops]. brighter,
    brighter_corner: (comparisons,) likewise.
    volts, amps: (states, parts) at normal supply and nominal parts, tail to head.
    potential: (states, vertices) likewise [V]; a vertex that no part touches keeps 0.
    load, load_state, load_corner: (parts,) worst volts of filaments [V], amps of
    diodes [A], watts of resistors [W].
    control, control_state, control_corner: (controls,) worst amps [A].
    sampled: (1,) how many nets have too many parts: of their corners some were tried.
    """

    margin: Floats
    margin_corner: Ints
    same: Floats
    same_corner: Ints
    brighter: Floats
    brighter_corner: Ints
    volts: Floats
    amps: Floats
    potential: Floats
    load: Floats
    load_state: Ints
    load_corner: Ints
    control: Floats
    control_state: Ints
    control_corner: Ints
    sampled: Ints


class CornerCircuit(NamedTuple):
    """A circuit with its parts fitted, as it is tried at corners.

    ends: (1, parts, 2). vertex_node: (states, vertices). gates: state, control, beyond and exact, as in
    `solve.boundary.Gates`.
    """

    ends: Bytes
    vertex_node: Bytes
    spread: Spread
    gates: tuple[Ints, Ints, Ints, Bytes]


@njit(**INNER)
def note_light(
    state: int, corner: int, among: int, tables: JudgingTables, work: Workspace, out: Verdicts
) -> tuple[float, float]:
    """Lower the margins of this state to what this corner gives; the least of lamps, and of lamps that match.

    Of filaments among some parts (bit set), and of pairs whose first is. Their corners come in rising order.
    """
    reals, whole = work.reals, work.whole
    demands, limits, _, models = tables
    least = CAP
    least_same = CAP
    supply = corner % SUPPLIES
    for f in range(out.margin.shape[1]):
        if (among >> f) & 1 == 0:
            continue
        row = whole[ROW + f]
        low = demands.low_stops[supply, state, f, row]
        high = demands.high_stops[supply, state, f, row]
        if low == -np.inf and high == np.inf:
            continue
        stops = filament_stops(drop_of(f, reals, whole), row, models.table, models.stops)
        margin = min(CAP, min(stops - low, high - stops))
        least = min(least, margin)
        if margin < out.margin[state, f] - TIE:
            out.margin_corner[state, f] = corner
        out.margin[state, f] = min(out.margin[state, f], margin)
    for pair in range(demands.same_state.shape[0]):
        if demands.same_state[pair] == state and (among >> demands.same_first[pair]) & 1:
            margin = min(CAP, same_margin(pair, demands, limits, models, work))
            least_same = min(least_same, margin)
            if margin < out.same[pair] - TIE:
                out.same_corner[pair] = corner
            out.same[pair] = min(out.same[pair], margin)
    return least, least_same


@njit(**INNER)
def _is_worse(load: float, state: int, corner: int, known: float, its_state: int, its_corner: int) -> bool:
    """Whether a load takes the place of one known: it is greater, or as great and comes first."""
    if abs(load - known) > TIE:
        return load > known
    return corner < its_corner or (corner == its_corner and state < its_state)


@njit(**INNER)
def note_loads(
    state: int, corner: int, live: int, parts: int, limits: Limits, work: Workspace, out: Verdicts
) -> bool:
    """Raise the worst loads of live parts (bit set) to what this corner gives; whether all are in rating."""
    reals, whole = work.reals, work.whole
    fine = True
    for p in range(parts):
        if (live >> p) & 1 == 0:
            continue
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
        if _is_worse(load, state, corner, out.load[p], out.load_state[p], out.load_corner[p]):
            out.load_state[p] = state
            out.load_corner[p] = corner
        out.load[p] = max(out.load[p], load)
    return fine


@njit(**INNER)
def _taken_at(vertex: int, ends: Bytes, reals: Floats) -> float:
    """The current [A] that the parts take from one vertex."""
    taken = 0.0
    for p in range(ends.shape[1]):
        if ends[0, p, 0] == vertex and ends[0, p, 1] != vertex:
            taken += reals[CURRENT + p]
        elif ends[0, p, 1] == vertex and ends[0, p, 0] != vertex:
            taken -= reals[CURRENT + p]
    return taken


@njit(**INNER)
def amps_of(gate: int, circuit: CornerCircuit, work: Workspace) -> float:
    """The current [A] through a contact at a solved point, or the bound of its size where it is not exact."""
    _, _, beyond, exact = circuit.gates
    total = 0.0
    sizes = 0.0
    left, vertex = beyond[gate], 0
    while left:
        if left & 1:
            taken = _taken_at(vertex, circuit.ends, work.reals)
            total += taken
            sizes += abs(taken)
        left >>= 1
        vertex += 1
    return total if exact[gate] == 1 else sizes


@njit(**INNER)
def _note_control(control: int, state: int, corner: int, amps: float, limits: Limits, out: Verdicts) -> bool:
    """Raise the worst current of a control to this size [A]; whether it is in rating."""
    known = out.control[control]
    if _is_worse(amps, state, corner, known, out.control_state[control], out.control_corner[control]):
        out.control_state[control] = state
        out.control_corner[control] = corner
    out.control[control] = max(known, amps)
    return bool(amps <= limits.control_amps[control])


@njit(**INNER)
def note_controls(
    state: int, corner: int, circuit: CornerCircuit, limits: Limits, work: Workspace, out: Verdicts
) -> bool:
    """Raise the worst currents of controls to what this corner gives; whether all are in rating."""
    fine = True
    gate_state, gate_control, _, _ = circuit.gates
    for gate in range(gate_state.shape[0]):
        if gate_state[gate] == state:
            amps = abs(amps_of(gate, circuit, work))
            fine = _note_control(gate_control[gate], state, corner, amps, limits, out) and fine
    return fine


class Draws(NamedTuple):
    """Between what the currents through contacts lie, net by net [A].

    least, most: (supplies, gates); least_at, most_at: likewise the patterns of all parts, less 1, where.
    """

    least: Floats
    most: Floats
    least_at: Ints
    most_at: Ints


@njit(**INNER)
def new_draws(gates: int, start: float) -> Draws:
    """Currents through so many contacts; start: 0 to add up nets, infinite for what nets are tried for."""
    shape = (SUPPLIES, gates)
    return Draws(
        np.full(shape, start), np.full(shape, -start), np.zeros(shape, np.int64), np.zeros(shape, np.int64)
    )


@njit(**INNER)
def note_draws(
    state: int, pattern: int, supply: int, circuit: CornerCircuit, work: Workspace, draws: Draws
) -> None:
    """Widen the currents of a state's contacts by what a net takes at this corner."""
    gate_state = circuit.gates[0]
    for gate in range(gate_state.shape[0]):
        if gate_state[gate] == state:
            amps = amps_of(gate, circuit, work)
            if amps > draws.most[supply, gate] + TIE:
                draws.most_at[supply, gate] = pattern - 1
            if amps < draws.least[supply, gate] - TIE:
                draws.least_at[supply, gate] = pattern - 1
            draws.most[supply, gate] = max(draws.most[supply, gate], amps)
            draws.least[supply, gate] = min(draws.least[supply, gate], amps)


@njit(**INNER)
def add_draws(net: Draws, total: Draws) -> None:
    """Add what one net takes at its worst to what the others do: they hang on each other in nothing."""
    for supply in range(SUPPLIES):
        for gate in range(net.most.shape[1]):
            if net.most[supply, gate] > -np.inf:
                total.most[supply, gate] += net.most[supply, gate]
                total.least[supply, gate] += net.least[supply, gate]
                total.most_at[supply, gate] |= net.most_at[supply, gate]
                total.least_at[supply, gate] |= net.least_at[supply, gate]


@njit(**INNER)
def note_total(state: int, circuit: CornerCircuit, limits: Limits, total: Draws, out: Verdicts) -> bool:
    """Raise the worst currents of a state's controls to what all nets take; whether all are in rating."""
    fine = True
    gate_state, gate_control, _, _ = circuit.gates
    for gate in range(gate_state.shape[0]):
        if gate_state[gate] != state:
            continue
        for supply in range(SUPPLIES):
            amps, pattern = total.most[supply, gate], total.most_at[supply, gate] + 1
            if -total.least[supply, gate] > amps:
                amps, pattern = -total.least[supply, gate], total.least_at[supply, gate] + 1
            corner = pattern * SUPPLIES + supply
            fine = _note_control(gate_control[gate], state, corner, amps, limits, out) and fine
    return fine


@njit(**ENTRY)
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
        nodes = bind_ends(ends, int(0), vertex_node, state, work.whole)
        cold_start(nodes, volts, work.reals)
        steps, _ = solve_bound(parts, nodes, volts, table, work.reals, work.whole)
        unconverged += steps < 0
        met = min(note_light(state, corner, int(ALL), tables, work, out)) >= 0.0 and met
        met = note_loads(state, corner, int(ALL), parts, limits, work, out) and met
        met = note_controls(state, corner, circuit, limits, work, out) and met
        if corner == NOMINAL:
            for p in range(parts):
                out.volts[state, p] = drop_of(p, work.reals, work.whole)
                out.amps[state, p] = work.reals[CURRENT + p]
                for side in range(2):
                    node = work.whole[(TAIL if side == 0 else HEAD) + p]
                    out.potential[state, ends[0, p, side]] = work.reals[X + node]
    return met and unconverged == 0, unconverged
