"""Circuits drawn to be hard: every lamp type, 0.1 ohm to 1 megohm, antiparallel diodes, floating islands.

Vertex 0 is ground, 1 and 2 are live; of the others some hang together and nowhere else.
"""

import numpy as np
from numba import njit
from tests.bench.circuits import VOLTS, Circuits, Floats
from tests.bench.table import Row, Size

from lampwright.parts.catalogue import diode_types, lamp_types
from lampwright.solve.lane_newton import new_lanes, set_lane, solve_lanes, start_lane, take_lane
from lampwright.solve.lanes import LANES
from lampwright.solve.laws import DIODE, FILAMENT, RESISTOR
from lampwright.solve.newton import (
    CURRENT,
    HEAD,
    KIND,
    LEAK,
    RESIDUAL,
    ROW,
    TAIL,
    VALUE,
    X,
    bind_ends,
    new_workspace,
)
from lampwright.solve.part_options import tabulate

COUNTS = {Size.TINY: 800, Size.QUICK: 100_000, Size.FULL: 1_000_000}
UNKNOWN = (1, 2, 3, 4, 5, 6)
SPARE_PARTS = 4
PAIRS, ISLANDS = 0.3, 0.2
"""Parts of the circuits that have two diodes one against the other, and an island."""
HELD = 1.001
"""A residual worked out anew from rounded currents may be so many times that of the solver."""


def measure(size: Size) -> tuple[Row, ...]:
    """Solve them all: how many do not converge, and what current is left over at worst."""
    filaments = [one for lamp in lamp_types() for one in lamp.filaments]
    models = tabulate(filaments, [*diode_types()], VOLTS)
    failed, left, count = 0, [], COUNTS[size] // len(UNKNOWN) // LANES * LANES
    for unknown in UNKNOWN:
        circuits = hard_circuits(count, unknown, len(filaments), len(diode_types()))
        residual = np.zeros(count)
        _residuals(
            *(circuits.ends, circuits.node_of, circuits.kind, circuits.row, circuits.value),
            *(models, new_workspace(), new_lanes(), residual),
        )
        failed += int(np.isinf(residual).sum())
        left.append(float(residual[np.isfinite(residual)].max()))
    total, worst = count * len(UNKNOWN), max(left)
    return (
        Row(f"{total:,} hard circuits", f"{failed} not converged", "0", failed == 0),
        Row("  current left over", f"{worst:.1e} A", f"<= {RESIDUAL:.0e} A", worst <= HELD * RESIDUAL),
    )


def hard_circuits(count: int, unknown: int, filaments: int, diodes: int, seed: int = 7) -> Circuits:
    """So many circuits, every eight of which differ in types and ohms alone."""
    chance = np.random.default_rng(seed + unknown)
    graphs, parts, vertices = count // LANES, unknown + SPARE_PARTS, unknown + 3
    tail = chance.integers(0, vertices, (graphs, parts))
    head = (tail + chance.integers(1, vertices, tail.shape)) % vertices
    kind = chance.choice([FILAMENT, RESISTOR, DIODE], tail.shape, p=(0.4, 0.35, 0.25))
    against = chance.random(graphs) < PAIRS
    tail[against, 1], head[against, 1] = head[against, 0], tail[against, 0]
    kind[against, :2] = DIODE
    if unknown > 1:
        alone = chance.random(graphs) < ISLANDS
        for ends in (tail, head):
            ends[alone, 2] = np.where(ends is tail, 3, 4)
            ends[alone] = np.where(np.isin(ends[alone], (3, 4)) & (np.arange(parts) != 2), 0, ends[alone])
        same = tail == head
        head[same] = (head[same] + 1) % 3
    ends = np.stack([tail, head], axis=2).astype(np.int8).repeat(LANES, axis=0)
    kind = kind.astype(np.int64).repeat(LANES, axis=0)
    row = np.where(kind == FILAMENT, chance.integers(0, filaments, kind.shape), 0)
    row = np.where(kind == DIODE, chance.integers(0, diodes, kind.shape), row)
    siemens: Floats = 10.0 ** chance.uniform(-6, 1, kind.shape)
    value = np.where(kind == RESISTOR, siemens, 1.0 * (kind == FILAMENT))
    return Circuits(ends, np.array([[0, 1, 1, *range(2, 2 + unknown)]], np.int8), kind, row, value)


@njit(cache=True, nogil=True)
def _residuals(ends, node_of, kind, row, value, models, work, lanes, residual):  # type: ignore[no-untyped-def]
    """Fill the most current left over at a node of each circuit (n,) [A]; infinite where not converged."""
    parts, left = ends.shape[1], np.zeros(64)
    for first in range(0, ends.shape[0], LANES):
        count = bind_ends(ends, first, node_of, 0, work.whole)
        for lane in range(LANES):
            for p in range(parts):
                work.whole[KIND + p] = kind[first + lane, p]
                work.whole[ROW + p] = row[first + lane, p]
                work.reals[VALUE + p] = value[first + lane, p]
            set_lane(lane, parts, models, work, lanes)
            start_lane(lane, count, VOLTS, lanes)
        failed = solve_lanes(LANES, parts, count, models, work, lanes)
        for lane in range(LANES):
            take_lane(lane, parts, count, models, work, lanes)
            for node in range(count):
                left[node] = LEAK * work.reals[X + node]
            for p in range(parts):
                left[work.whole[TAIL + p]] += work.reals[CURRENT + p]
                left[work.whole[HEAD + p]] -= work.reals[CURRENT + p]
            worst = 0.0
            for node in range(2, count):
                worst = max(worst, abs(left[node]))
            residual[first + lane] = np.inf if (failed >> lane) & 1 else worst
