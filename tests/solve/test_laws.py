"""The compiled laws of single parts: smooth where tables join, rising, true to the parts' physics.

Beside `parts.filament` and `parts.diode` the judge is scipy's wrightomega.
"""

from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import wrightomega

from lampwright.parts.catalogue import diode_type, lamp_type
from lampwright.parts.curve_table import CELLS
from lampwright.parts.diode import DiodeType, diode_amps, diode_siemens, thermal_volts
from lampwright.parts.filament import Filament, amps_of
from lampwright.solve.laws import DIODE_CELLS, DIODE_FROM, DIODE_PER_VOLT, shockley, wright_omega

if TYPE_CHECKING:
    from tests.solve.conftest import Bench

FILAMENTS = (
    *lamp_type("P21W", 12).filaments,
    *lamp_type("W2.3W", 12).filaments,
    *lamp_type("P21/5W", 12).filaments,
)
DIODES = (diode_type("1N4007"), diode_type("1N5404"))
MOST_VOLTS = 14.4
FACTORS = (1.0, 0.85, 1.1)

Model = Filament | DiodeType | float


def name(model: Model) -> str:
    if isinstance(model, Filament):
        return f"{model.watts:.3g} W"
    return model.name if isinstance(model, DiodeType) else f"{model} ohm"


volts = st.floats(-MOST_VOLTS, MOST_VOLTS)
MODELS: list[Model] = [*FILAMENTS, *DIODES, 4.7]
any_model = st.sampled_from(MODELS)


@pytest.fixture(scope="module")
def bench(bench_type: "type[Bench]") -> "Bench":
    return bench_type(FILAMENTS, DIODES, MOST_VOLTS)


def joints(bench: "Bench", model: Model) -> np.ndarray:
    """The volts at which one piece of a law ends and the next begins."""
    if isinstance(model, Filament):
        return np.concatenate([(bench.models.table[0] * np.arange(1, CELLS + 1)) ** 2, [MOST_VOLTS]])
    n_vt = model.emission * thermal_volts() if isinstance(model, DiodeType) else 1.0
    return np.concatenate([DIODE_FROM + np.arange(DIODE_CELLS + 1) / DIODE_PER_VOLT, [-40.0 * n_vt]])


@pytest.mark.parametrize("model", [*FILAMENTS, *DIODES], ids=name)
def test_no_step_where_pieces_join(model: Model, bench: "Bench") -> None:
    at = joints(bench, model)
    before, after = np.nextafter(at, -1e9), np.nextafter(at, 1e9)
    low, high = bench.law(model, before), bench.law(model, after)
    # a diode's first piece is of first order in Rs: at 0.2 V, 0.5 uA, it drops 20 nV
    assert np.abs(high.amps - low.amps).max() < 1e-10, "a hundredth of the leak at a volt"
    # below the first knot a chord stands for the curve; else the cubics share slopes
    slack = 2e-3 * np.abs(low.siemens[:1]) if isinstance(model, Filament) else 0.0
    assert np.all(np.abs(high.siemens - low.siemens)[:1] <= slack + 1e-6)
    assert np.abs(high.siemens - low.siemens)[1:].max() < 1e-8 * max(1.0, np.abs(low.siemens).max())


@settings(deadline=None, max_examples=300)
@given(model=any_model, a=volts, b=volts, factor=st.sampled_from(FACTORS))
def test_current_rises(model: Model, a: float, b: float, factor: float, bench: "Bench") -> None:
    low, high = sorted((a, b))
    law = bench.law(model, np.array([low, high]), factor)
    # two roundings of currents up to 1300 A
    assert law.amps[1] - law.amps[0] >= -4e-16 * np.abs(law.amps).max(), "more volts took less current"
    assert np.all(law.siemens >= 0.0)
    assert np.all(law.amps * np.array([low, high]) >= -1e-30), "a part gave power"


@settings(deadline=None, max_examples=300)
@given(model=st.sampled_from([*FILAMENTS, 4.7]), v=volts)
def test_filaments_and_resistors_are_odd(model: Model, v: float, bench: "Bench") -> None:
    law = bench.law(model, np.array([v, -v]))
    assert law.amps[0] == -law.amps[1]
    assert law.siemens[0] == law.siemens[1]


