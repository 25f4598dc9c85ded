"""Curve tables against the heat balance they stand for; scipy's Hermite is the reader."""

import numpy as np
import pytest
from scipy.interpolate import CubicHermiteSpline
from tests.selection import some

from lampwright.parts.catalogue import LampType, lamp_type, lamp_types
from lampwright.parts.curve_table import CurveTables, curve_tables
from lampwright.parts.filament import amps_of, relative_flux_of

TOP: dict[float, float] = {6: 12.0, 12: 23.0, 24: 44.8}  # 1.6 times the system's highest test voltage


def knots(tables: CurveTables) -> np.ndarray:
    return tables.h * np.arange(tables.amps.shape[1])


@pytest.mark.parametrize(
    "lamp", some(lamp_types(), lamp_types()[::8]), ids=lambda lamp: f"{lamp.name}-{lamp.system}"
)
def test_tables_stand_for_the_curve(lamp: LampType) -> None:
    top = TOP.get(lamp.system, 1.2 * lamp.system)
    tables = curve_tables(lamp.filaments, top)
    draw = np.random.default_rng(1937)  # a fixed start: the same volts every run
    volts = top * np.concatenate([draw.random(5000), draw.random(5000) ** 4])
    u = np.sqrt(volts)
    for row, f in enumerate(lamp.filaments):
        wanted = amps_of(f, volts)
        read = CubicHermiteSpline(knots(tables), tables.amps[row], tables.slope[row])(u)
        assert np.abs(read - wanted).max() / f.rated_amps < 1e-9, "the solver's own tolerance"
        flux = relative_flux_of(f, volts)
        lit = flux > 1e-5
        stops = np.interp(u, knots(tables), tables.stops[row])
        assert np.abs(stops[lit] - np.log2(flux[lit])).max() < 1e-3, "far below what an eye can tell"


def test_slopes_and_cold_end() -> None:
    f = lamp_type("W5W", 12).filaments[0]
    tables = curve_tables([f], 23.0)
    u = knots(tables)
    mid = slice(100, -1)
    rise = (amps_of(f, (u[mid] + 1e-5) ** 2) - amps_of(f, (u[mid] - 1e-5) ** 2)) / 2e-5
    # central difference: curvature times step squared, and rounding over the step, near 1e-9
    assert np.abs(tables.slope[0, mid] / rise - 1.0).max() < 1e-7
    assert tables.amps[0, 0] == tables.slope[0, 0] == 0.0
    assert abs(tables.cold_siemens[0] * f.cold_ohms - 1.0) < 1e-15
    near_zero = tables.amps[0, 1] / u[1] ** 2
    assert abs(near_zero / tables.cold_siemens[0] - 1.0) < 1e-3, "the first knot is still cold"


def test_shapes_floor_and_layout() -> None:
    filaments = lamp_type("P21/5W", 12).filaments
    tables = curve_tables(filaments, 16.0)
    for array in (tables.amps, tables.slope, tables.stops, tables.kelvin):
        assert array.shape == (2, 2049)
        assert array.dtype == np.float64
        assert array.flags.c_contiguous
    assert tables.cold_siemens.shape == (2,)
    assert abs(tables.h * 2048 - 4.0) < 1e-15
    assert tables.stops.min() == -60.0
    assert tables.kelvin[0, 0] == 293.15
    assert np.all(np.diff(tables.amps, axis=1) > 0.0)
    assert np.all(np.diff(tables.kelvin, axis=1) > 0.0)


def test_no_filaments_make_empty_tables() -> None:
    assert curve_tables([], 16.0).amps.shape == (0, 2049)


def test_a_range_must_be_positive() -> None:
    with pytest.raises(ValueError, match="positive range"):
        curve_tables(lamp_type("W5W", 12).filaments, 0.0)
