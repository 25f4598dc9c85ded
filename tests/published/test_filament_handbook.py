"""Filament curves against the handbook's lamp exponents and measured lamps.

Between 80 and 120 % of rated volts, amps ~ x^t, watts ~ x^n, flux ~ x^k. Published:

    set                                       t       n       k       validity
    IES Handbook, gas-filled (MEMORY)         0.541   1.541   3.384   80-120 %
    IES Handbook, vacuum (MEMORY)             0.580   1.580   3.513   80-120 %
    rerating article (S35)                    0.55    1.6     3.4-3.5
    Field Guide to Illumination (S39)         0.526   1.526   3.421   95-105 % of amps
    drawn-wire chart at 105 % volts (S38)     0.61    1.58    3.74    read to 1 %

The handbook's lamps burn at about 2700 to 2900 K (gas-filled) and 2400 to 2550 K
(vacuum); k goes roughly as 1/T, so lamps run cooler, as tail filaments are, lie above
the spread and are not compared.
"""

from dataclasses import replace

import numpy as np
import pytest

from lampwright.parts.catalogue import lamp_type, lamp_types
from lampwright.parts.conduction import conducted_share
from lampwright.parts.filament import (
    Filament,
    amps_of,
    kelvin_of,
    rated_kelvin,
    relative_flux_of,
    relative_life,
    watts_at,
)
from lampwright.parts.tables import constant

GAS = [
    f
    for lamp in lamp_types()
    if lamp.filling == "gas"
    for f in lamp.filaments
    if 2700 <= f.rated_kelvin <= 2900
]
ENDS = [
    f for lamp in lamp_types() if lamp.filling == "vacuum" for f in lamp.filaments if f.rated_kelvin >= 2400
]
# what the handbook's vacuum lamps are, long wires with little end: 25 W at 120 V, 235 lm (MEMORY)
SHARE = conducted_share("vacuum", 120.0)
LONG = Filament(
    place="single",
    test_volts=120.0,
    watts=25.0,
    lumens=235.0,
    rated_kelvin=rated_kelvin(235.0, 25.0, SHARE),
    filling="vacuum",
    conducted_share=SHARE,
    watts_tolerance=0.0,
    flux_tolerance=0.0,
    life_hours=None,
    life_exponent=13.5,
)
VACUUM = [LONG, *(replace(f, conducted_share=SHARE) for f in ENDS)]

PERCENT_VOLTS = np.array([80.0, 85.0, 90.0, 95.0, 105.0, 110.0, 115.0, 120.0])
# per cent of amps, watts and lumens, worked out from the handbook's exponents as recalled, to 0.1
GAS_PERCENT = [
    (88.6, 91.6, 94.5, 97.3, 102.7, 105.3, 107.9, 110.4),
    (70.9, 77.8, 85.0, 92.4, 107.8, 115.8, 124.0, 132.4),
    (47.0, 57.7, 70.0, 84.1, 118.0, 138.1, 160.5, 185.3),
]
VACUUM_PERCENT = [
    (87.9, 91.0, 94.1, 97.1, 102.9, 105.7, 108.4, 111.2),
    (70.3, 77.4, 84.7, 92.2, 108.0, 116.3, 124.7, 133.4),
    (45.7, 56.5, 69.1, 83.5, 118.7, 139.8, 163.4, 189.7),
]
# how far the published sets are apart at 80 %: 0.03 in t and n, 0.36 in k, times ln 1.25,
# and half the last printed digit
SPREAD = (0.0075, 0.0075, 0.082)


def relative(filament: Filament, x: np.ndarray) -> list[np.ndarray]:
    volts = x * filament.test_volts
    watts = watts_at(filament, kelvin_of(filament, volts)) / filament.watts
    return [amps_of(filament, volts) / filament.rated_amps, watts, relative_flux_of(filament, volts)]


def exponents(filament: Filament) -> list[float]:
    ends = np.array([0.8, 1.2])
    return [float(np.log(y[1] / y[0]) / np.log(1.5)) for y in relative(filament, ends)]


