"""A filament lamp in steady state: volts, amps, light and life from its temperature.

What does a lamp take and give at V volts? Its temperature T settles where the
electrical power equals the heat lost:

    V^2 / R(T) = P(T)
    R(T) = R_rated rho(T) / rho(T_rated)
    P(T) = P_rated ((1 - s) w(T) / w(T_rated) + s c(T) / c(T_rated))

with rho tungsten's resistivity, w its net radiated power (`tungsten`), and s the share
of the rated power that is conducted away, as c(T): through the gas or, in vacuum, by the
ends of the wire (`conduction`). Temperature is the parameter of everything: V = sqrt(P R),
I = sqrt(P / R), and flux relative to rated is a ratio of luminous exitances
(`photometry`). The rated temperature is the one whose tungsten efficacy, times
(1 - s), is the lamp's rated lumens per watt.

Worked case: P21W, 25 W and 460 lm at 13.5 V, 18.4 lm/W, so 23.6 lm/W of radiation and
2905 K; half its volts give 0.70 of its amps and 0.061 of its light.

How good it is. Amps: within 3 % of measured lamps of 20 and 37 W from 0.3 V to rated volts, and
some 6 % of one of 8 W, 0.12 ohm of leads and holder allowed for
(`tests/published/test_measured_curves.py`); within 1.5 % of a wire with cold ends in vacuum from
0.5 V up at 12 V. Below some 0.3 V the leads decide, and the model has none. Light is as good as
its temperature: rated lumens off by 10 %, or the share through gas by 0.03, move light relative to
rated by 0.02 stops at 11.8 V of 13.5, 0.1 at half volts, a quarter of a stop where a lamp is
just off and three quarters at 1200 K. No measured light of a dim lamp was found to hold it against.

Assumes: one temperature along the wire, its cool ends only in s; coil
geometry and thermal expansion as in `tungsten`; glass that takes an equal share of the
light at every temperature, so it cancels from relative flux. Steady: no inertia.

Source: heat balance as in Carla 2013 (S32) and S33; conduction as in `conduction`; life
exponents from the IES Handbook (IES-HB).
"""

from dataclasses import dataclass
from functools import cache, cached_property, lru_cache
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from lampwright.parts.conduction import Filling, conducted, conducted_tangent
from lampwright.parts.photometry import kelvin_of_efficacy, log_exitance, log_exitance_tangent
from lampwright.parts.roots import Tangent, root_of_rising
from lampwright.parts.tables import Floats
from lampwright.parts.tungsten import (
    cold_kelvin,
    radiated,
    radiated_tangent,
    resistivity,
    resistivity_tangent,
)

Place = Literal["single", "major", "minor"]

LEAST_RISE = 1e-3  # [K] below this rise above T0, heat lost is in proportion to the rise
MOST_RISE = 3e4  # [K] far above melting: volts some hundred times rated
RISE_KNOTS = 400


@dataclass(frozen=True)
class Filament:
    """One filament at its rated point.

    place: the only filament of its bulb, or the major or minor one of two.
    test_volts [V], watts [W], lumens [lm]: the rated point, at the test or design voltage.
    rated_kelvin [K]: its temperature there. filling: how heat is conducted away; conducted_share
    [1]: s, see the module.
    watts_tolerance, flux_tolerance [1]: fractions, both ways, at the test voltage.
    life_hours [h]: rated average life, None if not published; life_exponent [1]: d in V^-d.
    """

    place: Place
    test_volts: float
    watts: float
    lumens: float
    rated_kelvin: float
    filling: Filling
    conducted_share: float
    watts_tolerance: float
    flux_tolerance: float
    life_hours: float | None
    life_exponent: float

    @property
    def rated_amps(self) -> float:
        """Current at the test voltage [A]."""
        return self.watts / self.test_volts

    @property
    def rated_ohms(self) -> float:
        """Resistance at the test voltage [Ω]."""
        return self.test_volts**2 / self.watts

    @property
    def cold_ohms(self) -> float:
        """Resistance unlit, at T0 [Ω]."""
        return float(ohms_at(self, cold_kelvin()))

    @cached_property
    def ohms_factor(self) -> float:
        """Resistance by resistivity [Ω / (Ω m)], as at the rated point."""
        return self.rated_ohms / float(resistivity(self.rated_kelvin))

    @cached_property
    def radiated_factor(self) -> float:
        """Heat radiated by `radiated` [W / (W/m2)], as at the rated point."""
        return self.watts * (1.0 - self.conducted_share) / float(radiated(self.rated_kelvin))

    @cached_property
    def conducted_factor(self) -> float:
        """Heat conducted by `conducted` [W per its unit], as at the rated point."""
        return self.watts * self.conducted_share / float(conducted(self.rated_kelvin, self.filling))


