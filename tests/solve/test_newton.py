"""The compiled solver where it is hard: any start, and circuits no builder would draw.

Expected currents come by hand, or from scipy's brentq on the one equation of a loop.
"""

from typing import TYPE_CHECKING

import numpy as np
import pytest
from scipy.optimize import brentq

from lampwright.parts.catalogue import diode_type, lamp_type
from lampwright.parts.diode import DiodeType, diode_amps, diode_volts, thermal_volts
from lampwright.parts.filament import amps_of
from lampwright.solve.newton import LEAK, RESIDUAL, X, cold_start
from lampwright.solve.twin import TwinPart, operating_point

if TYPE_CHECKING:
    from tests.solve.conftest import Bench

BIG, STOP, TAIL, SMALL = (
    *lamp_type("P21W", 12).filaments,
    *lamp_type("P21/5W", 12).filaments,
    *lamp_type("W2.3W", 12).filaments,
)
SLOW, STRONG = diode_type("1N4007"), diode_type("1N5404")
VOLTS = 13.5


@pytest.fixture(scope="module")
def bench(bench_type: "type[Bench]") -> "Bench":
    return bench_type([BIG, STOP, TAIL, SMALL], [SLOW, STRONG])


def one_diode(diode: DiodeType, v: float) -> float:
    card = (diode.saturation_amps, diode.emission, diode.series_ohms, thermal_volts())
    return float(diode_amps(v, *card))


HARD = {
    "three lamps and a diode": [
        TwinPart(1, 2, BIG),
        TwinPart(2, 3, SMALL),
        TwinPart(3, 0, STOP),
        TwinPart(4, 3, STRONG),
        TwinPart(1, 4, TAIL),
    ],
    "0.01 ohm across": [TwinPart(1, 0, 0.01), TwinPart(1, 2, SMALL), TwinPart(2, 0, BIG)],
    "0.01 ohm beside a lamp": [TwinPart(1, 2, BIG), TwinPart(2, 0, BIG), TwinPart(1, 2, 0.01)],
    "0.01 ohm between two joints": [TwinPart(1, 2, SMALL), TwinPart(2, 3, 0.01), TwinPart(3, 0, SMALL)],
    "all diodes reversed": [
        TwinPart(2, 1, SLOW),
        TwinPart(3, 2, STRONG),
        TwinPart(0, 3, SLOW),
        TwinPart(2, 3, BIG),
    ],
    "a diode straight across": [TwinPart(1, 0, STRONG), TwinPart(1, 2, SMALL), TwinPart(2, 0, SLOW)],
    "a chain of diodes": [
        TwinPart(a, b, SLOW if a % 2 else STRONG) for a, b in [(1, 2), (2, 3), (3, 4), (4, 5), (5, 0)]
    ],
    "a chain of diodes, one reversed": [
        TwinPart(a, b, STRONG) for a, b in [(1, 2), (3, 2), (3, 4), (4, 5), (5, 0)]
    ],
    "a ring of diodes": [
        TwinPart(2, 3, SLOW),
        TwinPart(3, 4, SLOW),
        TwinPart(4, 2, SLOW),
        TwinPart(1, 2, BIG),
        TwinPart(4, 0, TAIL),
    ],
    "a bridge of diodes": [
        TwinPart(1, 2, STRONG),
        TwinPart(0, 2, STRONG),
        TwinPart(3, 1, STRONG),
        TwinPart(3, 0, STRONG),
        TwinPart(2, 3, BIG),
    ],
    "an island": [TwinPart(2, 3, BIG), TwinPart(3, 4, STRONG), TwinPart(4, 2, 10.0), TwinPart(1, 0, SMALL)],
    "loops on one node": [
        TwinPart(2, 2, SLOW),
        TwinPart(2, 2, 0.01),
        TwinPart(1, 1, BIG),
        TwinPart(0, 0, SLOW),
        TwinPart(1, 2, SMALL),
        TwinPart(2, 0, SMALL),
    ],
    "ten thousand to one": [TwinPart(1, 2, 10_000.0), TwinPart(2, 0, BIG), TwinPart(2, 3, SLOW)],
}


@pytest.mark.parametrize("name", HARD)
def test_hard_circuits_from_any_start(name: str, bench: "Bench") -> None:
    parts = HARD[name]
    nodes = 1 + max(max(part.tail, part.head, 1) for part in parts)
    plain = operating_point(parts, nodes, VOLTS)
    assert plain.converged
    draw = np.random.default_rng(7)
    inside = [draw.uniform(0.0, VOLTS, nodes - 2) for _ in range(40)]
    ends = [np.zeros(nodes - 2), np.full(nodes - 2, VOLTS)]
    outside = [draw.uniform(-100.0, 100.0, nodes - 2) for _ in range(10)]
    for start in (*inside, *ends, *outside):
        point = bench.solve(parts, nodes, VOLTS, start.tolist())
        assert point.steps >= 0, f"not converged from {start}"
        assert point.residual <= RESIDUAL
        # the twin's 20 nA for each of up to four nodes, and its 20 nA between temperatures
        assert np.abs(point.amps - plain.amps).max() < 1e-7, f"from {start}"
        assert np.all((point.potentials >= -1e-12) & (point.potentials <= VOLTS + 1e-12))


