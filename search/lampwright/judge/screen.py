"""The first judgement, compiled: every candidate, every choice, nominal parts.

A candidate is a placing of parts; a choice fits a type to every lamp and diode and
ohms to every resistor. A pair of both survives when every filament is within its
band in every state at normal, low and high supply. Tolerances come later: they can
only refuse more, so nothing that meets the spec is lost here.

In one state only the parts on live-to-ground paths carry current. Choices that differ
in other parts alone share one operating point, and states with the fewest such points
are tried first, so that one solution often refuses every choice at once. Circuits that
share such a live net share its points: they are remembered by an exact key.
"""

from typing import NamedTuple

import numpy as np
from numba import njit

from lampwright.compiled import ENTRY, INNER
from lampwright.graphs.between import edges_by_row
from lampwright.graphs.slots import slot_of_words
from lampwright.judge.fitting import bring_forward, fit_choice, is_met
from lampwright.problem.demands import Demands, Fit, JudgingTables, Limits
from lampwright.solve.lane_newton import Lanes, new_lanes, set_lane, solve_lanes, start_lane, take_lane
from lampwright.solve.lanes import LANES
from lampwright.solve.laws import Bytes, Floats, Ints, Models
from lampwright.solve.newton import Workspace, bind_live

SLOTS = 2**16
"""How many live nets are remembered at once; 5 MB with their points."""

MOST_POINTS = 64
"""Live nets with more points than this are not remembered."""

TRIED = (1, 0, 2)
"""Supplies in the order in which they are tried: normal, low, high."""

UNKNOWN, MET, REFUSED, ASKED = 0, 1, 2, 3
"""What is known of an operating point."""

DONE = 2**40
"""The cost of a state that has been tried."""


class ScreenedStates(NamedTuple):
    """The states of one cell, and what is remembered of them.

    vertex_node: (states, vertices). net: (slots, 2) keys of live nets and points:
    (slots, MOST_POINTS) UNKNOWN, MET or REFUSED; no slots where nothing is kept.
    """

    vertex_node: Bytes
    net: Ints
    points: Bytes


class Candidates(NamedTuple):
    """Circuits to be screened, from number `first` on.

    ends: (candidates, parts, 2) vertices; live: (candidates, states) the parts (bit set) on a
    live-to-ground path in each state, diodes forward.
    """

    ends: Bytes
    live: Ints
    first: int


class Screening(NamedTuple):
    """What is written while circuits are screened.

    order: (states,) the order in which states are tried; one that refuses moves to the front.
    out: (room, 2) candidate and choice; room must hold all choices of one candidate. tally: (2,)
    operating points, and those without a solution.
    """

    order: Ints
    out: Ints
    tally: Ints


def scene_of(vertex_node: Bytes, *, slots: int) -> ScreenedStates:
    """The scene of these states (states, vertices), with so many slots for live nets; 0: none is kept."""
    return ScreenedStates(
        vertex_node=vertex_node,
        net=np.zeros((slots, 2), np.int64),
        points=np.zeros((slots, MOST_POINTS), np.int8),
    )


def live_parts(ends: Bytes, fit: Fit, vertex_node: Bytes) -> Ints:
    """The parts (bit set) on a live-to-ground path in each state, diodes forward: (circuits, states).

    ends: (circuits, parts, 2); vertex_node: (states, vertices). For few circuits: a listing brings its own.
    """
    first = len(fit.lamp_of)
    live: Ints = edges_by_row(ends, first, first + fit.diodes, vertex_node)
    return live


@njit(**INNER)
def _net_key(
    ends: Bytes, circuit: int, live: int, tag: int, fit: Fit, scene: ScreenedStates
) -> tuple[int, int]:
    """An exact key of the live net in a state and supply (the tag): (-1, -1) for one too large.

    For every live part the two nodes it joins in this state, in the order of parts.
    """
    filaments = fit.lamp_of.shape[0]
    state = tag // 4
    lamps = 0
    extras = tag + 1
    for p in range(ends.shape[1]):
        code = 0
        if (live >> p) & 1:
            a = int(scene.vertex_node[state, ends[circuit, p, 0]])
            b = int(scene.vertex_node[state, ends[circuit, p, 1]])
            if a > 15 or b > 15:
                return -1, -1
            is_arc = filaments <= p < filaments + fit.diodes
            code = 16 * a + b if a < b or is_arc else 16 * b + a
        if p < filaments:
            lamps = lamps * 256 + code
        else:
            extras = extras * 256 + code
    return lamps, extras


