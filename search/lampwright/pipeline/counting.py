"""How many circuits a spec has, and about how long a search takes: measured on a sample, here and now."""

from lampwright.pipeline.answering import spec_reference
from lampwright.pipeline.estimate import about_seconds
from lampwright.pipeline.plan import most_choices, plan_steps
from lampwright.rank.judge import Judge
from lampwright.rank.study import Study
from lampwright.store.result import CountReport, CountRow

CALIBRATION = 1.5
"""Seconds that the samples may take."""


def count_study(study: Study, budget: int) -> CountReport:
    """Count every cell, and time samples."""
    judge = Judge(study)
    steps = plan_steps(judge, None)
    rows: dict[tuple[int, int, int, int, int], int] = {}
    for step in steps:
        for placing, circuits in zip(step.placings, step.orbits, strict=True):
            cell = placing.cell
            key = step.extra_parts, cell.arcs, cell.links, placing.wires, cell.internal
            rows[key] = rows.get(key, 0) + circuits
    return CountReport(
        spec_reference(study),
        tuple(CountRow(*key, circuits) for key, circuits in sorted(rows.items())),
        sum(step.circuits for step in steps),
        most_choices(judge, steps),
        about_seconds(study, steps, CALIBRATION),
        budget,
    )
