"""The first judgement, compiled: every candidate, every choice, nominal parts.

A candidate is a placing of parts; a choice fits a type to every lamp and diode and
ohms to every resistor. A pair of both survives when every filament is within its
band in every state at normal, low and high supply. Tolerances come later: they can
only refuse more, so nothing that meets the spec is lost here.
"""

from typing import NamedTuple

from numba import njit

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
    values each digit has: lamps, then diodes, then resistors. digits: (digits,) scratch.
    """

    lamp_of: Ints
    model: Ints
    siemens: Floats
    sizes: Ints
    digits: Ints
    diodes: int
    resistors: int


@njit(cache=True, nogil=True)
def fit_choice(choice: int, fit: Fit, models: Models, work: Workspace) -> None:
    """Write kind, model row, place in the table and value of every part under a choice number.

    The last digit turns fastest.
    """
    reals, whole, digits = work.reals, work.whole, fit.digits
    rest = choice
    for at in range(fit.sizes.shape[0] - 1, -1, -1):
        digits[at] = rest % fit.sizes[at]
        rest //= fit.sizes[at]
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
    ends: Bytes,
    circuit: int,
    vertex_node: Bytes,
    order: Ints,
    volts: Floats,
    demands: Demands,
    limits: Limits,
    models: Models,
    work: Workspace,
    tally: Ints,
) -> bool:
    """Whether the fitted circuit meets every state at every supply; who refuses goes to the front."""
    parts = ends.shape[1]
    filaments = demands.low_volts.shape[1]
    for supply in range(volts.shape[0]):
        for k in range(order.shape[0]):
            state = order[k]
            count = bind_ends(ends, circuit, vertex_node, state, work.whole)
            cold_start(count, volts[supply], work.reals)
            steps, _ = solve_bound(parts, count, volts[supply], models.table, work.reals, work.whole)
            tally[0] += 1
            if steps < 0:
                tally[1] += 1
            if (
                steps < 0
                or not _lights_pass(
                    state,
                    filaments,
                    demands.low_volts,
                    demands.high_volts,
                    limits.lamp_volts,
                    work.reals,
                    work.whole,
                )
                or not _loads_pass(filaments, parts, limits, work.reals, work.whole)
                or not _same_pass(state, demands, limits, models, work)
            ):
                order[1 : k + 1] = order[:k].copy()
                order[0] = state
                return False
    return True


@njit(cache=True, nogil=True)
def screen(
    ends: Bytes,
    first: int,
    vertex_node: Bytes,
    order: Ints,
    fit: Fit,
    demands: Demands,
    limits: Limits,
    volts: Floats,
    models: Models,
    work: Workspace,
    out: Ints,
    tally: Ints,
) -> tuple[int, int]:
    """Judge candidates from `first` on; write (candidate, choice) rows that survive.

    ends: (candidates, parts, 2) vertices. vertex_node: (states, vertices). order:
    (states,) the order in which states are tried. volts: (supplies,) [V], tried in
    order. out: (room, 2). tally: operating points, unconverged points. Returns rows
    written and the next candidate; room must hold all choices of one candidate.
    """
    choices = 1
    for size in fit.sizes:
        choices *= size
    written = 0
    for circuit in range(first, ends.shape[0]):
        if written + choices > out.shape[0]:
            return written, circuit
        for choice in range(choices):
            fit_choice(choice, fit, models, work)
            if _is_met(ends, circuit, vertex_node, order, volts, demands, limits, models, work, tally):
                out[written, 0] = circuit
                out[written, 1] = choice
                written += 1
    return written, ends.shape[0]
