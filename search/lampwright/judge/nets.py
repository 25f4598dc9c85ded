"""Nets that hang on each other in nothing, and at which ends of their parts' tolerances each is tried.

Compiled. Parts that meet at the supply and at ground alone do not change each other's volts, since both are
given. So the corners of a live net are those of its pieces, each by itself: twelve lamps side by side have 24
corners and not 4096. Pieces whose lamps must match are one, and those that meet behind a contact of whose
current only a bound is known.

A piece with few parts is tried at every corner; of one with more only those that can be worst
(`judge.monotone`), as far as these are few.
"""

import numpy as np
from numba import njit

from lampwright.compiled import ENTRY, INNER
from lampwright.judge.monotone import Figures, worst_patterns
from lampwright.judge.tolerances import Spread, patterns_of
from lampwright.problem.demands import Demands, JudgingTables
from lampwright.solve.laws import DIODE, FILAMENT, Bytes, Floats, Ints, part_law
from lampwright.solve.newton import BASE, HEAD, KIND, ROW, TAIL, Workspace

Gates = tuple[Ints, Ints, Ints, Bytes]

FEW = 2**8
"""So many patterns of a net are tried without a thought where its figures are told."""

FEWEST = 2**2
"""So many where they are not."""

MOST = 2**12
"""So many where it is not known which can be worst."""


@njit(**INNER)
def _merged(nets: Ints, count: int, together: int) -> int:
    """Make one of all nets (bit sets) that have one of these parts (bit set); how many are left."""
    left, first = 0, -1
    for at in range(count):
        net = nets[at]
        if net & together and first >= 0:
            nets[first] |= net
            continue
        if net & together:
            first = left
        nets[left] = net
        left += 1
    return left


@njit(**INNER)
def _pieces(live: int, state: int, ends: Bytes, vertex_node: Bytes, nets: Ints) -> int:
    """Fill `nets` with live parts (bit set) that nodes but the rails join (bit sets); how many they are."""
    count = 0
    for p in range(ends.shape[1]):
        if (live >> p) & 1:
            nets[count] = 1 << p
            count += 1
    for node in range(2, 64):
        touching = 0
        for p in range(ends.shape[1]):
            if vertex_node[state, ends[0, p, 0]] == node or vertex_node[state, ends[0, p, 1]] == node:
                touching |= 1 << p
        if touching & live:
            count = _merged(nets, count, touching & live)
    return count


@njit(**ENTRY)
def nets_of(live: int, states: Ints, ends: Bytes, vertex_node: Bytes, gates: Gates, demands: Demands) -> Ints:
    """The pieces (bit sets) of a live net (bit set) that some states share, by their first parts."""
    nets = np.zeros(ends.shape[1], np.int64)
    count = _pieces(live, states[0], ends, vertex_node, nets)
    gate_state, _, beyond, exact = gates
    for state in states:
        for pair in range(demands.same_state.shape[0]):
            if demands.same_state[pair] == state:
                together = (1 << demands.same_first[pair]) | (1 << demands.same_second[pair])
                count = _merged(nets, count, together)
        for gate in range(gate_state.shape[0]):
            if gate_state[gate] == state and exact[gate] == 0:
                count = _merged(nets, count, touching(beyond[gate], ends))
    return nets[:count]


@njit(**INNER)
def touching(vertices: int, ends: Bytes) -> int:
    """The parts (bit set) with an end at one of some vertices (bit set)."""
    found = 0
    for p in range(ends.shape[1]):
        if (vertices >> ends[0, p, 0]) & 1 or (vertices >> ends[0, p, 1]) & 1:
            found |= 1 << p
    return found


@njit(**INNER)
def compared_net(at: int, lives: Ints, ends: Bytes, vertex_node: Bytes, demands: Demands) -> int:
    """The parts (bit set) on which a comparison's lamps hang, in their states; lives: (states,) bit sets."""
    found, nets = 0, np.zeros(ends.shape[1], np.int64)
    for side in range(2):
        lamp, state = demands.brighter[at, 2 * side], demands.brighter[at, 2 * side + 1]
        count = _pieces(lives[state], state, ends, vertex_node, nets)
        for net in nets[:count]:
            if (net >> lamp) & 1:
                found |= net
    return found