def rated_kelvin(lumens: float, watts: float, share: float) -> float:
    """The temperature at which tungsten gives the rated efficacy.

    lumens / watts = (1 - s) efficacy(T). Scalars: [lm], [W], s [1]. Returns T [K] from
    1000 K to melting; ValueError if no such tungsten exists (33 lm/W and more with gas).
    """
    return kelvin_of_efficacy(lumens / watts / (1.0 - share))


def ohms_at(filament: Filament, kelvin: ArrayLike) -> Floats:
    """Resistance R(T) [Ω] at temperature kelvin [K], any shape."""
    return filament.ohms_factor * resistivity(kelvin)


def watts_at(filament: Filament, kelvin: ArrayLike) -> Floats:
    """Heat lost, P(T) [W], radiated and conducted, at temperature kelvin [K], any shape; 0 at T0."""
    T = np.asarray(kelvin, dtype=np.float64)
    lost = filament.radiated_factor * radiated(T)
    return np.asarray(lost + filament.conducted_factor * conducted(T, filament.filling))


def watts_tangent_at(filament: Filament, kelvin: ArrayLike) -> Tangent:
    """`watts_at` and its derivative [W], [W/K]; kelvin [K], any shape."""
    T = np.asarray(kelvin, dtype=np.float64)
    radiates, conducts = radiated_tangent(T), conducted_tangent(T, filament.filling)
    lost, slope = (filament.radiated_factor * one for one in radiates)
    return Tangent(
        np.asarray(lost + filament.conducted_factor * conducts.value),
        np.asarray(slope + filament.conducted_factor * conducts.slope),
    )


def volts_at(filament: Filament, kelvin: ArrayLike) -> Floats:
    """Volts that hold the filament at temperature kelvin [K], T0 and up, any shape. Returns [V]."""
    return np.sqrt(watts_at(filament, kelvin) * ohms_at(filament, kelvin))


def amps_at(filament: Filament, kelvin: ArrayLike) -> Floats:
    """Amps that hold the filament at temperature kelvin [K], T0 and up, any shape. Returns [A]."""
    return np.sqrt(watts_at(filament, kelvin) / ohms_at(filament, kelvin))


def relative_flux_at(filament: Filament, kelvin: ArrayLike) -> Floats:
    """Luminous flux relative to rated [1] at temperature kelvin [K], T0 and up, any shape."""
    return np.exp(log_exitance(kelvin) - log_exitance(filament.rated_kelvin))


def kelvin_of(filament: Filament, volts: ArrayLike) -> Floats:
    """Steady temperature at given volts: the T of V^2 = P(T) R(T).

    volts: V [V], any shape and sign, up to some hundred times rated. Returns T [K], same
    shape, T0 and up; above melting (3695 K) the answer only says that the lamp is gone.
    """
    T0, scale = cold_kelvin(), filament.test_volts**2

    def law(y: Floats) -> Tangent:
        rise = np.exp(y)
        T = T0 + rise
        lost, lost_slope = watts_tangent_at(filament, T)
        rho, rho_slope = resistivity_tangent(T)
        value = np.log(lost * (filament.ohms_factor * rho) / scale)
        return Tangent(value, np.asarray((lost_slope / lost + rho_slope / rho) * rise))

    grid, known = _rises(), _squares_known(filament)
    square = np.asarray(volts, dtype=np.float64) ** 2 / scale
    least = float(np.exp(known[0]))
    # a hair above the grid's first value, so that rounding cannot put it outside
    y = root_of_rising(law, np.log(np.maximum(square, least * (1.0 + 1e-9))), grid, known)
    return T0 + np.where(square < least, LEAST_RISE * square / least, np.exp(y))


