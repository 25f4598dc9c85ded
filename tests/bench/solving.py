"""Operating points per second on one core, against scipy and against a batched numpy Newton."""

from dataclasses import dataclass
from functools import partial

import numpy as np
from tests.bench.by_kernel import ByKernel
from tests.bench.by_lanes import ByLanes
from tests.bench.by_numpy import ByNumpy
from tests.bench.by_scipy import ByScipy
from tests.bench.circuits import Circuits, Floats, random_circuits
from tests.bench.clock import core_seconds
from tests.bench.numpy_laws import NumpyLaws
from tests.bench.table import Row, Size, rate

from lampwright.solve.lanes import LANES

LEAST_SCIPY, AT_NODES = 3000, 2
LEAST_NUMPY = 15
AGREE = 1e-6
"""Most that two solvers' currents may differ by [A]; the laws they read are the same."""

COUNTS = {Size.TINY: (40, 5), Size.QUICK: (20_000, 300), Size.FULL: (100_000, 500)}
"""Fitted circuits for the batches, and the first so many of them for scipy."""


@dataclass(frozen=True)
class Race:
    """One size of circuit: seconds of a point by each solver, worst difference in currents [A].

    lanes, kernel: eight at a time, and one by one. steps: of Newton one by one, on average. parts: of a
    circuit. failed: points that did not converge in lanes, one by one, with numpy, with scipy.
    """

    name: str
    unknown: int
    parts: int
    lanes: float
    kernel: float
    numpy: float
    scipy: float
    apart: float
    steps: float
    failed: tuple[int, int, int, int]


def measure(size: Size) -> tuple[Row, ...]:
    """Race over 1 to 6 unknown nodes, without diodes and with."""
    ours, laws = (ByLanes(), ByKernel()), NumpyLaws()
    few = COUNTS[size][1]
    sizes = (AT_NODES,) if size is Size.TINY else range(1, 7)
    races = [
        _race(ours, laws, random_circuits(COUNTS[size][0], unknown, diodes=diodes, fits=LANES), few)
        for diodes in (False, True)
        for unknown in sizes
    ]
    return (*(row for race in races for row in _rows(race)), *_summary(races))


def _race(ours: tuple[ByLanes, ByKernel], laws: NumpyLaws, circuits: Circuits, few: int) -> Race:
    """Measure all solvers on the same circuits; scipy on the first few of them."""
    count = len(circuits.kind)
    found, seconds = [], []
    for solver in ours:
        amps, steps = np.zeros(circuits.kind.shape), np.zeros(count, np.int64)
        solve = partial(solver.solve, circuits, amps, steps)
        solve()
        seconds.append(core_seconds(solve, 5) / count)
        found.append((amps, steps))
    theirs: list[Floats] = []
    by_numpy, by_scipy, sample = ByNumpy(laws), ByScipy(laws), circuits.first(few)
    numpy = core_seconds(lambda: theirs.append(by_numpy.points(circuits)), 2) / count
    scipy = core_seconds(lambda: theirs.append(by_scipy.points(sample)), 2) / few
    (lanes, lane_steps), (kernel, steps) = found
    others = [kernel, theirs[0], theirs[-1]]
    differences = [np.abs(lanes[: len(other)] - other) for other in others]
    failed = [int(np.isnan(each).any(axis=1).sum()) for each in differences[1:]]
    return Race(
        f"{circuits.unknown} nodes, {'with' if (circuits.kind == 2).any() else 'no'} diodes",
        circuits.unknown,
        circuits.kind.shape[1],
        seconds[0],
        seconds[1],
        numpy,
        scipy,
        max(float(np.nanmax(each, initial=0.0)) for each in differences),
        float(np.abs(steps).mean()),
        (int((lane_steps < 0).sum()), int((steps < 0).sum()), failed[0], failed[1]),
    )


def _rows(race: Race) -> tuple[Row, ...]:
    return tuple(
        Row(
            what,
            f"{rate(1.0 / ours)}, {race.scipy / ours:,.0f}x scipy, {race.numpy / ours:.1f}x numpy",
        )
        for what, ours in ((race.name, race.lanes), ("  one by one", race.kernel))
    )


def _summary(races: list[Race]) -> tuple[Row, ...]:
    apart = max(race.apart for race in races)
    failed = np.array([race.failed for race in races]).sum(axis=0)
    at_two = [race.scipy / race.lanes for race in races if race.unknown == AT_NODES]
    nanoseconds = [1e9 * race.kernel / (race.parts * race.steps) for race in races]
    return (
        _ratio(f"scipy, {AT_NODES} nodes", at_two, LEAST_SCIPY),
        _ratio("numpy, batched", [race.numpy / race.lanes for race in races], LEAST_NUMPY),
        Row("lanes against one by one", f"{_span([race.kernel / race.lanes for race in races])}x"),
        Row("one step of one part", f"{_span(nanoseconds)} ns, one by one"),
        Row("steps of Newton", f"{_span([race.steps for race in races])} on average, one by one"),
        Row("currents differ by", f"at most {apart:.1e} A", f"<= {AGREE:.0e} A", apart <= AGREE),
        Row(
            "not converged",
            f"{failed[0]} here, {failed[1]} one by one, {failed[2]} numpy, {failed[3]} scipy (its sample)",
            "0 here",
            bool(failed[0] == failed[1] == 0),
        ),
    )


def _ratio(other: str, ratios: list[float], least: int) -> Row:
    mean = np.exp(np.log(ratios).mean())
    said = f"least {min(ratios):,.1f}x, geometric mean {mean:,.1f}x"
    return Row(f"against {other}", said, f">= {least:,}x", min(ratios) >= least)


def _span(numbers: list[float]) -> str:
    return f"{min(numbers):.1f} to {max(numbers):.1f}"
