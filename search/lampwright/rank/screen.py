"""The first judgement, compiled: every candidate, every choice, nominal parts.

A candidate is a placing of parts; a choice fits a type to every lamp and diode and
ohms to every resistor. A pair of both survives when every filament is within its
band in every state at normal, low and high supply. Tolerances come later: they can
only refuse more, so nothing that meets the spec is lost here.

In one state only the parts on live-to-ground paths carry current. Choices that differ
in other parts alone share one operating point, and states with the fewest such points
are tried first, so that one solution often refuses every choice at once.
"""

from typing import NamedTuple

import numpy as np
from numba import njit

from lampwright.graphs.between import Words, edges_between, recall_pairs
from lampwright.rank.demands import Demands, Limits
from lampwright.solve.laws import (
    DIODE,
    FILAMENT,
    RESISTOR,
    Bytes,
    Floats,
    Ints,
    Models,
    base_of,
    filament_stops,
)
from lampwright.solve.newton import (
    BASE,
    CURRENT,
    KIND,
    ROW,
    VALUE,
    Workspace,
    bind_ends,
    cold_start,
    drop_of,
    solve_bound,
)

SLACK_VOLTS = 1e-6
"""Screening forgives so much, so that rounding never loses what the full judge would keep."""


class Fit(NamedTuple):
    """How digits of a choice become part models.

    lamp_of: (filaments,) the lamp (digit) that decides its type.
    model: (filaments, types) the filament's model for each type of its lamp.
    siemens: (values,) the resistor values on offer. sizes: (digits,) how many types or
    values each digit has: lamps, then diodes, then resistors. digits: (choices, digits).
    """

    lamp_of: Ints
    model: Ints
    siemens: Floats
    sizes: Ints
    digits: Ints
    diodes: int
    resistors: int


class Scene(NamedTuple):
    """The states of one cell: vertex_node (states, vertices); vertices of each pair; memory of paths."""

    vertex_node: Bytes
    low_end: Ints
    high_end: Ints
    memory: Words


@njit(cache=True, nogil=True)
def fit_choice(choice: int, fit: Fit, models: Models, work: Workspace) -> None:
    """Write kind, model row, place in the table and value of every part under a choice number."""
    reals, whole, digits = work.reals, work.whole, fit.digits[choice]
    filaments = fit.lamp_of.shape[0]
    lamps = fit.sizes.shape[0] - fit.diodes - fit.resistors
    for f in range(filaments):
        whole[KIND + f] = FILAMENT
        whole[ROW + f] = fit.model[f, digits[fit.lamp_of[f]]]
        reals[VALUE + f] = 1.0
    for d in range(fit.diodes):
        whole[KIND + filaments + d] = DIODE
        whole[ROW + filaments + d] = digits[lamps + d]
        reals[VALUE + filaments + d] = 0.0
    for r in range(fit.resistors):
        p = filaments + fit.diodes + r
        whole[KIND + p] = RESISTOR
        whole[ROW + p] = 0
        reals[VALUE + p] = fit.siemens[digits[lamps + fit.diodes + r]]
    for p in range(filaments + fit.diodes + fit.resistors):
        whole[BASE + p] = base_of(whole[KIND + p], whole[ROW + p], models.filaments)


@njit(cache=True, nogil=True)
def _lights_pass(
    state: int, filaments: int, low: Floats, high: Floats, most: Floats, reals: Floats, whole: Ints
) -> bool:
    """Whether every filament's volts are within its band, and within its rating."""
    for f in range(filaments):
        size = abs(drop_of(f, reals, whole))
        row = whole[ROW + f]
        if size < low[state, f, row] - SLACK_VOLTS or size > high[state, f, row] + SLACK_VOLTS:
            return False
        if size > most[row] + SLACK_VOLTS:
            return False
    return True