def test_there_is_something_to_compare() -> None:
    assert len(GAS) >= 25
    assert len(VACUUM) >= 8


@pytest.mark.parametrize("filament", GAS, ids=lambda f: f"{f.rated_kelvin:.0f}K")
def test_gas_filled_exponents_within_the_published_spread(filament: Filament) -> None:
    t, n, k = exponents(filament)
    # 0.01 below the least published: measured lamps have 0.510 to 0.526 (LAMPS-2021, LAMP-37W)
    assert 0.526 - 0.01 < t < 0.55
    assert 1.526 - 0.01 < n < 1.60
    assert 3.384 < k < 3.74


@pytest.mark.parametrize("filament", VACUUM, ids=lambda f: f"{f.rated_kelvin:.0f}K")
def test_vacuum_exponents_within_the_published_spread(filament: Filament) -> None:
    t, n, k = exponents(filament)
    assert 0.55 < t < 0.61
    assert 1.58 < n < 1.60
    # 0.03 below the least published: 1 % of k, for lamps up to 90 K hotter than the handbook's
    assert 3.384 - 0.03 < k < 3.74


@pytest.mark.parametrize("filament", ENDS, ids=lambda f: f"{f.test_volts:g}V-{f.rated_kelvin:.0f}K")
def test_the_ends_of_short_wires_lower_the_exponent_of_amps(filament: Filament) -> None:
    # not in the handbook: the fewer volts, the more of the wire is end; light, relative to
    # rated, then falls faster
    t, _, k = exponents(filament)
    t_long, _, k_long = exponents(replace(filament, conducted_share=SHARE))
    assert t_long - 0.06 < t < t_long
    assert k_long < k < k_long + 0.45


@pytest.mark.parametrize(("filaments", "percent"), [(GAS, GAS_PERCENT), (VACUUM, VACUUM_PERCENT)])
def test_per_cent_table(filaments: list[Filament], percent: list[tuple[float, ...]]) -> None:
    for filament in filaments:
        got = relative(filament, PERCENT_VOLTS / 100.0)
        for quantity, wanted, most in zip(got, percent, SPREAD, strict=True):
            off = np.abs(quantity / (np.array(wanted) / 100.0) - 1.0)
            assert off.max() < most, f"{filament.rated_kelvin:.0f} K"


def test_halogen_lamps_have_slightly_lower_flux_exponent() -> None:
    # 3.0 to 3.3 for halogen lamps (S41, medium): ours is the hottest, at the upper edge
    k = exponents(lamp_type("H21W", 12).filaments[0])[2]
    assert 3.0 < k < 3.35, "3.3 has two figures"


def test_life_by_what_others_print() -> None:
    # exponents printed: 12 to 16 (S35), 12 (S36), 14.2 from "5 % more volts halve life" (S37), and
    # 13.16 from 25 and 1.9 over amps (S39); ours are the handbook's, recalled
    for name in ("P21W", "R5W"):
        one = lamp_type(name, 12).filaments[0]
        for share in (0.8, 0.95, 1.05, 1.2):
            d = -np.log(float(relative_life(one, share * one.test_volts))) / np.log(share)
            assert 12.0 <= d <= 16.0
            assert abs(d / 13.16 - 1.0) < 0.05, "other lamps, halogen, near rated volts"
        assert abs(float(relative_life(one, 1.05 * one.test_volts)) - 0.5) < 0.035, "a rule of one figure"


def test_measured_cold_resistances() -> None:
    # S13, cold values adjusted by its author (low confidence): lamps 89 and 906 at 293 K
    for name, ohms in (("89", 1.90), ("906", 1.80)):
        cold = lamp_type(name, 12).filaments[0].cold_ohms
        leads = constant("lead_ohms")  # in the measured figures, as in every holder
        assert abs((cold + leads) / ohms - 1.0) < 0.15, "ours lie 9 and 11 % below; low confidence"
