"""The current and conductance of one part at one voltage, compiled.

What current does a filament, a resistor or a diode take at voltage v, and how fast
does it rise? A filament is read from its tabulated curve (cubic Hermite in
u = sqrt(|v|), built by `parts.curve_table`); a diode is Shockley with series
resistance, solved in closed form by Wright's omega function (W + ln W = z).
Every law here is non-decreasing and zero at zero volts, which is what makes the
operating point unique.

Source: Fritsch, Shafer and Crowley, Comm. ACM 16 (1973) 123, algorithm 443 (MEMORY),
for the iteration that refines omega; Banwell and Jayakumar, Electron. Lett. 36 (2000)
291 (MEMORY), for the diode in closed form.
"""

from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

from lampwright.compiled import ENTRY
from lampwright.parts.curve_table import CELLS

FILAMENT = 0
RESISTOR = 1
DIODE = 2

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bytes = NDArray[np.int8]

DIODE_FROM = 0.2
DIODE_PER_VOLT = 1024.0
DIODE_CELLS = 1843
"""Diodes are tabulated from 0.2 V to 2 V, where the knots hold a current to some 1e-9 of itself."""

# one flat table serves every law: numba hands one array on far more cheaply than several
STEP, PER_ROOT, HEAD = 0, 1, 2
FILAMENT_SIZE = 2 * (CELLS + 1)
CARD = 3
DIODE_SIZE = CARD + 2 * (DIODE_CELLS + 1)


class Models(NamedTuple):
    """What the compiled laws and judges read of all parts on offer.

    table: flat. Spacing of the curves' knots in u = sqrt(volts) [V^0.5] and its inverse;
    for every filament model current [A] and dI/du [A V^-0.5] at each knot; for every
    diode model Is [A], n VT [V], Rs [ohm], then current [A] and conductance [S] at each knot.
    cells: the same laws as `lane_laws` reads them.
    stops: (filament models, knots) log2 of flux relative to rated.
    filaments, diodes: how many models of each.
    """

    table: Floats
    cells: Floats
    stops: Floats
    filaments: int
    diodes: int


@njit(**ENTRY)
def base_of(kind: int, row: int, filaments: int) -> int:
    """Where in the flat table model `row` of a kind begins; dimensionless [1] scalars."""
    if kind == DIODE:
        return int(HEAD + filaments * FILAMENT_SIZE + row * DIODE_SIZE)
    return int(HEAD + row * FILAMENT_SIZE)


@njit(**ENTRY)
def filament_law(v: float, base: int, table: Floats) -> tuple[float, float]:
    """Current [A] and conductance [S] of the filament at `base` of the flat table, at v [V]; scalars.

    Below the first knot the filament is its cold resistance; above the last, the last
    cell is continued.
    """
    u = np.sqrt(abs(v))
    at = u * table[PER_ROOT]
    if at < 1.0:
        # one straight line from zero to the first knot: at most 1e-5 V wide
        g = table[base + 2] * table[PER_ROOT] * table[PER_ROOT]
        return g * v, g
    cell = min(int(at), CELLS - 1)
    t = at - cell
    knot = base + 2 * cell
    y0 = table[knot]
    m0 = table[knot + 1] * table[STEP]
    rise = table[knot + 2] - y0
    m1 = table[knot + 3] * table[STEP]
    c2 = 3.0 * rise - 2.0 * m0 - m1
    c3 = m0 + m1 - 2.0 * rise
    i = y0 + t * (m0 + t * (c2 + t * c3))
    g = (m0 + t * (2.0 * c2 + 3.0 * t * c3)) * table[PER_ROOT] / (2.0 * u)
    return (i if v > 0.0 else -i), g


@njit(**ENTRY)
def filament_stops(v: float, row: int, table: Floats, stops: Floats) -> float:
    """Log2 [1] of flux relative to rated of filament model `row` at v [V], any sign; a scalar."""
    at = np.sqrt(abs(v)) * table[PER_ROOT]
    cell = min(int(at), CELLS - 1)
    y0 = stops[row, cell]
    return float(y0 + (at - cell) * (stops[row, cell + 1] - y0))