def test_nothing_at_zero(bench: "Bench") -> None:
    for model in MODELS:
        for factor in FACTORS:
            law = bench.law(model, np.array([0.0]), factor)
            assert abs(law.amps[0]) < 1e-17, "a shifted diode forgets Is Rs / n VT of 7 nA, 5e-9"
            if isinstance(model, Filament):
                # the chord to the first knot, 8 uV: short of cold by less than that
                assert abs(law.siemens[0] / factor * model.cold_ohms - 1.0) < 1e-3


@pytest.mark.parametrize("factor", FACTORS)
@pytest.mark.parametrize("model", MODELS, ids=name)
def test_conductance_is_the_slope(model: Model, factor: float, bench: "Bench") -> None:
    draw = np.random.default_rng(62)
    size = draw.uniform(0.05, 1.0, 400) ** 2 * MOST_VOLTS
    v = np.concatenate([size, -size])
    step = 1e-6
    law = bench.law(model, v, factor)
    rise = (bench.law(model, v + step, factor).amps - bench.law(model, v - step, factor).amps) / (2.0 * step)
    # rounding of the current over the step, and step^2 / 6 (n VT)^2 of a diode's exponential;
    # and, where a diode is under 0.2 V, Rs times its conductance of it, left out: 3.6e-7
    slack = 4e-16 * np.abs(law.amps) / step + 4e-7 * law.siemens + 1e-13
    assert np.all(np.abs(rise - law.siemens) <= slack), f"by {np.abs(rise - law.siemens).max()} S"


def test_filaments_are_the_heat_balance(bench: "Bench") -> None:
    v = np.random.default_rng(63).uniform(-MOST_VOLTS, MOST_VOLTS, 2000)
    for model in FILAMENTS:
        miss = np.abs(bench.law(model, v, 0.9).amps - 0.9 * amps_of(model, v)).max()
        assert miss / model.rated_amps < 1e-9, "what the curve tables promise"


def test_diodes_are_shockleys(bench: "Bench") -> None:
    v = np.random.default_rng(64).uniform(-3.0, 3.0, 5000)
    for diode in DIODES:
        card = (diode.saturation_amps, diode.emission, diode.series_ohms, thermal_volts())
        law, amps = bench.law(diode, v), diode_amps(v, *card)
        # the table's cubic: h^4 / 384 (n VT)^4 of the current at worst, 2.5e-9
        assert np.all(np.abs(law.amps - amps) <= 4e-9 * np.abs(amps) + 1e-16)
        assert np.all(np.abs(law.siemens - diode_siemens(v, *card)) <= 3e-6 * law.siemens + 1e-16)


@pytest.mark.parametrize("factor", [1.0 / 30.0, 30.0])
def test_a_shifted_diode_is_one_of_another_saturation(factor: float, bench: "Bench") -> None:
    v = np.random.default_rng(65).uniform(-3.0, 1.6, 5000)
    for diode in DIODES:
        card = (factor * diode.saturation_amps, diode.emission, diode.series_ohms, thermal_volts())
        law, amps = bench.law(diode, v, factor), diode_amps(v, *card)
        # the shift forgets that Is itself drops volts on Rs: a few nV, on at most 1 / Rs
        forgotten = abs(factor - 1.0) * diode.saturation_amps * diode.series_ohms * law.siemens
        assert np.all(np.abs(law.amps - amps) <= 4e-9 * np.abs(amps) + 1.01 * forgotten + 1e-15)


def test_omega_is_the_librarys() -> None:
    z = np.concatenate([np.linspace(-60.0, 60.0, 4001), np.geomspace(60.0, 1e5, 200)])
    ours = np.array([wright_omega(float(each)) for each in z])
    miss = np.abs(ours / wrightomega(z) - 1.0)
    # rounding of exp(z), |z| up to 36; and where the first guess is worst, at -2, two steps leave 4e-12
    assert miss[(z < -2.0) | (z > -1.5)].max() < 2e-14
    assert miss.max() < 5e-12


def test_closed_form_is_the_parts() -> None:
    for diode in DIODES:
        n_vt = diode.emission * thermal_volts()
        v = np.linspace(-20.0, 20.0, 801)
        ours = np.array([shockley(float(x), diode.saturation_amps, n_vt, diode.series_ohms) for x in v])
        card = (diode.saturation_amps, diode.emission, diode.series_ohms, thermal_volts())
        amps = diode_amps(v, *card)
        # omega's 4e-12; near zero volts the current is a difference of two of size Is
        assert np.all(np.abs(ours[:, 0] - amps) <= 5e-12 * (np.abs(amps) + diode.saturation_amps))
