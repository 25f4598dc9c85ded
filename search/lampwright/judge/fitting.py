"""Fitting types and values to a circuit, and checking one solved state, compiled."""

from numba import njit

from lampwright.compiled import ENTRY, INNER
from lampwright.problem.demands import Demands, Fit, Limits
from lampwright.solve.laws import DIODE, FILAMENT, RESISTOR, Floats, Ints, Models, base_of, filament_stops
from lampwright.solve.newton import BASE, CURRENT, KIND, ROW, VALUE, Workspace, drop_of

SLACK_VOLTS = 1e-6
"""Screening forgives so much, so that rounding never loses what the full judge would keep."""


@njit(**ENTRY)
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


@njit(**INNER)
def _lights_pass(
    supply: int,
    state: int,
    filaments: int,
    low: Floats,
    high: Floats,
    most: Floats,
    reals: Floats,
    whole: Ints,
) -> bool:
    """Whether every filament's volts are within its band, and within its rating."""
    for f in range(filaments):
        size = abs(drop_of(f, reals, whole))
        row = whole[ROW + f]
        if size < low[supply, state, f, row] - SLACK_VOLTS:
            return False
        if size > high[supply, state, f, row] + SLACK_VOLTS:
            return False
        if size > most[row] + SLACK_VOLTS:
            return False
    return True


@njit(**INNER)
def loads_pass(first: int, parts: int, limits: Limits, reals: Floats, whole: Ints) -> bool:
    """Whether every diode and resistor is within its rating."""
    for p in range(first, parts):
        i = reals[CURRENT + p]
        if whole[KIND + p] == DIODE:
            if i > limits.diode_amps[whole[ROW + p]]:
                return False
        elif abs(i * drop_of(p, reals, whole)) > limits.watts:
            return False
    return True


@njit(**INNER)
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


@njit(**INNER)
def _same_pass(state: int, demands: Demands, limits: Limits, models: Models, work: Workspace) -> bool:
    """Whether all lamps that must match in this state do."""
    for pair in range(demands.same_state.shape[0]):
        if demands.same_state[pair] == state and same_margin(pair, demands, limits, models, work) < -1e-6:
            return False
    return True


@njit(**INNER)
def bring_forward(order: Ints, at: int) -> None:
    """Put what stands at a place first, and all that stood before it one back; order: (n,), changed."""
    first = order[at]
    for place in range(at, 0, -1):
        order[place] = order[place - 1]
    order[0] = first


@njit(**INNER)
def is_met(
    parts: int, state: int, supply: int, demands: Demands, limits: Limits, models: Models, work: Workspace
) -> bool:
    """Whether the solved point of a fitted circuit meets one state at one supply."""
    filaments = demands.low_volts.shape[2]
    return bool(
        _lights_pass(
            supply,
            state,
            filaments,
            demands.low_volts,
            demands.high_volts,
            limits.lamp_volts,
            work.reals,
            work.whole,
        )
        and loads_pass(filaments, parts, limits, work.reals, work.whole)
        and _same_pass(state, demands, limits, models, work)
    )
