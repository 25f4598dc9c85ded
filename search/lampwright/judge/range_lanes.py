"""Which circuits the whole range of resistance refuses, eight circuits at a time, compiled.

The same as `ranges.refuse_whole`, which is the plain twin; but that leaves what it finds no bound for, and a
lane may find one (some 1 of 100,000 circuits with two diodes and two resistors; none the other way). Each
lane has a circuit, and goes with it from corner to corner, from case to case, from upper to lower bound,
until it is refused or left; then it takes up the next. Cases that differ in parts alone that do not matter
to a state are decided together. A circuit that comes to a live net which another lane is at waits for what
that lane finds.
"""

from typing import NamedTuple

import numpy as np
from numba import njit

from lampwright.compiled import ENTRY, INNER
from lampwright.judge.enclosed import MISSED, Gates, judge_box, judge_lights, judge_others
from lampwright.judge.fitting import fit_choice
from lampwright.judge.range_corners import RangedCircuits, RangeScratch
from lampwright.judge.ranges import RangeMemory, net_key
from lampwright.problem.demands import Demands, JudgingTables, Limits
from lampwright.solve.enclosures import LOWER, UPPER
from lampwright.solve.lane_enclosures import (
    LaneBoxes,
    advance,
    clear_lane,
    is_upper,
    new_lane_boxes,
    put_network,
    seek_lower,
    seek_upper,
    take_bounds,
)
from lampwright.solve.lanes import LANES
from lampwright.solve.laws import Bytes, Floats, Ints, Models
from lampwright.solve.newton import BASE, KIND, ROW, TAIL, VALUE, bind_live

# what a lane is at, by columns: its circuit; the corner's place in its order; cases asked there, known and
# refused (bit sets); the live net's slot; the case; its nodes, NONE at first; the first circuit that waits
CIRCUIT, PLACE, ASKED, KNOWN, REFUSED, SLOT, CASE, NODES, WAITING = range(9)

NONE = -1


class FittedCases(NamedTuple):
    """Every case as numbers of parts.

    whole: (cases, TAIL) kinds, rows, places; low, high: (cases, parts) values over the whole range. apart:
    (cases, cases) the digits (bit set) in which two differ. digit_of: (parts,). same: (states,) the digits
    (bit set) of lamps that must match.
    """

    whole: Ints
    low: Floats
    high: Floats
    apart: Ints
    digit_of: Ints
    same: Ints


@njit(**INNER)
def _fitted(
    whole_range: Floats, circuits: RangedCircuits, tables: JudgingTables, scratch: RangeScratch
) -> FittedCases:
    """Fit every case once."""
    fit, demands = circuits.fit, tables.demands
    cases, parts, filaments = fit.digits.shape[0], circuits.ends.shape[1], fit.lamp_of.shape[0]
    whole, low, high = np.zeros((cases, TAIL), np.int64), np.zeros((cases, parts)), np.zeros((cases, parts))
    apart, digit_of = np.zeros((cases, cases), np.int64), np.zeros(parts, np.int64)
    same = np.zeros(circuits.vertex_node.shape[0], np.int64)
    for case in range(cases):
        fit_choice(case, fit, tables.models, scratch.work)
        for at in range(TAIL):
            whole[case, at] = scratch.work.whole[at]
        for p in range(parts):
            low[case, p] = high[case, p] = scratch.work.reals[VALUE + p]
        for r in range(fit.resistors):
            p = parts - fit.resistors + r
            low[case, p], high[case, p] = low[case, p] / whole_range[r, 1], high[case, p] / whole_range[r, 0]
        for other in range(cases):
            for digit in range(fit.digits.shape[1]):
                if fit.digits[case, digit] != fit.digits[other, digit]:
                    apart[case, other] |= 1 << digit
    lamps = fit.sizes.shape[0] - fit.diodes - fit.resistors
    for p in range(parts):
        digit_of[p] = fit.lamp_of[p] if p < filaments else lamps + p - filaments
    for pair in range(demands.same_state.shape[0]):
        for filament in (demands.same_first[pair], demands.same_second[pair]):
            same[demands.same_state[pair]] |= 1 << digit_of[filament]
    scratch.fitted[0] = NONE
    return FittedCases(whole, low, high, apart, digit_of, same)


# the functions below get few arrays and no tuples of many: to count references would cost more than the work


@njit(**INNER)
def _decide(lane: int, missed: bool, live: int, same: int, apart: Ints, digit_of: Ints, task: Ints) -> None:
    """Note what was found of a lane's case, and of all cases that do not differ in this state."""
    case = task[lane, CASE]
    matters = same
    for p in range(digit_of.shape[0]):
        if (live >> p) & 1:
            matters |= 1 << digit_of[p]
    found = 0
    for other in range(apart.shape[0]):
        if apart[case, other] & matters == 0:
            found |= 1 << other
    task[lane, KNOWN] |= found
    if missed:
        task[lane, REFUSED] |= found