@njit(**ENTRY)
def wright_omega(z: float) -> float:
    """The W > 0 [1] with W + ln W = z to 1e-11 of itself; exp(z) below -36; scalars."""
    if z < -36.0:
        return float(np.exp(z))
    if z < -2.0:
        e = np.exp(z)
        w = e * (1.0 - e + 1.5 * e * e)
    elif z < 3.0:
        # a straight line through omega(1) = 1 with its slope 1/2, bent to stay positive
        w = np.exp((z - 1.0) * 0.5) if z < 1.0 else 1.0 + 0.5 * (z - 1.0) + 0.0625 * (z - 1.0) ** 2
    else:
        log = np.log(z)
        w = z - log + log / z
    for _ in range(2):
        r = z - w - np.log(w)
        p = 1.0 + w
        q = 2.0 * p * (p + 2.0 / 3.0 * r)
        w = w * (1.0 + r / p * (q - r) / (q - 2.0 * r))
    return float(w)


@njit(**ENTRY)
def shockley(v: float, saturation: float, scale: float, series: float) -> tuple[float, float]:
    """Current [A] and conductance [S] of a diode at v [V], in closed form.

    I = Is (exp((v - I Rs) / n VT) - 1), with saturation Is [A], scale n VT [V] and
    series Rs [ohm, above zero].
    """
    z = np.log(saturation * series / scale) + (v + saturation * series) / scale
    if z < -100.0:
        return -saturation, 0.0
    total = scale / series * wright_omega(z)
    return total - saturation, total / (scale + total * series)


@njit(**ENTRY)
def diode_law(v: float, base: int, table: Floats) -> tuple[float, float]:
    """Current [A] and conductance [S] of the diode at `base` of the flat table, at v [V]; scalars.

    Where a diode turns on it is read from the table; below, its series resistance drops
    nothing that counts; above, the closed form serves.
    """
    at = (v - DIODE_FROM) * DIODE_PER_VOLT
    if at < 0.0:
        x = v / table[base + 1]
        if x < -40.0:
            return -table[base], 0.0
        e = table[base] * np.exp(x)
        g = e / (table[base + 1] + e * table[base + 2])
        return (e - table[base]) * (1.0 - g * table[base + 2]), g
    if at >= DIODE_CELLS:
        law: tuple[float, float] = shockley(v, table[base], table[base + 1], table[base + 2])
        return law
    cell = int(at)
    t = at - cell
    knot = base + CARD + 2 * cell
    y0 = table[knot]
    m0 = table[knot + 1] / DIODE_PER_VOLT
    rise = table[knot + 2] - y0
    m1 = table[knot + 3] / DIODE_PER_VOLT
    c2 = 3.0 * rise - 2.0 * m0 - m1
    c3 = m0 + m1 - 2.0 * rise
    return y0 + t * (m0 + t * (c2 + t * c3)), (m0 + t * (2.0 * c2 + 3.0 * t * c3)) * DIODE_PER_VOLT


@njit(**ENTRY)
def tabulate_diode(card: Floats, out: Floats) -> None:
    """Fill a diode's stretch of the flat table from its card: Is [A], n VT [V], Rs [ohm], shape (3,).

    out: (DIODE_SIZE,).
    """
    for figure in range(CARD):
        out[figure] = card[figure]
    for knot in range(DIODE_CELLS + 1):
        i, g = shockley(DIODE_FROM + knot / DIODE_PER_VOLT, card[0], card[1], card[2])
        out[CARD + 2 * knot] = i
        out[CARD + 2 * knot + 1] = g


@njit(**ENTRY)
def part_law(kind: int, base: int, value: float, v: float, table: Floats) -> tuple[float, float]:
    """Current [A] and conductance [S] of any part at v [V]; scalars.

    value: a filament's current relative to its model; a resistor's siemens; a diode's
    shift [V]: n VT times the log of its saturation current relative to its model, by
    which its whole curve moves; what the change of saturation current itself drops on
    the series resistance, some 10 nV, is left out.
    """
    if kind == FILAMENT:
        i, g = filament_law(v, base, table)
        return value * i, value * g
    if kind == RESISTOR:
        return value * v, value
    i, g = diode_law(v + value, base, table)
    if value != 0.0:
        i -= table[base] * np.expm1(value / table[base + 1])
    return i, g
