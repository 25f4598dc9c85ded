"""Splines against scipy's, element by element; constants of nature against scipy's list."""

import numpy as np
import pytest
from scipy import constants
from scipy.interpolate import CubicSpline, RegularGridInterpolator

from lampwright.parts import nature
from lampwright.parts.photometry import (
    EMISSIVITY_KELVIN,
    efficacy_bounds,
    kelvin_of_efficacy,
    spectral_emissivity,
    tungsten_efficacy,
)
from lampwright.parts.splines import natural_spline, spline
from lampwright.parts.tables import Floats, read_table

ROUNDING = 1e-11  # of values near 1, through systems of thousands of rows


def points(count: int) -> Floats:
    rng = np.random.default_rng(count)
    return np.stack([np.cumsum(rng.uniform(0.1, 1.1, count)), rng.normal(size=count)])


@pytest.mark.parametrize("count", [4, 5, 40, 3000])
@pytest.mark.parametrize(("ours", "ends"), [(spline, "not-a-knot"), (natural_spline, "natural")])
def test_the_same_curve_as_scipy(ours, ends, count) -> None:  # type: ignore[no-untyped-def]
    x, y = points(count)
    one, twin = ours(x, y), CubicSpline(x, y, bc_type=ends)
    at = np.linspace(x[0] - 1.0, x[-1] + 1.0, 4001)
    for mine, theirs in (
        (one, twin),
        (one.slope, twin.derivative()),
        (one.integral(), twin.antiderivative()),
    ):
        scale = np.maximum(1.0, np.abs(theirs(at)))
        assert np.max(np.abs(mine(at) - theirs(at)) / scale) < ROUNDING


def test_goes_on_straight_at_both_ends() -> None:
    x, y = points(7)
    one = natural_spline(x, y)
    whole = one.straight_beyond(x[0] - 5.0, x[-1] + 5.0)
    inside = np.linspace(x[0], x[-1], 101)
    assert np.max(np.abs(whole(inside) - one(inside))) < ROUNDING
    for end, beyond in ((x[0], x[0] - 8.0), (x[-1], x[-1] + 8.0)):
        straight = float(one(end)) + float(one.slope(end)) * (beyond - end)
        assert abs(float(whole(beyond)) - straight) < 1e3 * ROUNDING
        assert abs(float(whole.slope(beyond)) - float(one.slope(end))) < ROUNDING


def test_a_tangent_is_the_value_and_the_slope_to_the_last_bit() -> None:
    x = np.linspace(0.0, 3.0, 9)
    one = spline(x, np.sin(x)).straight_beyond(-1.0, 5.0)
    for at in (0.7, np.linspace(-2.0, 6.0, 101).reshape(1, 101)):
        value, slope = one.tangent(at)
        assert np.array_equal(value, one(at))
        assert np.array_equal(slope, one.slope(at))
        assert np.shape(slope) == np.shape(at)


def test_keeps_shapes() -> None:
    one = spline(*points(9))
    assert one(2.0).shape == ()
    assert one(np.ones((2, 3))).shape == (2, 3)


def test_emissivity_is_bilinear_as_scipy_has_it() -> None:
    table = read_table("tungsten_spectral_emissivity.csv")
    grid = np.stack([table.numbers(f"eps_{T:.0f}K") for T in EMISSIVITY_KELVIN], axis=1)
    axes = table.numbers("wavelength_nm"), np.array(EMISSIVITY_KELVIN)
    twin = RegularGridInterpolator(axes, grid, bounds_error=False, fill_value=None)
    nm, T = np.meshgrid(np.linspace(240.0, 2500.0, 301), np.linspace(290.0, 3800.0, 201), indexing="ij")
    wanted = np.clip(twin(np.stack([nm, T], axis=-1)), 0.3, 0.6)
    assert np.max(np.abs(spectral_emissivity(nm, T) - wanted)) < ROUNDING


def test_the_temperature_of_an_efficacy() -> None:
    melting = 3695.0
    for T in (1000.0, 1000.1, 1599.9, 1600.0, 2400.0, 2777.7, 3690.0, melting):
        efficacy = float(np.clip(tungsten_efficacy(T), *efficacy_bounds()))
        assert abs(kelvin_of_efficacy(efficacy) - T) < 1e-8
    for efficacy in (0.99 * efficacy_bounds()[0], 1.01 * efficacy_bounds()[1]):
        with pytest.raises(ValueError, match="lm/W radiated: tungsten gives"):
            kelvin_of_efficacy(float(efficacy))


def test_constants_are_those_of_the_si() -> None:
    assert constants.h == nature.PLANCK
    assert constants.c == nature.LIGHT_SPEED
    assert constants.k == nature.BOLTZMANN
    assert constants.e == nature.ELEMENTARY_CHARGE
    assert constants.physical_constants["luminous efficacy"][0] == nature.LUMINOUS_EFFICACY
    assert abs(nature.STEFAN_BOLTZMANN / constants.Stefan_Boltzmann - 1.0) < 1e-9