@njit(**INNER)
def _lowest(bits: int) -> int:
    """The place of the lowest bit that is set."""
    place = 0
    while (bits >> place) & 1 == 0:
        place += 1
    return place


@njit(**INNER)
def _bind(
    case: int, circuit: int, live: int, state: int, ends: Bytes, vertex_node: Bytes, kinds: Ints, low: Floats,
    high: Floats, box: Floats, whole: Ints,
) -> int:  # fmt: skip
    """Put a case and the ends of a circuit's live parts into the scratch; the number of nodes."""
    for p in range(ends.shape[1]):
        whole[KIND + p], whole[ROW + p] = kinds[case, KIND + p], kinds[case, ROW + p]
        whole[BASE + p] = kinds[case, BASE + p]
        box[LOWER + p], box[UPPER + p] = low[case, p], high[case, p]
    return int(bind_live(ends, circuit, live, vertex_node, state, whole))


@njit(**INNER)
def _take_up(lane: int, order: Ints, cases: int, task: Ints, own: Ints, after: Ints, queue: Ints) -> bool:
    """Give a lane the next circuit; False where there is none."""
    circuit = queue[0]
    if circuit != NONE:
        queue[0] = after[circuit]
    elif queue[1] < after.shape[0]:
        circuit = queue[1]
        queue[1] += 1
    else:
        return False
    for at in range(order.shape[0]):
        own[lane, at] = order[at]
    task[lane, CIRCUIT], task[lane, PLACE], task[lane, ASKED] = circuit, NONE, (1 << cases) - 1
    return True


@njit(**INNER)
def _recall(
    lane: int,
    lamps: int,
    extras: int,
    slot: int,
    task: Ints,
    after: Ints,
    key: Ints,
    known: Ints,
    refused: Ints,
) -> bool:
    """Read what is known of a live net at a lane's new corner; False where another lane is at it."""
    held = key[slot, 0] == lamps and key[slot, 1] == extras
    for other in range(LANES):
        if task[other, SLOT] == slot:
            if held:
                circuit = task[lane, CIRCUIT]
                after[circuit] = task[other, WAITING]
                task[other, WAITING] = circuit
            return not held
    if not held:
        key[slot, 0], key[slot, 1] = lamps, extras
        known[slot] = refused[slot] = 0
    task[lane, SLOT] = slot
    task[lane, KNOWN], task[lane, REFUSED] = known[slot], refused[slot]
    return True


@njit(**INNER)
def _leave_corner(lane: int, task: Ints, after: Ints, queue: Ints, known: Ints, refused: Ints) -> None:
    """Remember what was found at a corner, and let those that waited for it go on."""
    slot = task[lane, SLOT]
    if slot != NONE:
        known[slot], refused[slot] = task[lane, KNOWN], task[lane, REFUSED]
        task[lane, SLOT] = NONE
    while task[lane, WAITING] != NONE:
        circuit = task[lane, WAITING]
        task[lane, WAITING] = after[circuit]
        after[circuit] = queue[0]
        queue[0] = circuit
    task[lane, ASKED] &= ~task[lane, REFUSED]


@njit(**INNER)
def _end_circuit(lane: int, order: Ints, left: Bytes, task: Ints, own: Ints) -> None:
    """Note whether a circuit is left; a corner that refused moves to the front."""
    left[task[lane, CIRCUIT]] = task[lane, ASKED] != 0
    if task[lane, ASKED] == 0:
        corner = own[lane, task[lane, PLACE]]
        before, at = corner, 0
        while at == 0 or before != corner:
            before, order[at] = order[at], before
            at += 1
    task[lane, CIRCUIT] = NONE


