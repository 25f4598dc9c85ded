"""The solver on networks that have been solved before: resistors, a bridge, a cube, a diode.

Sources: networkx's resistance distance; Gaussian elimination in exact fractions; the
Wheatstone bridge worked by hand; the cube of twelve equal resistors, 5/6, 3/4 and 7/12
of one between corners (Brooks and Poyser, Magnetism and Electricity, 1914, MEMORY); the
diode and resistor in series by Lambert's W (Banwell and Jayakumar, Electron. Lett. 36
(2000) 291, MEMORY) with scipy's lambertw.
"""

from fractions import Fraction

import networkx as nx
import numpy as np
import pytest
from scipy.special import lambertw

from lampwright.parts.catalogue import diode_type
from lampwright.parts.diode import DiodeType, thermal_volts
from lampwright.solve.laws import DIODE, RESISTOR, Models, base_of
from lampwright.solve.newton import (
    BASE,
    CURRENT,
    HEAD,
    KIND,
    LEAK,
    RESIDUAL,
    ROW,
    TAIL,
    VALUE,
    X,
    cold_start,
    new_workspace,
    solve_bound,
)
from lampwright.solve.part_options import tabulate

VOLTS = 12.0
DIODES = [diode_type("1N4007"), diode_type("1N5404")]

Branch = tuple[int, int, int]  # tail, head, ohms


@pytest.fixture(scope="module")
def models() -> Models:
    return tabulate([], DIODES, 14.4)


def solve(
    tails: list[int], heads: list[int], kind: list[int], row: list[int], value: list[float], models: Models
) -> tuple[np.ndarray, np.ndarray]:
    """Potentials and currents of parts between nodes; 0 is ground, 1 the supply."""
    nodes, (reals, whole) = max([1, *tails, *heads]) + 1, new_workspace()
    for at, (a, b, of, model, worth) in enumerate(zip(tails, heads, kind, row, value, strict=True)):
        whole[[TAIL + at, HEAD + at, KIND + at, ROW + at]] = a, b, of, model
        whole[BASE + at], reals[VALUE + at] = base_of(of, model, models.filaments), worth
    cold_start(nodes, VOLTS, reals)
    steps, _ = solve_bound(len(tails), nodes, VOLTS, models.table, reals, whole)
    assert steps >= 0, "did not converge"
    return reals[X : X + nodes].copy(), reals[CURRENT : CURRENT + len(tails)].copy()


def solve_resistors(branches: list[Branch], models: Models) -> tuple[np.ndarray, np.ndarray]:
    tails, heads, ohms = (list(each) for each in zip(*branches, strict=True))
    return solve(
        tails=tails,
        heads=heads,
        kind=[RESISTOR] * len(ohms),
        row=[0] * len(ohms),
        value=[1.0 / each for each in ohms],
        models=models,
    )


def taken(branches: list[Branch], amps: np.ndarray) -> float:
    """Current drawn from the supply [A]."""
    return float(sum(i * ((a == 1) - (b == 1)) for (a, b, _), i in zip(branches, amps.tolist(), strict=True)))


def random_network(draw: np.random.Generator) -> list[Branch]:
    """A connected multigraph on 2 to 8 nodes: a random tree, and up to 8 branches more."""
    nodes = int(draw.integers(2, 9))
    pairs = [(at, int(draw.integers(at))) for at in range(1, nodes)]
    pairs += [(int(a), int(b)) for a, b in draw.integers(0, nodes, (draw.integers(0, 9), 2))]
    return [(a, b, int(draw.integers(1, 101))) for a, b in pairs]


def graph_of(branches: list[Branch]) -> "nx.MultiGraph[int]":
    graph: nx.MultiGraph[int] = nx.MultiGraph()
    graph.add_weighted_edges_from(branches)
    return graph


def exact_potentials(branches: list[Branch]) -> list[Fraction]:
    """Kirchhoff's current law with the leak, in fractions; no rounding anywhere."""
    nodes = max(max(a, b) for a, b, _ in branches) + 1
    rows = [[Fraction(0)] * (nodes + 1) for _ in range(nodes)]
    for node in range(2, nodes):
        rows[node][node] = Fraction(LEAK)
    for a, b, ohms in branches:
        for here, there in ((a, b), (b, a)):
            rows[here][here] += Fraction(1, ohms)
            rows[here][there] -= Fraction(1, ohms)
    for node, held in ((0, Fraction(0)), (1, Fraction(VOLTS))):
        rows[node] = [Fraction(int(node == at)) for at in range(nodes)] + [held]
    for pivot in range(nodes):
        swap = next(at for at in range(pivot, nodes) if rows[at][pivot] != 0)
        rows[pivot], rows[swap] = rows[swap], rows[pivot]
        rows[pivot] = [each / rows[pivot][pivot] for each in rows[pivot]]
        for at in range(nodes):
            if at != pivot and rows[at][pivot] != 0:
                factor = rows[at][pivot]
                rows[at] = [x - factor * y for x, y in zip(rows[at], rows[pivot], strict=True)]
    return [row[-1] for row in rows]


