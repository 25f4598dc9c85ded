"""How a filament warms and cools at constant volts, by quadrature: a plain way beside the solver of flashing.

The wire of one lamp alone, m cp(T) dT/dt = V^2 / R(T) - P(T), with temperature as the parameter.
Source: physics as in `parts.wire_of_filament`.
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
    watts_tangent_at,
)
from lampwright.parts.tables import Floats
from lampwright.parts.tungsten import cold_kelvin, resistivity_tangent
from lampwright.parts.wire_of_filament import FilamentWire, heat_capacity_at

KNOTS = 2001  # of a warming or cooling curve; Simpson's rule is then right to 1e-6
FOLDS = 9.0  # a curve ends where the way left to its end is exp(-9) of the whole


@dataclass(frozen=True)
class HeatingCurve:
    """A filament warming or cooling at constant volts; arrays of shape (knots,).

    seconds [s], rising from 0; kelvin [K]; amps [A]; flux [1], relative to rated.
    """

    seconds: Floats
    kelvin: Floats
    amps: Floats
    flux: Floats


def time_constant(filament: Filament, wire: FilamentWire, kelvin: ArrayLike) -> Floats:
    """Time in which a small change of temperature dies to 1/e, the volts held constant.

    tau = m cp / (dP/dT - d(V^2 / R)/dT) = m cp / (P' + P R' / R), at the volts that hold T:
    a hotter wire loses more and, at constant volts, takes less. kelvin: T [K], T0 and up,
    any shape. Returns [s], same shape.
    """
    watts, rho = watts_tangent_at(filament, kelvin), resistivity_tangent(kelvin)
    taken = watts.value * rho.slope / rho.value
    return heat_capacity_at(wire, kelvin) / (watts.slope + taken)


def inrush_ratio(filament: Filament, volts: float, lead_ohms: float = 0.0) -> float:
    """Amps of the cold filament over its steady amps [1], at volts [V] across the filament; scalars.

    lead_ohms: what is in series with it [Ω], hot and cold; the constant of that name for a lamp in
    its holder. Without it the ratio is the wire's own, which no holder lets through.
    """
    hot = float(ohms_at(filament, kelvin_of(filament, volts)))
    return (hot + lead_ohms) / (filament.cold_ohms + lead_ohms)


def _curve(
    filament: Filament, wire: FilamentWire, volts: float, kelvin: Floats, x: Floats, pace: Floats
) -> HeatingCurve:
    """The curve through kelvin (knots,), with dT/dx = pace (knots,)."""
    ohms = ohms_at(filament, kelvin)
    gained = volts**2 / ohms - watts_at(filament, kelvin)
    seconds = cumulative_simpson(heat_capacity_at(wire, kelvin) * pace / gained, x=x, initial=0.0)
    return HeatingCurve(
        np.asarray(seconds, np.float64), kelvin, volts / ohms, relative_flux_at(filament, kelvin)
    )


def warm_up(filament: Filament, wire: FilamentWire, volts: float) -> HeatingCurve:
    """Warming from cold at constant volts [V], a positive scalar.

    Temperature is the parameter, t = integral of m cp dT / (V^2/R - P), taken in
    x = -ln of the way left, so that the slow end is no trouble. Returns arrays of shape
    (2001,), the last 1e-4 of the rise short of steady.
    """
    steady, x = float(kelvin_of(filament, volts)), np.linspace(0.0, FOLDS, KNOTS)
    left = (steady - cold_kelvin()) * np.exp(-x)
    return _curve(filament=filament, wire=wire, volts=volts, kelvin=steady - left, x=x, pace=left)


def cool_down(filament: Filament, wire: FilamentWire, kelvin: float) -> HeatingCurve:
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