@njit(**INNER)
def few_patterns(net: int, spread: Spread) -> tuple[Ints, bool]:
    """Every pattern of a net (bit set), rising; or of many all weak, all strong and one unlike the others."""
    count = patterns_of(net, spread)
    if count <= MOST:
        return np.arange(count), True
    bits = 0
    while (1 << bits) < count:
        bits += 1
    found = np.zeros(2 + 2 * bits, np.int64)
    for bit in range(bits + 1):
        one = (1 << bit) % count
        found[2 * bit], found[2 * bit + 1] = one, count - 1 - one
    return np.unique(found), False


@njit(**INNER)
def _most_amps(net: int, parts: int, volts: float, spread: Spread, table: Floats, whole: Ints) -> float:
    """More current [A] than a net (bit set) that is bound takes at any corner; infinite where none is known.

    All that it takes goes into its parts at the supply, and out of those at ground; scalars.
    """
    least = np.inf
    for rail in range(2):
        total = 0.0
        for p in range(parts):
            if (net >> p) & 1 and (whole[TAIL + p] == rail) != (whole[HEAD + p] == rail):
                amps, _ = part_law(whole[KIND + p], whole[BASE + p], spread.high[p], volts, table)
                total += np.inf if whole[KIND + p] == DIODE else amps
        least = min(least, total)
    return least


@njit(**INNER)
def _may_exceed(
    net: int, state: int, volts: float, amps: float, spread: Spread, tables: JudgingTables, whole: Ints
) -> int:
    """Parts (bit set) of a net whose volts or load may be above a limit, for all that the rails allow.

    volts: the highest supply [V]; amps: more than the net takes [A]; scalars.
    """
    demands, limits = tables.demands, tables.limits
    found = 0
    for p in range(spread.high.shape[0]):
        if (net >> p) & 1 == 0:
            continue
        kind, row = whole[KIND + p], whole[ROW + p]
        if kind == FILAMENT:
            high = min(demands.high_volts[:, state, p, row].min(), limits.lamp_volts[row])
            found |= int(high < volts) << p
        elif kind == DIODE:
            found |= int(limits.diode_amps[row] < amps) << p
        else:
            found |= int(limits.watts < volts * volts * spread.high[p]) << p
    return found


@njit(**INNER)
def patterns_to_try(
    net: int,
    states: Ints,
    told: bool,
    ends: Bytes,
    gates: Gates,
    spread: Spread,
    tables: JudgingTables,
    work: Workspace,
) -> tuple[Ints, bool]:
    """The patterns of a net (bit set) to be tried in these states, rising; whether no other can be worse.

    The net is bound in `work`, as it is in the first of the states. told: whether its figures are told; else
    they are only held against their limits, and those that can never be beyond one are left out.
    """
    count, demands, parts = patterns_of(net, spread), tables.demands, ends.shape[1]
    if count <= (FEW if told else FEWEST):
        return np.arange(count), True
    varied, bits = np.zeros(parts, np.int64), 0
    for p in range(parts):
        if (net >> p) & 1 and spread.low[p] != spread.high[p]:
            varied[bits] = p
            bits += 1
    gate_state, control, beyond, exact = gates
    read, asked, contacts, complete = np.zeros(gate_state.shape[0], np.int64), 0, 0, True
    volts, high = tables.volts.max(), 0
    amps = np.inf if told else _most_amps(net, parts, volts, spread, tables.models.table, work.whole)
    for state in states:
        for gate in range(gate_state.shape[0]):
            if gate_state[gate] == state and touching(beyond[gate], ends) & net:
                if exact[gate] == 1 and amps <= tables.limits.control_amps[control[gate]]:
                    continue
                read[contacts] = beyond[gate]
                contacts += 1
                complete = complete and exact[gate] == 1
        for f in range(demands.low_stops.shape[2]):
            if (net >> f) & 1 and demands.low_stops[:, state, f, work.whole[ROW + f]].max() > -np.inf:
                asked |= 1 << f
        for pair in range(demands.same_state.shape[0]):
            if demands.same_state[pair] == state and (net >> demands.same_first[pair]) & 1:
                complete = False
        high |= _may_exceed(net, state, volts, amps, spread, tables, work.whole)
    figures = Figures(asked, -1, -1) if told else Figures(asked, asked, high)
    patterns, fine = worst_patterns(net, varied[:bits], read[:contacts], figures, ends, work.whole)
    return patterns, complete and fine
