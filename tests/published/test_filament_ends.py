"""Vacuum lamps against the heat equation of a wire with cold ends.

The model has one temperature and a share of heat that goes out of the ends. Here the wire itself is
solved, straight, with its supports at 20 C (scipy's boundary value solver):

    d/dx (k A dT/dx) + I^2 rho(T) / A = c w(T) pi d,    T = T0 at both ends

Length and thickness are those that give the lamp its rated volts and amps with its middle as hot as the
catalogue says; c = 0.62 as in `wire_of_filament` (it does not matter: only ratios do). k of tungsten:

    149.441 - 45.466e-3 T + 13.193e-6 T^2 - 1.484e-9 T^3 + 3.866e6 / T^2 W/(m K)   S29, equation (MEMORY)

It gives 179.9 at 300 K and 100.4 at 2000 K, as tables do (174 and 100, MEMORY).
"""

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_bvp
from scipy.optimize import brentq

from lampwright.parts.catalogue import lamp_type
from lampwright.parts.filament import Filament, amps_of
from lampwright.parts.tables import Floats
from lampwright.parts.tungsten import cold_kelvin, radiated, resistivity
from lampwright.parts.wire_of_filament import coil_share

SHARES = (0.7, 0.5, 0.35, 0.25, 0.2, 0.15)  # of rated amps


def conductivity(T: Floats) -> Floats:
    return 149.441 - 45.466e-3 * T + 13.193e-6 * T**2 - 1.484e-9 * T**3 + 3.866e6 / T**2


class ColdEnds:
    """A straight wire of some length and thickness between supports at T0."""

    def __init__(self, one: Filament) -> None:
        self.cold, hot = cold_kelvin(), one.rated_kelvin
        # middle of a long wire: I^2 rho / A = c w pi d
        heat = one.rated_amps**2 * float(resistivity(hot)) * 4.0 / np.pi
        self.d = (heat / (coil_share() * float(radiated(hot)) * np.pi)) ** (1.0 / 3.0)
        self.area = np.pi * self.d**2 / 4.0
        guess = one.test_volts * self.area / (one.rated_amps * float(resistivity(hot)))
        self.length = guess
        off = lambda length: self.with_length(length).volts(one.rated_amps) - one.test_volts  # noqa: E731
        self.length = float(brentq(off, guess, 1.35 * guess, xtol=1e-6 * guess))

    def with_length(self, length: float) -> "ColdEnds":
        self.length = length
        return self

    def volts(self, amps: float) -> float:
        """Volts across the wire at a current."""
        lost = coil_share() * np.pi * self.d

        def slope(_: Floats, y: Floats) -> Floats:
            T = np.clip(y[0], 250.0, 3690.0)
            gain = amps**2 * resistivity(T) / self.area
            return np.vstack([y[1] / (conductivity(T) * self.area), lost * radiated(T) - gain])

        def ends(first: Floats, middle: Floats) -> Floats:
            return np.array([first[0] - self.cold, middle[1]])

        x = np.linspace(0.0, 1.0, 300) ** 2 * self.length / 2.0

        def balance(T: float) -> float:
            return float(amps**2 * resistivity(T) / self.area - lost * radiated(T))

        hot = float(brentq(balance, self.cold + 0.01, 3690.0))
        guess = self.cold + (hot - self.cold) * (1.0 - np.exp(-x / (0.05 * self.length)))
        found = solve_bvp(slope, ends, x, np.vstack([guess, np.zeros_like(x)]), tol=1e-5, max_nodes=40000)
        assert found.status == 0
        return 2.0 * float(np.trapezoid(amps * resistivity(found.y[0]) / self.area, found.x))


@pytest.mark.parametrize(
    ("name", "system", "near", "from_volts"),
    [("R5W", 12, 0.015, 0.5), ("W3W", 12, 0.015, 0.5), ("R5W", 24, 0.015, 0.5), ("W3W", 6, 0.03, 0.3)],
)
def test_amps_of_a_wire_with_cold_ends(name: str, system: int, near: float, from_volts: float) -> None:
    one = lamp_type(name, system, "vacuum").filaments[0]
    wire = ColdEnds(one)
    amps = np.array(SHARES) * one.rated_amps
    volts = np.array([wire.volts(each) for each in amps])
    kept = volts > from_volts
    assert np.count_nonzero(kept) >= 4
    ours = amps_of(one, volts[kept])
    assert np.abs(ours / amps[kept] - 1.0).max() < near


def test_without_end_loss_the_amps_are_too_low() -> None:
    one = lamp_type("R5W", 12, "vacuum").filaments[0]
    amps = 0.2 * one.rated_amps
    volts = ColdEnds(one).volts(amps)
    assert float(amps_of(replace(one, conducted_share=0.0), volts)) / amps < 0.92, "about 0.8 V"
