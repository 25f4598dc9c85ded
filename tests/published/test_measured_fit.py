"""What `lampwright fit` makes of four measured lamps, and of made-up points whose truth is known.

The curves, and what is known of these lamps, as in `test_measured_curves.py`. Made-up points come from the
model with leads and meters that are off by what is said of them, and scatter; the start is fixed.
"""

from dataclasses import replace

import numpy as np
import pytest
from tests.published.test_measured_curves import curve
from tests.selection import some_rows

from lampwright.parts.catalogue import lamp_type
from lampwright.parts.conduction import Filling
from lampwright.parts.filament import Filament, amps_at, volts_at
from lampwright.parts.measured import Measuring, fit_points
from lampwright.parts.tables import Floats, constant

BENCH = Measuring(constant("lead_ohms"), 0.06, 0.005, 0.01)


@pytest.mark.parametrize(
    ("lamp", "rated", "watts", "share"),
    [
        ("20 W", 12.0, 20.2, 0.20),
        ("8 W", 12.0, 8.45, 0.255),
        ("37 W", 12.0, 36.9, 0.225),
        ("2.5 V", 2.5, 0.75, 0.40),
    ],
)
def test_measured_lamps(lamp: str, rated: float, watts: float, share: float) -> None:
    """Watts as volts times amps less the leads', and shares as elsewhere found; the filling is decided.

    Within 2 %, for the leads are not known; shares within 0.02.
    """
    volts, amps = curve(lamp)
    gas, vacuum = (fit_points(volts, amps, rated, filling, BENCH) for filling in ("gas", "vacuum"))
    assert gas.watts.value == pytest.approx(watts, rel=0.02)
    assert gas.share.value == pytest.approx(share, abs=0.02)
    assert gas.rms < 0.015
    assert vacuum.rms > 4.0 * gas.rms, "by gas alone"


def test_only_low_points_and_known_leads_tell_the_temperature() -> None:
    volts, amps = curve("2.5 V")
    assert fit_points(volts, amps, 2.5, "gas", BENCH).kelvin.off > 200.0
    volts, amps = curve("8 W")
    assert fit_points(volts, amps, 12.0, "gas", BENCH).kelvin.off < 130.0


def made_up(
    one: Filament, bench: Measuring, scatter: float, dice: np.random.Generator
) -> tuple[Floats, Floats]:
    """Twelve points of a lamp on a bench that is off by chance, as it says."""
    leads = max(0.0, bench.leads + bench.leads_off * dice.standard_normal())
    grid = np.geomspace(293.2, 3300.0, 20001)
    lamp = amps_at(one, grid)
    across = volts_at(one, grid) + leads * lamp
    true = one.test_volts * np.linspace(0.05, 1.0, 12)
    amps = np.interp(true, across, lamp) * (1.0 + scatter * dice.standard_normal(12))
    gains = (dice.standard_normal(2) * [bench.volts_off, bench.amps_off]) + 1.0
    return true * gains[0], amps * gains[1]


@pytest.mark.parametrize(("name", "filling"), some_rows([("P21W", "gas"), ("R5W", "vacuum")], 1))
def test_what_is_off_covers_the_truth(name: str, filling: Filling) -> None:
    """Of 60 made-up lamps some 68 % are within one deviation of the truth, and 95 % within two.

    Each has another temperature and share, as far apart as such lamps are. By the binomial law 27 to 54 of
    60 are within four deviations of 68 %, and no fewer than 50 of 95 %.
    """
    like = lamp_type(name, 12, filling).filaments[0]
    dice, bench = np.random.default_rng(1879), Measuring(0.1, 0.02, 0.005, 0.01)
    apart = []
    for _ in range(60):
        kelvin = constant(f"usual_kelvin_{filling}") + 150.0 * dice.standard_normal()
        share = like.conducted_share * dice.uniform(0.7, 1.4)
        one = replace(like, rated_kelvin=kelvin, conducted_share=share)
        volts, amps = made_up(one, bench, 0.003, dice)
        found = fit_points(volts, amps, one.test_volts, filling, bench)
        apart.append(
            [
                (found.watts.value - one.watts) / found.watts.off,
                (found.share.value - one.conducted_share) / found.share.off,
            ]
        )
    for within, least, most in ((1.0, 27, 54), (2.0, 50, 60)):
        counts = (np.abs(apart) < within).sum(axis=0)
        assert np.all((least <= counts) & (counts <= most)), f"within {within}: {counts} of 60"


def test_a_meter_among_the_amps_is_taken_off() -> None:
    one = lamp_type("R5W", 12, "vacuum").filaments[0]
    bench = Measuring(0.1, 1e-6, 1e-6, 1e-6, meter=500.0)
    grid = np.geomspace(293.2, 3300.0, 20001)
    lamp = amps_at(one, grid)
    across = volts_at(one, grid) + 0.1 * lamp
    volts = np.linspace(0.5, 13.5, 12)
    amps = np.interp(volts, across, lamp + across / 500.0)
    found = fit_points(volts, amps, 13.5, "vacuum", bench)
    assert found.watts.value == pytest.approx(one.watts, rel=1e-3)
    assert found.share.value == pytest.approx(one.conducted_share, abs=2e-3)
