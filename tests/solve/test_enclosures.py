"""Bounds over boxes of part values: no point inside lies beyond them, and without a range they are the point.

The outside judges: the compiled solver at points drawn in the box, and for linear networks the node's
own formula. A million points in random boxes are the nightly selection; here there are fewer.
"""

import numpy as np
import pytest
from tests.bench.by_kernel import ByKernel
from tests.bench.circuits import VOLTS, random_circuits
from tests.selection import examples

from lampwright.solve.enclosures import ABOVE, BELOW, LOWER, UPPER, enclose, new_box
from lampwright.solve.laws import DIODE, RESISTOR, base_of
from lampwright.solve.newton import (
    BASE,
    HEAD,
    KIND,
    TAIL,
    VALUE,
    X,
    bind_ends,
    bind_live,
    cold_start,
    solve_bound,
)

Kernel = ByKernel
DRAWS = 25
CIRCUITS = examples(80, 4000)
EVERY_PART = -1


@pytest.fixture(scope="module")
def kernel() -> Kernel:
    return ByKernel()


def bounds(kernel: Kernel, count: int, parts: int, box: np.ndarray) -> bool:
    return bool(enclose(parts, count, VOLTS, kernel.models.table, box, kernel.work.whole))


@pytest.mark.parametrize("diodes", [False, True])
@pytest.mark.parametrize("unknown", [1, 2, 3, 4, 5])
def test_no_point_in_a_box_lies_beyond_its_bounds(kernel: Kernel, unknown: int, diodes: bool) -> None:
    circuits = random_circuits(CIRCUITS, unknown, diodes=diodes, seed=7)
    chance = np.random.default_rng(unknown)
    reals, whole, box = kernel.work.reals, kernel.work.whole, new_box()
    parts = circuits.kind.shape[1]
    points = bounded = 0
    width = 0.0
    for circuit in range(CIRCUITS):
        kind = circuits.kind[circuit]
        for p in range(parts):
            whole[KIND + p] = kind[p]
            whole[BASE + p] = base_of(kind[p], circuits.row[circuit, p], kernel.models.filaments)
        # a resistor within a decade or two, a filament within 10 %, a diode's shift within 20 mV
        wide = np.where(kind == RESISTOR, chance.uniform(0.0, 1.0, parts), 0.04) * chance.integers(
            0, 2, parts
        )
        middle = np.where(kind == RESISTOR, circuits.value[circuit], 1.0)
        low = np.where(kind == DIODE, -0.02 * (wide > 0), middle * 10.0**-wide)
        high = np.where(kind == DIODE, 0.02 * (wide > 0), middle * 10.0**wide)
        box[LOWER : LOWER + parts], box[UPPER : UPPER + parts] = low, high
        count = bind_live(circuits.ends, circuit, EVERY_PART, circuits.node_of, 0, whole)
        if not bounds(kernel, count, parts, box):
            continue
        bounded += 1
        above, below = box[ABOVE + 2 : ABOVE + count].copy(), box[BELOW + 2 : BELOW + count].copy()
        width += float((above - below).max(initial=0.0))
        for draw in range(DRAWS):
            share = chance.uniform(0.0, 1.0, parts)
            # every second point lies in a corner of the box, where the bounds are nearest
            share = np.round(share) if draw % 2 else share
            reals[VALUE : VALUE + parts] = low + share * (high - low)
            cold_start(count, VOLTS, reals)
            steps, _ = solve_bound(parts, count, VOLTS, kernel.models.table, reals, whole)
            assert steps >= 0, "the point was found"
            found = reals[X + 2 : X + count]
            assert np.all(found <= above + 1e-6), f"above by {np.max(found - above):.2g} V"
            assert np.all(found >= below - 1e-6), f"below by {np.max(below - found):.2g} V"
            points += 1
    assert bounded > 0.99 * CIRCUITS, f"{CIRCUITS - bounded} of {CIRCUITS} without bounds"
    assert 0.01 < width / bounded < 0.8 * VOLTS, "the bounds say something, and not everything"


