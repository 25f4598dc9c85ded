"""Heat that a filament loses without radiating it: through the gas, or out of its ends.

How does that loss rise with temperature? In a gas-filled lamp a film of gas stands
around the coil and heat is conducted through it (Langmuir), so the loss goes as the
integral of the gas's conductivity k from T0 to T, some T^1.64 where lamps burn:

    phi(T) = integral of k dT,    k = 1.557e-3 sqrt(T) / (1 + (170.5 / T) 10^(-8 / T)) W/(m K)

with k of argon. In vacuum only the two ends lose heat, along the wire into the cooler
supports. A long wire loses I d(T) at each end, with d some 0.3 V and rising as T by the
law of Wiedemann and Franz; I rises as T^2, so the loss goes as T^3. Since a cooled end
also resists less, its share of the whole is taken as what makes a wire of one
temperature carry the amps of the wire with cold ends: 0.15 at 13.5 V, times
(13.5 / V)^1.3, since every wire has two ends, however short. That is computed from the
heat equation of the wire, from no lamp; `tests/published/test_filament_ends.py` does it
again, within 1.5 % of the amps from 0.5 V up at 12 and 24 V, and 3 % at 6 V.

The share that a gas-filled lamp conducts at its rated temperature, 0.22 with its ends, is
the one figure taken from lamps: three measured curves give 0.19, 0.225 and 0.25
(`tests/published/measured_curves.csv`), the handbook 0.20 for the smallest gas-filled lamp, 40 W.
That was measured at 12 V, and fits the handbook's exponents down to 6 V. Below, the wire is short and its
ends take more, in gas too: a bulb of 2.5 V conducts 0.41 (a fourth measured curve). Between, the share
goes as the ends' does, as V^-1.3.

Worked case: argon, 17.6 mW/(m K) at 300 K and 77.7 at 2800 K; phi(2800) / phi(1400) = 3.25.

Assumes a film whose thickness does not change with temperature, argon (nitrogen's k rises
a little less steeply: 0.9 % of the amps at most, from 0.3 V up), and supports at T0.

Source: Langmuir, Phys. Rev. 34 (1912) 401 (LANGMUIR-12); Keyes and Vines 1965 (KEYES-VINES); IES
Lighting Handbook, page 6-5 (IES-6-5); the bulb of 2.5 V, KPS-73; conductivity of tungsten for the ends, S29.
"""

from functools import cache
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from lampwright.parts.roots import Tangent
from lampwright.parts.splines import Piecewise, spline
from lampwright.parts.tables import Floats, constant
from lampwright.parts.tungsten import cold_kelvin

Filling = Literal["gas", "vacuum"]

KNOTS = 600
SIZES = "large", "small"
FAR_KELVIN = 4e4  # where iterations may pass; no tungsten lives beyond 3695 K
MOST_SHARE = 0.45  # a wire so short is all ends, and no lamp of the catalogue is


def gas_conductivity(kelvin: ArrayLike) -> Floats:
    """Thermal conductivity of argon at low pressure.

    kelvin: T [K], any shape; the source measured from 413 to 621 K, and beyond it is carried on
    by the square root that kinetic theory gives. Returns [W/(m K)], same shape. Source: KEYES-VINES.

    >>> round(float(gas_conductivity(300.0)) * 1e3, 1)
    17.6
    """
    T = np.asarray(kelvin, dtype=np.float64)
    pull = constant("argon_pull") / T * 10.0 ** (-constant("argon_pull_fades") / T)
    return np.asarray(constant("argon_conductivity") * np.sqrt(T) / (1.0 + pull))


@cache
def _flow() -> Piecewise:
    """The integral of k dT from T0, as a piecewise polynomial."""
    T = np.geomspace(cold_kelvin(), FAR_KELVIN, KNOTS)
    return spline(T, gas_conductivity(T)).integral()


def conducted(kelvin: ArrayLike, filling: Filling) -> Floats:
    """Heat conducted away, up to a factor: phi(T) [W/m] in gas, T^3 - T0^3 [K^3] in vacuum.

    kelvin: T [K], T0 to 40 000, any shape. Returns the same shape, 0 at T0. Source: see the module.
    """
    T = np.asarray(kelvin, dtype=np.float64)
    if filling == "gas":
        return _flow()(T)
    n = constant("end_exponent")
    return np.asarray(T**n - cold_kelvin() ** n)


def conducted_tangent(kelvin: ArrayLike, filling: Filling) -> Tangent:
    """`conducted` and its derivative with respect to T [K]; kelvin [K], any shape."""
    T = np.asarray(kelvin, dtype=np.float64)
    if filling == "gas":
        return _flow().tangent(T)
    n = constant("end_exponent")
    return Tangent(np.asarray(T**n - cold_kelvin() ** n), np.asarray(n * T ** (n - 1.0)))


def conducted_share(filling: Filling, volts: float) -> float:
    """Share [1] of the rated power that is conducted away at the rated temperature.

    volts: rated [V], a positive scalar. With gas the share measured at 12 V, and below 6 V more,
    by what was measured at 2.5 V; in vacuum what the two ends take. Source: see the module.

    >>> round(conducted_share("vacuum", 13.5), 3), round(conducted_share("vacuum", 28.0), 3)
    (0.15, 0.058)
    >>> round(conducted_share("gas", 13.5), 3), round(conducted_share("gas", 2.5), 3)
    (0.22, 0.41)
    """
    fall = constant("end_share_fall")
    if filling == "gas":
        share, large, small = constant("conducted_share_gas"), *(constant(f"gas_{of}_volts") for of in SIZES)
        rise = ((large / volts) ** fall - 1.0) / ((large / small) ** fall - 1.0)
        share += (constant("conducted_share_gas_small") - share) * max(0.0, rise)
    else:
        share = constant("end_share") * (constant("end_share_volts") / volts) ** fall
    return float(min(share, MOST_SHARE))
