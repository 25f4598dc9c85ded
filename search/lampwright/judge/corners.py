"""The full judgement of one fitted circuit, compiled: every corner of supply and tolerance.

A corner is one of the three supplies with every part at nominal, or with every part
at one end of its tolerance: 1 + 2^parts patterns for each supply. Written down are the
worst margin of every filament in every state, the worst load of every part and
control, and where each was met.

At nominal the whole circuit is solved in every state. A part on no path from supply to ground does nothing in
that state, whatever its value; so at the ends of tolerances only the live net is solved: the parts on a path,
diodes either way since a blocked one leaks, each part at both its ends and those beside it weak. States with
one live net are solved as one. A lamp that is asked to shine and is on no path is read from leaks alone; so
its state is tried with every part.

Corners may be as bad as each other, where a part's tolerance does not matter; then the first of them is
told, and of its states the first. What lies within `TIE` is as bad.
"""

from typing import NamedTuple

import numpy as np
from numba import njit

from lampwright.graphs.between import edges_between
from lampwright.judge.fitting import same_margin
from lampwright.judge.tolerances import Spread, patterns_of, set_live_pattern, set_pattern
from lampwright.problem.demands import Demands, JudgingTables, Limits
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
    bind_live,
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
def note_light(
    state: int, corner: int, tables: JudgingTables, work: Workspace, out: Verdicts
) -> tuple[float, float]:
    """Lower the margins of this state to what this corner gives; the least of lamps, and of lamps that match.

    The corners of one state come in rising order.
    """
    reals, whole = work.reals, work.whole
    demands, limits, _, models = tables
    least = CAP
    least_same = CAP
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
        if margin < out.margin[state, f] - TIE:
            out.margin_corner[state, f] = corner
        out.margin[state, f] = min(out.margin[state, f], margin)
    for pair in range(demands.same_state.shape[0]):
        if demands.same_state[pair] == state:
            margin = min(CAP, same_margin(pair, demands, limits, models, work))
            least_same = min(least_same, margin)
            if margin < out.same[pair] - TIE:
                out.same_corner[pair] = corner
            out.same[pair] = min(out.same[pair], margin)
    return least, least_same


@njit(cache=True, nogil=True)
def _is_worse(load: float, state: int, corner: int, known: float, its_state: int, its_corner: int) -> bool:
    """Whether a load takes the place of one known: it is greater, or as great and comes first."""
    if abs(load - known) > TIE:
        return load > known
    return corner < its_corner or (corner == its_corner and state < its_state)


