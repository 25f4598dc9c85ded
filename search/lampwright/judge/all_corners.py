"""Every corner of one fitted circuit, compiled: nominal, then net by net at the ends of tolerances.

At nominal the whole circuit is solved in every state. A part on no path from supply to ground does nothing in
that state, whatever its value; so at the ends of tolerances only the live net is solved: the parts on a path,
diodes either way since a blocked one leaks, each part at both its ends and those beside it weak. Parts that
meet others at the rails alone are nets of their own (`judge.nets`), and of a net with many parts those
corners are tried that can be worst (`judge.monotone`). States with one live net are solved as one. A lamp
that is asked to shine and is on no path is read from leaks alone; so its state is tried with every part.
"""

import numpy as np
from numba import njit

from lampwright.compiled import ENTRY, INNER
from lampwright.graphs.between import edges_between
from lampwright.judge.corners import (
    ALL,
    CAP,
    SUPPLIES,
    TIE,
    CornerCircuit,
    Draws,
    Verdicts,
    add_draws,
    new_draws,
    note_draws,
    note_light,
    note_loads,
    note_total,
    try_corner,
)
from lampwright.judge.nets import compared_net, few_patterns, nets_of, patterns_to_try
from lampwright.judge.tolerances import patterns_of, set_live_pattern, set_pattern
from lampwright.problem.demands import Demands, JudgingTables
from lampwright.solve.laws import Bytes, Ints, filament_stops
from lampwright.solve.newton import ROW, Workspace, bind_live, cold_start, drop_of, solve_bound


@njit(**INNER)
def _is_one_net(state: int, other: int, live: int, ends: Bytes, vertex_node: Bytes) -> bool:
    """Whether the live parts (bit set) join the same nodes in two states."""
    for p in range(ends.shape[1]):
        if (live >> p) & 1:
            for side in range(2):
                vertex = ends[0, p, side]
                if vertex_node[state, vertex] != vertex_node[other, vertex]:
                    return False
    return True


@njit(**INNER)
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


@njit(**INNER)
def _sharing(state: int, lives: Ints, ends: Bytes, vertex_node: Bytes) -> Ints:
    """This state and the later ones with its live net."""
    found = np.zeros(lives.shape[0], np.int64)
    count = 0
    for other in range(state, lives.shape[0]):
        if lives[other] == lives[state] and _is_one_net(state, other, lives[state], ends, vertex_node):
            found[count] = other
            count += 1
    return found[:count]


@njit(**INNER)
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
    ends, vertex_node, gates = circuit.ends, circuit.vertex_node, circuit.gates
    states = _sharing(state, lives, ends, vertex_node)
    total = new_draws(circuit.gates[0].shape[0], 0.0)
    met = True
    unconverged = 0
    # lamps that carry nothing are noted with the first
    among = ~lives[state]
    for net in nets_of(lives[state], states, ends, vertex_node, gates, tables.demands):
        own = new_draws(circuit.gates[0].shape[0], np.inf)
        fine, failed = _try_part(net, among | net, states, circuit, tables, work, until_refused, own, out)
        among = 0
        add_draws(own, total)
        met = met and fine
        unconverged += failed
        if until_refused and not (met and unconverged == 0):
            return False, unconverged
    for other in states:
        met = note_total(other, circuit, tables.limits, total, out) and met
    return met and unconverged == 0, unconverged


@njit(**INNER)
def _try_part(
    net: int,
    among: int,
    states: Ints,
    circuit: CornerCircuit,
    tables: JudgingTables,
    work: Workspace,
    until_refused: bool,
    draws: Draws,
    out: Verdicts,
) -> tuple[bool, int]:
    """Note the ends of tolerances of parts (bit set) that hang on no others, in states with one net.

    among: those whose light is noted (bit set). draws: of the contacts, widened here.
    """
    ends, spread, limits = circuit.ends, circuit.spread, tables.limits
    parts = ends.shape[1]
    count = bind_live(ends, int(0), net, circuit.vertex_node, states[0], work.whole)
    patterns, is_whole = patterns_to_try(net, states, bool(True), ends, circuit.gates, spread, tables, work)
    out.sampled[0] += 0 if is_whole else 1
    # so many corners of the whole circuit are one of the net
    alike = patterns_of(int(ALL), spread) // patterns_of(net, spread)
    met = True
    unconverged = 0
    for number in patterns:
        pattern = set_live_pattern(number, net, spread, work.reals)
        for supply in range(SUPPLIES):
            corner, volts = pattern * SUPPLIES + supply, tables.volts[supply]
            cold_start(count, volts, work.reals)
            steps, _ = solve_bound(parts, count, volts, tables.models.table, work.reals, work.whole)
            for other in states:
                unconverged += alike if steps < 0 else 0
                met = min(note_light(other, corner, among, tables, work, out)) >= 0.0 and met
                met = note_loads(other, corner, net, parts, limits, work, out) and met
                note_draws(other, pattern, supply, circuit, work, draws)
            if until_refused and not (met and unconverged == 0):
                return False, unconverged
    return met, unconverged


@njit(**ENTRY)
def live_in(circuit: CornerCircuit) -> Ints:
    """The parts on a path from supply to ground in every state (states,), as bit sets, diodes either way."""
    stack, lives = np.zeros(64, np.int64), np.zeros(circuit.vertex_node.shape[0], np.int64)
    for state in range(len(lives)):
        lives[state] = edges_between(circuit.ends, int(0), int(0), int(0), circuit.vertex_node, state, stack)
    return lives


@njit(**INNER)
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
    count = bind_live(ends, int(0), lives[state], circuit.vertex_node, state, work.whole)
    cold_start(count, volts, work.reals)
    steps, _ = solve_bound(parts, count, volts, models.table, work.reals, work.whole)
    row = work.whole[ROW + filament]
    stops = filament_stops(drop_of(filament, work.reals, work.whole), row, models.table, models.stops)
    return stops + tables.limits.lumens_stops[row], steps >= 0


@njit(**INNER)
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


@njit(**INNER)
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
        live = compared_net(at, lives, circuit.ends, circuit.vertex_node, tables.demands)
        patterns, is_whole = few_patterns(live, circuit.spread)
        out.sampled[0] += 0 if is_whole else 1
        for place in range(-1, patterns.shape[0]):
            number = patterns[place] if place >= 0 else -1
            pattern = 0
            if number < 0:
                set_pattern(int(0), circuit.spread, work.reals)
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


@njit(**ENTRY)
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
    set_pattern(int(0), spread, work.reals)
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