def test_resistance_distance(models: Models) -> None:
    draw = np.random.default_rng(1845)
    for _ in range(300):
        branches = random_network(draw)
        distance = nx.resistance_distance(graph_of(branches), 0, 1, weight="weight", invert_weight=True)
        assert isinstance(distance, float), "one pair of nodes, one number"
        _, amps = solve_resistors(branches, models)
        # the leak takes up to 12 nA from each of six nodes, and the solver may leave some over
        assert abs(taken(branches, amps) - VOLTS / distance) < 6 * (VOLTS * LEAK + RESIDUAL)


def test_exact_fractions(models: Models) -> None:
    draw = np.random.default_rng(1847)
    for _ in range(300):
        branches = random_network(draw)
        exact = exact_potentials(branches)
        potentials, amps = solve_resistors(branches, models)
        wanted = [float((exact[a] - exact[b]) / ohms) for a, b, ohms in branches]
        # the solver leaves 1e-11 A at most at each of six nodes; rounding of 12 A is 2e-15 A
        assert np.abs(amps - wanted).max() < 6e-11
        assert np.abs(potentials - [float(each) for each in exact]).max() < 6 * RESIDUAL * 6 * 100, (
            "over 600 ohms at most: six branches of 100 in a row"
        )


def test_wheatstone_bridge_by_hand(models: Models) -> None:
    """10 and 20 ohms on one side, 20 and 10 on the other, 20 across; 12 V.

    The bridge is antisymmetric: its two middles add up to 12 V. At the left one, v:
    (12 - v) / 10 = v / 20 + (v - (12 - v)) / 20, so 24 - 2 v = 3 v - 12 and v = 7.2 V.
    """
    branches = [(1, 2, 10), (2, 0, 20), (1, 3, 20), (3, 0, 10), (2, 3, 20)]
    potentials, amps = solve_resistors(branches, models)
    assert np.abs(potentials - [0.0, 12.0, 7.2, 4.8]).max() < 1e-6, "12 nA of leak on some 10 ohms"
    assert np.abs(amps - [0.48, 0.36, 0.36, 0.48, 0.12]).max() < 2 * (VOLTS * LEAK + RESIDUAL), (
        "the leak of two nodes"
    )


def test_balanced_bridge_carries_nothing(models: Models) -> None:
    """R1 / R2 = R3 / R4: no current through the fifth, whatever it is. Source: Wheatstone 1843 (MEMORY)."""
    for ohms in (1, 47, 10_000):
        _, amps = solve_resistors([(1, 2, 10), (2, 0, 22), (1, 3, 50), (3, 0, 110), (2, 3, ohms)], models)
        assert abs(amps[4]) < 2 * (VOLTS * LEAK + RESIDUAL), "the leak of two nodes"


@pytest.mark.parametrize(("corner", "share"), [(1, (7, 12)), (3, (3, 4)), (7, (5, 6))])
def test_cube_of_resistors(corner: int, share: tuple[int, int], models: Models) -> None:
    """Corners are numbers of three bits; an edge flips one. Between 0 and 1, 3, 7: edge, face, body."""
    node = {0: 0, corner: 1}
    for other in range(8):
        node.setdefault(other, len(node))
    branches = [(node[at], node[at ^ bit], 6) for at in range(8) for bit in (1, 2, 4) if at < at ^ bit]
    _, amps = solve_resistors(branches, models)
    assert len(branches) == 12
    assert abs(taken(branches, amps) - VOLTS / 6.0 * share[1] / share[0]) < 6 * (VOLTS * LEAK + RESIDUAL)


@pytest.mark.parametrize("diode", DIODES, ids=lambda diode: diode.name)
@pytest.mark.parametrize("ohms", [0.5, 10.0, 47.0, 1e3, 1e5])
def test_diode_and_resistor_by_lambert(diode: DiodeType, ohms: float, models: Models) -> None:
    """V = n VT ln(1 + I / Is) + I (R + Rs): with r = R + Rs and u = n VT / r,
    I = u W((Is / u) exp((V + Is r) / n VT)) - Is.
    """
    n_vt, total = diode.emission * thermal_volts(), ohms + diode.series_ohms
    u = n_vt / total
    grown = diode.saturation_amps / u * np.exp((VOLTS + diode.saturation_amps * total) / n_vt)
    wanted = u * float(lambertw(grown).real) - diode.saturation_amps
    row = DIODES.index(diode)
    _, amps = solve(
        tails=[1, 2],
        heads=[2, 0],
        kind=[RESISTOR, DIODE],
        row=[0, row],
        value=[1.0 / ohms, 0.0],
        models=models,
    )
    # the node sits under 2 V, so the leak parts the currents by 2 nA; the diode's table is within 4e-9
    assert np.abs(amps - wanted).max() < 2.0 * LEAK + RESIDUAL + 4e-9 * wanted
    assert abs(amps[0] - amps[1]) < 2.0 * LEAK + RESIDUAL
