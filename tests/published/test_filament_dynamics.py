"""Heat in tungsten, wire of lamps, inrush and the time to light against published figures.

    figure                                                        source
    cp of tungsten 24.27 J/(mol K) at 25 C                        element tables (READ on two pages)
    cp, Shomate form, 298 to 1900 K and 1900 to 3680 K            NIST-JANAF 4th ed., Chase 1998 (MEMORY)
    131 J/(kg K), 19.25 g/cm3 near 300 K                          S29
    60 W 120 V lamp: wire 580 mm (READ), 0.046 mm (MEMORY)        60W-WIRE
    100 W 120 V lamp: amps steady in about 0.10 s, 90 % of        encyclopaedia article on the
      its light after about 0.13 s                                incandescent lamp (READ as quoted)
    stop lamps: about a quarter of a second to 90 % of light      Sivak, Flannagan and others, Reaction
                                                                  times to neon, LED, and fast incandescent
                                                                  brake lamps, UMTRI-93-37, 1993 (abstract)
    stop lamps: no light to see until up to about 50 ms           brake-light.uk, results page (READ)
    household lamps: inrush about 14 times; 230 V 100 W closely   lamptech.co.uk, Starting Characteristics
      approaches its amps within about 0.05 s                     (READ)
    vehicle lamps: inrush 10 to 16 times hot amps, milliseconds   computed elsewhere from tungsten's ratios

Household lamps are rated 1710 lm (100 W 120 V), 870 lm (60 W 120 V) and 1340 lm (100 W
230 V), common practice; through gas and ends they lose 14.7 % (60 W) and 12.8 % (100 W) of
their watts (IES-HB, table of gas and end losses, MEMORY; IES-6-5 has 20 % for 40 W, 6 % for 1000 W).
No time is fitted, and a lamp's coil is not known, so published times are held against two: a
straight wire, the fastest that a rated point allows, and a coil that hides as much of itself
as the household lamp's. "About" is taken as 10 %.
"""

import numpy as np
import pytest
from tests.parts.heating import HeatingCurve, inrush_ratio, seconds_to_flux, warm_up

from lampwright.parts.catalogue import lamp_type, lamp_types
from lampwright.parts.filament import Filament, rated_kelvin
from lampwright.parts.tungsten import density, specific_heat
from lampwright.parts.wire_of_filament import coil_share, wire_of

MOLAR_GRAM = 183.84
SHOMATE = {  # A to E, t = T / 1000, cp = A + B t + C t^2 + D t^3 + E / t^2 [J/(mol K)]
    (298.0, 1900.0): (23.95930, 2.639680, 1.257750, -0.253980, -0.048407),
    (1900.0, 3680.0): (-22.57640, 90.27980, -44.27150, 7.176630, -24.09740),
}
STOP_LAMPS = [("P21W", 0), ("P21/5W", 0), ("1156", 0), ("1157", 0)]
ABOUT = 0.10


def household(volts: float, watts: float, lumens: float, share: float) -> Filament:
    kelvin = rated_kelvin(lumens, watts, share)
    return Filament(
        place="single",
        test_volts=volts,
        watts=watts,
        lumens=lumens,
        rated_kelvin=kelvin,
        filling="gas",
        conducted_share=share,
        watts_tolerance=0.0,
        flux_tolerance=0.0,
        life_hours=None,
        life_exponent=13.1,
    )


def warming(one: Filament, share: float) -> HeatingCurve:
    return warm_up(one, wire_of(one, share), one.test_volts)


def between(figure: float, one: Filament, flux: float) -> None:
    fastest, slowest = (seconds_to_flux(warming(one, share), flux) for share in (1.0, coil_share()))
    assert fastest * (1 - ABOUT) < figure < slowest * (1 + ABOUT), f"{fastest:.3f} to {slowest:.3f} s"


def test_heat_capacity_and_density_near_room_temperature() -> None:
    # half the last digit of 24.27, and 0.5 % for the spread of element tables (24.27 to 24.35)
    assert float(specific_heat(298.15)) == pytest.approx(24.27 / MOLAR_GRAM * 1e3, rel=0.006)
    assert float(specific_heat(300.0)) == pytest.approx(131.0, abs=0.5)
    assert float(density(293.15)) == pytest.approx(19250.0, abs=5.0)


