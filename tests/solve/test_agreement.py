"""The compiled solver and its plain twin on ten thousand random circuits.

The two share the parts and no line of solving: scipy's MINPACK against our Newton, the
heat balance between temperatures against the curve tables.
"""

from typing import TYPE_CHECKING

import numpy as np
import pytest
from tests.selection import some

from lampwright.parts.catalogue import diode_type, lamp_types
from lampwright.parts.diode import DiodeType
from lampwright.parts.filament import Filament
from lampwright.solve.lanes import LANES
from lampwright.solve.newton import HEAD, RESIDUAL, TAIL, bind_ends, bind_live
from lampwright.solve.twin import TwinPart, operating_point

if TYPE_CHECKING:
    from tests.solve.conftest import Bench

CHUNKS, CIRCUITS = 20, 500
MOST_VOLTS = {6: 7.5, 12: 14.4, 24: 28.8}
DIODES = (diode_type("1N4007"), diode_type("1N5404"))


def random_model(draw: np.random.Generator, filaments: list[Filament]) -> Filament | DiodeType | float:
    kind = draw.choice(3, p=[0.5, 0.25, 0.25])
    if kind == 0:
        return filaments[draw.integers(len(filaments))]
    return DIODES[draw.integers(2)] if kind == 1 else float(np.exp(draw.uniform(np.log(0.5), np.log(500.0))))


def random_factor(draw: np.random.Generator, model: Filament | DiodeType | float) -> float:
    """Half of the parts nominal, the others anywhere within a generous tolerance."""
    if draw.random() < 0.5:
        return 1.0
    spread = model.spread if isinstance(model, DiodeType) else 1.2
    return float(spread ** draw.uniform(-1.0, 1.0))


def random_circuit(draw: np.random.Generator, filaments: list[Filament]) -> tuple[list[TwinPart], int]:
    """2 to 10 parts; the vertices' state: 1 to 5 open, some live and some grounded."""
    unknown = int(draw.integers(1, 6))
    codes = np.concatenate([np.arange(2, unknown + 2), draw.integers(0, 2, 4)])
    models = [random_model(draw, filaments) for _ in range(draw.integers(2, 11))]
    ends = codes[draw.integers(0, len(codes), (len(models), 2))]
    parts = [
        TwinPart(int(a), int(b), model, random_factor(draw, model))
        for (a, b), model in zip(ends, models, strict=True)
    ]
    return parts, unknown + 2


@pytest.mark.parametrize("chunk", some(range(CHUNKS), 2))
def test_agreement(chunk: int, bench_type: "type[Bench]") -> None:
    draw = np.random.default_rng([1937, chunk])
    system = (6, 12, 24)[chunk % 3]
    offered = [f for lamp in lamp_types() if lamp.system == system for f in lamp.filaments]
    filaments = [offered[at] for at in draw.permutation(len(offered))[:40]]
    bench = bench_type(filaments, DIODES, MOST_VOLTS[system])
    worst = 0.0
    for number in range(CIRCUITS):
        parts, nodes = random_circuit(draw, filaments)
        volts = float(draw.uniform(0.3, 1.0) * MOST_VOLTS[system])
        compiled, plain = bench.solve(parts, nodes, volts), operating_point(parts, nodes, volts)
        assert compiled.steps >= 0, f"circuit {number} at {volts} V did not converge: {parts}"
        assert compiled.residual <= RESIDUAL, "the compiled solver's own promise"
        assert plain.converged, f"circuit {number} at {volts} V: the twin did not converge: {parts}"
        worst = max(worst, float(np.abs(compiled.amps - plain.amps).max()))
    # the twin's 20 nA at up to five nodes, its 20 nA between temperatures, and the compiled diode's
    # shift, which forgets Rs times the change in Is: 13 nV, at most 0.4 uA for a 1N4007
    assert worst <= 1e-6, f"parts differ by up to {worst} A"