@njit(**INNER)
def _find_case(
    lane: int, cases: int, filaments: int, diodes: int, ends: Bytes, lives: Ints, vertex_node: Bytes,
    order: Ints, left: Bytes, task: Ints, own: Ints, after: Ints, queue: Ints, key: Ints, known: Ints,
    refused: Ints,
) -> bool:  # fmt: skip
    """Go on with a lane's circuit, or the next, until a case is open; False where there is none."""
    while True:
        if task[lane, CIRCUIT] == NONE:
            if not _take_up(lane, order, cases, task, own, after, queue):
                return False
        else:
            open_cases = task[lane, ASKED] & ~task[lane, KNOWN]
            if open_cases != 0:
                task[lane, CASE] = _lowest(open_cases)
                return True
            _leave_corner(lane, task, after, queue, known, refused)
            if task[lane, ASKED] == 0 or task[lane, PLACE] + 1 == order.shape[0]:
                _end_circuit(lane, order, left, task, own)
                continue
        task[lane, PLACE] += 1
        task[lane, KNOWN] = task[lane, REFUSED] = 0
        task[lane, SLOT] = task[lane, NODES] = NONE
        if key.shape[0] > 0:
            circuit, corner = task[lane, CIRCUIT], own[lane, task[lane, PLACE]]
            lamps, extras, slot = net_key(
                circuit, corner, ends, lives, vertex_node, filaments, diodes, key.shape[0]
            )
            if not _recall(lane, lamps, extras, slot, task, after, key, known, refused):
                task[lane, CIRCUIT] = NONE


@njit(**INNER)
def _refuse(
    ends: Bytes, lives: Ints, vertex_node: Bytes, gates: Gates, filaments: int, diodes: int, demands: Demands,
    limits: Limits, supplies: Floats, models: Models, kinds: Ints, low: Floats, high: Floats, apart: Ints,
    digit_of: Ints, same: Ints, key: Ints, known: Ints, refused: Ints, order: Ints, left: Bytes, task: Ints,
    own: Ints, after: Ints, queue: Ints, box: Floats, whole: Ints, lanes: LaneBoxes,
) -> None:  # fmt: skip
    """As `refuse_in_lanes`, all taken apart."""
    busy = ended = lost = int(0)
    while True:
        for lane in range(LANES):
            bit = 1 << lane
            if busy & ~ended & bit:
                continue
            begins, plain, busy = ended & bit == 0, lost & bit != 0, busy | bit
            while True:
                if begins and not _find_case(
                    lane, kinds.shape[0], filaments, diodes, ends, lives, vertex_node, order, left, task, own,
                    after, queue, key, known, refused,
                ):  # fmt: skip
                    clear_lane(lane, lanes)
                    busy &= ~bit
                    break
                corner, circuit = own[lane, task[lane, PLACE]], task[lane, CIRCUIT]
                state, supply = corner // 3, corner % 3
                live, volts, case = lives[circuit, state], supplies[supply], task[lane, CASE]
                count = _bind(case, circuit, live, state, ends, vertex_node, kinds, low, high, box, whole)
                if begins:
                    plain = not put_network(lane, ends.shape[1], count, volts, models, box, whole, lanes)
                    seek_upper(lane, task[lane, NODES] != count, lanes)
                    task[lane, NODES] = count
                    if count > 2 and not plain:
                        break
                if plain:
                    task[lane, NODES] = NONE
                    found = judge_box(
                        state, supply, volts, live, ends, circuit, vertex_node, gates, demands, limits,
                        models, box, whole,
                    )  # fmt: skip
                else:
                    take_bounds(lane, box, lanes)
                    found = judge_lights(supply, state, demands, limits, box, whole)
                    if found != MISSED and count > 2 and is_upper(lane, lanes):
                        seek_lower(lane, lanes)
                        break
                    if found != MISSED:
                        found = judge_others(state, ends, circuit, gates, demands, limits, models, box, whole)
                _decide(lane, found == MISSED, live, same[state], apart, digit_of, task)
                begins = True
        if busy == 0:
            return
        done, lost = advance(busy, models, lanes)
        ended = done | lost


@njit(**ENTRY)
def refuse_in_lanes(
    whole_range: Floats,
    circuits: RangedCircuits,
    tables: JudgingTables,
    scratch: RangeScratch,
    memory: RangeMemory,
    order: Ints,
    left: Bytes,
) -> None:
    """Strike out every circuit that one box with the whole range refuses in every case, at nominal parts.

    As `ranges.refuse_whole`, for at most MOST_CASES cases. whole_range: (resistors, 2) [ohm]. order:
    (3 * states,). left: (circuits,), filled here.
    """
    fit = circuits.fit
    kinds, low, high, apart, digit_of, same = _fitted(whole_range, circuits, tables, scratch)
    task, own = np.full((LANES, 9), NONE, np.int64), np.zeros((LANES, order.shape[0]), np.int64)
    _refuse(
        circuits.ends, circuits.live, circuits.vertex_node, circuits.gates, fit.lamp_of.shape[0], fit.diodes,
        tables.demands, tables.limits, tables.volts, tables.models, kinds, low, high, apart, digit_of, same,
        memory.key, memory.known, memory.refused, order, left, task, own,
        np.zeros(circuits.ends.shape[0], np.int64), np.array([NONE, 0]), scratch.box, scratch.work.whole,
        new_lane_boxes(),
    )  # fmt: skip
