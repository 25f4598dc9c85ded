"""How many circuits a spec has for each number of parts, and about how long a search takes."""

from lampwright.pipeline.estimate import about_seconds
from lampwright.pipeline.hunt import Hunter
from lampwright.pipeline.plan import most_choices, plan_steps
from lampwright.pipeline.search import spec_reference
from lampwright.rank.study import Study
from lampwright.store.result import CountReport, CountRow


def count_study(study: Study, budget: int) -> CountReport:
    """Count every cell, and time a sample of them."""
    hunter = Hunter(study)
    steps = plan_steps(hunter.judge, None)
    rows: dict[tuple[int, int, int, int, int], int] = {}
    for step in steps:
        for placing, circuits in zip(step.placings, step.orbits, strict=True):
            cell = placing.cell
            key = step.extra_parts, cell.arcs, cell.links, placing.wires, cell.internal
            rows[key] = rows.get(key, 0) + circuits
    total = sum(step.circuits for step in steps)
    return CountReport(
        spec_reference(study),
        tuple(CountRow(*key, circuits) for key, circuits in sorted(rows.items())),
        total,
        most_choices(hunter.judge, steps),
        about_seconds(hunter, steps) if total else 0.0,
        budget,
    )
