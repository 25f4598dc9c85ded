"""What a filament takes, loses and stores at each temperature, as tables for compiled code.

In time a filament is a resistor whose resistance follows its temperature, so a network
needs of it, at T: conductance 1 / R(T), heat lost P(T), and the pace 1 / (m cp(T)) at
which a watt left over warms it; and to judge it, log2 of its relative flux. All four are
tabulated every 2 K from cold to 5000 K and read straight between: within 4e-5 of
themselves, and the light within 2e-4 stops, above 600 K; below, 1e-4, 1e-3 stops, and the
heat of a wire all but cold 1e-2. Beyond either end the last value stays, so that a step
tried too long meets nothing absurd.

Source: `parts.filament` and `parts.wire_of_filament`.
"""

from functools import lru_cache

import numpy as np
from numba import njit

from lampwright.compiled import INNER
from lampwright.parts.filament import Filament, ohms_at, watts_at
from lampwright.parts.photometry import log_exitance
from lampwright.parts.tungsten import cold_kelvin
from lampwright.parts.wire_of_filament import heat_capacity_at, wire_of
from lampwright.solve.laws import Floats

KELVIN_STEP = 2.0
HEAT_CELLS = 2350
COLUMNS = 4
SIEMENS, LOSS, PACE, STOPS = range(COLUMNS)


@lru_cache(maxsize=256)
def _rows(filament: Filament, share: float) -> Floats:
    kelvin = cold_kelvin() + KELVIN_STEP * np.arange(HEAT_CELLS + 1)
    rows = np.empty((HEAT_CELLS + 1, COLUMNS))
    rows[:, SIEMENS] = 1.0 / ohms_at(filament, kelvin)
    rows[:, LOSS] = watts_at(filament, kelvin)
    rows[:, PACE] = 1.0 / heat_capacity_at(wire_of(filament, share), kelvin)
    rows[:, STOPS] = (log_exitance(kelvin) - log_exitance(filament.rated_kelvin)) / np.log(2.0)
    return rows


def heat_tables(filaments: tuple[Filament, ...], share: float) -> Floats:
    """Tables of n filaments, shape (n, 2351, 4): 1/R [S], P [W], 1/(m cp) [K/J], log2 of flux [1].

    share: what a coil sends out of a straight wire's radiation [1], a scalar.
    """
    if not filaments:
        return np.empty((0, HEAT_CELLS + 1, COLUMNS))
    return np.stack([_rows(filament, share) for filament in filaments])


@njit(**INNER)
def heat_value(heat: Floats, filament: int, column: int, rise: float) -> float:
    """One column of `heat_tables`, of one filament, by kelvin above cold [K]; scalars."""
    at = min(max(rise / KELVIN_STEP, 0.0), 1.0 * HEAT_CELLS)
    cell = min(int(at), HEAT_CELLS - 1)
    low = heat[filament, cell, column]
    return float(low + (at - cell) * (heat[filament, cell + 1, column] - low))