@njit(cache=True, nogil=True)
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
def note_controls(
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
        known = out.control[control]
        if _is_worse(amps, state, corner, known, out.control_state[control], out.control_corner[control]):
            out.control_state[control] = state
            out.control_corner[control] = corner
        out.control[control] = max(known, amps)
    return fine


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
        met = min(note_light(state, corner, tables, work, out)) >= 0.0 and met
        met = note_loads(state, corner, ALL, parts, limits, work, out) and met
        met = note_controls(state, corner, circuit, limits, work, out) and met
        if corner == NOMINAL:
            for p in range(parts):
                out.volts[state, p] = drop_of(p, work.reals, work.whole)
                out.amps[state, p] = work.reals[CURRENT + p]
                for side in range(2):
                    node = work.whole[(TAIL if side == 0 else HEAD) + p]
                    out.potential[state, ends[0, p, side]] = work.reals[X + node]
    return met and unconverged == 0, unconverged


@njit(cache=True, nogil=True)
def _is_one_net(state: int, other: int, live: int, ends: Bytes, vertex_node: Bytes) -> bool:
    """Whether the live parts (bit set) join the same nodes in two states."""
    for p in range(ends.shape[1]):
        if (live >> p) & 1:
            for side in range(2):
                vertex = ends[0, p, side]
                if vertex_node[state, vertex] != vertex_node[other, vertex]:
                    return False
    return True


@njit(cache=True, nogil=True)
def _asks_a_dead_lamp(state: int, live: int, demands: Demands, work: Workspace) -> bool:
    """Whether a lamp that carries nothing is asked to shine, or to match one that carries something."""
    supplies, _, filaments, _ = demands.low_stops.shape
    for f in range(filaments):
        if (live >> f) & 1 == 0:
            for supply in range(supplies):
                if demands.low_stops[supply, state, f, work.whole[ROW + f]] > -np.inf:
                    return True
    for pair in range(demands.same_state.shape[0]):
        if demands.same_state[pair] == state:
            first, second = demands.same_first[pair], demands.same_second[pair]
            if (live >> first) & 1 != (live >> second) & 1:
                return True
    return False


@njit(cache=True, nogil=True)
def _try_net(
    state: int,
    lives: Ints,
    circuit: CornerCircuit,
    tables: JudgingTables,
    work: Workspace,
    until_refused: bool,
    out: Verdicts,
) -> tuple[bool, int]:
    """Note the ends of tolerances in this state, and in all later ones with its net; as `try_corners` tells.

    lives: (states,) the live parts of every state, as bit sets.
    """
    ends, vertex_node, spread = circuit.ends, circuit.vertex_node, circuit.spread
    parts, live, limits = ends.shape[1], lives[state], tables.limits
    count = bind_live(ends, 0, live, vertex_node, state, work.whole)
    met = True
    unconverged = 0
    # so many corners of the whole circuit are one of the live net
    alike = patterns_of(ALL, spread) // patterns_of(live, spread)
    for number in range(patterns_of(live, spread)):
        pattern = set_live_pattern(number, live, spread, work.reals)
        for supply in range(SUPPLIES):
            corner, volts = pattern * SUPPLIES + supply, tables.volts[supply]
            cold_start(count, volts, work.reals)
            steps, _ = solve_bound(parts, count, volts, tables.models.table, work.reals, work.whole)
            for other in range(state, vertex_node.shape[0]):
                if lives[other] != live or not _is_one_net(state, other, live, ends, vertex_node):
                    continue
                unconverged += alike if steps < 0 else 0
                met = min(note_light(other, corner, tables, work, out)) >= 0.0 and met
                met = note_loads(other, corner, live, parts, limits, work, out) and met
                met = note_controls(other, corner, circuit, limits, work, out) and met
            if until_refused and not (met and unconverged == 0):
                return False, unconverged
    return met and unconverged == 0, unconverged


@njit(cache=True, nogil=True)
def live_in(circuit: CornerCircuit) -> Ints:
    """The parts on a path from supply to ground in every state (states,), as bit sets, diodes either way."""
    stack, lives = np.zeros(64, np.int64), np.zeros(circuit.vertex_node.shape[0], np.int64)
    for state in range(len(lives)):
        lives[state] = edges_between(circuit.ends, 0, 0, 0, circuit.vertex_node, state, stack)
    return lives


@njit(cache=True, nogil=True)
def _light_in(
    filament: int,
    state: int,
    lives: Ints,
    volts: float,
    circuit: CornerCircuit,
    tables: JudgingTables,
    work: Workspace,
) -> tuple[float, bool]:
    """The light [log2 lm] of a filament in a state, at the values that stand in `work`; whether solved."""
    ends, parts = circuit.ends, circuit.ends.shape[1]
    models = tables.models
    count = bind_live(ends, 0, lives[state], circuit.vertex_node, state, work.whole)
    cold_start(count, volts, work.reals)
    steps, _ = solve_bound(parts, count, volts, models.table, work.reals, work.whole)
    row = work.whole[ROW + filament]
    stops = filament_stops(drop_of(filament, work.reals, work.whole), row, models.table, models.stops)
    return stops + tables.limits.lumens_stops[row], steps >= 0


@njit(cache=True, nogil=True)
def brighter_margin(
    at: int, supply: int, lives: Ints, circuit: CornerCircuit, tables: JudgingTables, work: Workspace
) -> tuple[float, bool]:
    """By how many stops a comparison is met at the values that stand in `work`; whether all was solved.

    A lamp that is off counts as giving the most that counts as off.
    """
    demands = tables.demands
    first, first_state, second, second_state = demands.brighter[at]
    volts = tables.volts[supply]
    light, solved = _light_in(first, first_state, lives, volts, circuit, tables, work)
    other, other_solved = _light_in(second, second_state, lives, volts, circuit, tables, work)
    off = demands.off_stops + tables.limits.lumens_stops[work.whole[ROW + second]]
    return float(light - max(other, off) - demands.brighter_by[at]), solved and other_solved


@njit(cache=True, nogil=True)
def compare_corners(
    lives: Ints,
    circuit: CornerCircuit,
    tables: JudgingTables,
    work: Workspace,
    until_refused: bool,
    out: Verdicts,
) -> tuple[float, int]:
    """Note every comparison at every corner, both states at one; the least margin, and points not solved.

    lives: (states,) the live parts of every state, as bit sets.
    """
    least, unconverged = CAP, 0
    for at in range(tables.demands.brighter.shape[0]):
        live = lives[tables.demands.brighter[at, 1]] | lives[tables.demands.brighter[at, 3]]
        for number in range(-1, patterns_of(live, circuit.spread)):
            pattern = 0
            if number < 0:
                set_pattern(0, circuit.spread, work.reals)
            else:
                pattern = set_live_pattern(number, live, circuit.spread, work.reals)
            for supply in range(SUPPLIES):
                margin, solved = brighter_margin(at, supply, lives, circuit, tables, work)
                unconverged += 0 if solved else 1
                margin = min(CAP, margin)
                if margin < out.brighter[at] - TIE:
                    out.brighter_corner[at] = pattern * SUPPLIES + supply
                out.brighter[at] = min(out.brighter[at], margin)
                least = min(least, margin)
            if until_refused and (least < 0.0 or unconverged > 0):
                return least, unconverged
    return least, unconverged


@njit(cache=True, nogil=True)
def try_corners(
    circuit: CornerCircuit, tables: JudgingTables, work: Workspace, until_refused: bool, out: Verdicts
) -> tuple[bool, int]:
    """Fill `out` from every corner; whether all was met, and how many points did not converge.

    work holds the fitted choice. Corner number = pattern * 3 + supply, pattern 0 nominal. With
    until_refused the first corner that refuses ends the work.
    """
    ends, vertex_node, spread = circuit.ends, circuit.vertex_node, circuit.spread
    met = True
    unconverged = 0
    set_pattern(0, spread, work.reals)
    for supply in range(SUPPLIES):
        fine, failed = try_corner(supply, tables.volts[supply], circuit, tables, work, out)
        met = met and fine
        unconverged += failed
        if until_refused and not met:
            return False, unconverged
    lives = live_in(circuit)
    for state in range(len(lives)):
        if _asks_a_dead_lamp(state, lives[state], tables.demands, work):
            lives[state] = (1 << ends.shape[1]) - 1
    for state in range(len(lives)):
        known = lives[state] == 0
        for other in range(state):
            known = known or (
                lives[other] == lives[state] and _is_one_net(state, other, lives[state], ends, vertex_node)
            )
        if known:
            continue
        fine, failed = _try_net(state, lives, circuit, tables, work, until_refused, out)
        met = met and fine
        unconverged += failed
        if until_refused and not met:
            return False, unconverged
    least, failed = compare_corners(lives, circuit, tables, work, until_refused, out)
    return met and least >= 0.0 and failed == 0, unconverged + failed