@njit(cache=True, nogil=True)
def _loads_pass(first: int, parts: int, limits: Limits, reals: Floats, whole: Ints) -> bool:
    """Whether every diode and resistor is within its rating."""
    for p in range(first, parts):
        i = reals[CURRENT + p]
        if whole[KIND + p] == DIODE:
            if i > limits.diode_amps[whole[ROW + p]]:
                return False
        elif abs(i * drop_of(p, reals, whole)) > limits.watts:
            return False
    return True


@njit(cache=True, nogil=True)
def same_margin(pair: int, demands: Demands, limits: Limits, models: Models, work: Workspace) -> float:
    """By how many stops two lamps' light stays within its ratio; 10 where both are off."""
    reals, whole = work.reals, work.whole
    a = demands.same_first[pair]
    b = demands.same_second[pair]
    row_a, row_b = whole[ROW + a], whole[ROW + b]
    sa = filament_stops(drop_of(a, reals, whole), row_a, models.table, models.stops)
    sb = filament_stops(drop_of(b, reals, whole), row_b, models.table, models.stops)
    if sa <= demands.off_stops and sb <= demands.off_stops:
        return 10.0
    ratio = sa + limits.lumens_stops[row_a] - sb - limits.lumens_stops[row_b]
    return float(min(ratio - demands.same_low[pair], demands.same_high[pair] - ratio))


@njit(cache=True, nogil=True)
def _same_pass(state: int, demands: Demands, limits: Limits, models: Models, work: Workspace) -> bool:
    """Whether all lamps that must match in this state do."""
    for pair in range(demands.same_state.shape[0]):
        if demands.same_state[pair] == state and same_margin(pair, demands, limits, models, work) < -1e-6:
            return False
    return True


@njit(cache=True, nogil=True)
def _is_met(
    parts: int,
    count: int,
    state: int,
    volts: float,
    demands: Demands,
    limits: Limits,
    models: Models,
    work: Workspace,
    tally: Ints,
) -> bool:
    """Whether the fitted circuit, its ends bound, meets one state at one supply."""
    filaments = demands.low_volts.shape[1]
    steps, _ = solve_bound(parts, count, volts, models.table, work.reals, work.whole)
    tally[0] += 1
    if steps < 0:
        tally[1] += 1
        return False
    return (
        _lights_pass(
            state, filaments, demands.low_volts, demands.high_volts, limits.lamp_volts, work.reals, work.whole
        )
        and _loads_pass(filaments, parts, limits, work.reals, work.whole)
        and _same_pass(state, demands, limits, models, work)
    )


@njit(cache=True, nogil=True)
def _live_parts(
    ends: Bytes, circuit: int, support: int, state: int, fit: Fit, scene: Scene, scratch: Ints
) -> int:
    """The parts (bit set) on a live-to-ground path in a state, diodes forward."""
    first = fit.lamp_of.shape[0]
    if fit.diodes > 0:
        return int(edges_between(ends, circuit, first, first + fit.diodes, scene.vertex_node, state, scratch))
    pairs = recall_pairs(
        state, support, scene.vertex_node, scene.low_end, scene.high_end, scratch, scene.memory
    )
    vertices = scene.vertex_node.shape[1]
    live = 0
    for p in range(ends.shape[1]):
        low, high = (
            min(ends[circuit, p, 0], ends[circuit, p, 1]),
            max(ends[circuit, p, 0], ends[circuit, p, 1]),
        )
        pair = low * vertices - low * (low + 1) // 2 + high - low - 1
        live |= ((pairs >> pair) & 1) << p
    return live


@njit(cache=True, nogil=True)
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


