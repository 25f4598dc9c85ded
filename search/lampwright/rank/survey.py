"""How badly circuits fail, compiled: the worst margin of every choice, and which requirements it misses.

Nominal parts at the three supplies, as in screening, but a failed requirement does not end the
work: what is sought are the choices that come nearest, and the smallest sets of
requirements missed together. A choice is given up when it can be neither: when its
margin has fallen below that of the near misses known (branch and bound), and the
requirements it has missed so far include all those that some sound choice misses in the end.

The worked case: a lamp must be dim in one state and lit in another, and stands straight
across its feed. It fails the first by 2.7 stops and the second not at all: margin -2.7, one bit.

A choice that overloads a part counts only if it misses nothing (or, on a second survey, if
nothing else is there); what controls carry is left to the judge.
"""

from typing import NamedTuple

import numpy as np
from numba import njit

from lampwright.rank.cells import WORD, Numbered
from lampwright.rank.corners import CAP
from lampwright.rank.demands import Demands, Limits
from lampwright.rank.fitting import SLACK_VOLTS, Fit, fit_choice, same_margin
from lampwright.rank.screen import DONE, Scene, _claim_slot, _live_parts, _mark_strides, _net_slot
from lampwright.solve.laws import DIODE, Bytes, Floats, Ints, Models, filament_stops
from lampwright.solve.newton import CURRENT, KIND, ROW, Workspace, bind_ends, cold_start, drop_of, solve_bound

SLACK = 1e-6
"""Stops forgiven, so that rounding never marks as missed what the judge calls met."""

OVER = 1 << 61
"""The bit of a point's failures that says: a rating is exceeded, or the point has no solution."""

UNKNOWN = -1


class Bound(NamedTuple):
    """What a choice must beat to count.

    margin [stops] of a near miss; missed: with just that margin, at most so many requirements missed.
    lenient: 1 where choices over a rating may miss requirements as well. few: a set of
    requirements missed is of interest up to this size.
    """

    margin: float
    missed: int
    lenient: int
    few: int


class Memo(NamedTuple):
    """Remembered points of live nets: (slots, points) margin [stops] and failures; see `Scene`."""

    margin: Floats
    failed: Ints


class Known(NamedTuple):
    """The smallest masks of requirements missed by sound choices; held: (1,) how many there are.

    mask: (room, words). None of them includes another.
    """

    mask: Ints
    held: Ints


class Fates(NamedTuple):
    """What became of the choices of one circuit.

    worst: (choices,) [stops]. mask: (choices, words), missed: (choices,) their bits. over,
    fresh, alive: (choices,); fresh: what is missed includes no known set so far.
    """

    worst: Floats
    mask: Ints
    missed: Ints
    over: Bytes
    fresh: Bytes
    alive: Bytes


class Finds(NamedTuple):
    """Choices that count: (room, 2) circuit and choice, (room,) margin, (room, words) mask, (room, 2) flags.

    Flags: a rating exceeded; first with a new smallest mask.
    """

    pair: Ints
    margin: Floats
    mask: Ints
    flags: Bytes


@njit(cache=True, nogil=True)
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


@njit(cache=True, nogil=True)
def read_point(
    parts: int,
    count: int,
    state: int,
    volts: float,
    asked: Numbered,
    demands: Demands,
    limits: Limits,
    models: Models,
    work: Workspace,
) -> tuple[float, int]:
    """Solve one state of the fitted circuit, its ends bound: its worst margin [stops], its failures.

    Failures: bit f for filament f, then a bit for each pair of this state that must match, and OVER.
    """
    reals, whole = work.reals, work.whole
    filaments = asked.cell.shape[1]
    steps, _ = solve_bound(parts, count, volts, models.table, reals, whole)
    if steps < 0:
        return -np.inf, OVER
    worst = CAP
    failed = OVER if _overloads(parts, filaments, limits, work) else 0
    for f in range(filaments):
        if asked.cell[state, f] >= 0:
            stops = filament_stops(drop_of(f, reals, whole), whole[ROW + f], models.table, models.stops)
            margin = min(stops - demands.low_stops[state, f], demands.high_stops[state, f] - stops)
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


