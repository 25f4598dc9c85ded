"""Tungsten against temperature: resistivity, total emissivity, radiated power.

What does a tungsten wire at T kelvin resist and radiate? The published tables
(`tungsten.csv`) are joined by natural cubic splines of the logarithms, ln y against
ln T: through every tabulated value, twice smooth, rising throughout. Beyond either
end the logarithm runs on straight, a power law: below 200 K, where no lamp is; above
3655 K (resistivity) and 3600 K (emissivity). Past the melting point, 3695 K, there is
no filament; the law goes on only so that an iteration passing through stays defined.

Worked case: at 2500 K, 73.91 µΩ cm and emissivity 0.303, so 67.1 W/cm2.

Assumes a bare, clean, straight wire: thermal expansion is neglected (1.3 % in length
at 2500 K, in the resistance and not in its shape), and so is what a coil's turns
screen from each other. Only ratios to the rated point enter a lamp's curve.

Source: Forsythe and Worthing 1925, CRC Handbook (S27, S28); Stefan-Boltzmann constant
from CODATA through scipy.
"""

from functools import cache

import numpy as np
from numpy.typing import ArrayLike
from scipy.constants import Stefan_Boltzmann
from scipy.interpolate import CubicSpline, PPoly

from lampwright.parts.tables import Floats, constant, read_table

OHM_METRE = 1e-8  # one µΩ cm
LN_FAR = np.log(1e6)  # the straight ends reach from 1 K to here


@cache
def _log_spline(column: str) -> PPoly:
    """ln(column) against ln T: natural cubic spline with straight ends, from 1 K to 1e6 K."""
    table = read_table("tungsten.csv")
    given = table.numbers(column)
    known = np.isfinite(given)
    x = np.log(table.numbers("T_K")[known])
    spline = CubicSpline(x, np.log(given[known]), bc_type="natural")
    whole = PPoly(spline.c, spline.x)
    first, last = float(spline(x[0], 1)), float(spline(x[-1], 1))
    start = float(spline(x[0])) - first * x[0]
    whole.extend(np.array([[0.0], [0.0], [last], [float(spline(x[-1]))]]), np.array([LN_FAR]))
    whole.extend(np.array([[0.0], [0.0], [first], [start]]), np.array([0.0]))
    return whole


def _value(column: str, kelvin: ArrayLike) -> Floats:
    return np.asarray(np.exp(_log_spline(column)(np.log(kelvin))), dtype=np.float64)


def _slope(column: str, kelvin: ArrayLike) -> Floats:
    x = np.log(kelvin)
    spline = _log_spline(column)
    return np.asarray(np.exp(spline(x) - x) * spline(x, 1), dtype=np.float64)


def resistivity(kelvin: ArrayLike) -> Floats:
    """Electrical resistivity of tungsten.

    kelvin: true temperature T [K], any shape, above 1 K.
    Returns rho [Ω m], same shape. Tabulated 200 to 3655 K; power laws beyond.
    Source: S27, S28.

    >>> round(float(resistivity(2500.0)) * 1e8, 2)
    73.91
    """
    return OHM_METRE * _value("rho_uohm_cm", kelvin)


def resistivity_slope(kelvin: ArrayLike) -> Floats:
    """Derivative d rho / dT [Ω m / K] of `resistivity`; kelvin [K], any shape."""
    return OHM_METRE * _slope("rho_uohm_cm", kelvin)


def total_emissivity(kelvin: ArrayLike) -> Floats:
    """Total hemispherical emissivity of tungsten.

    kelvin: true temperature T [K], any shape, above 1 K.
    Returns epsilon [1], same shape. Tabulated 200 to 3600 K; power laws beyond.
    Source: S27.
    """
    return _value("eps_total", kelvin)


def total_emissivity_slope(kelvin: ArrayLike) -> Floats:
    """Derivative d epsilon / dT [1/K] of `total_emissivity`; kelvin [K], any shape."""
    return _slope("eps_total", kelvin)


def cold_kelvin() -> float:
    """Temperature T0 [K] of an unlit filament and of all that surrounds it."""
    return constant("cold_kelvin")


def emitted(kelvin: ArrayLike) -> Floats:
    """Power a tungsten surface emits, epsilon(T) sigma T^4.

    kelvin: true temperature T [K], any shape. Returns [W/m2], same shape.
    """
    T = np.asarray(kelvin, dtype=np.float64)
    return np.asarray(total_emissivity(T) * Stefan_Boltzmann * T**4)


def radiated(kelvin: ArrayLike) -> Floats:
    """Net power a tungsten surface radiates to surroundings at T0.

    epsilon(T) sigma T^4 - epsilon(T0) sigma T0^4.
    kelvin: true temperature T [K], any shape. Returns [W/m2], same shape; 0 at T0.
    """
    return emitted(kelvin) - emitted(cold_kelvin())


def radiated_slope(kelvin: ArrayLike) -> Floats:
    """Derivative [W/(m2 K)] of `radiated`; kelvin [K], any shape."""
    T = np.asarray(kelvin, dtype=np.float64)
    return np.asarray(Stefan_Boltzmann * T**3 * (4.0 * total_emissivity(T) + T * total_emissivity_slope(T)))