@pytest.mark.parametrize("diodes", [False, True])
def test_bounds_without_a_range_are_the_operating_point(kernel: Kernel, diodes: bool) -> None:
    circuits = random_circuits(200, 3, diodes=diodes, seed=11)
    reals, whole, box = kernel.work.reals, kernel.work.whole, new_box()
    parts = circuits.kind.shape[1]
    apart = []
    for circuit in range(200):
        for p in range(parts):
            kind = circuits.kind[circuit, p]
            whole[KIND + p] = kind
            whole[BASE + p] = base_of(kind, circuits.row[circuit, p], kernel.models.filaments)
        box[LOWER : LOWER + parts] = box[UPPER : UPPER + parts] = circuits.value[circuit]
        reals[VALUE : VALUE + parts] = circuits.value[circuit]
        count = bind_live(circuits.ends, circuit, EVERY_PART, circuits.node_of, 0, whole)
        assert bounds(kernel, count, parts, box)
        assert count == bind_ends(circuits.ends, circuit, circuits.node_of, 0, whole)
        cold_start(count, VOLTS, reals)
        solve_bound(parts, count, VOLTS, kernel.models.table, reals, whole)
        found = reals[X + 2 : X + count]
        apart.append(np.abs(box[ABOVE + 2 : ABOVE + count] - found).max())
        apart.append(np.abs(box[BELOW + 2 : BELOW + count] - found).max())
    # a node behind blocked diodes is told to within what 1 nA makes of it, up to volts; others far better
    assert np.quantile(apart, 0.75) < 1e-6
    assert np.quantile(apart, 0.9) < (0.01 if diodes else 1e-6)


def linear(kernel: Kernel, ends: list[tuple[int, int]], nodes: int) -> tuple[int, np.ndarray]:
    """Resistors between nodes, 0 ground and 1 the supply; the number of nodes, and a box."""
    table = np.array([ends], np.int8)
    kernel.work.whole[KIND : KIND + len(ends)] = RESISTOR
    kernel.work.whole[BASE : BASE + len(ends)] = 0
    count = bind_live(table, 0, EVERY_PART, np.arange(nodes, dtype=np.int8)[None], 0, kernel.work.whole)
    return count, new_box()


def test_a_divider_by_hand(kernel: Kernel) -> None:
    # 10 ohm from the supply, 5 to 20 ohm to ground: a third to two thirds of the volts
    count, box = linear(kernel, [(1, 2), (2, 0)], 3)
    box[LOWER], box[UPPER], box[LOWER + 1], box[UPPER + 1] = 0.1, 0.1, 1 / 20, 1 / 5
    assert bounds(kernel, count, 2, box)
    assert box[ABOVE + 2] == pytest.approx(VOLTS * 2 / 3, abs=1e-6)
    assert box[BELOW + 2] == pytest.approx(VOLTS / 3, abs=1e-6)


def test_two_nodes_that_a_range_joins(kernel: Kernel) -> None:
    """A resistor R between two nodes, 1 ohm from the supply to one, 1 ohm from the other to ground."""
    count, box = linear(kernel, [(1, 2), (3, 0), (2, 3)], 4)
    box[LOWER : LOWER + 3] = box[UPPER : UPPER + 3] = 1.0
    box[LOWER + 2], box[UPPER + 2] = 0.1, 10.0
    assert bounds(kernel, count, 3, box)
    for ohms in (0.1, 0.5, 1.0, 2.0, 10.0):
        amps = VOLTS / (2.0 + ohms)
        assert box[BELOW + 2] - 1e-6 <= VOLTS - amps <= box[ABOVE + 2] + 1e-6
        assert box[BELOW + 3] - 1e-6 <= amps <= box[ABOVE + 3] + 1e-6


def test_parts_that_are_not_live_are_left_out(kernel: Kernel) -> None:
    table = np.array([[(1, 2), (2, 0), (2, 3)]], np.int8)
    whole = kernel.work.whole
    count = bind_live(table, 0, 0b011, np.arange(4, dtype=np.int8)[None], 0, whole)
    assert count == 3, "node 3 hangs on the third part alone"
    assert whole[TAIL + 2] == whole[HEAD + 2] == 0
