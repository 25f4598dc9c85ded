"""Operating points per second on one core, against scipy and against a batched numpy Newton."""

from dataclasses import dataclass

import numpy as np
from tests.bench.by_kernel import ByKernel
from tests.bench.by_numpy import ByNumpy
from tests.bench.by_scipy import ByScipy
from tests.bench.circuits import Circuits, Floats, random_circuits
from tests.bench.clock import core_seconds
from tests.bench.numpy_laws import NumpyLaws
from tests.bench.table import Row, Size, rate

LEAST_SCIPY = 500
LEAST_NUMPY = 15
AGREE = 1e-6
"""Most that two solvers' currents may differ by [A]; the tables they read are the same."""

COUNTS = {Size.TINY: (40, 5), Size.QUICK: (20_000, 300), Size.FULL: (100_000, 500)}
"""Circuits for the batches, and the first so many of them for scipy."""


@dataclass(frozen=True)
class Race:
    """One size of circuit: points per second, ratios, worst difference in currents [A].

    steps: of Newton, on average; nanoseconds: for one of them and one part. failed: points
    that did not converge here, with numpy, with scipy.
    """

    name: str
    per_second: float
    scipy: float
    numpy: float
    apart: float
    steps: float
    nanoseconds: float
    failed: tuple[int, int, int]


def measure(size: Size) -> tuple[Row, ...]:
    """Race over 1 to 6 unknown nodes, without diodes and with."""
    kernel, laws = ByKernel(), NumpyLaws()
    sizes = (2,) if size is Size.TINY else range(1, 7)
    races = [
        _race(kernel, laws, random_circuits(COUNTS[size][0], unknown, diodes=diodes), COUNTS[size][1])
        for diodes in (False, True)
        for unknown in sizes
    ]
    return (*(_row(race) for race in races), *_summary(races))


def _race(kernel: ByKernel, laws: NumpyLaws, circuits: Circuits, few: int) -> Race:
    sample = circuits.first(few)
    amps, steps = kernel.points(circuits)
    ours = core_seconds(lambda: kernel.solve(circuits, amps, steps))
    by_numpy, by_scipy = ByNumpy(laws), ByScipy(laws)
    theirs: list[Floats] = []
    numpy = core_seconds(lambda: theirs.append(by_numpy.points(circuits)), 2)
    scipy = core_seconds(lambda: theirs.append(by_scipy.points(sample)), 2)
    repeats = max(1, 20_000 // few)
    few_amps, few_steps = kernel.points(sample)

    def solve_sample() -> None:
        for _ in range(repeats):
            kernel.solve(sample, few_amps, few_steps)

    ours_few = core_seconds(solve_sample) / repeats
    taken = float(np.abs(steps).mean())
    differences = [np.abs(amps - theirs[0]), np.abs(few_amps - theirs[-1])]
    failed = [int(np.isnan(each).any(axis=1).sum()) for each in differences]
    return Race(
        f"{circuits.unknown} nodes, {'with' if (circuits.kind == 2).any() else 'no'} diodes",
        len(steps) / ours,
        scipy / ours_few,
        numpy / ours,
        max(float(np.nanmax(each, initial=0.0)) for each in differences),
        taken,
        1e9 * ours / (circuits.kind.size * taken),
        (int((steps < 0).sum()), failed[0], failed[1]),
    )


def _row(race: Race) -> Row:
    return Row(race.name, f"{rate(race.per_second)}, {race.scipy:,.0f}x scipy, {race.numpy:.1f}x numpy")


def _summary(races: list[Race]) -> tuple[Row, ...]:
    apart = max(race.apart for race in races)
    failed = np.array([race.failed for race in races]).sum(axis=0)
    return (
        _ratio("scipy, one by one", [race.scipy for race in races], LEAST_SCIPY),
        _ratio("numpy, batched", [race.numpy for race in races], LEAST_NUMPY),
        Row("one step of one part", f"{_span([race.nanoseconds for race in races])} ns"),
        Row("steps of Newton", f"{_span([race.steps for race in races])} on average"),
        Row("currents differ by", f"at most {apart:.1e} A", f"<= {AGREE:.0e} A", apart <= AGREE),
        Row(
            "not converged",
            f"{failed[0]} here, {failed[1]} numpy, {failed[2]} scipy (in its sample)",
            "0 here",
            bool(failed[0] == 0),
        ),
    )


def _ratio(other: str, ratios: list[float], least: int) -> Row:
    mean = np.exp(np.log(ratios).mean())
    said = f"least {min(ratios):,.1f}x, geometric mean {mean:,.1f}x"
    return Row(f"against {other}", said, f">= {least}x", min(ratios) >= least)


def _span(numbers: list[float]) -> str:
    return f"{min(numbers):.1f} to {max(numbers):.1f}"
