"""How badly circuits fail, compiled: the worst margin of every choice, and which requirements it misses.

Nominal parts at the three supplies, as in screening, but a failed requirement does not end the
work: what is sought are the choices that come nearest, and the smallest sets of
requirements missed together. A choice is given up when it can be neither: when it
misses more than the near misses known, or as much by more stops (branch and bound), and the
requirements it has missed so far include all those that some sound choice misses in the end.

The worked case: a lamp must be dim in one state and lit in another, and stands straight
across its feed. It fails the first by 2.7 stops and the second not at all: margin -2.7, one bit.

A choice that overloads a part counts only if it misses nothing (or, on a second survey, if
nothing else is there); what controls carry is left to the judge.
"""

from typing import NamedTuple

import numpy as np
from numba import njit

from lampwright.compiled import ENTRY, INNER
from lampwright.diagnosis.candidate_states import (
    OVER,
    SLACK,
    CandidateStates,
    Cutoff,
    Known,
    StateSieve,
    begin,
    fold,
    is_dominated,
    is_near,
    learn,
)
from lampwright.judge.corners import CAP
from lampwright.judge.fitting import SLACK_VOLTS, fit_choice, same_margin
from lampwright.judge.screen import (
    DONE,
    TRIED,
    ScreenedStates,
    _claim_slot,
    _mark_strides,
    _net_slot,
    point_room,
)
from lampwright.problem.demands import Demands, Fit, Limits, Numbered
from lampwright.solve.laws import DIODE, Bytes, Floats, Ints, Models, filament_stops
from lampwright.solve.newton import CURRENT, KIND, ROW, Workspace, bind_ends, cold_start, drop_of, solve_bound

UNKNOWN = -1


class Question(NamedTuple):
    """What is held against every circuit of a cell: choices, states, what is asked, at which supplies.

    volts: (3,) low, normal, high [V].
    """

    fit: Fit
    scene: ScreenedStates
    asked: Numbered
    demands: Demands
    limits: Limits
    volts: Floats
    models: Models


class Memo(NamedTuple):
    """Remembered points of live nets: (slots, points) margin [stops] and failures; see `ScreenedStates`."""

    margin: Floats
    failed: Ints


class Scratch(NamedTuple):
    """Room to work in for the circuits of a cell; strides by digit, the others by state or point."""

    strides: Ints
    cost: Ints
    margins: Floats
    failures: Ints


class Finds(NamedTuple):
    """Choices that count: (room, 2) circuit and choice, (room,) margin, (room, words) mask, (room, 2) flags.

    Flags: a rating exceeded; first with a new smallest mask.
    """

    pair: Ints
    margin: Floats
    mask: Ints
    flags: Bytes


@njit(**INNER)
def _overloads(parts: int, filaments: int, limits: Limits, work: Workspace) -> bool:
    """Whether some part is beyond its rating."""
    reals, whole = work.reals, work.whole
    for p in range(parts):
        if p < filaments:
            if abs(drop_of(p, reals, whole)) > limits.lamp_volts[whole[ROW + p]] + SLACK_VOLTS:
                return True
        elif whole[KIND + p] == DIODE:
            if reals[CURRENT + p] > limits.diode_amps[whole[ROW + p]]:
                return True
        elif abs(reals[CURRENT + p] * drop_of(p, reals, whole)) > limits.watts:
            return True
    return False


@njit(**INNER)
def read_point(
    parts: int, count: int, state: int, supply: int, question: Question, work: Workspace
) -> tuple[float, int]:
    """Solve a state of the fitted circuit, its ends bound, at a supply.

    Returns its worst margin [stops] and its failures: bit f for filament f, then a bit for each
    pair of this state that must match, and OVER.
    """
    asked, demands, limits, models = question.asked, question.demands, question.limits, question.models
    reals, whole = work.reals, work.whole
    filaments = asked.cell.shape[1]
    steps, _ = solve_bound(parts, count, question.volts[supply], models.table, reals, whole)
    if steps < 0:
        return -np.inf, OVER
    worst = CAP
    failed = OVER if _overloads(parts, filaments, limits, work) else 0
    for f in range(filaments):
        if asked.cell[state, f] >= 0:
            row = whole[ROW + f]
            stops = filament_stops(drop_of(f, reals, whole), row, models.table, models.stops)
            low, high = demands.low_stops[supply, state, f, row], demands.high_stops[supply, state, f, row]
            margin = min(stops - low, high - stops)
            worst = min(worst, margin)
            if margin < -SLACK:
                failed |= 1 << f
    first = asked.same_from[state]
    for pair in range(first, asked.same_from[state + 1]):
        margin = same_margin(pair, demands, limits, models, work)
        worst = min(worst, margin)
        if margin < -SLACK:
            failed |= 1 << (filaments + pair - first)
    return worst, failed


