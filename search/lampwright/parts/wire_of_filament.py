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
from scipy.integrate import cumulative_simpson

from lampwright.parts.filament import (
    Filament,
    kelvin_of,
    ohms_at,
    relative_flux_at,
    watts_at,
    watts_slope_at,
)
from lampwright.parts.tables import Floats, constant
from lampwright.parts.tungsten import cold_kelvin, radiated, resistivity, resistivity_slope
from lampwright.parts.tungsten_heat import density, specific_heat

KNOTS = 2001  # of a warming or cooling curve; Simpson's rule is then right to 1e-6
FOLDS = 9.0  # a curve ends where the way left to its end is exp(-9) of the whole


@dataclass(frozen=True)
class Wire:
    """A filament's wire as if drawn straight, hot: length [m], diameter [m], mass [kg]."""

    metres: float
    diameter: float
    kilograms: float


@dataclass(frozen=True)
class HeatingCurve:
    """A filament warming or cooling at constant volts; arrays of shape (knots,).

    seconds [s], rising from 0; kelvin [K]; amps [A]; flux [1], relative to rated.
    """

    seconds: Floats
    kelvin: Floats
    amps: Floats
    flux: Floats


def coil_share() -> float:
    """Share c [1] of a straight wire's radiation that a coil sends out; a scalar (`constants.csv`)."""
    return constant("coil_share")


def wire_of(filament: Filament, share: float) -> Wire:
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
    return Wire(float(metres), float(diameter), float(density(T)) * float(volume))


def heat_capacity_at(wire: Wire, kelvin: ArrayLike) -> Floats:
    """Heat m cp(T) [J/K] that warms the wire by one kelvin; kelvin [K], any shape."""
    return wire.kilograms * specific_heat(kelvin)


def time_constant(filament: Filament, wire: Wire, kelvin: ArrayLike) -> Floats:
    """Time in which a small change of temperature dies to 1/e, the volts held constant.

    tau = m cp / (dP/dT - d(V^2 / R)/dT) = m cp / (P' + P R' / R), at the volts that hold T:
    a hotter wire loses more and, at constant volts, takes less. kelvin: T [K], T0 and up,
    any shape. Returns [s], same shape.
    """
    taken = watts_at(filament, kelvin) * resistivity_slope(kelvin) / resistivity(kelvin)
    return heat_capacity_at(wire, kelvin) / (watts_slope_at(filament, kelvin) + taken)


def inrush_ratio(filament: Filament, volts: float, lead_ohms: float = 0.0) -> float:
    """Amps of the cold filament over its steady amps [1], at volts [V] across the filament; scalars.

    lead_ohms: what is in series with it [Ω], hot and cold; the constant of that name for a lamp in
    its holder. Without it the ratio is the wire's own, which no holder lets through.
    """
    hot = float(ohms_at(filament, kelvin_of(filament, volts)))
    return (hot + lead_ohms) / (filament.cold_ohms + lead_ohms)


def _curve(
    filament: Filament, wire: Wire, volts: float, kelvin: Floats, x: Floats, pace: Floats
) -> HeatingCurve:
    """The curve through kelvin (knots,), with dT/dx = pace (knots,)."""
    ohms = ohms_at(filament, kelvin)
    gained = volts**2 / ohms - watts_at(filament, kelvin)
    seconds = cumulative_simpson(heat_capacity_at(wire, kelvin) * pace / gained, x=x, initial=0.0)
    return HeatingCurve(
        np.asarray(seconds, np.float64), kelvin, volts / ohms, relative_flux_at(filament, kelvin)
    )


def warm_up(filament: Filament, wire: Wire, volts: float) -> HeatingCurve:
    """Warming from cold at constant volts [V], a positive scalar.

    Temperature is the parameter, t = integral of m cp dT / (V^2/R - P), taken in
    x = -ln of the way left, so that the slow end is no trouble. Returns arrays of shape
    (2001,), the last 1e-4 of the rise short of steady.
    """
    steady, x = float(kelvin_of(filament, volts)), np.linspace(0.0, FOLDS, KNOTS)
    left = (steady - cold_kelvin()) * np.exp(-x)
    return _curve(filament=filament, wire=wire, volts=volts, kelvin=steady - left, x=x, pace=left)


def cool_down(filament: Filament, wire: Wire, kelvin: float) -> HeatingCurve:
    """Cooling without current from kelvin [K], a scalar above T0.

    Returns arrays of shape (2001,), to where 1e-4 of the way to cold is left.
    """
    x = np.linspace(0.0, FOLDS, KNOTS)
    rise = (kelvin - cold_kelvin()) * np.exp(-x)
    return _curve(filament=filament, wire=wire, volts=0.0, kelvin=cold_kelvin() + rise, x=x, pace=-rise)


def seconds_to_flux(curve: HeatingCurve, flux: float) -> float:
    """When the light passes a flux [1], relative to rated; a scalar. Returns [s].

    ValueError if the curve does not reach it.
    """
    stops, wanted = np.log2(curve.flux), np.log2(flux)
    low, high = sorted((stops[0], stops[-1]))
    if not low <= wanted <= high:
        raise ValueError(f"flux runs from {curve.flux[0]:.3g} to {curve.flux[-1]:.3g}, never {flux:.3g}")
    order = slice(None) if stops[-1] > stops[0] else slice(None, None, -1)
    return float(np.interp(wanted, stops[order], curve.seconds[order]))