@njit(cache=True, nogil=True)
def _mark(failed: int, state: int, asked: Numbered, mask: Ints) -> int:
    """Add a point's failures to a mask (words,); how many bits are new."""
    filaments = asked.cell.shape[1]
    fresh = 0
    left = failed & (OVER - 1)
    at = 0
    while left:
        if left & 1:
            cell = (
                asked.cell[state, at]
                if at < filaments
                else asked.first_same + asked.same_from[state] + at - filaments
            )
            bit = 1 << (cell % WORD)
            if mask[cell // WORD] & bit == 0:
                mask[cell // WORD] |= bit
                fresh += 1
        left >>= 1
        at += 1
    return fresh


@njit(cache=True, nogil=True)
def _includes(mask: Ints, other: Ints) -> bool:
    """Whether a mask has all bits of another."""
    lacking = 0
    for word in range(mask.shape[0]):
        lacking |= other[word] & ~mask[word]
    return bool(lacking == 0)


@njit(cache=True, nogil=True)
def _is_dominated(mask: Ints, known: Known) -> bool:
    """Whether a mask includes one that is known."""
    at = 0
    while at < known.held[0] and not _includes(mask, known.mask[at]):
        at += 1
    return bool(at < known.held[0])


@njit(cache=True, nogil=True)
def _learn(mask: Ints, known: Known) -> bool:
    """Keep a mask that includes no known one, dropping those that include it; whether there was room."""
    left = 0
    for at in range(known.held[0]):
        if not _includes(known.mask[at], mask):
            known.mask[left] = known.mask[at]
            left += 1
    known.held[0] = left
    if left == known.mask.shape[0]:
        return False
    known.mask[left] = mask
    known.held[0] = left + 1
    return True


@njit(cache=True, nogil=True)
def _is_near(choice: int, bound: Bound, fates: Fates) -> bool:
    """Whether a choice may still be a near miss."""
    if fates.over[choice] == 1 and fates.missed[choice] > 0 and bound.lenient == 0:
        return False
    worst = max(fates.worst[choice], -CAP)
    is_level = worst >= bound.margin - SLACK and fates.missed[choice] <= bound.missed
    return bool(worst > bound.margin + SLACK or is_level)


@njit(cache=True, nogil=True)
def _fold(
    choice: int,
    margin: float,
    failed: int,
    state: int,
    asked: Numbered,
    bound: Bound,
    known: Known,
    fates: Fates,
) -> None:
    """Add what one point brought to the fate of a choice."""
    fates.worst[choice] = min(fates.worst[choice], margin)
    if failed & OVER:
        fates.over[choice] = 1
        fates.fresh[choice] = 0
    more = _mark(failed, state, asked, fates.mask[choice]) if failed else 0
    fates.missed[choice] += more
    if more > 0 and fates.fresh[choice] == 1:
        few = fates.missed[choice] <= bound.few
        fates.fresh[choice] = 1 if few and not _is_dominated(fates.mask[choice], known) else 0


@njit(cache=True, nogil=True)
def _survey_state(
    ends: Bytes,
    circuit: int,
    state: int,
    volts: float,
    fit: Fit,
    scene: Scene,
    strides: Ints,
    asked: Numbered,
    demands: Demands,
    limits: Limits,
    models: Models,
    work: Workspace,
    margins: Floats,
    failures: Ints,
    bound: Bound,
    known: Known,
    fates: Fates,
) -> int:
    """Take every living choice through one state; how many live on."""
    left = 0
    count = 0
    for choice in range(fates.alive.shape[0]):
        if fates.alive[choice] == 0:
            continue
        point = 0
        for digit in range(strides.shape[0]):
            point += strides[digit] * fit.digits[choice, digit]
        if failures[point] == UNKNOWN:
            if count == 0:
                count = bind_ends(ends, circuit, scene.vertex_node, state, work.whole)
                cold_start(count, volts, work.reals)
            fit_choice(choice, fit, models, work)
            margins[point], failures[point] = read_point(
                ends.shape[1], count, state, volts, asked, demands, limits, models, work
            )
        _fold(choice, margins[point], failures[point], state, asked, bound, known, fates)
        if fates.fresh[choice] == 1 or _is_near(choice, bound, fates):
            left += 1
        else:
            fates.alive[choice] = 0
    return left


@njit(cache=True, nogil=True)
def _survey_circuit(
    ends: Bytes,
    circuit: int,
    support: int,
    fit: Fit,
    scene: Scene,
    asked: Numbered,
    demands: Demands,
    limits: Limits,
    volts: Floats,
    models: Models,
    work: Workspace,
    memo: Memo,
    scratch: tuple[Ints, Ints, Ints, Ints, Floats, Ints],
    bound: Bound,
    known: Known,
    fates: Fates,
) -> int:
    """Take a circuit through every state and supply, states with fewest points first; choices that count."""
    strides, lives, cost, stack, margins, failures = scratch
    fates.alive[:] = 1
    fates.worst[:] = CAP
    fates.mask[:] = 0
    fates.missed[:] = 0
    fates.over[:] = 0
    fates.fresh[:] = 0 if _is_dominated(fates.mask[0], known) else 1
    left = int(fates.alive.shape[0])
    states = lives.shape[0]
    for state in range(states):
        lives[state] = _live_parts(ends, circuit, support, state, fit, scene, stack)
    for supply in range(volts.shape[0]):
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
            left = _survey_state(
                ends, circuit, state, volts[supply], fit, scene, strides,
                asked, demands, limits, models, work,
                margins if slot < 0 else memo.margin[slot], failures if slot < 0 else memo.failed[slot],
                bound, known, fates,
            )  # fmt: skip
            if left == 0:
                return 0
    return left


@njit(cache=True, nogil=True)
def _keep(circuit: int, known: Known, fates: Fates, written: int, finds: Finds) -> int:
    """Write the living choices of a circuit behind those written; how many there are now."""
    for choice in range(fates.alive.shape[0]):
        if fates.alive[choice] == 1:
            fresh = fates.fresh[choice] == 1 and not _is_dominated(fates.mask[choice], known)
            if fresh:
                fresh = _learn(fates.mask[choice], known)
            finds.pair[written, 0] = circuit
            finds.pair[written, 1] = choice
            finds.margin[written] = fates.worst[choice]
            finds.mask[written] = fates.mask[choice]
            finds.flags[written, 0] = fates.over[choice]
            finds.flags[written, 1] = 1 if fresh else 0
            written += 1
    return written


@njit(cache=True, nogil=True)
def survey(
    ends: Bytes,
    supports: Ints,
    first: int,
    fit: Fit,
    scene: Scene,
    asked: Numbered,
    demands: Demands,
    limits: Limits,
    volts: Floats,
    models: Models,
    work: Workspace,
    memo: Memo,
    bound: Bound,
    known: Known,
    finds: Finds,
) -> tuple[int, int]:
    """Survey candidates from `first` on; write the choices that may be near misses or miss a new set.

    ends: (candidates, parts, 2) vertices; supports: (candidates,) the pairs each covers. volts:
    (supplies,) [V]. Returns rows written and the next candidate; finds must have room for
    all choices of one candidate.
    """
    choices, states, words = fit.digits.shape[0], scene.vertex_node.shape[0], finds.mask.shape[1]
    scratch = (
        np.zeros(fit.sizes.shape[0], np.int64), np.zeros(states, np.int64), np.zeros(states, np.int64),
        np.zeros(64, np.int64), np.zeros(choices), np.zeros(choices, np.int64),
    )  # fmt: skip
    fates = Fates(
        np.zeros(choices), np.zeros((choices, words), np.int64), np.zeros(choices, np.int64),
        np.zeros(choices, np.int8), np.zeros(choices, np.int8), np.zeros(choices, np.int8),
    )  # fmt: skip
    written = 0
    for circuit in range(first, ends.shape[0]):
        if written + choices > finds.pair.shape[0]:
            return written, circuit
        left = _survey_circuit(
            ends, circuit, supports[circuit], fit, scene, asked, demands, limits, volts, models, work, memo,
            scratch, bound, known, fates,
        )  # fmt: skip
        if left > 0:
            written = _keep(circuit, known, fates, written, finds)
    return written, ends.shape[0]
