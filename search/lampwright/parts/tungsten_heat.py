"""Tungsten's heat capacity and density against temperature.

How much heat warms a kilogram of tungsten by one kelvin, and how much of it is in a
cubic metre, at T kelvin? Both are published polynomials, kept term by term in
`tungsten_heat.csv`; heat capacity has two stretches, below and above 3080 K, which meet
to 2e-5 of its value.

Worked case: 131.3 J/(kg K) at 300 K, 171.8 at 2000 K; 19 250 kg/m3 at 20 C, 18 370 at 2900 K.

Assumes constant pressure, and solid tungsten: past 3695 K the last stretch goes on only
so that an iteration passing through stays defined.

Source: Tolias 2017 (S29).
"""

from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from lampwright.parts.tables import Floats, Row, constant, read_table

GRAM = 1e-3
GRAM_PER_CUBIC_CM = 1e3


@cache
def _stretches(quantity: str) -> tuple[tuple[Row, ...], ...]:
    """The rows of a quantity, stretch by stretch, rising."""
    rows = [row for row in read_table("tungsten_heat.csv").rows if row.text("quantity") == quantity]
    starts = sorted({row.number("from_K") for row in rows})
    return tuple(tuple(row for row in rows if row.number("from_K") == start) for start in starts)


def _value(quantity: str, kelvin: ArrayLike) -> Floats:
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
    return _value("heat_capacity", kelvin) / (GRAM * constant("tungsten_molar_mass"))


def density(kelvin: ArrayLike) -> Floats:
    """Density of tungsten; kelvin: T [K], 293 to 3695, any shape. Returns [kg/m3]. Source: S29."""
    return GRAM_PER_CUBIC_CM * _value("density", kelvin)
