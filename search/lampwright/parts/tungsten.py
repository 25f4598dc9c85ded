"""Tungsten against temperature: resistivity, emissivity, radiated power, heat capacity, density.

What does a tungsten wire at T kelvin resist and radiate? The published tables
(`tungsten.csv`) are joined by natural cubic splines of the logarithms, ln y against
ln T: through every tabulated value, twice smooth, rising throughout. Beyond either
end the logarithm runs on straight, a power law: below 200 K, where no lamp is; above
3655 K (resistivity) and 3600 K (emissivity). Past the melting point, 3695 K, there is
no filament; the law goes on only so that an iteration passing through stays defined.

How much heat warms a kilogram of it by one kelvin, and how much of it is in a cubic metre?
Both are published polynomials, kept term by term in `tungsten_heat.csv`; heat capacity has two
stretches, below and above 3080 K, which meet to 2e-5 of its value. They are for constant pressure
and solid tungsten; past melting the last stretch goes on, for iterations again.

Worked case: at 2500 K, 73.91 µΩ cm and emissivity 0.303, so 67.1 W/cm2. 131.3 J/(kg K) at 300 K,
171.8 at 2000 K; 19 250 kg/m3 at 20 C, 18 370 at 2900 K.

Assumes a bare, clean, straight wire: thermal expansion is neglected (1.3 % in length
at 2500 K, in the resistance and not in its shape), and so is what a coil's turns
screen from each other. Only ratios to the rated point enter a lamp's curve.

Source: Forsythe and Worthing 1925, CRC Handbook (S27, S28); heat capacity and density Tolias
2017 (S29).
"""

from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from lampwright.parts.nature import STEFAN_BOLTZMANN
from lampwright.parts.roots import Tangent
from lampwright.parts.splines import Piecewise, natural_spline
from lampwright.parts.tables import DataRow, Floats, constant, read_table

OHM_METRE = 1e-8  # one µΩ cm
GRAM = 1e-3
GRAM_PER_CUBIC_CM = 1e3
LN_FAR = float(np.log(1e6))  # the straight ends reach from 1 K to here


@cache
def _log_spline(column: str) -> Piecewise:
    """ln(column) against ln T: natural cubic spline with straight ends, from 1 K to 1e6 K."""
    table = read_table("tungsten.csv")
    given = table.numbers(column)
    known = np.isfinite(given)
    x = np.log(table.numbers("T_K")[known])
    return natural_spline(x, np.log(given[known])).straight_beyond(0.0, LN_FAR)


def _value(column: str, kelvin: ArrayLike) -> Floats:
    return np.asarray(np.exp(_log_spline(column)(np.log(kelvin))), dtype=np.float64)


def _tangent(column: str, kelvin: ArrayLike) -> Tangent:
    x = np.log(kelvin)
    known, slope = _log_spline(column).tangent(x)
    return Tangent(np.asarray(np.exp(known)), np.asarray(np.exp(known - x) * slope))


def resistivity(kelvin: ArrayLike) -> Floats:
    """Electrical resistivity of tungsten.

    kelvin: true temperature T [K], any shape, above 1 K.
    Returns rho [Ω m], same shape. Tabulated 200 to 3655 K; power laws beyond.
    Source: S27, S28.

    >>> round(float(resistivity(2500.0)) * 1e8, 2)
    73.91
    """
    return OHM_METRE * _value("rho_uohm_cm", kelvin)


def resistivity_tangent(kelvin: ArrayLike) -> Tangent:
    """`resistivity` and its derivative [Ω m], [Ω m / K]; kelvin [K], any shape."""
    value, slope = _tangent("rho_uohm_cm", kelvin)
    return Tangent(OHM_METRE * value, OHM_METRE * slope)


def total_emissivity(kelvin: ArrayLike) -> Floats:
    """Total hemispherical emissivity of tungsten.

    kelvin: true temperature T [K], any shape, above 1 K.
    Returns epsilon [1], same shape. Tabulated 200 to 3600 K; power laws beyond.
    Source: S27.
    """
    return _value("eps_total", kelvin)


def total_emissivity_tangent(kelvin: ArrayLike) -> Tangent:
    """`total_emissivity` and its derivative [1], [1/K]; kelvin [K], any shape."""
    return _tangent("eps_total", kelvin)


def cold_kelvin() -> float:
    """Temperature T0 [K] of an unlit filament and of all that surrounds it."""
    return constant("cold_kelvin")


def emitted(kelvin: ArrayLike) -> Floats:
    """Power a tungsten surface emits, epsilon(T) sigma T^4.

    kelvin: true temperature T [K], any shape. Returns [W/m2], same shape.
    """
    T = np.asarray(kelvin, dtype=np.float64)
    return np.asarray(total_emissivity(T) * STEFAN_BOLTZMANN * T**4)


def radiated(kelvin: ArrayLike) -> Floats:
    """Net power a tungsten surface radiates to surroundings at T0.

    epsilon(T) sigma T^4 - epsilon(T0) sigma T0^4.
    kelvin: true temperature T [K], any shape. Returns [W/m2], same shape; 0 at T0.
    """
    return emitted(kelvin) - _emitted_cold()


@cache
def _emitted_cold() -> float:
    return float(emitted(cold_kelvin()))


def radiated_tangent(kelvin: ArrayLike) -> Tangent:
    """`radiated` and its derivative [W/m2], [W/(m2 K)]; kelvin [K], any shape."""
    T = np.asarray(kelvin, dtype=np.float64)
    emissivity, slope = total_emissivity_tangent(T)
    return Tangent(
        np.asarray(emissivity * STEFAN_BOLTZMANN * T**4) - _emitted_cold(),
        np.asarray(STEFAN_BOLTZMANN * T**3 * (4.0 * emissivity + T * slope)),
    )


@cache
def _stretches(quantity: str) -> tuple[tuple[DataRow, ...], ...]:
    """The rows of a quantity, stretch by stretch, rising."""
    rows = [row for row in read_table("tungsten_heat.csv").rows if row.text("quantity") == quantity]
    starts = sorted({row.number("from_K") for row in rows})
    return tuple(tuple(row for row in rows if row.number("from_K") == start) for start in starts)


def _sum_of_terms(quantity: str, kelvin: ArrayLike) -> Floats:
    T = np.asarray(kelvin, dtype=np.float64)
    value = np.zeros_like(T)
    for number, stretch in enumerate(_stretches(quantity)):
        terms = [r.number("coefficient") * (T - r.number("about_K")) ** r.number("power") for r in stretch]
        here = np.sum(terms, axis=0)
        value = here if number == 0 else np.where(stretch[0].number("from_K") <= T, here, value)
    return np.asarray(value, dtype=np.float64)


def specific_heat(kelvin: ArrayLike) -> Floats:
    """Heat capacity of tungsten at constant pressure, by mass.

    kelvin: T [K], 300 to 3695, any shape; within 0.1 % down to 290 K.
    Returns [J/(kg K)], same shape. Source: S29.

    >>> round(float(specific_heat(300.0)), 1)
    131.3
    """
    return _sum_of_terms("heat_capacity", kelvin) / (GRAM * constant("tungsten_molar_mass"))


def density(kelvin: ArrayLike) -> Floats:
    """Density of tungsten; kelvin: T [K], 293 to 3695, any shape. Returns [kg/m3]. Source: S29."""
    return GRAM_PER_CUBIC_CM * _sum_of_terms("density", kelvin)
