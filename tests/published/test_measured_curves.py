"""Amps of three measured lamps from 0.3 V up, and what they resist cold.

    curve    12 V   from     source
    20 W     1.68 A 0.05 V   LAMPS-2021, lamp 1 (READ)
    8 W      0.70 A 0.06 V   LAMPS-2021, lamp 3 (READ)
    37 W     3.07 A 1 V      LAMP-37W (READ)

and, at 2.464 V, of a bulb of 2.5 V: 0.298 A, from 0.26 V (KPS-73, READ).

Type and light of these lamps are not stated. So each is taken as a lamp of its own watts at 12 V,
as hot there as the catalogue's lamp of that class: P21W, and R10W for the smallest. Leads, holder
and meter together are one figure, 0.12 ohm (`lead_ohms`). The 8 W lamp conducts more than the
catalogue's share (0.25 against 0.22), which its middle amps show: it is off by up to 6 % where
the others are within 3 %, and within 3.5 % where its watts may move by 3 %.

Exponent 1, heat conducted in proportion to T - T0, is what S32 and S33 fit to such curves with
exponents of radiation and of conduction both free; with tungsten's own radiation it fails here.
"""

import csv
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import minimize_scalar
from tests.parts.heating import inrush_ratio

from lampwright.parts import filament as laws
from lampwright.parts.catalogue import lamp_type
from lampwright.parts.conduction import Filling, conducted_share
from lampwright.parts.filament import Filament, amps_at, kelvin_of, volts_at
from lampwright.parts.tables import Floats, constant
from lampwright.parts.tungsten import cold_kelvin

CURVES = Path(__file__).with_name("measured_curves.csv")
LEADS = constant("lead_ohms")
AS_HOT_AS = {"20 W": "P21W", "37 W": "P21W", "8 W": "R10W"}
NEAR = 0.03  # asked of the curves; the meters' own spread is below 0.01 from 0.3 V up
FROM_VOLTS = 0.3


def curve(lamp: str) -> tuple[Floats, Floats]:
    lines = CURVES.read_text(encoding="utf-8").splitlines()
    rows = csv.DictReader(line for line in lines if not line.startswith("#"))
    points = [(float(row["volts"]), float(row["amps"])) for row in rows if row["lamp"] == lamp]
    volts, amps = np.array(points).T
    return volts, amps


def measured_lamp(lamp: str) -> Filament:
    """The lamp by its last point: filament volts are what the leads leave."""
    volts, amps = (float(values[-1]) for values in curve(lamp))
    own = volts - amps * LEADS
    # a copy, since a filament remembers its factors and a test changes the law
    like = replace(lamp_type(AS_HOT_AS[lamp], 12, "gas").filaments[0])
    kelvin = float(kelvin_of(like, own))
    share = conducted_share("gas", own)
    return Filament(
        place="single",
        test_volts=own,
        watts=own * amps,
        lumens=100.0,
        rated_kelvin=kelvin,
        filling="gas",
        conducted_share=share,
        watts_tolerance=0.0,
        flux_tolerance=0.0,
        life_hours=None,
        life_exponent=13.1,
    )


def amps_with_leads(one: Filament, volts: Floats) -> Floats:
    """Amps at the meter's volts, filament and leads in series; temperature is the parameter."""
    kelvin = np.linspace(cold_kelvin() + 1e-3, one.rated_kelvin + 200.0, 20001)
    amps = amps_at(one, kelvin)
    return np.interp(volts, volts_at(one, kelvin) + LEADS * amps, amps)


def worst(lamp: str, scale: float = 1.0, share: float | None = None) -> float:
    volts, amps = curve(lamp)
    above, one = volts >= FROM_VOLTS, measured_lamp(lamp)
    if share is not None:
        one = replace(one, conducted_share=share)
    off = scale * amps_with_leads(one, volts[above]) / amps[above] - 1.0
    return float(np.abs(off).max())


@pytest.mark.parametrize(("lamp", "points"), [("20 W", 23), ("8 W", 27), ("37 W", 12)])
def test_all_points_are_there(lamp: str, points: int) -> None:
    volts, amps = curve(lamp)
    assert len(volts) == points
    assert np.all(np.diff(volts) > 0)
    assert np.all(np.diff(amps) > 0)


@pytest.mark.parametrize("lamp", ["20 W", "37 W"])
def test_amps_of_measured_lamps(lamp: str) -> None:
    assert worst(lamp) < NEAR


def test_amps_of_a_smaller_lamp() -> None:
    best = minimize_scalar(lambda scale: worst("8 W", scale), bounds=(0.97, 1.03), method="bounded")
    assert best.fun < 0.035
    assert worst("8 W") < 0.065