@cache
def _rises() -> Floats:
    """Natural logarithms of rises above T0 [K] between which that of any lamp lies, (knots,)."""
    return np.linspace(np.log(LEAST_RISE), np.log(MOST_RISE), RISE_KNOTS)


@lru_cache(maxsize=4096)
def _squares_known(filament: Filament) -> Floats:
    """Natural logarithms of V^2 by its rated value at these, (knots,)."""
    T = cold_kelvin() + np.exp(_rises())
    return np.log(watts_at(filament, T) * ohms_at(filament, T) / filament.test_volts**2)


def amps_of(filament: Filament, volts: ArrayLike) -> Floats:
    """Steady current at given volts [V], any shape; odd in volts. Returns [A], same shape."""
    V = np.asarray(volts, dtype=np.float64)
    return np.asarray(V / ohms_at(filament, kelvin_of(filament, V)))


def relative_flux_of(filament: Filament, volts: ArrayLike) -> Floats:
    """Luminous flux relative to rated [1] at given volts [V], any shape and sign."""
    return relative_flux_at(filament, kelvin_of(filament, volts))


@lru_cache(maxsize=4096)
def flux_across(filament: Filament, volts: tuple[float, ...]) -> Floats:
    """`relative_flux_of` at these volts [V], (volts,), remembered: every problem with the lamp asks anew."""
    return _held(relative_flux_of(filament, np.array(volts)))


@lru_cache(maxsize=4096)
def volts_giving(filament: Filament, flux: tuple[float, ...]) -> Floats:
    """`volts_for_flux` for these, (flux,) [V], remembered likewise."""
    return _held(volts_for_flux(filament, np.array(flux)))


def _held(values: Floats) -> Floats:
    values.flags.writeable = False
    return values


def volts_for_flux(filament: Filament, flux: ArrayLike) -> Floats:
    """Volts at which a lamp gives a flux, relative to rated.

    flux: [1], 0 and up, any shape. Returns [V], same shape; 0 for any flux below what a
    body at T0 gives (some 1e-28).
    """
    floor = float(log_exitance(cold_kelvin()))
    given = np.asarray(flux, dtype=np.float64) * np.exp(log_exitance(filament.rated_kelvin))
    target = np.log(np.maximum(given, np.exp(floor) * (1.0 + 1e-9)))
    found = root_of_rising(
        lambda y: log_exitance_tangent(np.exp(y)), target, _temperatures(), _exitances_known()
    )
    return np.where(given <= np.exp(floor), 0.0, volts_at(filament, np.exp(found)))


@cache
def _temperatures() -> Floats:
    """Natural logarithms of temperatures [K] between which that of any light lies, (knots,)."""
    return np.linspace(np.log(cold_kelvin()), np.log(MOST_RISE), RISE_KNOTS)


@cache
def _exitances_known() -> Floats:
    """`log_exitance` at these, (knots,)."""
    return log_exitance(np.exp(_temperatures()))


def relative_life(filament: Filament, volts: ArrayLike) -> Floats:
    """Average life relative to rated, (V / V_test)^-d.

    volts: V [V], any shape. Returns [1]; infinite at 0 V. A power law of the handbook,
    good from 80 to 120 % of the test voltage and only a trend outside. Source: IES-HB.
    """
    x = np.abs(np.asarray(volts, dtype=np.float64)) / filament.test_volts
    with np.errstate(divide="ignore", over="ignore"):
        return np.asarray(x**-filament.life_exponent)