@njit(**INNER)
def _survey_state(
    ends: Bytes,
    circuit: int,
    state: int,
    supply: int,
    question: Question,
    work: Workspace,
    scratch: Scratch,
    sieve: StateSieve,
) -> int:
    """Take every living choice through one state; how many live on.

    scratch: with the points of this state's live net, as far as they are known, and its strides.
    """
    strides, margins, failures = scratch.strides, scratch.margins, scratch.failures
    digits, alive = question.fit.digits, sieve.states.alive
    left = 0
    count = int(0)
    for choice in range(alive.shape[0]):
        if alive[choice] == 0:
            continue
        point = 0
        for digit in range(strides.shape[0]):
            point += strides[digit] * digits[choice, digit]
        if failures[point] == UNKNOWN:
            if count == 0:
                count = bind_ends(ends, circuit, question.scene.vertex_node, state, work.whole)
                cold_start(count, question.volts[supply], work.reals)
            fit_choice(choice, question.fit, question.models, work)
            margins[point], failures[point] = read_point(ends.shape[1], count, state, supply, question, work)
        fold(choice, margins[point], failures[point], state, question.asked, sieve)
        if sieve.states.fresh[choice] == 1 or is_near(choice, sieve.cutoff, sieve.states):
            left += 1
        else:
            alive[choice] = 0
    return left


@njit(**INNER)
def _survey_circuit(
    ends: Bytes,
    circuit: int,
    lives: Ints,
    question: Question,
    work: Workspace,
    memo: Memo,
    scratch: Scratch,
    sieve: StateSieve,
) -> int:
    """Take a circuit through every state and supply, states with fewest points first; choices that count."""
    fit, scene = question.fit, question.scene
    strides, cost, margins, failures = scratch
    begin(sieve.known, sieve.states)
    left = int(sieve.states.alive.shape[0])
    states = lives.shape[0]
    for supply in TRIED:
        for state in range(states):
            cost[state] = _mark_strides(ends.shape[1], lives[state], fit, strides)
        for _ in range(states):
            state = int(np.argmin(cost))
            cost[state] = DONE
            points = _mark_strides(ends.shape[1], lives[state], fit, strides)
            tag = 4 * state + supply
            slot, held = _net_slot(ends, circuit, lives[state], tag, points, fit, scene)
            if slot < 0:
                failures[:points] = UNKNOWN
            elif not held:
                _claim_slot(slot, ends, circuit, lives[state], tag, fit, scene)
                memo.failed[slot, :] = UNKNOWN
            own = Scratch(
                strides=strides,
                cost=cost,
                margins=margins if slot < 0 else memo.margin[slot],
                failures=failures if slot < 0 else memo.failed[slot],
            )
            left = _survey_state(ends, circuit, state, supply, question, work, own, sieve)
            if left == 0:
                return 0
    return left


@njit(**INNER)
def _keep(circuit: int, known: Known, candidate_states: CandidateStates, written: int, finds: Finds) -> int:
    """Write the living choices of a circuit behind those written; how many there are now."""
    for choice in range(candidate_states.alive.shape[0]):
        if candidate_states.alive[choice] == 1:
            fresh = candidate_states.fresh[choice] == 1 and not is_dominated(
                candidate_states.mask[choice], known
            )
            if fresh:
                fresh = learn(candidate_states.mask[choice], known)
            finds.pair[written, 0] = circuit
            finds.pair[written, 1] = choice
            finds.margin[written] = candidate_states.worst[choice]
            finds.mask[written] = candidate_states.mask[choice]
            finds.flags[written, 0] = candidate_states.over[choice]
            finds.flags[written, 1] = 1 if fresh else 0
            written += 1
    return written


@njit(**ENTRY)
def survey(
    ends: Bytes,
    live: Ints,
    first: int,
    question: Question,
    work: Workspace,
    memo: Memo,
    cutoff: Cutoff,
    known: Known,
    finds: Finds,
) -> tuple[int, int]:
    """Survey candidates from `first` on; write the choices that may be near misses or miss a new set.

    ends: (candidates, parts, 2) vertices; live: (candidates, states) the parts (bit
    set) that may carry current. Returns rows
    written and the next candidate; finds must have room for all choices of one candidate.
    """
    fit, states, words = question.fit, question.scene.vertex_node.shape[0], finds.mask.shape[1]
    choices = fit.digits.shape[0]
    scratch = Scratch(
        strides=np.zeros(fit.sizes.shape[0], np.int64), cost=np.zeros(states, np.int64),
        margins=np.zeros(point_room(fit)), failures=np.zeros(point_room(fit), np.int64),
    )  # fmt: skip
    candidate_states = CandidateStates(
        worst=np.zeros(choices), mask=np.zeros((choices, words), np.int64),
        missed=np.zeros(choices, np.int64),
        over=np.zeros(choices, np.int8), fresh=np.zeros(choices, np.int8), alive=np.zeros(choices, np.int8),
    )  # fmt: skip
    sieve = StateSieve(cutoff, known, candidate_states)
    written = int(0)
    for circuit in range(first, ends.shape[0]):
        if written + choices > finds.pair.shape[0]:
            return written, circuit
        left = _survey_circuit(ends, circuit, live[circuit], question, work, memo, scratch, sieve)
        if left > 0:
            written = _keep(circuit, known, candidate_states, written, finds)
    return written, ends.shape[0]
