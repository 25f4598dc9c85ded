"""Diodes against their data sheets and a library's root finder.

Sources: 1N4001-1N4007 (S51) and 1N5400-1N5408 (S52) data sheets; parameter cards S54,
0.912 V at 1 A and 27 C for the 1N4007; V_T = 25.865 mV at 300.15 K; scipy's brentq.
Tests named `transcribed` guard the data file against slips of typing and check nothing else.
"""

from math import log1p

import numpy as np
from scipy.optimize import brentq

from lampwright.parts.catalogue import diode_type, diode_types
from lampwright.parts.diode import DiodeType, diode_amps, diode_siemens, diode_volts, thermal_volts

REVERSE_VOLTS = {
    "1N4001": 50, "1N4002": 100, "1N4003": 200, "1N4004": 400, "1N4005": 600, "1N4006": 800, "1N4007": 1000,
    "1N5400": 50, "1N5401": 100, "1N5402": 200, "1N5403": 300, "1N5404": 400, "1N5405": 500, "1N5406": 600,
    "1N5407": 800, "1N5408": 1000,
}  # fmt: skip


def amps(diode: DiodeType, volts: float | np.ndarray, factor: float = 1.0) -> np.ndarray:
    card = (diode.saturation_amps * factor, diode.emission, diode.series_ohms)
    return diode_amps(volts, *card, thermal_volts())


def test_transcribed_types_and_limits() -> None:
    assert {diode.name: diode.reverse_volts for diode in diode_types()} == REVERSE_VOLTS
    for diode in diode_types():
        one_amp = diode.name.startswith("1N400")
        assert diode.max_amps == (1.0 if one_amp else 3.0)
        assert (diode.forward_volts_max, diode.at_amps) == ((1.1, 1.0) if one_amp else (1.0, 3.0))


def test_thermal_volts() -> None:
    assert abs(thermal_volts() - 25.865e-3) < 0.5e-6, "half the last digit"


def test_transcribed_drop_of_the_card() -> None:
    drop = diode_volts(diode_type("1N4007"), 1.0)
    assert abs(drop - 0.912) < 0.0005, "half the last digit"
    assert abs(float(amps(diode_type("1N4007"), drop)) - 1.0) < 1e-12


def test_forward_drop_within_the_data_sheet() -> None:
    for diode in diode_types():
        drop = diode_volts(diode, diode.at_amps)
        assert 0.7 < drop < diode.forward_volts_max, "silicon at rated current; 0.7 V common practice"


def test_spread_reaches_the_data_sheets_maximum() -> None:
    for diode in diode_types():
        worst = float(amps(diode, diode.forward_volts_max, 1.0 / diode.spread))
        assert abs(worst / diode.at_amps - 1.0) < 2e-8, "exact but for Is / I = 7e-9"
        assert diode.spread > 1.0


def test_closed_form_against_a_root_finder() -> None:
    for name in ("1N4007", "1N5404"):
        diode = diode_type(name)
        scale = diode.emission * thermal_volts()

        def current(V: float, d: DiodeType = diode, s: float = scale) -> float:
            def loop(I: float) -> float:  # noqa: E741
                return V - s * log1p(I / d.saturation_amps) - I * d.series_ohms

            return float(brentq(loop, 0.0, 1.0 + V / d.series_ohms, xtol=1e-300, rtol=1e-14))

        volts = np.array([1e-3, 0.1, 0.3, 0.5, 0.7, 0.9, 1.2, 2.0, 14.4])
        wanted = np.array([current(V) for V in volts])
        # rounding of ln(I / Is), some 30 units, over n V_T, gives 1e-13 or so
        assert np.abs(amps(diode, volts) / wanted - 1.0).max() < 1e-12


def test_no_overflow_and_no_leak() -> None:
    diode = diode_type("1N4007")
    assert abs(float(amps(diode, 1e4)) * diode.series_ohms / 1e4 - 1.0) < 1e-3, "all but a volt is on Rs"
    assert abs(float(amps(diode, -1e3)) / -diode.saturation_amps - 1.0) < 1e-12
    assert abs(float(amps(diode, 0.0))) < 1e-20


def test_conductance_is_the_slope() -> None:
    diode = diode_type("1N5404")
    card = (diode.saturation_amps, diode.emission, diode.series_ohms, thermal_volts())
    volts, step = np.linspace(0.2, 2.0, 181), 1e-6
    rise = (diode_amps(volts + step, *card) - diode_amps(volts - step, *card)) / (2.0 * step)
    # central difference: step^2 / (6 (n V_T)^2) = 2e-10, rounding 1e-16 / step times n V_T
    assert np.abs(diode_siemens(volts, *card) / rise - 1.0).max() < 1e-8
