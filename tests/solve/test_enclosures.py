"""Bounds over boxes of part values: no point inside lies beyond them, and without a range they are the point.

The outside judges: the compiled solver at points drawn in the box, and for linear networks the node's
own formula. A million points in random boxes are the nightly selection; here there are fewer.
"""

from collections.abc import Callable
from typing import cast

import numpy as np
import pytest
from tests.bench.by_kernel import ByKernel
from tests.bench.circuits import VOLTS, Circuits, random_circuits
from tests.selection import examples

from lampwright.solve.enclosures import ABOVE, BELOW, LOWER, UPPER, enclose, new_box
from lampwright.solve.lane_enclosures import (
    advance,
    new_lane_boxes,
    put_network,
    seek_lower,
    seek_upper,
    take_bounds,
)
from lampwright.solve.lanes import LANES
from lampwright.solve.laws import DIODE, FILAMENT, RESISTOR, base_of
from lampwright.solve.newton import (
    BASE,
    HEAD,
    KIND,
    ROW,
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


def plain(kernel: Kernel, count: int, parts: int, box: np.ndarray) -> bool:
    return bool(enclose(parts, count, VOLTS, kernel.models.table, box, kernel.work.whole))


def in_a_lane(kernel: Kernel, count: int, parts: int, box: np.ndarray, lane: int = 3) -> bool:
    """The same in one lane, the others empty."""
    lanes, models = new_lane_boxes(), kernel.models
    if not put_network(lane, parts, count, VOLTS, models, box, kernel.work.whole, lanes):
        return False
    seek_upper(lane, True, lanes)
    for turn in range(2):
        if turn:
            seek_lower(lane, lanes)
        done, lost = advance(1 << lane, models, lanes)
        if lost:
            return False
        assert done == 1 << lane
    take_bounds(lane, box, lanes)
    return True


Bounds = Callable[[Kernel, int, int, np.ndarray], bool]


@pytest.fixture(params=[plain, in_a_lane])
def bounds(request: pytest.FixtureRequest) -> Bounds:
    return cast(Bounds, request.param)


def some_box(
    kernel: Kernel, circuits: Circuits, circuit: int, chance: np.random.Generator, diode_range: float
) -> np.ndarray:
    """A random circuit in the workspace, and a box around its values."""
    whole, box, kind = kernel.work.whole, new_box(), circuits.kind[circuit]
    parts = len(kind)
    for p in range(parts):
        whole[KIND + p], whole[ROW + p] = kind[p], circuits.row[circuit, p]
        whole[BASE + p] = base_of(kind[p], circuits.row[circuit, p], kernel.models.filaments)
    # a resistor within a decade or two, a filament within 10 %
    wide = np.where(kind == RESISTOR, chance.uniform(0.0, 1.0, parts), 0.04) * chance.integers(0, 2, parts)
    middle = np.where(kind == RESISTOR, circuits.value[circuit], 1.0)
    box[LOWER : LOWER + parts] = np.where(kind == DIODE, -diode_range * (wide > 0), middle * 10.0**-wide)
    box[UPPER : UPPER + parts] = np.where(kind == DIODE, diode_range * (wide > 0), middle * 10.0**wide)
    return box


@pytest.mark.parametrize("diodes", [False, True])
@pytest.mark.parametrize("unknown", [1, 2, 3, 4, 5])
def test_no_point_in_a_box_lies_beyond_its_bounds(
    kernel: Kernel, bounds: Bounds, unknown: int, diodes: bool
) -> None:
    circuits = random_circuits(CIRCUITS, unknown, diodes=diodes, seed=7)
    chance = np.random.default_rng(unknown)
    reals, whole = kernel.work.reals, kernel.work.whole
    parts = circuits.kind.shape[1]
    points = bounded = 0
    width = 0.0
    for circuit in range(CIRCUITS):
        # a diode's shift within 20 mV; in lanes it has one value
        box = some_box(kernel, circuits, circuit, chance, 0.02 if bounds is plain else 0.0)
        low, high = box[LOWER : LOWER + parts].copy(), box[UPPER : UPPER + parts].copy()
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
    assert bounded > (0.99 if bounds is plain else 0.97) * CIRCUITS, (
        f"{CIRCUITS - bounded} of {CIRCUITS} without bounds"
    )
    assert 0.01 < width / bounded < 0.8 * VOLTS, "the bounds say something, and not everything"


@pytest.mark.parametrize("diodes", [False, True])
def test_bounds_without_a_range_are_the_operating_point(kernel: Kernel, bounds: Bounds, diodes: bool) -> None:
    circuits = random_circuits(200, 3, diodes=diodes, seed=11)
    reals, whole, box = kernel.work.reals, kernel.work.whole, new_box()
    parts = circuits.kind.shape[1]
    apart = []
    for circuit in range(200):
        for p in range(parts):
            kind = circuits.kind[circuit, p]
            whole[KIND + p], whole[ROW + p] = kind, circuits.row[circuit, p]
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
    # lanes take currents 2e-7 of themselves less or more
    near = 1e-6 if bounds is plain else 1e-5
    assert np.quantile(apart, 0.75) < near
    assert np.quantile(apart, 0.9) < (0.01 if diodes else near)


def linear(kernel: Kernel, ends: list[tuple[int, int]], nodes: int) -> tuple[int, np.ndarray]:
    """Resistors between nodes, 0 ground and 1 the supply; the number of nodes, and a box."""
    table = np.array([ends], np.int8)
    kernel.work.whole[KIND : KIND + len(ends)] = RESISTOR
    kernel.work.whole[BASE : BASE + len(ends)] = 0
    count = bind_live(table, 0, EVERY_PART, np.arange(nodes, dtype=np.int8)[None], 0, kernel.work.whole)
    return count, new_box()


def test_a_divider_by_hand(kernel: Kernel, bounds: Bounds) -> None:
    # 10 ohm from the supply, 5 to 20 ohm to ground: a third to two thirds of the volts
    count, box = linear(kernel, [(1, 2), (2, 0)], 3)
    box[LOWER], box[UPPER], box[LOWER + 1], box[UPPER + 1] = 0.1, 0.1, 1 / 20, 1 / 5
    assert bounds(kernel, count, 2, box)
    assert box[ABOVE + 2] == pytest.approx(VOLTS * 2 / 3, abs=1e-6)
    assert box[BELOW + 2] == pytest.approx(VOLTS / 3, abs=1e-6)


def test_two_nodes_that_a_range_joins(kernel: Kernel, bounds: Bounds) -> None:
    """A resistor R between two nodes, 1 ohm from the supply to one, 1 ohm from the other to ground."""
    count, box = linear(kernel, [(1, 2), (3, 0), (2, 3)], 4)
    box[LOWER : LOWER + 3] = box[UPPER : UPPER + 3] = 1.0
    box[LOWER + 2], box[UPPER + 2] = 0.1, 10.0
    assert bounds(kernel, count, 3, box)
    for ohms in (0.1, 0.5, 1.0, 2.0, 10.0):
        amps = VOLTS / (2.0 + ohms)
        assert box[BELOW + 2] - 1e-6 <= VOLTS - amps <= box[ABOVE + 2] + 1e-6
        assert box[BELOW + 3] - 1e-6 <= amps <= box[ABOVE + 3] + 1e-6


def test_steps_that_run_in_a_circle_are_led_out_of_it(kernel: Kernel) -> None:
    """Two lamps in series, between them a diode beside a resistor of 1 to 100 ohm."""
    count, box = linear(kernel, [(2, 0), (1, 3), (3, 2), (2, 3)], 4)
    whole, reals, models = kernel.work.whole, kernel.work.reals, kernel.models
    values = np.array([1.0, 1.0, 0.0, 1.0])
    for first in range(models.filaments):
        for second in range(models.filaments):
            kinds = (FILAMENT, first), (FILAMENT, second), (DIODE, 0), (RESISTOR, 0)
            for p, (kind, row) in enumerate(kinds):
                whole[KIND + p], whole[ROW + p] = kind, row
                whole[BASE + p] = base_of(kind, row, models.filaments)
            box[LOWER : LOWER + 4] = box[UPPER : UPPER + 4] = values
            box[LOWER + 3], box[UPPER + 3] = 0.01, 1.0
            assert plain(kernel, count, 4, box)
            for siemens in (0.01, 0.1, 1.0):
                reals[VALUE : VALUE + 4] = [*values[:3], siemens]
                cold_start(count, VOLTS, reals)
                solve_bound(4, count, VOLTS, models.table, reals, whole)
                found = reals[X + 2 : X + count]
                assert np.all(found <= box[ABOVE + 2 : ABOVE + count] + 1e-6)
                assert np.all(found >= box[BELOW + 2 : BELOW + count] - 1e-6)


def test_parts_that_are_not_live_are_left_out(kernel: Kernel) -> None:
    table = np.array([[(1, 2), (2, 0), (2, 3)]], np.int8)
    whole = kernel.work.whole
    count = bind_live(table, 0, 0b011, np.arange(4, dtype=np.int8)[None], 0, whole)
    assert count == 3, "node 3 hangs on the third part alone"
    assert whole[TAIL + 2] == whole[HEAD + 2] == 0


Network = tuple[int, int, np.ndarray, np.ndarray]
"""Parts, nodes, a box with the plain bounds, and the whole numbers of the workspace."""


def bounded_networks(kernel: Kernel, diodes: bool) -> list[Network]:
    """Networks of different size, as the plain kernel bounds them."""
    networks, chance = [], np.random.default_rng(1)
    for unknown in (1, 2, 3, 4, 5):
        circuits = random_circuits(CIRCUITS, unknown, diodes=diodes, seed=23)
        parts = circuits.kind.shape[1]
        for circuit in range(CIRCUITS):
            box = some_box(kernel, circuits, circuit, chance, 0.0)
            count = bind_live(circuits.ends, circuit, EVERY_PART, circuits.node_of, 0, kernel.work.whole)
            whole = kernel.work.whole.copy()
            if plain(kernel, count, parts, box):
                networks.append((parts, count, box, whole))
    return [networks[at] for at in chance.permutation(len(networks))]


@pytest.mark.parametrize("diodes", [False, True])
def test_eight_lanes_contain_the_plain_bounds(kernel: Kernel, diodes: bool) -> None:
    """Eight at once, each taken out when it is done and the next put in."""
    networks = bounded_networks(kernel, diodes)
    lanes, models, waiting = new_lane_boxes(), kernel.models, list(networks)
    at: dict[int, Network] = {}
    apart: list[float] = []
    done, ended, lost_ones = 0, (1 << LANES) - 1, 0
    lower: set[int] = set()
    while at or waiting:
        for lane in [lane for lane in range(LANES) if (ended >> lane) & 1]:
            if (done >> lane) & 1 and lane not in lower:
                seek_lower(lane, lanes)
                lower.add(lane)
                continue
            parts, count, box, _ = at.pop(lane, (0, 2, new_box(), np.zeros(0)))
            if (done >> lane) & 1:
                found = box.copy()
                take_bounds(lane, found, lanes)
                above = found[ABOVE + 2 : ABOVE + count] - box[ABOVE + 2 : ABOVE + count]
                below = box[BELOW + 2 : BELOW + count] - found[BELOW + 2 : BELOW + count]
                assert np.all(above >= -1e-12), f"below the plain bound by {-above.min():.2g} V"
                assert np.all(below >= -1e-12), f"above the plain bound by {-below.min():.2g} V"
                apart += [*above, *below]
            lower.discard(lane)
            if waiting:
                at[lane] = parts, count, box, whole = waiting.pop()
                assert put_network(lane, parts, count, VOLTS, models, box, whole, lanes)
                seek_upper(lane, True, lanes)
        if at:
            done, lost = advance(sum(1 << lane for lane in at), models, lanes)
            ended, lost_ones = done | lost, lost_ones + lost.bit_count()
    assert lost_ones < 0.01 * len(networks), f"{lost_ones} of {len(networks)} lost"
    # a node behind blocked diodes is told to within what some nA make of it, others far better
    assert np.quantile(apart, 0.75) < 1e-4
    assert np.quantile(apart, 0.9) < (1.0 if diodes else 1e-4)


def test_a_diode_with_a_range_is_not_for_lanes(kernel: Kernel) -> None:
    """It is the plain kernel's, which bounds it; the lane stays empty."""
    count, box = linear(kernel, [(1, 2), (2, 0)], 3)
    kernel.work.whole[KIND] = DIODE
    kernel.work.whole[BASE] = base_of(DIODE, 0, kernel.models.filaments)
    box[LOWER + 1], box[UPPER + 1], box[UPPER] = 0.1, 0.1, 0.01
    assert plain(kernel, count, 2, box)
    assert not in_a_lane(kernel, count, 2, box)
