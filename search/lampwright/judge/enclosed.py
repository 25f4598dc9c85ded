"""One state of a circuit whose parts have any value within a box: missed by all, met by all, or open.

The bounds of `solve.enclosures` say between what every lamp's volts, every part's load and every control's
current lie, whatever the values. Where all of that lies beyond a limit, no value in the box will do; where
all lies within, every value does.
"""

from numba import njit

from lampwright.compiled import INNER
from lampwright.problem.demands import Demands, Limits
from lampwright.solve.enclosures import (
    LOWER,
    UPPER,
    current_range,
    enclose,
    greatest_drop,
    least_drop,
)
from lampwright.solve.laws import DIODE, Bytes, Floats, Ints, Models, filament_stops
from lampwright.solve.newton import KIND, ROW, bind_live

MISSED = -1
"""No value in the box meets it."""

OPEN = 0
"""Nothing is shown of the box."""

MET = 1
"""Every value in the box meets it."""

SLACK_VOLTS = 1e-3
"""How far beyond an edge all volts must lie for a box to be refused, and within it to pass.

Left out are parts that carry nothing but what a blocked diode lets through, some microamperes through up to
some 100 ohm; edges told in volts instead of stops are off by less.
"""

SLACK_STOPS = 1e-3

SLACK_SHARE = 1e-3
"""The same for loads and currents, as a share of their limit."""

Gates = tuple[Ints, Ints, Ints, Bytes]


@njit(**INNER)
def _sizes(low: float, high: float) -> tuple[float, float]:
    """The least and greatest size of a figure between low and high; scalars."""
    least = 0.0 if low <= 0.0 <= high else min(abs(low), abs(high))
    return least, max(abs(low), abs(high))


@njit(**INNER)
def _under(least: float, most: float, limit: float, slack: float) -> int:
    """Whether a figure between least and most is above a limit, or under it; scalars."""
    if least > limit + slack:
        return MISSED
    return MET if most <= limit - slack else OPEN


@njit(**INNER)
def judge_lights(supply: int, state: int, demands: Demands, limits: Limits, box: Floats, whole: Ints) -> int:
    """Every filament's volts, between bounds that stand in the box, against its band and its rating."""
    found = MET
    for f in range(demands.low_volts.shape[2]):
        row = whole[ROW + f]
        least, most = _sizes(least_drop(f, box, whole), greatest_drop(f, box, whole))
        low = demands.low_volts[supply, state, f, row]
        high = min(demands.high_volts[supply, state, f, row], limits.lamp_volts[row])
        found = min(found, _under(least, most, high, SLACK_VOLTS))
        if low > 0.0:
            found = min(found, _under(-most, -least, -low, SLACK_VOLTS))
        if found == MISSED:
            return MISSED
    return found


@njit(**INNER)
def _loads(parts: int, first: int, limits: Limits, table: Floats, box: Floats, whole: Ints) -> int:
    """The load of every diode and resistor, from part `first` on, against its rating."""
    found = MET
    for p in range(first, parts):
        if whole[KIND + p] == DIODE:
            least, most = current_range(p, table, box, whole)
            limit = limits.diode_amps[whole[ROW + p]]
        else:
            least, most = _sizes(least_drop(p, box, whole), greatest_drop(p, box, whole))
            least, most = box[LOWER + p] * least * least, box[UPPER + p] * most * most
            limit = limits.watts
        found = min(found, _under(least, most, limit, SLACK_SHARE * limit))
    return found


@njit(**INNER)
def _same(state: int, demands: Demands, limits: Limits, models: Models, box: Floats, whole: Ints) -> int:
    """Every pair of lamps that must match in this state."""
    found = MET
    for pair in range(demands.same_state.shape[0]):
        if demands.same_state[pair] != state:
            continue
        a, b = demands.same_first[pair], demands.same_second[pair]
        least_a, most_a = _stops_range(a, models, box, whole)
        least_b, most_b = _stops_range(b, models, box, whole)
        if most_a <= demands.off_stops - SLACK_STOPS and most_b <= demands.off_stops - SLACK_STOPS:
            continue
        shift = limits.lumens_stops[whole[ROW + a]] - limits.lumens_stops[whole[ROW + b]]
        least, most = least_a - most_b + shift, most_a - least_b + shift
        above = _under(least, most, demands.same_high[pair], SLACK_STOPS)
        below = _under(-most, -least, -demands.same_low[pair], SLACK_STOPS)
        both = min(above, below)
        if both == MISSED and max(least_a, least_b) <= demands.off_stops + SLACK_STOPS:
            # they may both be off, and then they match
            both = OPEN
        found = min(found, both)
        if found == MISSED:
            return MISSED
    return found


@njit(**INNER)
def _stops_range(f: int, models: Models, box: Floats, whole: Ints) -> tuple[float, float]:
    """The least and greatest light of a filament, log2 [1] of flux relative to rated, over the box."""
    least, most = _sizes(least_drop(f, box, whole), greatest_drop(f, box, whole))
    row = whole[ROW + f]
    return (
        filament_stops(least, row, models.table, models.stops),
        filament_stops(most, row, models.table, models.stops),
    )


