"""About how long a search takes: a small share of its largest cells, timed here and now.

Cells of one make (joints, diodes, resistors) cost alike by the circuit, so of each make
the largest cell is sampled, largest makes first, until the patience is spent; what is
left is taken to cost as much by the circuit as the make before it.
"""

import os
from collections.abc import Sequence

from lampwright.network.layout import Placing
from lampwright.pipeline.hunt import Hunter, Share
from lampwright.pipeline.plan import Step
from lampwright.pipeline.shares import WORTH_WORKERS
from lampwright.progress.watch import Watch

SAMPLE = 400_000
"""About how many circuits of a cell one timed share stands for."""

PATIENCE = 1.5
"""Seconds after which no further make is sampled."""

START = 1.0
"""Seconds a search takes besides: reading, judging what is left, writing."""


def about_seconds(hunter: Hunter, steps: Sequence[Step], workers: int | None = None) -> float:
    """About how many seconds a search of these steps takes; workers as the search's own default."""
    makes: dict[tuple[int, int, int], list[tuple[int, Placing]]] = {}
    for step in steps:
        for placing, circuits in zip(step.placings, step.orbits, strict=True):
            cell = placing.cell
            makes.setdefault((cell.internal, cell.arcs, cell.links), []).append((circuits, placing))
    by_size = sorted(makes.values(), key=lambda cells: -sum(circuits for circuits, _ in cells))
    watch = Watch(PATIENCE)
    seconds = rate = 0.0
    for cells in by_size:
        circuits, placing = max(cells, key=lambda pair: pair[0])
        if circuits and not watch.is_over():
            rate = _timed(hunter, placing, circuits) / circuits
        seconds += rate * sum(count for count, _ in cells)
    total = sum(step.circuits for step in steps)
    hands = (workers or os.cpu_count() or 1) if total > WORTH_WORKERS else 1
    return START + seconds / hands


def _timed(hunter: Hunter, placing: Placing, circuits: int) -> float:
    """Seconds the whole cell takes, from one share of it after a smaller one to make ready."""
    shares = 2 + circuits // SAMPLE
    hunter.take(Share(placing, 1, 50 * shares))
    watch = Watch()
    hunter.take(Share(placing, shares // 2, shares))
    return watch.seconds() * shares
