"""Light: from a surface's temperature to lumens.

How many lumens does a square metre of black body, or of tungsten, give at T kelvin?
    M = K_m * integral of V(lambda) epsilon(lambda, T) M_bb(lambda, T) d lambda
with Planck's M_bb, the CIE 1924 V(lambda), K_m = 683 lm/W, and for tungsten the
tabulated spectral emissivity, bilinear between its wavelengths and temperatures. The
emissivity is tabulated from 1600 to 2800 K; outside, each wavelength's outermost
straight line runs on (0.47 at 300 K, 0.43 at 3600 K at 550 nm).

The integral is a trapezoid over V(lambda)'s own steps of 5 nm from 380 to 780 nm. The
integrand is a bell that vanishes at both ends, so the rule is exact to 1e-4 from
2000 K up; below 350 K the red end is cut off, at 1e-26 of a lamp's flux.

Worked case: a black body at 2856 K gives 16.45 lm/W; bare tungsten at 2800 K, 20.2.

Source: Planck 1901; CIE 1924 V(lambda); spectral emissivity CRC Handbook (S27).
"""

from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lampwright.parts.nature import BOLTZMANN, LIGHT_SPEED, LUMINOUS_EFFICACY, PLANCK, STEFAN_BOLTZMANN
from lampwright.parts.roots import Tangent, root_of_rising
from lampwright.parts.splines import Piecewise, spline
from lampwright.parts.tables import Floats, constant, read_table
from lampwright.parts.tungsten import cold_kelvin, radiated

NANOMETRE = 1e-9
EMISSIVITY_KELVIN = (1600.0, 2000.0, 2400.0, 2800.0)  # columns of the emissivity table
FLUX_KNOTS = 3000  # of ln M against ln T; reproduces the integral to 2e-6
HOTTEST_KELVIN = 1e5  # where the tabulated ln M ends; far above melting
COOLEST_KELVIN = 1000.0  # no lamp burns below
EFFICACY_STEP = 10.0  # [K]


def planck_exitance(nanometre: ArrayLike, kelvin: ArrayLike) -> Floats:
    """Spectral exitance of a black body, 2 pi h c^2 / (lambda^5 (exp(hc / (lambda k T)) - 1)).

    nanometre: wavelength lambda [nm]; kelvin: T [K]; any shapes, broadcast.
    Returns [W/(m2 nm)]. Source: Planck 1901.
    """
    metre = np.asarray(nanometre, dtype=np.float64) * NANOMETRE
    T = np.asarray(kelvin, dtype=np.float64)
    photon = PLANCK * LIGHT_SPEED / metre
    wave = NANOMETRE * 2.0 * np.pi * PLANCK * LIGHT_SPEED**2 / metre**5
    return np.asarray(wave / np.expm1(photon / (BOLTZMANN * T)))


@cache
def _emissivity_table() -> tuple[Floats, Floats]:
    """Wavelengths [nm] (n,), and what is tabulated for each at EMISSIVITY_KELVIN, (n, 4)."""
    table = read_table("tungsten_spectral_emissivity.csv")
    grid = np.stack([table.numbers(f"eps_{T:.0f}K") for T in EMISSIVITY_KELVIN], axis=1)
    return table.numbers("wavelength_nm"), grid


def spectral_emissivity(nanometre: ArrayLike, kelvin: ArrayLike) -> Floats:
    """Spectral emissivity of tungsten.

    nanometre: wavelength [nm], 250 to 2400; kelvin: T [K], tabulated 1600 to 2800 and
    carried on straight outside, held within 0.3 and 0.6; any shapes, broadcast.
    Returns [1]. Source: S27.
    """
    waves, grid = _emissivity_table()
    i, across = _between(waves, np.asarray(nanometre, dtype=np.float64))
    j, up = _between(np.array(EMISSIVITY_KELVIN), np.asarray(kelvin, dtype=np.float64))
    cool = grid[i, j] * (1.0 - across) + grid[i + 1, j] * across
    hot = grid[i, j + 1] * (1.0 - across) + grid[i + 1, j + 1] * across
    return np.asarray(np.clip(cool * (1.0 - up) + hot * up, 0.3, 0.6))


def _between(knots: Floats, x: Floats) -> tuple[NDArray[np.intp], Floats]:
    """The cell that x lies in, and how far through it; beyond the knots the outermost cell runs on."""
    cell = knots[1:-1].searchsorted(x, "right")
    return cell, (x - knots[cell]) / (knots[cell + 1] - knots[cell])


