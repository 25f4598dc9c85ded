"""Tabulated resistivity of tungsten against two later evaluations of the literature.

Sources: Desai et al., J. Phys. Chem. Ref. Data 13 (1984) 1069 (S30) and White and
Minges 1997 (in Tolias 2017, S29), both as fits, coefficients READ; Forsythe and
Worthing 1925 (S28) is what we tabulate. Jones 1926 (S33) near room temperature.
Tests named `transcribed` guard the data file against slips of typing and check nothing else.
"""

import numpy as np
from numpy.polynomial import Polynomial

from lampwright.parts.tables import read_table
from lampwright.parts.tungsten import resistivity, resistivity_tangent

MICRO_OHM_CM = 1e-8

DESAI_LOW = Polynomial([-1.06871, 2.06884e-2, 1.27971e-6, 8.53101e-9, -5.14195e-12])  # 90-750 K
DESAI_HIGH = Polynomial([-1.72573, 2.1435e-2, 5.74811e-6, -1.13698e-9, 1.1167e-13])  # 700-3600 K
WHITE_MINGES = Polynomial([-0.9680, 1.9274e-2, 7.8260e-6, -1.8517e-9, 2.0790e-13])  # 300-3695 K

KELVIN = np.linspace(300.0, 3600.0, 34)  # the tabulated ones, where the spread was published
PUBLISHED_SPREAD = 0.0385  # the three data sets agree within 3.8 %, given to 0.1 %


def ours(kelvin: float) -> float:
    return float(resistivity(kelvin)) / MICRO_OHM_CM


def test_agrees_with_desai() -> None:
    desai = np.where(KELVIN < 700.0, DESAI_LOW(KELVIN), DESAI_HIGH(KELVIN))
    assert np.abs(resistivity(KELVIN) / MICRO_OHM_CM / desai - 1.0).max() < PUBLISHED_SPREAD


def test_agrees_with_white_and_minges() -> None:
    assert np.abs(resistivity(KELVIN) / MICRO_OHM_CM / WHITE_MINGES(KELVIN) - 1.0).max() < PUBLISHED_SPREAD


def test_transcribed_values_are_passed_through() -> None:
    table = read_table("tungsten.csv")
    given = table.numbers("rho_uohm_cm")
    assert len(table.rows) == 36, "200 K, 300 to 3600 K by 100 K, 3655 K"
    assert np.abs(resistivity(table.numbers("T_K")) / MICRO_OHM_CM / given - 1.0).max() < 1e-13


def test_near_room_temperature() -> None:
    # Jones 1926: 5.485 at 293.2 K (S33); the same from a straight line through the table
    assert abs(ours(293.2) - 5.485) < 0.01, "4 figures printed; the table itself has 3"


def test_hot_to_cold_ratio() -> None:
    # R(T) / R(300 K): Desai, White and Minges, printed to 0.1
    for kelvin, *others in ((2500, 13.7, 13.8), (2800, 15.7, 15.8), (3000, 17.0, 17.2)):
        ratio = ours(float(kelvin)) / ours(300.0)
        for other in others:
            assert abs(ratio / other - 1.0) < 0.055, "3.8 % at 300 K and 2 % hot, added"


def test_rises_everywhere_and_its_slope_is_its_slope() -> None:
    kelvin = np.linspace(250.0, 5000.0, 9501)
    assert np.all(np.diff(resistivity(kelvin)) > 0.0)
    step = 1e-3
    rise = (resistivity(kelvin + step) - resistivity(kelvin - step)) / (2.0 * step)
    assert np.array_equal(resistivity_tangent(kelvin).value, resistivity(kelvin))
    # central difference: truncation under 1e-9, rounding 1e-16 T / step
    assert np.abs(resistivity_tangent(kelvin).slope / rise - 1.0).max() < 1e-6
