"""A filament's wire, from its rated point: length, thickness, mass, and how fast it heats and cools.

How much tungsten is in a lamp? At the rated temperature T the wire of length l and
diameter d must resist what the lamp resists and radiate what it radiates:

    R = rho(T) l / (pi d^2 / 4)          (1 - s) P = c w(T) pi d l

so  d^3 = 4 rho A / (pi^2 R)  with the surface  A = (1 - s) P / (c w),  and  l = A / (pi d).
rho and w are `tungsten`'s, s the share of heat that gas conducts (`filament`), and c the
share of a straight wire's radiation that a coil sends out. Mass m is density times
volume, hot. Then the temperature moves by

    m cp(T) dT/dt = V^2 / R(T) - P(T).

Worked case: P21W, 25 W at 13.5 V and 2905 K: 105 µm by 72 mm and 11.4 mg; at constant
volts a small change dies to 1/e in 57 ms, and 90 % of the light is there after 227 ms.

No time is fitted. c = 0.62 comes from a published wire (`constants.csv`), of a
household lamp whose coil is coiled again; mass, and with it every time, goes as c^(-4/3).
A straight wire, c = 1, is the lightest that the rated point allows: its times are 0.53 of
these. Lamps of one coil lie between, and so do the published times (about a quarter of a
second to 90 % for stop lamps). c = 0.62 is the careful choice: it is late to light and late
to darken. Neglected: the cool ends of the wire and its supports, which draw heat off
(darker sooner, lit later), and the gas that warms along (later both ways).

Source: heat balance as in `filament`; cp and density S29; c from 60W-WIRE.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from lampwright.parts.filament import Filament
from lampwright.parts.tables import Floats, constant
from lampwright.parts.tungsten import density, radiated, resistivity, specific_heat


@dataclass(frozen=True)
class FilamentWire:
    """A filament's wire as if drawn straight, hot: length [m], diameter [m], mass [kg]."""

    metres: float
    diameter: float
    kilograms: float


def coil_share() -> float:
    """Share c [1] of a straight wire's radiation that a coil sends out; a scalar (`constants.csv`)."""
    return constant("coil_share")


def wire_of(filament: Filament, share: float) -> FilamentWire:
    """The wire of a filament.

    share: c [1], a scalar above 0 and up to 1; `coil_share()`, or 1 for a straight wire.
    Returns metres [m], diameter [m] and kilograms [kg]. ValueError for any other share.
    """
    if not 0.0 < share <= 1.0:
        raise ValueError(f"a coil sends out a share of its radiation above 0 and up to 1, not {share}")
    T = filament.rated_kelvin
    surface = filament.watts * (1.0 - filament.conducted_share) / (share * float(radiated(T)))
    diameter = (4.0 * float(resistivity(T)) * surface / (np.pi**2 * filament.rated_ohms)) ** (1.0 / 3.0)
    metres = surface / (np.pi * diameter)
    volume = 0.25 * np.pi * diameter**2 * metres
    return FilamentWire(float(metres), float(diameter), float(density(T)) * float(volume))


def heat_capacity_at(wire: FilamentWire, kelvin: ArrayLike) -> Floats:
    """Heat m cp(T) [J/K] that warms the wire by one kelvin; kelvin [K], any shape."""
    return wire.kilograms * specific_heat(kelvin)