@njit(**INNER)
def _net_slot(
    ends: Bytes, circuit: int, live: int, tag: int, points: int, fit: Fit, scene: ScreenedStates
) -> tuple[int, bool]:
    """The slot for this live net's points, and whether it holds them already; slot -1 for none."""
    slots = scene.net.shape[0]
    filaments = fit.lamp_of.shape[0]
    if slots == 0 or points > MOST_POINTS or filaments > 7 or ends.shape[1] - filaments > 5:
        return -1, False
    lamps, extras = _net_key(ends, circuit, live, tag, fit, scene)
    if extras < 0:
        return -1, False
    slot = slot_of_words(lamps, extras, slots)
    return slot, scene.net[slot, 0] == lamps and scene.net[slot, 1] == extras


@njit(**INNER)
def _claim_slot(
    slot: int, ends: Bytes, circuit: int, live: int, tag: int, fit: Fit, scene: ScreenedStates
) -> None:
    """Give a slot to this live net, nothing known of it yet."""
    scene.net[slot, 0], scene.net[slot, 1] = _net_key(ends, circuit, live, tag, fit, scene)
    scene.points[slot, :] = 0


@njit(**INNER)
def _mark_strides(parts: int, live: int, fit: Fit, strides: Ints) -> int:
    """Give every digit that a live part depends on a stride, the others 0; how many points differ."""
    strides[:] = 0
    filaments = fit.lamp_of.shape[0]
    lamps = fit.sizes.shape[0] - fit.diodes - fit.resistors
    points = 1
    for p in range(parts):
        digit = fit.lamp_of[p] if p < filaments else lamps + p - filaments
        if (live >> p) & 1 and strides[digit] == 0 and fit.sizes[digit] > 1:
            strides[digit] = points
            points *= fit.sizes[digit]
    return points


@njit(**INNER)
def point_room(fit: Fit) -> int:
    """The most points that differ: all products of digits, also those that no choice has."""
    room = 1
    for size in fit.sizes:
        room *= size
    return int(room)


@njit(**INNER)
def _point_of(choice: int, strides: Ints, digits: Ints) -> int:
    """The operating point that a choice has, by the digits that live parts depend on."""
    point = 0
    for digit in range(strides.shape[0]):
        point += strides[digit] * digits[choice, digit]
    return point


@njit(**INNER)
def _solve_points(
    used: int,
    parts: int,
    count: int,
    state: int,
    supply: int,
    demands: Demands,
    limits: Limits,
    models: Models,
    work: Workspace,
    lanes: Lanes,
    known: Bytes,
    points: Ints,
    tally: Ints,
) -> None:
    """Solve the points that stand in the first lanes, and note which of them meet the state."""
    failed = solve_lanes(used, parts, count, models, work, lanes)
    tally[0] += used
    for lane in range(used):
        met = False
        if (failed >> lane) & 1:
            tally[1] += 1
        else:
            take_lane(lane, parts, count, models, work, lanes)
            met = is_met(parts, state, supply, demands, limits, models, work)
        known[points[lane]] = MET if met else REFUSED


@njit(**INNER)
def _refuse_choices(
    ends: Bytes,
    circuit: int,
    live: int,
    state: int,
    supply: int,
    volts: float,
    fit: Fit,
    scene: ScreenedStates,
    strides: Ints,
    demands: Demands,
    limits: Limits,
    models: Models,
    work: Workspace,
    lanes: Lanes,
    known: Bytes,
    alive: Bytes,
    points: Ints,
    tally: Ints,
) -> int:
    """Strike out the living choices that a state refuses; how many are left."""
    parts = ends.shape[1]
    used = int(0)
    count = int(0)
    for choice in range(alive.shape[0]):
        if alive[choice] == 0:
            continue
        point = _point_of(choice, strides, fit.digits)
        if known[point] != UNKNOWN:
            continue
        if count == 0:
            count = bind_live(ends, circuit, live, scene.vertex_node, state, work.whole)
            for lane in range(LANES):
                start_lane(lane, count, volts, lanes)
        known[point] = ASKED
        points[used] = point
        fit_choice(choice, fit, models, work)
        set_lane(used, parts, models, work, lanes)
        used += 1
        if used == LANES:
            # later points start from those before: choices in a row differ little
            _solve_points(
                used, parts, count, state, supply, demands, limits, models, work, lanes, known, points, tally
            )
            used = int(0)
    if used > 0:
        _solve_points(
            used, parts, count, state, supply, demands, limits, models, work, lanes, known, points, tally
        )
    left = 0
    for choice in range(alive.shape[0]):
        if alive[choice] == 1:
            if known[_point_of(choice, strides, fit.digits)] == REFUSED:
                alive[choice] = 0
            else:
                left += 1
    return left


