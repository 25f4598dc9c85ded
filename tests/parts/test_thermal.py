"""A filament's wire and its pace: against the two equations, scipy's stiff integrator, and closed forms."""

import numpy as np
import pytest
from scipy.constants import Stefan_Boltzmann
from scipy.integrate import solve_ivp
from tests.parts.heating import cool_down, inrush_ratio, seconds_to_flux, time_constant, warm_up
from tests.selection import some

from lampwright.parts.catalogue import lamp_type, lamp_types
from lampwright.parts.filament import Filament, kelvin_of, ohms_at, relative_flux_at, watts_at
from lampwright.parts.tungsten import cold_kelvin, density, resistivity, specific_heat, total_emissivity
from lampwright.parts.wire_of_filament import FilamentWire, coil_share, heat_capacity_at, wire_of

ALL = [(f"{lamp.name}-{lamp.system}-{f.place}", f) for lamp in lamp_types() for f in lamp.filaments]
SOME = [("P21W", 12, 0), ("R5W", 12, 0), ("W2.3W", 12, 0), ("P21/5W", 12, 1), ("P21W", 24, 0)]


def filament(name: str, system: int, place: int) -> Filament:
    return lamp_type(name, system).filaments[place]


@pytest.mark.parametrize(("name", "one"), ALL, ids=[name for name, _ in ALL])
def test_the_wire_resists_and_radiates_as_the_lamp_does(name: str, one: Filament) -> None:
    for share in (coil_share(), 1.0):
        wire = wire_of(one, share)
        T, T0 = one.rated_kelvin, cold_kelvin()
        ohms = float(resistivity(T)) * wire.metres / (np.pi * wire.diameter**2 / 4)
        sent = Stefan_Boltzmann * float(total_emissivity(T) * T**4 - total_emissivity(T0) * T0**4)
        heat = share * sent * np.pi * wire.diameter * wire.metres
        # algebra of the same tables: only rounding is left
        assert ohms == pytest.approx(one.test_volts**2 / one.watts, rel=1e-12), name
        assert heat == pytest.approx((1 - one.conducted_share) * one.watts, rel=1e-12), name
        volume = np.pi * wire.diameter**2 / 4 * wire.metres
        assert wire.kilograms == pytest.approx(volume * float(density(T)), rel=1e-12), name


def test_mass_goes_as_the_four_thirds_of_what_a_coil_hides() -> None:
    one = filament("P21W", 12, 0)
    ratio = wire_of(one, 0.5).kilograms / wire_of(one, 1.0).kilograms
    assert ratio == pytest.approx(2.0 ** (4.0 / 3.0), rel=1e-12)


@pytest.mark.parametrize("share", [0.0, -0.1, 1.01])
def test_no_coil_sends_out_nothing_or_more_than_all(share: float) -> None:
    with pytest.raises(ValueError, match="above 0 and up to 1"):
        wire_of(filament("P21W", 12, 0), share)


def run(one: Filament, wire: FilamentWire, volts: float, start: float, times: np.ndarray) -> np.ndarray:
    def law(_: float, T: np.ndarray) -> np.ndarray:
        return (volts**2 / ohms_at(one, T) - watts_at(one, T)) / heat_capacity_at(wire, T)

    found = solve_ivp(law, (0.0, times[-1]), [start], "Radau", times, rtol=1e-9, atol=1e-7)
    return np.asarray(found.y[0])


@pytest.mark.parametrize("which", some(SOME, 1))
def test_warming_and_cooling_agree_with_a_stiff_integrator(which: tuple[str, int, int]) -> None:
    one = filament(*which)
    wire = wire_of(one, coil_share())
    for volts in (one.test_volts, 0.4 * one.test_volts):
        up = warm_up(one, wire, volts)
        at = slice(0, 2000, 100)
        kelvin = run(one, wire, volts, cold_kelvin(), up.seconds[at])
        # Simpson over 2000 steps leaves a millikelvin or so
        assert np.abs(kelvin - up.kelvin[at]).max() < 0.02, f"{volts} V"
        assert up.amps == pytest.approx(volts / ohms_at(one, up.kelvin), rel=1e-12)
    down = cool_down(one, wire, one.rated_kelvin)
    at = slice(0, 1000, 50)
    kelvin = run(one, wire, 0.0, one.rated_kelvin, down.seconds[at])
    assert np.abs(kelvin - down.kelvin[at]).max() < 0.02


@pytest.mark.parametrize("which", SOME)
def test_a_small_change_dies_to_1_over_e_in_the_time_constant(which: tuple[str, int, int]) -> None:
    one = filament(*which)
    wire = wire_of(one, 1.0)
    for volts in (one.test_volts, 0.3 * one.test_volts):
        steady = float(kelvin_of(one, volts))
        tau = float(time_constant(one, wire, steady))
        left = run(one, wire, volts, steady + 0.1, np.array([0.0, tau]))[-1] - steady
        # a change of 0.1 K bends the law by 1e-4 of itself; the integrator leaves 1e-6 K
        assert left == pytest.approx(0.1 / np.e, rel=1e-3), f"{volts} V"


@pytest.mark.parametrize(("name", "one"), ALL, ids=[name for name, _ in ALL])
def test_every_lamp_follows_a_flasher(name: str, one: Filament) -> None:
    tau = float(time_constant(one, wire_of(one, coil_share()), one.rated_kelvin))
    assert 0.01 < tau < 0.15, f"{name}: {tau:.4f} s"


def test_heat_capacity_has_no_step_where_its_stretches_meet() -> None:
    below, above = specific_heat(np.array([3080.0 - 1e-6, 3080.0 + 1e-6]))
    assert above / below == pytest.approx(1.0, abs=3e-5), "as printed they differ by 2e-5"
    assert np.all(np.diff(specific_heat(np.linspace(293.0, 3695.0, 400))) > 0.0)


def test_flux_times_are_read_off_the_curve_and_refused_beyond_it() -> None:
    one = filament("P21W", 12, 0)
    up = warm_up(one, wire_of(one, 1.0), one.test_volts)
    at = seconds_to_flux(up, 0.5)
    kelvin = float(np.interp(at, up.seconds, up.kelvin))
    # 2000 knots: reading between them straight costs less than a thousandth
    assert float(relative_flux_at(one, kelvin)) == pytest.approx(0.5, rel=1e-3)
    with pytest.raises(ValueError, match=r"never 1\.5"):
        seconds_to_flux(up, 1.5)


def test_inrush_is_the_ratio_of_hot_to_cold_resistance() -> None:
    one = filament("P21W", 12, 0)
    up = warm_up(one, wire_of(one, 1.0), one.test_volts)
    # the curve ends 1.2e-4 of its rise short of steady
    assert inrush_ratio(one, one.test_volts) == pytest.approx(up.amps[0] / up.amps[-1], rel=5e-4)