@njit(cache=True, nogil=True)
def _refuse_choices(
    ends: Bytes,
    circuit: int,
    state: int,
    volts: float,
    fit: Fit,
    scene: Scene,
    strides: Ints,
    demands: Demands,
    limits: Limits,
    models: Models,
    work: Workspace,
    known: Bytes,
    alive: Bytes,
    tally: Ints,
) -> int:
    """Strike out the living choices that a state refuses; how many are left."""
    left = 0
    # each point starts from the one before: choices that follow each other differ little
    count = bind_ends(ends, circuit, scene.vertex_node, state, work.whole)
    cold_start(count, volts, work.reals)
    for choice in range(alive.shape[0]):
        if alive[choice] == 0:
            continue
        point = 0
        for digit in range(strides.shape[0]):
            point += strides[digit] * fit.digits[choice, digit]
        if known[point] == 0:
            fit_choice(choice, fit, models, work)
            met = _is_met(ends.shape[1], count, state, volts, demands, limits, models, work, tally)
            known[point] = 1 if met else 2
        if known[point] == 2:
            alive[choice] = 0
        else:
            left += 1
    return left


@njit(cache=True, nogil=True)
def _living_choices(
    ends: Bytes,
    circuit: int,
    support: int,
    order: Ints,
    fit: Fit,
    scene: Scene,
    demands: Demands,
    limits: Limits,
    volts: Floats,
    models: Models,
    work: Workspace,
    scratch: tuple[Ints, Ints, Ints, Ints, Ints, Bytes],
    alive: Bytes,
    tally: Ints,
) -> int:
    """Try a circuit in every state and at every supply; how many choices live through all."""
    strides, lives, points, done, stack, known = scratch
    alive[:] = 1
    left = int(alive.shape[0])
    for state in order:
        lives[state] = _live_parts(ends, circuit, support, state, fit, scene, stack)
        points[state] = _mark_strides(ends.shape[1], lives[state], fit, strides)
    for supply in range(volts.shape[0]):
        done[:] = 0
        for _ in range(order.shape[0]):
            # the state with fewest points comes next; of equals, the one that refused last
            k = -1
            for at in range(order.shape[0]):
                if done[at] == 0 and (k < 0 or points[order[at]] < points[order[k]]):
                    k = at
            done[k] = 1
            state = order[k]
            known[: _mark_strides(ends.shape[1], lives[state], fit, strides)] = 0
            left = _refuse_choices(
                ends, circuit, state, volts[supply], fit, scene, strides,
                demands, limits, models, work, known, alive, tally,
            )  # fmt: skip
            if left == 0:
                order[1 : k + 1] = order[:k].copy()
                order[0] = state
                return 0
    return left


@njit(cache=True, nogil=True)
def screen(
    ends: Bytes,
    masks: Ints,
    first: int,
    order: Ints,
    fit: Fit,
    scene: Scene,
    demands: Demands,
    limits: Limits,
    volts: Floats,
    models: Models,
    work: Workspace,
    out: Ints,
    tally: Ints,
) -> tuple[int, int]:
    """Judge candidates from `first` on; write (candidate, choice) rows that survive.

    ends: (candidates, parts, 2) vertices; masks: (candidates,) the pairs each covers.
    order: (states,) the order in which states are tried; one that refuses moves to the
    front. volts: (supplies,) [V], tried in order. out: (room, 2). tally: operating points,
    unconverged points. Returns rows written and the next candidate; room must hold all
    choices of one candidate.
    """
    choices = fit.digits.shape[0]
    states = order.shape[0]
    scratch = (
        np.zeros(fit.sizes.shape[0], np.int64), np.zeros(states, np.int64), np.zeros(states, np.int64),
        np.zeros(states, np.int64), np.zeros(64, np.int64), np.zeros(choices, np.int8),
    )  # fmt: skip
    alive = np.zeros(choices, np.int8)
    written = 0
    for circuit in range(first, ends.shape[0]):
        if written + choices > out.shape[0]:
            return written, circuit
        left = _living_choices(
            ends, circuit, masks[circuit], order, fit, scene, demands, limits, volts, models, work,
            scratch, alive, tally,
        )  # fmt: skip
        if left > 0:
            for choice in range(choices):
                if alive[choice] == 1:
                    out[written, 0] = circuit
                    out[written, 1] = choice
                    written += 1
    return written, ends.shape[0]
