"""Specs of growing size, each searched to its end; six filaments, until the time is up, and by a sample."""

import os
import random
import time
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.bench.clock import core_seconds
from tests.bench.searches import Search, compile_kernels, search
from tests.bench.specs import Rung, four_lamps, six_lamps
from tests.bench.table import Row, Size, rate

from lampwright.judge.judge import Judge
from lampwright.problem.reading import read_problem
from lampwright.searching.evaluate import CellShare, ShareEvaluator, shares_of
from lampwright.searching.plan import plan_steps
from lampwright.searching.shares import SHARE_SIZE

RUNGS = (Rung(0, 0, 1), Rung(1, 0, 1), Rung(1, 1, 1), Rung(1, 1, 2), Rung(2, 1, 2), Rung(2, 2, 2))
LAST = {Size.TINY: 1, Size.QUICK: 5, Size.FULL: 6}
BEYOND = (Rung(0, 0, 1), Rung(1, 0, 1), Rung(1, 1, 1), Rung(1, 1, 2), Rung(2, 1, 2), Rung(2, 2, 2))
SECONDS_BEYOND = {Size.TINY: 0.2, Size.QUICK: 0.0, Size.FULL: 600.0}
SAMPLED, SAMPLE = Rung(2, 2, 2), {Size.TINY: 0, Size.QUICK: 0, Size.FULL: 60}
"""A rung that takes too long, and how many of its shares are tried."""
MOST_SECONDS, MOST_CPU, MOST_BYTES = 60.0, 100.0, 2**30
LEAST_RATIO = 1.8
"""The target at the top: on two cores."""


def measure(size: Size) -> tuple[Row, ...]:
    """Climb as far as the size says."""
    workers = os.cpu_count() or 1
    rows: list[Row] = []
    compile_kernels(size)
    with TemporaryDirectory() as name:
        folder = Path(name)
        before: Search | None = None
        for rung in RUNGS[: LAST[size]]:
            found = search(four_lamps(rung, folder), folder / "out", workers)
            rows += _rows(rung, found, before)
            before = found
        if size is Size.FULL and before is not None:
            rows += _alone(folder, before)
        rows += _beyond(folder, workers, SECONDS_BEYOND[size])
        rows += _sampled(folder, SAMPLE[size])
    return tuple(rows)


def _rows(rung: Rung, found: Search, before: Search | None) -> list[Row]:
    said = f"{found.listed:,} circuits, {rate(found.per_second)}"
    rows = [Row(f"4F {rung}", said, "as counted", found.complete)]
    grown = ""
    if before is not None:
        more, longer = found.listed / before.listed, found.run.seconds / before.run.seconds
        grown = f"; {more:.1f}x circuits, {longer:.1f}x time"
    said = f"{found.run.seconds:.1f} s, {found.run.cpu_seconds:.0f} CPU s, {found.run.mebibytes}{grown}"
    if rung != RUNGS[-1]:
        return [*rows, Row("", said)]
    run = found.run
    good = run.seconds <= MOST_SECONDS and run.cpu_seconds <= MOST_CPU and run.bytes <= MOST_BYTES
    return [*rows, Row("  the top", said, "60 s, 100 CPU s, 1 GiB", good)]


def _alone(folder: Path, both: Search) -> list[Row]:
    """The top again by one worker."""
    run = search(four_lamps(RUNGS[-1], folder), folder / "out", 1).run
    ratio = run.seconds / both.run.seconds
    said = f"{run.seconds:.1f} s, {run.cpu_seconds:.0f} CPU s: two are {ratio:.2f}x as fast"
    return [Row("  one worker", said, f">= {LEAST_RATIO}x", ratio >= LEAST_RATIO)]


def _beyond(folder: Path, workers: int, seconds: float) -> list[Row]:
    """Six filaments, one rung after another, as far as the time goes."""
    rows = []
    start = time.monotonic()
    for rung in BEYOND:
        left = seconds - (time.monotonic() - start)
        if left <= 0.0:
            break
        spec = six_lamps(rung, folder)
        counted = sum(step.circuits for step in plan_steps(Judge(read_problem(spec)), None))
        found = search(spec, folder / "out", workers, left)
        said = f"{found.run.seconds:.1f} s, {found.run.cpu_seconds:.0f} CPU s, {rate(found.per_second)}"
        if found.complete:
            rows.append(Row(f"6F {rung}", f"{found.listed:,} circuits; {said}", "as counted", True))
            continue
        hours = (counted - found.listed) / max(found.per_second, 1.0) / 3600
        rows.append(Row(f"6F {rung}", f"{found.listed:,} of {counted:,}; {said}"))
        rows.append(Row("  what stops it", f"time: {hours:,.1f} hours more at this rate"))
        break
    return rows


def _sampled(folder: Path, count: int) -> list[Row]:
    """What a search of the last rung would take: the first share of every cell, and some of the others.

    The first shares count the circuits that are cut off for all; they are taken whole.
    """
    if count == 0:
        return []
    evaluator = ShareEvaluator(read_problem(six_lamps(SAMPLED, folder)))
    steps = plan_steps(evaluator.judge, None)
    shares = list(shares_of(steps, SHARE_SIZE))
    circuits = sum(step.circuits for step in steps)
    firsts = [share for share in shares if share.share == 0]
    others = [share for share in shares if share.share > 0]
    listed: list[int] = []

    def take(some: list[CellShare]) -> float:
        return core_seconds(lambda: listed.extend(evaluator.take(one).tally.listed for one in some), 1)

    hours = (take(firsts) + take(random.Random(1).sample(others, count)) / count * len(others)) / 3600
    said = f"{hours:.1f} h of one core until solved, by {count} of {len(others):,} shares"
    cut = f"{sum(listed[: len(firsts)]):,} of {circuits:,} circuits are in the first share of a cell"
    return [Row(f"6F {SAMPLED}, a sample", said), Row("", cut)]
