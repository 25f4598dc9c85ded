"""Filament curves as tables for a compiled solver.

How does a solver read a filament without solving its heat balance each time? Amps are
tabulated against u = sqrt(|V|), knots u_k = k h for k = 0 .. M, with their slopes
dI/du, and between knots the cubic Hermite through both is the curve; dI/dV is its
derivative over 2 u. The root of V crowds the knots towards zero volts, where a vacuum
lamp leaves its cold resistance within a hundredth of its voltage; at zero itself
I = u^2 / R_cold, which the cubic holds exactly. Light is kept as stops, log2 of the
flux relative to rated, straight between knots.

With M = 2048 and up to about twice the test voltage, the cubic is within 1e-9 of rated
amps of the heat balance (3e-10 at worst, at the knots of tungsten's tables, where the
third derivative jumps; 1024 would leave 2e-9), and the straight line within 1e-3 stops
wherever flux exceeds 1e-5 of rated (4e-5 at worst).

Source: cubic Hermite interpolation, textbook method (common practice); curves from
`filament`.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from lampwright.parts.filament import (
    Filament,
    kelvin_of,
    ohms_at,
    watts_tangent_at,
)
from lampwright.parts.photometry import log_exitance
from lampwright.parts.tables import Floats
from lampwright.parts.tungsten import resistivity_tangent

CELLS = 2048  # M
DARKEST_STOPS = -60.0


@dataclass(frozen=True)
class CurveTables:
    """Curves of n filaments on M + 1 knots in u = sqrt(|V|), all C-contiguous float64.

    h [V^0.5]: spacing of the knots. amps (n, M+1) [A]. slope (n, M+1): dI/du [A V^-0.5].
    cold_siemens (n,): dI/dV at 0 V [S]. stops (n, M+1): log2 of flux relative to rated,
    not below -60. kelvin (n, M+1) [K].
    """

    h: float
    amps: Floats
    slope: Floats
    cold_siemens: Floats
    stops: Floats
    kelvin: Floats


def _siemens(filament: Filament, kelvin: Floats, ohms: Floats) -> Floats:
    """DI/dV (n,) [S] along the steady curve, at temperatures (n,) [K] and so many ohms (n,).

    d ln I = (d ln P - d ln R) / 2 and d ln V = (d ln P + d ln R) / 2, so
    dI/dV = (1 / R) (1 - q) / (1 + q) with q = d ln R / d ln P; q = 0 at T0.
    """
    watts, rho = watts_tangent_at(filament, kelvin), resistivity_tangent(kelvin)
    q = watts.value * rho.slope
    q /= watts.slope * rho.value
    return np.asarray((1.0 - q) / (1.0 + q) / ohms)


def curve_tables(filaments: Sequence[Filament], top_volts: float) -> CurveTables:
    """Tables of the filaments' curves from 0 V to top_volts.

    filaments: n of them. top_volts [V]: a positive scalar, the same for all; a filament
    beyond its melting point there is carried on as `tungsten` says.
    Returns arrays of n rows; ValueError if top_volts is not positive.
    """
    if not top_volts > 0.0:
        raise ValueError(f"top_volts is {top_volts}: a curve needs a positive range")
    h = float(np.sqrt(top_volts)) / CELLS
    u = h * np.arange(CELLS + 1)
    shape = (len(filaments), CELLS + 1)
    amps, slope, stops, kelvin = (np.empty(shape) for _ in range(4))
    for row, filament in enumerate(filaments):
        T = kelvin_of(filament, u**2)
        kelvin[row] = T
        ohms = ohms_at(filament, T)
        amps[row] = u**2 / ohms
        slope[row] = 2.0 * u * _siemens(filament, T, ohms)
        stops[row] = (log_exitance(T) - log_exitance(filament.rated_kelvin)) / np.log(2.0)
    np.maximum(stops, DARKEST_STOPS, out=stops)
    cold = np.array([1.0 / filament.cold_ohms for filament in filaments], dtype=np.float64)
    return CurveTables(h=h, amps=amps, slope=slope, cold_siemens=cold, stops=stops, kelvin=kelvin)
