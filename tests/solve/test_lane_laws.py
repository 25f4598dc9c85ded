"""The laws in vector lanes are those of `laws` for every part of the catalogue, and never fall."""

import numpy as np
import pytest
from numba import njit

from lampwright.parts.catalogue import diode_types, lamp_types
from lampwright.parts.diode import DiodeType, led_type
from lampwright.parts.filament import Filament
from lampwright.solve.lane_enclosures import APART_SHARE
from lampwright.solve.lane_laws import cells_of, diode_lanes, filament_lanes
from lampwright.solve.lanes import LANES, begin_of, cut_off, load, spread, store
from lampwright.solve.laws import DIODE, FILAMENT, Floats, Models, base_of, part_law
from lampwright.solve.part_options import tabulate

MOST_VOLTS = {6: 7.5, 12: 15.0, 24: 30.0}
FILAMENTS = {
    system: [f for lamp in lamp_types() if lamp.system == system for f in lamp.filaments]
    for system in MOST_VOLTS
}
DIODES: list[DiodeType] = [*diode_types(), *(led_type(system) for system in MOST_VOLTS)]


@njit
def in_lanes(kind, base, cells, volts, amps, siemens):  # type: ignore[no-untyped-def]
    place = cut_off(spread(1.0 * base))
    for at in range(0, volts.shape[0], LANES):
        v = load(begin_of(volts), at)
        if kind == FILAMENT:
            i, g = filament_lanes(v, place, begin_of(cells))
        else:
            i, g = diode_lanes(v, place, begin_of(cells))
        store(begin_of(amps), at, i)
        store(begin_of(siemens), at, g)


def both(kind: int, row: int, volts: Floats, models: Models) -> tuple[Floats, Floats]:
    """Current and conductance (2, n) in lanes, and by the plain law."""
    amps, siemens = np.zeros_like(volts), np.zeros_like(volts)
    in_lanes(kind, cells_of(kind, row, models.filaments), models.cells, volts, amps, siemens)
    base, one = base_of(kind, row, models.filaments), 1.0 * (kind == FILAMENT)
    plain = np.array([part_law(kind, base, one, float(v), models.table) for v in volts])
    return np.array([amps, siemens]), plain.T


@pytest.mark.parametrize("system", MOST_VOLTS)
def test_filaments(system: int) -> None:
    models = tabulate(FILAMENTS[system], [], MOST_VOLTS[system])
    draw = np.random.default_rng([91, system])
    for row, filament in enumerate(FILAMENTS[system]):
        size = np.concatenate([draw.uniform(0.0, 1.0, 960) ** 3 * MOST_VOLTS[system], [0.0] * 8, [1e-9] * 8])
        volts = np.sort(np.concatenate([size, -size]))
        lanes, plain = both(FILAMENT, row, volts, models)
        # h^4 / 384 of the fourth derivative, most where tungsten's tables have a knot
        assert np.abs(lanes[0] - plain[0]).max() < 2e-8 * filament.rated_amps
        # what bounds in lanes leave for it
        assert np.all(np.abs(lanes[0] - plain[0]) <= APART_SHARE * np.abs(plain[0]) + 1e-12)
        assert np.abs(lanes[1] / plain[1] - 1.0).max() < 2e-3, "the first plain knots' chord, else 1e-5"
        assert np.all(np.diff(lanes[0]) >= 0.0), "more volts took less current"
        assert np.all(lanes[0] * volts >= 0.0), "a part gave power"


def test_diodes() -> None:
    models = tabulate([], DIODES, 30.0)
    draw = np.random.default_rng(92)
    for row, diode in enumerate(DIODES):
        near, far = draw.uniform(-1.0, 2.0, 1600), draw.uniform(-30.0, 30.0, 800)
        volts = np.sort(np.concatenate([near, far, np.repeat([0.2, 2.0, -0.5, -0.5 - 1e-12], 2)]))
        lanes, plain = both(DIODE, row, volts, models)
        missed = np.abs(lanes[0] - plain[0])
        assert np.all(missed <= 4e-8 * np.abs(plain[0]) + 1e-12), diode.name
        assert missed.max() < 1e-8, diode.name
        assert np.all(np.diff(lanes[0]) >= -4e-16 * np.abs(lanes[0]).max()), "more volts took less current"
        assert np.all(lanes[1] >= 0.0)


def test_models_do_not_mix() -> None:
    few: list[Filament] = FILAMENTS[12][:3]
    models = tabulate(few, DIODES[:2], 15.0)
    volts = np.linspace(0.5, 12.0, 64)
    for row, filament in enumerate(few):
        lanes, plain = both(FILAMENT, row, volts, models)
        assert np.abs(lanes[0] - plain[0]).max() < 2e-8 * filament.rated_amps
    for row in range(2):
        lanes, plain = both(DIODE, row, volts, models)
        assert np.abs(lanes[0] - plain[0]).max() < 5e-8