@njit(**INNER)
def _controls(
    state: int,
    ends: Bytes,
    circuit: int,
    gates: Gates,
    limits: Limits,
    table: Floats,
    box: Floats,
    whole: Ints,
) -> int:
    """The current of every limited contact that is closed in this state."""
    found = MET
    gate_state, gate_control, beyond, exact = gates
    for gate in range(gate_state.shape[0]):
        if gate_state[gate] != state:
            continue
        low = high = sizes = 0.0
        for vertex in range(63):
            if (beyond[gate] >> vertex) & 1:
                least, most = _taken_between(vertex, ends, circuit, table, box, whole)
                low += least
                high += most
                sizes += _sizes(least, most)[1]
        limit = limits.control_amps[gate_control[gate]]
        least, most = _sizes(low, high)
        if exact[gate] == 0:
            # a second path runs beside it: the judge takes the sum of sizes, which is no less than this
            most = sizes
        found = min(found, _under(least, most, limit, SLACK_SHARE * limit))
    return found


@njit(**INNER)
def _taken_between(
    vertex: int, ends: Bytes, circuit: int, table: Floats, box: Floats, whole: Ints
) -> tuple[float, float]:
    """The least and greatest current [A] that the parts take from one vertex."""
    low = high = 0.0
    for p in range(ends.shape[1]):
        a, b = ends[circuit, p, 0], ends[circuit, p, 1]
        if a != b and vertex in (a, b):
            least, most = current_range(p, table, box, whole)
            if vertex == b:
                least, most = -most, -least
            low += least
            high += most
    return low, high


@njit(**INNER)
def judge_box(
    state: int,
    supply: int,
    volts: float,
    live: int,
    ends: Bytes,
    circuit: int,
    vertex_node: Bytes,
    gates: Gates,
    demands: Demands,
    limits: Limits,
    models: Models,
    box: Floats,
    whole: Ints,
) -> int:
    """Whether a circuit misses (MISSED) or meets (MET) a state for every value in the box, or neither (OPEN).

    state, supply, circuit: numbers; volts: of that supply [V]. live: the parts (bit set) on a live-to-ground
    path in this state. ends: (circuits, parts, 2). vertex_node:
    (states, vertices). gates: (gates,) arrays of `solve.boundary.Gates`. box: of `new_box` with LOWER and
    UPPER filled; whole: of a Workspace with KIND, ROW and BASE filled.
    """
    count = bind_live(ends, circuit, live, vertex_node, state, whole)
    if not enclose(ends.shape[1], count, volts, models.table, box, whole):
        return OPEN
    found = judge_lights(supply, state, demands, limits, box, whole)
    if found != MISSED:
        found = min(found, judge_others(state, ends, circuit, gates, demands, limits, models, box, whole))
    return int(found)


@njit(**INNER)
def judge_others(
    state: int,
    ends: Bytes,
    circuit: int,
    gates: Gates,
    demands: Demands,
    limits: Limits,
    models: Models,
    box: Floats,
    whole: Ints,
) -> int:
    """Of bounds that stand in the box what `judge_lights` leaves: loads, lamps that must match, contacts."""
    filaments = demands.low_volts.shape[2]
    found = int(_loads(ends.shape[1], filaments, limits, models.table, box, whole))
    if found != MISSED:
        found = min(found, _same(state, demands, limits, models, box, whole))
    if found != MISSED:
        found = min(found, _controls(state, ends, circuit, gates, limits, models.table, box, whole))
    return int(found)


@njit(**INNER)
def judge_comparison(
    at: int,
    volts: float,
    lives: tuple[int, int],
    ends: Bytes,
    circuit: int,
    vertex_node: Bytes,
    demands: Demands,
    limits: Limits,
    models: Models,
    box: Floats,
    whole: Ints,
) -> int:
    """Whether one lamp is so much brighter than another for every value in the box, as `judge_box` tells.

    lives: the live parts (bit set) in the states of both.
    """
    first, first_state, second, second_state = demands.brighter[at]
    count = bind_live(ends, circuit, lives[0], vertex_node, first_state, whole)
    if not enclose(ends.shape[1], count, volts, models.table, box, whole):
        return OPEN
    least, most = _stops_range(first, models, box, whole)
    count = bind_live(ends, circuit, lives[1], vertex_node, second_state, whole)
    if not enclose(ends.shape[1], count, volts, models.table, box, whole):
        return OPEN
    low, high = _stops_range(second, models, box, whole)
    low, high = max(low, demands.off_stops), max(high, demands.off_stops)
    shift = limits.lumens_stops[whole[ROW + first]] - limits.lumens_stops[whole[ROW + second]]
    return int(_under(low - most - shift, high - least - shift, -demands.brighter_by[at], SLACK_STOPS))