def refitted(draw: np.random.Generator, parts: list[TwinPart], filaments: list[Filament]) -> list[TwinPart]:
    """Fit the same circuit with other parts of the same kinds."""
    fitted = []
    for part in parts:
        model = random_model(draw, filaments)
        while type(model) is not type(part.model):
            model = random_model(draw, filaments)
        fitted.append(TwinPart(part.tail, part.head, model, random_factor(draw, model)))
    return fitted


@pytest.mark.parametrize("chunk", some(range(2 * CHUNKS), 3))
def test_lanes_agree(chunk: int, bench_type: "type[Bench]") -> None:
    """Eight fits of every circuit, each at its own supply, in vector lanes."""
    draw = np.random.default_rng([1847, chunk])
    system = (6, 12, 24)[chunk % 3]
    offered = [f for lamp in lamp_types() if lamp.system == system for f in lamp.filaments]
    filaments = [offered[at] for at in draw.permutation(len(offered))[:40]]
    bench = bench_type(filaments, DIODES, MOST_VOLTS[system])
    worst = 0.0
    for number in range(CIRCUITS // LANES):
        parts, nodes = random_circuit(draw, filaments)
        fits = [refitted(draw, parts, filaments) for _ in range(draw.integers(1, LANES + 1))]
        volts = (draw.uniform(0.3, 1.0, len(fits)) * MOST_VOLTS[system]).tolist()
        for fit, supply, point in zip(fits, volts, bench.solve_eight(fits, nodes, volts), strict=True):
            plain = operating_point(fit, nodes, supply)
            assert point.steps >= 0, f"circuit {number} at {supply} V did not converge: {fit}"
            # sums in another order: roundings of up to 1500 A through diodes straight across
            assert point.residual <= RESIDUAL + 1e-12 * np.abs(point.amps).max(initial=0.0)
            assert plain.converged, f"circuit {number} at {supply} V: the twin did not converge: {fit}"
            worst = max(worst, float(np.abs(point.amps - plain.amps).max()))
    # as above, and the cells' 1e-7 A
    assert worst <= 1e-6, f"parts differ by up to {worst} A"


def test_potentials_agree_where_they_are_held(bench_type: "type[Bench]") -> None:
    """Two lamps and a resistor, every node joined to the rails: potentials too are unique."""
    filaments = [f for lamp in lamp_types() if lamp.name in ("P21W", "W5W") for f in lamp.filaments]
    bench = bench_type([filaments[0], filaments[-1]], DIODES)
    parts = [
        TwinPart(1, 2, bench.filaments[0]),
        TwinPart(2, 3, bench.filaments[1]),
        TwinPart(3, 0, 4.7),
        TwinPart(2, 0, DIODES[0]),
    ]
    compiled, plain = bench.solve(parts, 4, 13.5), operating_point(parts, 4, 13.5)
    # 1e-7 A over the 0.1 S or more of every node
    assert np.abs(compiled.potentials - plain.potentials).max() < 1e-6


def test_bound_ends_are_the_states_nodes(bench_type: "type[Bench]") -> None:
    bench = bench_type([], [])
    vertex_node = np.array([[0, 0, 0, 0, 0, 0], [5, 1, 0, 3, 5, 7]], np.int8)
    ends = np.array([[[1, 3], [3, 0], [4, 2], [0, 4]]] * 2, np.int8)
    whole = bench.work.whole
    assert bind_ends(ends, 1, vertex_node, 1, whole) == 4, "ground, supply, and open groups 3 and 5"
    assert whole[TAIL : TAIL + 4].tolist() == [1, 2, 3, 3], "numbered as parts touch them: 3 is 2, 5 is 3"
    assert whole[HEAD : HEAD + 4].tolist() == [2, 3, 0, 3]
    assert bind_ends(ends, 0, vertex_node, 0, whole) == 2, "all grounded"
    assert bind_ends(ends[:, :0], 0, vertex_node, 1, whole) == 2, "no part, no node"
    assert bind_live(ends, 1, 0b1100, vertex_node, 1, whole) == 3, "of the last two parts only"
    assert whole[TAIL : TAIL + 4].tolist() == [0, 0, 2, 2]
    assert whole[HEAD : HEAD + 4].tolist() == [0, 0, 0, 2]
