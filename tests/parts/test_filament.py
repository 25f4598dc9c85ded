"""Filament curves: against a heat balance written afresh, and over the whole catalogue.

The outside judge is scipy's brentq on the heat balance as the module's docstring states
it, from the published tables read here.
"""

import csv
from functools import cache
from importlib import resources

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.interpolate import CubicSpline
from scipy.optimize import brentq

from lampwright.parts.catalogue import lamp_type, lamp_types
from lampwright.parts.filament import (
    Filament,
    amps_at,
    amps_of,
    kelvin_of,
    ohms_at,
    rated_kelvin,
    relative_flux_at,
    relative_flux_of,
    relative_life,
    volts_at,
    volts_for_flux,
    watts_at,
    watts_tangent_at,
)

ALL = [(f"{lamp.name}-{lamp.system}-{f.place}", f) for lamp in lamp_types() for f in lamp.filaments]
SOME = [("P21W", 12, 0), ("P21/5W", 12, 1), ("W2.3W", 12, 0), ("W5W", 24, 0), ("47", 6, 0), ("1157", 12, 0)]
T0, SIGMA = 293.15, 5.670374419e-8  # CODATA 2018


def tungsten(column: str) -> CubicSpline:
    text = (resources.files("lampwright.parts") / "data" / "tungsten.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))
    known = [(float(row["T_K"]), float(row[column])) for row in rows if row[column]]
    kelvin, value = np.array(known).T
    return CubicSpline(np.log(kelvin), np.log(value), bc_type="natural")


RHO, EPS = tungsten("rho_uohm_cm"), tungsten("eps_total")


def argon(kelvin: float) -> float:
    """Keyes and Vines's equation (KEYES-VINES), in mW/(m K)."""
    return float(1.557 * np.sqrt(kelvin) / (1.0 + 170.5 / kelvin / 10.0 ** (8.0 / kelvin)))


@cache
def conducted(T: float, f: Filament) -> float:
    """Heat conducted away, up to a factor."""
    if f.filling == "vacuum":
        return T**3 - T0**3
    return float(quad(argon, T0, T, epsrel=1e-12, epsabs=0.0, limit=200)[0]) if T > T0 else 0.0


def balance(T: float, V: float, f: Filament) -> float:
    """Watts in minus watts out, over rated watts."""

    def glow(kelvin: float) -> float:
        return float(np.exp(EPS(np.log(kelvin)))) * SIGMA * kelvin**4

    ohms = f.test_volts**2 / f.watts * float(np.exp(RHO(np.log(T)) - RHO(np.log(f.rated_kelvin))))
    light = (glow(T) - glow(T0)) / (glow(f.rated_kelvin) - glow(T0))
    s = f.conducted_share
    return V**2 / ohms / f.watts - (1.0 - s) * light - s * conducted(T, f) / conducted(f.rated_kelvin, f)


@pytest.mark.parametrize(("name", "system", "place"), SOME)
def test_whole_curve_against_a_root_finder(name: str, system: int, place: int) -> None:
    f = lamp_type(name, system).filaments[place]
    volts = f.test_volts * np.concatenate([[0.002, 0.005, 0.01, 0.02], np.linspace(0.05, 1.5, 30)])
    wanted = np.array([brentq(balance, T0, 3600.0, args=(V, f), xtol=1e-10, rtol=1e-14) for V in volts])
    got = kelvin_of(f, volts)
    # both are roots to rounding; rounding of T0^4 against T^4 is worst at the cold end
    assert np.abs(got / wanted - 1.0).max() < 1e-9
    ohms = f.rated_ohms * np.exp(RHO(np.log(wanted)) - RHO(np.log(f.rated_kelvin)))
    assert np.abs(amps_of(f, volts) * ohms / volts - 1.0).max() < 1e-9


@pytest.mark.parametrize("f", [f for _, f in ALL], ids=[name for name, _ in ALL])
def test_current_rises_with_voltage_everywhere(f: Filament) -> None:
    volts = np.concatenate([[0.0], np.geomspace(1e-6, 1.6, 4000)]) * f.test_volts
    amps = amps_of(f, volts)
    assert amps[0] == 0.0
    assert np.all(np.diff(amps) > 0.0)
    flux = relative_flux_of(f, volts)
    assert np.all(np.diff(flux) >= 0.0)


@pytest.mark.parametrize("f", [f for _, f in ALL], ids=[name for name, _ in ALL])
def test_rated_point_and_cold_end(f: Filament) -> None:
    assert abs(float(kelvin_of(f, f.test_volts)) / f.rated_kelvin - 1.0) < 1e-12
    assert abs(float(amps_of(f, f.test_volts)) / f.rated_amps - 1.0) < 1e-12
    assert abs(float(relative_flux_of(f, f.test_volts)) - 1.0) < 1e-10
    tiny = 1e-7 * f.test_volts
    assert abs(float(amps_of(f, tiny)) * f.cold_ohms / tiny - 1.0) < 1e-6, "cold resistance at zero"


def test_there_and_back() -> None:
    for f in (lamp_type(name, system).filaments[place] for name, system, place in SOME):
        kelvin = np.array([300.0, 500.0, 1000.0, 2000.0, f.rated_kelvin, 3000.0])
        volts = volts_at(f, kelvin)
        assert np.abs(kelvin_of(f, volts) / kelvin - 1.0).max() < 1e-11
        assert np.abs(amps_of(f, volts) / amps_at(f, kelvin) - 1.0).max() < 1e-11
        assert np.abs(volts * amps_at(f, kelvin) / watts_at(f, kelvin) - 1.0).max() < 1e-12
        flux = np.array([1e-12, 1e-5, 0.01, 0.25, 1.0, 2.0])
        assert np.abs(relative_flux_of(f, volts_for_flux(f, flux)) / flux - 1.0).max() < 1e-9
        assert float(volts_for_flux(f, 0.0)) == 0.0


def test_odd_in_volts_and_broadcast() -> None:
    f = lamp_type("P21W", 12).filaments[0]
    volts = np.array([[1.0, -6.0, 0.0], [-13.5, 13.5, 6.0]])
    amps = amps_of(f, volts)
    assert amps.shape == volts.shape
    assert amps[0, 1] == -amps[1, 2]
    assert amps[0, 2] == 0.0
    assert kelvin_of(f, volts)[0, 2] == T0
    assert relative_flux_at(f, [[300.0], [2000.0]]).shape == (2, 1)
    assert np.ndim(relative_flux_of(f, 12.0)) == 0


def test_slope_of_heat_lost() -> None:
    f = lamp_type("P21W", 12).filaments[0]
    kelvin, step = np.linspace(300.0, 3500.0, 321), 1e-3
    rise = (watts_at(f, kelvin + step) - watts_at(f, kelvin - step)) / (2.0 * step)
    value, slope = watts_tangent_at(f, kelvin)
    assert np.array_equal(value, watts_at(f, kelvin))
    assert np.abs(slope / rise - 1.0).max() < 1e-6, "central difference's rounding"


def test_gas_takes_its_share_at_the_rated_point() -> None:
    gas, vacuum = lamp_type("P21W", 12).filaments[0], lamp_type("W5W", 12).filaments[0]
    warm = 400.0
    lean = float(watts_at(gas, warm)) / gas.watts
    share = conducted(warm, gas) / conducted(gas.rated_kelvin, gas)
    assert abs(lean - 0.22 * share) < 2e-4, "at 400 K nearly all is conducted"
    assert float(watts_at(vacuum, warm)) / vacuum.watts < 5e-4


def test_far_over_voltage_stays_defined() -> None:
    f = lamp_type("W5W", 6).filaments[0]
    amps = amps_of(f, np.array([14.4, 28.0, 100.0]))
    assert np.all(np.isfinite(amps))
    assert np.all(np.diff(amps) > 0.0)
    with pytest.raises(ArithmeticError, match="outside"):
        kelvin_of(f, 1e6)


def test_life_is_infinite_unlit() -> None:
    f = lamp_type("P21W", 12).filaments[0]
    assert float(relative_life(f, 0.0)) == np.inf
    assert float(relative_life(f, f.test_volts)) == 1.0


def test_impossible_efficacy_is_refused() -> None:
    with pytest.raises(ValueError, match="tungsten gives"):
        rated_kelvin(1000.0, 10.0, 0.0)


def test_resistance_at_rated_point() -> None:
    f = lamp_type("P21W", 12).filaments[0]
    assert abs(float(ohms_at(f, f.rated_kelvin)) - 13.5**2 / 25.0) < 1e-12
