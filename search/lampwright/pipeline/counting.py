"""How many circuits a spec has, and about how long a search takes: measured on a sample, here and now."""

from lampwright.network.layout import Placing
from lampwright.pipeline.hunt import Hunter, Share
from lampwright.pipeline.plan import most_choices, plan_steps
from lampwright.pipeline.search import spec_reference
from lampwright.progress.watch import Watch
from lampwright.rank.study import Study
from lampwright.store.result import CountReport, CountRow

SAMPLE = 200_000
"""About how many circuits of the largest cell are tried for the estimate."""


def count_study(study: Study, budget: int) -> CountReport:
    """Count every cell, and time a sample of the largest."""
    hunter = Hunter(study)
    steps = plan_steps(hunter.judge, None)
    rows: dict[tuple[int, int, int, int, int], int] = {}
    for step in steps:
        for placing, circuits in zip(step.placings, step.orbits, strict=True):
            cell = placing.cell
            key = step.extra_parts, cell.arcs, cell.links, placing.wires, cell.internal
            rows[key] = rows.get(key, 0) + circuits
    total = sum(step.circuits for step in steps)
    largest = max(
        ((n, p) for step in steps for p, n in zip(step.placings, step.orbits, strict=True)),
        key=lambda pair: pair[0],
    )
    seconds = _sampled_seconds(hunter, largest[1], largest[0]) * total if largest[0] else 0.0
    return CountReport(
        spec_reference(study),
        tuple(CountRow(*key, circuits) for key, circuits in sorted(rows.items())),
        total,
        most_choices(hunter.judge, steps),
        seconds,
        budget,
    )


def _sampled_seconds(hunter: Hunter, placing: Placing, circuits: int) -> float:
    """Seconds for one circuit of a cell, from one share of it after one to warm up."""
    shares = 1 + circuits // SAMPLE
    hunter.take(Share(placing, 0, shares * 20))
    watch = Watch()
    catch = hunter.take(Share(placing, shares // 2, shares))
    return watch.seconds() / max(catch.tally.listed, 1)
