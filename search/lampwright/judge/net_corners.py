"""Whether a live net meets its state at every corner, without its margin, compiled.

Which of its corners can be worst is told from how it is joined (`judge.monotone`). These are solved eight at
a time, the one that refused last among the first. Where others could be worse, bounds may show that all
values within the tolerances do. What lies within `DOUBT` of an edge, and what neither settles, stays open.
"""

import numpy as np
from numba import njit

from lampwright.compiled import INNER
from lampwright.judge.corners import SUPPLIES, CornerCircuit, amps_of
from lampwright.judge.enclosed import MET as ALL_MET
from lampwright.judge.enclosed import SLACK_VOLTS, judge_box
from lampwright.judge.fitting import loads_pass, same_margin
from lampwright.judge.nets import patterns_to_try
from lampwright.judge.tolerances import patterns_of, set_live_pattern
from lampwright.problem.demands import JudgingTables
from lampwright.solve.enclosures import LOWER, UPPER
from lampwright.solve.lane_newton import Lanes, set_lane, solve_lanes, start_lane, take_lane, turn_lane
from lampwright.solve.lanes import LANES
from lampwright.solve.laws import Floats, Ints
from lampwright.solve.newton import ROW, Workspace, bind_live, drop_of

DOUBT = 1e-3
"""Margins [stops] this near to zero are doubtful."""

MISSED, OPEN, MET = -1, 0, 1
"""What corners say of a live net: one refuses it, nothing is sure, all are met with no doubt."""


@njit(**INNER)
def _read_lights(supply: int, state: int, tables: JudgingTables, work: Workspace) -> int:
    """Every filament's volts at a solved point against its band and its rating; MET, MISSED or OPEN."""
    demands, limits, _, models = tables
    found = MET
    for f in range(demands.low_volts.shape[2]):
        row, size = work.whole[ROW + f], abs(drop_of(f, work.reals, work.whole))
        low = demands.low_volts[supply, state, f, row]
        high = demands.high_volts[supply, state, f, row]
        if size < low - SLACK_VOLTS or size > high + SLACK_VOLTS or size > limits.lamp_volts[row] + 1e-9:
            return MISSED
        if size < low + SLACK_VOLTS * (low > 0.0) or size > high - SLACK_VOLTS:
            found = OPEN
    for pair in range(demands.same_state.shape[0]):
        if demands.same_state[pair] == state:
            margin = same_margin(pair, demands, limits, models, work)
            if margin < -DOUBT:
                return MISSED
            if margin < DOUBT:
                found = OPEN
    return int(found)


@njit(**INNER)
def _is_rated(state: int, circuit: CornerCircuit, tables: JudgingTables, work: Workspace) -> bool:
    """Whether every diode, resistor and contact is within its rating at a solved point."""
    limits, filaments = tables.limits, tables.demands.low_volts.shape[2]
    if not loads_pass(filaments, circuit.ends.shape[1], limits, work.reals, work.whole):
        return False
    gate_state, gate_control, _, _ = circuit.gates
    for gate in range(gate_state.shape[0]):
        most = limits.control_amps[gate_control[gate]]
        if gate_state[gate] == state and most < np.inf and abs(amps_of(gate, circuit, work)) > most:
            return False
    return True


@njit(**INNER)
def _read_lanes(
    state: int,
    used: int,
    count: int,
    supplies: Ints,
    circuit: CornerCircuit,
    tables: JudgingTables,
    work: Workspace,
    lanes: Lanes,
) -> tuple[int, int]:
    """What the corners that stand in the first lanes say of a net of so many nodes; the lane that refuses."""
    parts, found = circuit.ends.shape[1], MET
    failed = solve_lanes(used, parts, count, tables.models, work, lanes)
    for lane in range(used):
        if (failed >> lane) & 1:
            found = OPEN
            continue
        take_lane(lane, parts, count, tables.models, work, lanes)
        said = _read_lights(supplies[lane], state, tables, work)
        if said == MISSED or not _is_rated(state, circuit, tables, work):
            return MISSED, lane
        found = min(found, said)
    return found, -1


@njit(**INNER)
def _try_worst(
    state: int,
    live: int,
    circuit: CornerCircuit,
    tables: JudgingTables,
    work: Workspace,
    lanes: Lanes,
    refused_at: Ints,
) -> int:
    """Whether a fitted live net meets a state at all corners that can be worst, as `corners_say` tells."""
    parts, number = circuit.ends.shape[1], patterns_of(live, circuit.spread)
    count = bind_live(circuit.ends, int(0), live, circuit.vertex_node, state, work.whole)
    patterns, is_whole = patterns_to_try(
        live, np.full(1, state), bool(False), circuit.ends, circuit.gates, circuit.spread, tables, work
    )
    if not is_whole:
        return OPEN
    supplies, corners = np.zeros(LANES, np.int64), np.zeros(LANES, np.int64)
    used, found, last = 0, MET, SUPPLIES * patterns.shape[0] - 1
    for each in range(-1, last + 1):
        supply, pattern = each % SUPPLIES, patterns[max(each, 0) // SUPPLIES]
        if each < 0:
            supply, pattern = refused_at[state] // number % SUPPLIES, refused_at[state] % number
        set_live_pattern(pattern, live, circuit.spread, work.reals)
        if each < LANES - 1:
            start_lane(used, count, tables.volts[supply], lanes)
        else:
            turn_lane(used, count, tables.volts[supply], lanes)
        set_lane(used, parts, tables.models, work, lanes)
        supplies[used], corners[used] = supply, supply * number + pattern
        used += 1
        if used == LANES or each == last:
            said, lane = _read_lanes(state, used, count, supplies, circuit, tables, work, lanes)
            if said == MISSED:
                refused_at[state] = corners[lane]
                return MISSED
            used, found = 0, min(found, said)
    return int(found)


@njit(**INNER)
def _is_shown(
    state: int, live: int, circuit: CornerCircuit, tables: JudgingTables, work: Workspace, box: Floats
) -> bool:
    """Whether bounds show that all values within the tolerances meet a state, and so every corner.

    What bounds leave open may be met all the same.
    """
    demands, limits, volts, models = tables
    for supply in range(SUPPLIES):
        for p in range(circuit.ends.shape[1]):
            box[LOWER + p], box[UPPER + p] = circuit.spread.low[p], circuit.spread.high[p]
        found = judge_box(
            state, supply, volts[supply], live, circuit.ends, int(0), circuit.vertex_node, circuit.gates,
            demands, limits, models, box, work.whole,
        )  # fmt: skip
        if found != ALL_MET:
            return False
    return True


@njit(**INNER)
def corners_say(
    state: int,
    live: int,
    circuit: CornerCircuit,
    tables: JudgingTables,
    work: Workspace,
    box: Floats,
    lanes: Lanes,
    refused_at: Ints,
) -> int:
    """Whether a fitted live net (bit set) meets a state at every corner: MET, MISSED or OPEN.

    refused_at: (states,) the corner that refused last: supply * patterns + pattern.
    """
    said = _try_worst(state, live, circuit, tables, work, lanes, refused_at)
    if said == OPEN and _is_shown(state, live, circuit, tables, work, box):
        return MET
    return int(said)