def linear(kelvin: Floats, filling: str) -> Floats:
    del filling
    return np.asarray(kelvin) - cold_kelvin()


@pytest.mark.parametrize("lamp", ["20 W", "8 W", "37 W"])
def test_heat_in_proportion_to_temperature_is_refuted(lamp: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(laws, "conducted", linear)
    best = min(worst(lamp, share=float(share)) for share in np.arange(0.04, 0.31, 0.01))
    # at its best share, a free figure here, exponent 1 is off by more than what is asked
    assert best > NEAR


def test_no_heat_through_gas_is_refuted() -> None:
    assert worst("20 W", share=0.0) > 0.2
    assert worst("8 W", share=0.0) > 0.2


@pytest.mark.parametrize("lamp", ["20 W", "8 W", "37 W"])
def test_the_exponent_of_measured_amps(lamp: str) -> None:
    """From 10 to 12 V amps rise as V^0.523, V^0.510 and V^0.526: below the handbook's 0.541, as ours do."""
    volts, amps = curve(lamp)
    ours = amps_with_leads(measured_lamp(lamp), volts)
    at = int(np.argmin(np.abs(volts - 10.0)))
    span = np.log(volts[-1] / volts[at])
    measured, mine = (float(np.log(y[-1] / y[at]) / span) for y in (amps, ours))
    assert 0.505 < measured < 0.53
    assert mine == pytest.approx(measured, abs=0.025)


@pytest.mark.parametrize(("lamp", "least", "most"), [("20 W", 11.5, 12.5), ("8 W", 11.5, 12.7)])
def test_hot_and_cold_ohms(lamp: str, least: float, most: float) -> None:
    """Ohms at 12 V over ohms at the lowest point, leads in both: measured, and ours.

    Measured 12.0 and 12.2 (from LAMPS-2021's first points); small lamps 10 to 12 (S13; less with a
    longer holder). Ours carries the least known figure, the 0.12 ohm of leads: 10 % allowed.
    """
    volts, amps = curve(lamp)
    ohms = volts / amps
    assert least < ohms[-1] / ohms[0] < most
    ours = volts / amps_with_leads(measured_lamp(lamp), volts)
    assert ours[-1] / ours[0] == pytest.approx(ohms[-1] / ohms[0], rel=0.10)


def small_bulb(filling: Filling, share: float, kelvin: float) -> Filament:
    return replace(
        measured_lamp("20 W"),
        test_volts=2.5,
        watts=0.75,
        rated_kelvin=kelvin,
        filling=filling,
        conducted_share=share,
    )


def off_at_low_volts(filling: Filling, share: float, kelvin: float) -> float:
    """How far the bulb of 2.5 V is off at most, its watts free within the 10 % of such bulbs."""
    volts, amps = curve("2.5 V")
    one = small_bulb(filling, share, kelvin)

    def worst_of(scale: float) -> float:
        scaled = replace(one, watts=scale * one.watts)
        return float(np.abs(amps_with_leads(scaled, volts) / amps - 1.0).max())

    return float(minimize_scalar(worst_of, bounds=(0.9, 1.1), method="bounded").fun)


@pytest.mark.parametrize("kelvin", [2200.0, 2600.0])
def test_amps_of_a_bulb_of_two_and_a_half_volts(kelvin: float) -> None:
    """Within 1.5 % from 0.26 V up with the share of such bulbs, however hot: amps do not tell its light."""
    assert off_at_low_volts("gas", conducted_share("gas", 2.5), kelvin) < 0.015


def test_a_small_bulb_is_not_a_large_one_nor_a_vacuum_lamp() -> None:
    assert off_at_low_volts("gas", constant("conducted_share_gas"), 2600.0) > 0.06
    assert min(off_at_low_volts("vacuum", float(s), 2600.0) for s in np.arange(0.2, 0.9, 0.1)) > 0.06


def test_inrush_with_leads() -> None:
    """Cold over steady amps at 12 V: 12 for the 21 W class (LAMPS-2021), 10 to 12 for small lamps (S13)."""
    stop = lamp_type("P21W", 12).filaments[0]
    assert inrush_ratio(stop, 12.0, LEADS) == pytest.approx(12.0, rel=0.10)
    small_lamps: tuple[tuple[str, Filling], ...] = (("R10W", "gas"), ("R5W", "vacuum"), ("W3W", "vacuum"))
    for name, filling in small_lamps:
        small = lamp_type(name, 12, filling).filaments[0]
        assert 10.0 < inrush_ratio(small, 12.0, LEADS) < 13.5, "leads in both"
