"""Lamp life, heat and derating against the handbook, data sheets and rules of the trade.

life ~ volts^-12 to volts^-16                  S35 (READ)
5 % over-voltage halves life                   S37 (READ)
1157: 1200 h at 12.8 V; its minor 5000 h at 14.0 V   S6 (READ)
1N4001 to 1N4007: 1.1 V at most at 1 A         S51 (READ)
1N5400 to 1N5408: 1.0 V at most at 3 A         S52 (READ)
resistors at half their rating at most         common practice
LED for W5W: about 2 W at 12 V, 2.5 W at 24 V, 30 to 185 mA for failure detection   S88 (READ)
rule of three: 0 misses in n, 95 % one-sided: about 3/n   common practice

Tests named `transcribed` guard the data file against slips of typing and check nothing else.
"""

import pytest
from scipy.stats import binomtest

from lampwright.assess.endurance import diode_heat, lamp_life
from lampwright.parts.catalogue import diode_type, lamp_type
from lampwright.parts.diode import TEST_VOLTS, led_type
from lampwright.parts.filament import Filament
from lampwright.parts.series import is_cool, stock_wattages, wattage_for
from lampwright.parts.tables import constant
from lampwright.results.care import LampLife


def life_of(filament: Filament, volts: float) -> LampLife:
    return lamp_life("lamp", "type", filament, volts)


@pytest.mark.parametrize("share", [0.8, 0.9, 0.95, 1.05, 1.1, 1.2])
def test_life_by_the_published_exponents(share: float) -> None:
    filament = lamp_type("P21W", 12).filaments[0]
    got = life_of(filament, share * filament.test_volts)
    assert got.life is not None
    assert sorted((share**-12, share**-16))[0] < got.life < sorted((share**-12, share**-16))[1]
    assert got.in_range
    assert got.hours is None, "UN R37 prints no life"


def test_life_in_hours_where_it_is_printed() -> None:
    major, minor = lamp_type("1157", 12).filaments
    assert life_of(major, 12.8).hours == pytest.approx(1200.0, rel=1e-12)
    assert life_of(minor, 14.0).hours == pytest.approx(5000.0, rel=1e-12)
    hours = life_of(major, 14.4).hours
    assert hours is not None
    assert 1200.0 * 1.125**-16 < hours < 1200.0 * 1.125**-12


def test_five_per_cent_more_volts_halve_life() -> None:
    filament = lamp_type("W5W", 12).filaments[0]
    # a rule of one figure; exponents of 12 to 16 are printed, so 0.46 to 0.56
    life = life_of(filament, 1.05 * 13.5).life
    assert life is not None
    assert 0.46 < life < 0.56


@pytest.mark.parametrize(("share", "inside"), [(0.79, False), (0.81, True), (1.19, True), (1.21, False)])
def test_the_range_of_the_exponent(share: float, inside: bool) -> None:
    filament = lamp_type("W5W", 12).filaments[0]
    assert life_of(filament, share * 13.5).in_range is inside


@pytest.mark.parametrize(("name", "amps", "volts"), [("1N4007", 1.0, 1.1), ("1N5404", 3.0, 1.0)])
def test_heat_of_a_diode_at_its_sheets_point(name: str, amps: float, volts: float) -> None:
    heat = diode_heat("D1", diode_type(name), amps)
    # the weakest diode the sheet lets pass drops just its printed maximum
    assert heat.volts == pytest.approx(volts, abs=1e-9)
    assert heat.watts == pytest.approx(amps * volts, abs=1e-9)
    assert heat.most_watts == pytest.approx(amps * volts, abs=1e-9)
    half = diode_heat("D1", diode_type(name), 0.5 * amps)
    assert 0.4 * heat.watts < half.watts < 0.5 * heat.watts, "the drop falls slowly with current"
    assert diode_heat("D1", diode_type(name), 0.0).watts == 0.0


@pytest.mark.parametrize(
    ("heat", "watts"),
    # twice the heat, up to the next of 0.125 0.25 0.5 1 2 3 5 7 10 15 25 50 100, or the last
    [
        (0.05, 0.125),
        (0.5, 1.0),
        (2.5, 5.0),
        (2.51, 7.0),
        (5.1, 15.0),
        (11.0, 25.0),
        (50.0, 100.0),
        (51.0, 100.0),
    ],
)
def test_half_load(heat: float, watts: float) -> None:
    assert wattage_for(heat, stock_wattages()) == watts
    assert is_cool(heat, watts) == (heat <= 50.0)


@pytest.mark.parametrize(("system", "watts"), [(12, 2.0), (24, 2.5)])
def test_led_substitute(system: int, watts: float) -> None:
    led = led_type(system)
    amps = led.max_amps
    assert amps * TEST_VOLTS[system] == pytest.approx(watts, rel=1e-12)
    assert 0.030 < amps < 0.185, "the window for failure detection"
    drop = TEST_VOLTS[system] - amps * led.series_ohms
    assert drop == pytest.approx(2 / 3 * system, rel=1e-3), "0.6667 has four figures"


def test_transcribed_ageing_is_as_recalled() -> None:
    # 80 to 90 % of new light, a few per cent less current (MEMORY)
    assert 0.8 <= constant("aged_light") <= 0.9
    assert 0.95 <= constant("aged_amps") < 1.0


def test_rule_of_three() -> None:
    interval = binomtest(1000, 1000).proportion_ci(0.90, "exact")
    # 90 % two-sided is 95 % one-sided: 1 - 0.05^(1/n) = 2.991e-3 for n = 1000, against 3/n
    assert 1.0 - interval.low == pytest.approx(3.0 / 1000, rel=5e-3)