@njit(**INNER)
def _living_choices(
    ends: Bytes,
    circuit: int,
    lives: Ints,
    order: Ints,
    fit: Fit,
    scene: ScreenedStates,
    demands: Demands,
    limits: Limits,
    volts: Floats,
    models: Models,
    work: Workspace,
    lanes: Lanes,
    scratch: tuple[Ints, Ints, Ints, Ints, Bytes],
    alive: Bytes,
    tally: Ints,
) -> int:
    """Try a circuit in every state and at every supply; how many choices live through all."""
    strides, cost, slots, asked, known = scratch
    alive[:] = 1
    left = int(alive.shape[0])
    for supply in TRIED:
        for state in order:
            cost[state] = _mark_strides(ends.shape[1], lives[state], fit, strides)
            slot, held = _net_slot(ends, circuit, lives[state], 4 * state + supply, cost[state], fit, scene)
            slots[state] = slot
            if held:
                cost[state] = 0
        for _ in range(order.shape[0]):
            # the cheapest state comes next; of equals, the one that refused last
            k = -1
            for at in range(order.shape[0]):
                if cost[order[at]] < DONE and (k < 0 or cost[order[at]] < cost[order[k]]):
                    k = at
            state = order[k]
            slot = slots[state]
            points = _mark_strides(ends.shape[1], lives[state], fit, strides)
            if slot < 0:
                known[:points] = 0
            elif not _net_slot(ends, circuit, lives[state], 4 * state + supply, points, fit, scene)[1]:
                _claim_slot(slot, ends, circuit, lives[state], 4 * state + supply, fit, scene)
            cost[state] = DONE
            left = _refuse_choices(
                ends, circuit, lives[state], state, supply, volts[supply], fit, scene, strides, demands,
                limits, models, work, lanes, known if slot < 0 else scene.points[slot], alive, asked, tally,
            )  # fmt: skip
            if left == 0:
                bring_forward(order, k)
                return 0
    return left


@njit(**ENTRY)
def screen(
    candidates: Candidates,
    fit: Fit,
    scene: ScreenedStates,
    tables: JudgingTables,
    work: Workspace,
    screening: Screening,
) -> tuple[int, int]:
    """Judge candidates, and write those (candidate, choice) that survive at all supplies, as `TRIED` says.

    Returns rows written and the next candidate.
    """
    # the inner loops get few flat arrays, so all is taken apart here, once for many circuits
    ends, live, first = candidates
    demands, limits, volts, models = tables
    order, out, tally = screening
    choices = fit.digits.shape[0]
    states = order.shape[0]
    scratch = (
        np.zeros(fit.sizes.shape[0], np.int64), np.zeros(states, np.int64), np.zeros(states, np.int64),
        np.zeros(LANES, np.int64),
        np.zeros(point_room(fit), np.int8),
    )  # fmt: skip
    alive = np.zeros(choices, np.int8)
    lanes = new_lanes()
    written = 0
    for circuit in range(first, ends.shape[0]):
        if written + choices > out.shape[0]:
            return written, circuit
        left = _living_choices(
            ends, circuit, live[circuit], order, fit, scene, demands, limits, volts, models, work, lanes,
            scratch, alive, tally,
        )  # fmt: skip
        if left > 0:
            for choice in range(choices):
                if alive[choice] == 1:
                    out[written, 0] = circuit
                    out[written, 1] = choice
                    written += 1
    return written, ends.shape[0]
