"""Planck, V(lambda) and bare tungsten against published light.

Sources: CIE 1924 V(lambda) (ISO/CIE 23539), its integral 106.857 nm (MEMORY);
black-body efficacies computed elsewhere with V(lambda) at 1 nm, given to 4 figures;
Stefan-Boltzmann constant (CODATA through scipy); tungsten efficacies computed
elsewhere from the same emissivities as ours (S27), which checks the reckoning and not
the emissivities; the limit of about 53 lm/W at melting (MEMORY, medium), which does.
"""

import numpy as np
from scipy.constants import Stefan_Boltzmann
from scipy.integrate import quad
from scipy.optimize import minimize_scalar

from lampwright.parts.photometry import (
    black_efficacy,
    log_exitance,
    planck_exitance,
    tungsten_efficacy,
    tungsten_exitance,
)
from lampwright.parts.tables import read_table

# kelvin, lm/W, as printed
BLACK = [
    (700.0, 3.1965e-8),
    (1000.0, 1.4887e-4),
    (1500.0, 0.084709),
    (2000.0, 1.606),
    (2500.0, 7.976),
    (2800.0, 14.92),
    (2856.0, 16.45),
    (3000.0, 20.67),
    (3655.0, 42.89),
    (6628.0, 95.43),
]
TUNGSTEN = [(1600.0, 0.399), (2000.0, 2.78), (2400.0, 9.29), (2800.0, 20.2)]


def test_luminous_efficiency_function_integrates_as_published() -> None:
    table = read_table("photopic.csv")
    nm, v = table.numbers("wavelength_nm"), table.numbers("v")
    fine = np.arange(380.0, 781.0)
    integral = float(np.trapezoid(np.interp(fine, nm, v), fine))
    assert abs(integral - 106.857) < 5e-4, "one unit of the last published digit"
    assert nm[np.argmax(v)] == 555.0
    assert v.max() == 1.0


def test_black_body_efficacy() -> None:
    for kelvin, lumens_per_watt in BLACK:
        # below 1500 K the bell leans on the 780 nm end, where 1 nm and 5 nm steps differ
        tolerance = 4e-4 if kelvin >= 1500.0 else 3e-3
        error = abs(float(black_efficacy(kelvin)) / lumens_per_watt - 1.0)
        assert error < tolerance, f"{kelvin} K: 4 figures printed"


def test_black_body_efficacy_peaks_where_published() -> None:
    peak = minimize_scalar(lambda T: -float(black_efficacy(T)), bounds=(5000.0, 9000.0), method="bounded")
    assert abs(peak.x - 6628.0) < 1.0, "published to 1 K"
    assert abs(-peak.fun - 95.43) < 0.005, "published to 0.01 lm/W"


def test_planck_integrates_to_stefan_boltzmann() -> None:
    for kelvin in (800.0, 2500.0, 3600.0):
        total, _ = quad(lambda nm, T=kelvin: float(planck_exitance(nm, T)), 80.0, 1e6, limit=500)
        # the tail beyond 1 mm holds under 1e-7 of the power
        assert abs(total / (Stefan_Boltzmann * kelvin**4) - 1.0) < 1e-6


def test_bare_tungsten_efficacy() -> None:
    for kelvin, lumens_per_watt in TUNGSTEN:
        error = abs(float(tungsten_efficacy(kelvin)) / lumens_per_watt - 1.0)
        assert error < 0.02, f"{kelvin} K: the published figures are good to 2 or 3 %"


def test_tungsten_at_melting_gives_the_limit_of_the_literature() -> None:
    assert abs(float(tungsten_efficacy(3655.0)) - 53.0) < 3.0, "about 53 lm/W, spectral data extrapolated"


def test_tabulated_exitance_is_the_integral() -> None:
    kelvin = np.linspace(293.15, 3695.0, 5001)
    off = np.expm1(log_exitance(kelvin) - np.log(tungsten_exitance(kelvin)))
    assert np.abs(off).max() < 1e-5, "1.4e-5 stops: far under the 1e-3 asked of the curves"