def test_no_unknown_node_needs_no_step(bench: "Bench") -> None:
    point = bench.solve([TwinPart(1, 0, SMALL), TwinPart(0, 1, 0.01), TwinPart(1, 1, 5.0)], 2, VOLTS)
    assert (point.steps, point.residual) == (0, 0.0)
    wanted = [float(amps_of(SMALL, VOLTS)), -1350.0, 0.0]
    assert np.abs(point.amps - wanted).max() < 1e-9


def test_reversed_diodes_pass_their_saturation_current_at_most(bench: "Bench") -> None:
    parts = [TwinPart(2, 1, STRONG), TwinPart(2, 0, BIG)]
    point = bench.solve(parts, 3, VOLTS)
    # the diode's Is flows from the supply through the cold lamp to ground
    assert abs(point.amps[0] + STRONG.saturation_amps) < 1e-23, "13.5 V is far beyond n VT"
    assert abs(point.amps[1] - STRONG.saturation_amps) <= RESIDUAL


def test_an_island_rests(bench: "Bench") -> None:
    parts = [TwinPart(2, 3, BIG), TwinPart(3, 4, STRONG), TwinPart(4, 2, 10.0)]
    for start in ([0.0, VOLTS, 3.0], [VOLTS] * 3):
        point = bench.solve(parts, 5, VOLTS, start)
        assert point.steps >= 0
        assert np.abs(point.amps).max() <= 3 * RESIDUAL, "nothing feeds it but three nodes' errors"
        assert np.ptp(point.potentials[2:]) < 1e-6, "the lamp and 10 ohms hold it together"


def test_a_chain_of_diodes(bench: "Bench") -> None:
    chain = [TwinPart(at, at + 1 if at < 6 else 0, (SLOW, STRONG)[at % 2]) for at in range(2, 7)]
    parts = [TwinPart(1, 2, 10.0), *chain]
    drops = [part.model for part in chain if isinstance(part.model, DiodeType)]

    def loop(amps: float) -> float:
        return VOLTS - 10.0 * amps - sum(diode_volts(diode, amps) for diode in drops)

    wanted = brentq(loop, 1e-6, 1.3, xtol=1e-15)
    point = bench.solve(parts, 7, VOLTS)
    # 1 nS at up to 4 V from each of five nodes, and what is left over there; 4e-9 of the current
    # for the diodes' tables
    assert np.abs(point.amps - wanted).max() < 5 * (4.0 * LEAK + RESIDUAL) + 4e-9 * wanted


@pytest.mark.parametrize("model", [SLOW, STRONG], ids=["1N4007", "1N5404"])
def test_antiparallel_diodes(model: DiodeType, bench: "Bench") -> None:
    parts = [TwinPart(1, 2, 10.0), TwinPart(2, 0, model), TwinPart(0, 2, model)]

    def left_over(v: float) -> float:
        return (VOLTS - v) / 10.0 - one_diode(model, v) + one_diode(model, -v)

    v = brentq(left_over, 0.0, 2.0, xtol=1e-15)
    point = bench.solve(parts, 3, VOLTS)
    assert abs(point.potentials[2] - v) < 1e-9, "the leak's 1e-9 A over 30 S and more, the table's 4e-9"
    assert abs(point.amps[1] + point.amps[2] * -1.0 - (VOLTS - v) / 10.0) < 5e-9
    assert abs(point.amps[2] + model.saturation_amps) < 1e-15, "the other one blocks"


def test_loops_take_nothing(bench: "Bench") -> None:
    point = bench.solve(HARD["loops on one node"], 3, VOLTS)
    assert np.abs(point.amps[:4]).max() < 1e-23, "both ends of a loop are at one potential"
    assert abs(point.potentials[2] - VOLTS / 2.0) < 1e-6, "two equal lamps share the volts; 1 nS tips it"


def test_two_equal_lamps_share(bench: "Bench") -> None:
    point = bench.solve([TwinPart(1, 2, BIG), TwinPart(2, 0, BIG)], 3, VOLTS)
    half = float(amps_of(BIG, VOLTS / 2.0))
    assert np.abs(point.amps / half - 1.0).max() < 1e-8, "7 nA of leak; RESIDUAL; the table's 1e-9"


def test_cold_start_is_half_way(bench: "Bench") -> None:
    reals = bench.work.reals
    reals[X : X + 5] = -1.0
    cold_start(4, 12.0, reals)
    assert reals[X : X + 5].tolist() == [-1.0, -1.0, 6.0, 6.0, -1.0]