@cache
def _photopic(column: str) -> Floats:
    """A column of V(lambda), read once, not to be written to."""
    values = read_table("photopic.csv").numbers(column)
    values.flags.writeable = False
    return values


def _weighed(kelvin: Floats, emissivity: Floats | float) -> Floats:
    """K_m times the trapezoid of V epsilon M_bb; kelvin and emissivity carry a last axis of wavelengths."""
    nm, v = _photopic("wavelength_nm"), _photopic("v")
    spectrum = v * emissivity * planck_exitance(nm, kelvin)
    return np.asarray(LUMINOUS_EFFICACY * np.trapezoid(spectrum, nm, axis=-1))


def black_exitance(kelvin: ArrayLike) -> Floats:
    """Luminous exitance of a black body; kelvin T [K], any shape. Returns [lm/m2]."""
    return _weighed(np.asarray(kelvin, dtype=np.float64)[..., np.newaxis], 1.0)


def black_efficacy(kelvin: ArrayLike) -> Floats:
    """Luminous efficacy of a black body's radiation, M / (sigma T^4).

    kelvin: T [K], any shape. Returns [lm/W], same shape.

    >>> round(float(black_efficacy(2856.0)), 2)
    16.45
    """
    return black_exitance(kelvin) / (STEFAN_BOLTZMANN * np.asarray(kelvin, dtype=np.float64) ** 4)


def tungsten_exitance(kelvin: ArrayLike) -> Floats:
    """Luminous exitance of bare tungsten; kelvin T [K], any shape. Returns [lm/m2]."""
    T = np.asarray(kelvin, dtype=np.float64)[..., np.newaxis]
    nm = _photopic("wavelength_nm")
    return _weighed(T, spectral_emissivity(nm, T))


def tungsten_efficacy(kelvin: ArrayLike) -> Floats:
    """Lumens of bare tungsten per watt radiated net of what the surroundings send back.

    kelvin: T [K] above T0, any shape. Returns [lm/W], same shape. Good to 2 or 3 %, the
    emissivities' accuracy.
    """
    return tungsten_exitance(kelvin) / radiated(kelvin)


@cache
def _efficacies() -> tuple[Floats, Floats, Floats]:
    """Temperatures [K] from below the coolest lamp to past melting, ln of their efficacies, and its slope."""
    past_melting = constant("melting_kelvin") + 2.0 * EFFICACY_STEP
    T = np.arange(COOLEST_KELVIN - 2.0 * EFFICACY_STEP, past_melting, EFFICACY_STEP)
    known = np.log(tungsten_efficacy(T))
    return T, known, np.diff(known) / EFFICACY_STEP


@cache
def efficacy_bounds() -> Floats:
    """Efficacy [lm/W], (2,), of tungsten at 1000 K, than which no lamp is cooler, and at melting."""
    return tungsten_efficacy(np.array([COOLEST_KELVIN, constant("melting_kelvin")]))


def kelvin_of_efficacy(lumens_per_watt: float) -> float:
    """The T of `tungsten_efficacy`(T) = this [lm/W]; scalars. Returns [K], from 1000 K to melting.

    Raises ValueError if no tungsten below melting gives it.
    """
    least, most = efficacy_bounds()
    if not least <= lumens_per_watt <= most:
        raise ValueError(f"{lumens_per_watt:.3g} lm/W radiated: tungsten gives {least:.2g} to {most:.3g}")
    T, known, steep = _efficacies()
    cell = int(np.searchsorted(known, np.log(lumens_per_watt)))
    found = root_of_rising(
        lambda x: Tangent(np.log(tungsten_efficacy(x)), steep[cell - 1]),
        np.log(np.array(lumens_per_watt)),
        T[cell - 2 : cell + 2],
        known[cell - 2 : cell + 2],
    )
    return float(found)


@cache
def _log_exitance() -> Piecewise:
    x = np.linspace(np.log(0.99 * cold_kelvin()), np.log(HOTTEST_KELVIN), FLUX_KNOTS)
    return spline(x, np.log(tungsten_exitance(np.exp(x))))


def log_exitance(kelvin: ArrayLike) -> Floats:
    """Natural logarithm of `tungsten_exitance`, from a table made once: fast on large arrays.

    kelvin: T [K], T0 to 1e5, any shape. Returns ln(lm/m2), same shape.
    """
    return _log_exitance()(np.log(kelvin))


def log_exitance_tangent(kelvin: ArrayLike) -> Tangent:
    """`log_exitance` and its derivative with respect to ln T [1]; kelvin [K], any shape."""
    return _log_exitance().tangent(np.log(kelvin))
