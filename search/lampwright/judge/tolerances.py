"""The values of fitted parts, nominal and at the ends of their tolerances, compiled.

A filament's current, a resistor's siemens and a diode's shift [V] relative to its model, as the solver takes
them (`solve.laws.part_law`).
"""

from typing import NamedTuple

import numpy as np
from numba import njit

from lampwright.compiled import ENTRY
from lampwright.parts.diode import thermal_volts
from lampwright.problem.problem import Problem
from lampwright.solve.laws import DIODE, FILAMENT, Floats, Ints
from lampwright.solve.newton import KIND, ROW, VALUE


class Tolerances(NamedTuple):
    """How far values stray.

    filaments: (models,) share of the current. ohms: share of a resistor's. diodes: (models,) shift [V].
    """

    filaments: Floats
    ohms: float
    diodes: Floats


class Spread(NamedTuple):
    """The values of every part: nominal, and at the ends of its tolerance; each (parts,)."""

    nominal: Floats
    low: Floats
    high: Floats


def tolerances_of(problem: Problem) -> Tolerances:
    """The tolerances of what is on offer."""
    options = problem.part_options
    shares = [filament.watts_tolerance for filament in options.filaments]
    shifts = [diode.emission * thermal_volts() * np.log(diode.spread) for diode in options.diode_types]
    return Tolerances(np.array(shares, np.float64), options.ohms_tolerance, np.array(shifts, np.float64))


def new_spread(parts: int) -> Spread:
    """Room for the values of these parts."""
    return Spread(np.zeros(parts), np.zeros(parts), np.zeros(parts))


@njit(**ENTRY)
def fill_spread(tolerances: Tolerances, steady: int, whole: Ints, reals: Floats, spread: Spread) -> None:
    """Write the values of the fitted parts and the ends of their tolerances; the last `steady` have none."""
    nominal, low, high = spread
    parts = nominal.shape[0]
    for p in range(parts):
        value = reals[VALUE + p]
        nominal[p] = low[p] = high[p] = value
        if p >= parts - steady:
            continue
        row = whole[ROW + p]
        if whole[KIND + p] == FILAMENT:
            low[p], high[p] = 1.0 - tolerances.filaments[row], 1.0 + tolerances.filaments[row]
        elif whole[KIND + p] == DIODE:
            low[p], high[p] = -tolerances.diodes[row], tolerances.diodes[row]
        else:
            low[p], high[p] = value / (1.0 + tolerances.ohms), value / (1.0 - tolerances.ohms)


@njit(**ENTRY)
def set_pattern(pattern: int, spread: Spread, reals: Floats) -> None:
    """Write the parts' values of a pattern: 0 nominal, else one bit for each part that varies."""
    bit = 0
    for p in range(spread.nominal.shape[0]):
        reals[VALUE + p] = spread.nominal[p]
        if spread.low[p] != spread.high[p]:
            if pattern > 0:
                reals[VALUE + p] = spread.high[p] if ((pattern - 1) >> bit) & 1 else spread.low[p]
            bit += 1


@njit(**ENTRY)
def set_live_pattern(pattern: int, live: int, spread: Spread, reals: Floats) -> int:
    """Write live parts (bit set) at the ends of their tolerances, a bit of the pattern each, the others weak.

    Returns the number of this among the patterns of all parts, as `set_pattern` counts them.
    """
    every = bit = 0
    for p in range(spread.nominal.shape[0]):
        low, high = spread.low[p], spread.high[p]
        if low == high:
            reals[VALUE + p] = spread.nominal[p]
            continue
        reals[VALUE + p] = low
        if (live >> p) & 1:
            if pattern & 1:
                reals[VALUE + p] = high
                every |= 1 << bit
            pattern >>= 1
        bit += 1
    return 1 + every


@njit(**ENTRY)
def patterns_of(live: int, spread: Spread) -> int:
    """How many ways there are to put live parts (bit set) at the ends of their tolerances."""
    patterns = 1
    for p in range(spread.nominal.shape[0]):
        if (live >> p) & 1 and spread.low[p] != spread.high[p]:
            patterns *= 2
    return patterns
