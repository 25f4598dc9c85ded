"""How many circuits a spec has, and about how long a search takes: measured on a sample, here and now."""

from lampwright.judge.judge import Judge
from lampwright.problem.problem import Problem, spec_reference
from lampwright.results.ranking import CountReport, CountRow
from lampwright.searching.estimate import about_seconds
from lampwright.searching.plan import most_choices, plan_steps

CALIBRATION = 1.5
"""Seconds that the samples may take."""


def count_problem(problem: Problem, budget: int) -> CountReport:
    """Count every cell, and time samples."""
    judge = Judge(problem)
    steps = plan_steps(judge, None)
    rows: dict[tuple[int, int, int, int, int], int] = {}
    for step in steps:
        for placing, circuits in zip(step.placings, step.orbits, strict=True):
            cell = placing.cell
            key = step.extra_parts, cell.arcs, cell.links, placing.wires, cell.internal
            rows[key] = rows.get(key, 0) + circuits
    return CountReport(
        spec=spec_reference(problem),
        rows=tuple(
            CountRow(
                extra_parts=extra_parts,
                diodes=diodes,
                resistors=resistors,
                wires=wires,
                joints=joints,
                circuits=circuits,
            )
            for (extra_parts, diodes, resistors, wires, joints), circuits in sorted(rows.items())
        ),
        total=sum(step.circuits for step in steps),
        choices=most_choices(judge, steps),
        about_seconds=about_seconds(problem, steps, CALIBRATION),
        budget=budget,
    )