@pytest.mark.parametrize("kelvin", [300, 500, 1000, 1500, 1900, 2000, 2300, 2600, 2900, 3000])
def test_heat_capacity_of_janaf(kelvin: int) -> None:
    (a, b, c, d, e) = next(terms for (low, high), terms in SHOMATE.items() if low <= kelvin <= high)
    t = kelvin / 1000.0
    molar = a + b * t + c * t**2 + d * t**3 + e / t**2
    # evaluations differ by 2 to 3 % above 1500 K; past 3000 K, hotter than any lamp here,
    # this one (reviewed 1966) climbs away from the later ones
    assert float(specific_heat(kelvin)) == pytest.approx(molar / MOLAR_GRAM * 1e3, rel=0.03)


def test_the_wire_of_a_household_lamp() -> None:
    one = household(120.0, 60.0, 870.0, 0.147)
    coil, straight = wire_of(one, coil_share()), wire_of(one, 1.0)
    # the published pair resists 18 % too much for the lamp, so c lies between what each gives: 0.59
    # by the length, which was read, 0.67 by the weight, whose thickness is from memory
    assert coil.metres == pytest.approx(0.580, rel=0.05)
    assert coil.diameter == pytest.approx(46e-6, rel=0.08)
    assert coil.diameter**2 * coil.metres == pytest.approx(46e-6**2 * 0.580, rel=0.12)
    assert straight.metres < 0.580
    assert straight.diameter < 46e-6


def test_light_of_a_household_lamp() -> None:
    one = household(120.0, 100.0, 1710.0, 0.128)
    between(0.13, one, 0.9)
    for share in (1.0, coil_share()):
        curve = warming(one, share)
        amps = float(np.interp(0.10, curve.seconds, curve.amps)) / one.rated_amps
        assert 1.0 <= amps < 1.1, "steady after 0.10 s"


@pytest.mark.parametrize(("name", "place"), STOP_LAMPS)
def test_light_of_stop_lamps(name: str, place: int) -> None:
    one = lamp_type(name, 12).filaments[place]
    between(0.25, one, 0.9)
    # what is just to be seen is not stated: between 0.2 and 2 % of full light, a factor
    # that moves the time by a quarter
    fastest, slowest = (seconds_to_flux(warming(one, share), 0.01) for share in (1.0, coil_share()))
    assert fastest < 0.05
    assert slowest == pytest.approx(0.05, rel=0.25)


@pytest.mark.parametrize("name", ["R5W", "W5W", "W3W", "W2.3W"])
def test_small_lamps_are_faster_than_stop_lamps(name: str) -> None:
    # common practice
    small, stop = (warming(lamp_type(each, 12).filaments[0], coil_share()) for each in (name, "P21W"))
    assert seconds_to_flux(small, 0.9) < seconds_to_flux(stop, 0.9)


def test_inrush_of_a_household_lamp() -> None:
    one = household(230.0, 100.0, 1340.0, 0.128)
    assert inrush_ratio(one, 230.0) == pytest.approx(14.0, abs=1.0), "two figures, 'typically around'"
    fastest, slowest = (warming(one, share) for share in (1.0, coil_share()))
    amps = [float(np.interp(0.05, c.seconds, c.amps)) / one.rated_amps for c in (fastest, slowest)]
    assert amps[0] < 1.1, "'closely approaches'"
    assert amps[1] < 1.26, "with all that a coil may hide"


def test_inrush_of_vehicle_lamps() -> None:
    # 10 to 16 times, from ratios R(T)/R(300): at 20 C the wire resists 3 % less, and the
    # halogen lamp is hotter than those were reckoned for
    ratios = {
        f"{lamp.name} {one.place}": inrush_ratio(one, one.test_volts)
        for lamp in lamp_types()
        for one in lamp.filaments
    }
    assert min(ratios.values()) > 10.0
    assert max(ratios.values()) < 17.5
    assert 10.0 < ratios["P21W single"] < 16.0
    assert 10.0 < ratios["R5W single"] < 16.0


@pytest.mark.parametrize(("name", "place"), [*STOP_LAMPS, ("R5W", 0), ("W2.3W", 0)])
def test_inrush_lasts_milliseconds(name: str, place: int) -> None:
    one = lamp_type(name, 12).filaments[place]
    for share in (1.0, coil_share()):
        curve = warming(one, share)
        half = float(np.interp(-0.5 * curve.amps[0], -curve.amps, curve.seconds))
        assert 0.0 < half < 0.010, f"amps have halved after {1e3 * half:.1f} ms"
