"""How many circuits a search has, and about how long it takes, from small samples of its own work.

The cells of a search fall into kinds: as many terminals, joints, diodes and resistors. Of each
kind, the most numerous first, one cell is sampled: what any cell costs to begin, and what a
share of its circuits costs, the share growing while time allows. Some of the circuits that
pass are judged. Kinds that time does not reach cost per circuit what the others do. No
source: our method.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from lampwright.assess.assess import ASSESSED, Assessor
from lampwright.judge.design_rows import Presenter
from lampwright.judge.judge import Judge
from lampwright.judge.minimality import CircuitGroup, MinimalityFilter, Winner, group_drawings
from lampwright.network.layout import Placing
from lampwright.problem.problem import Problem, helper_problems, spec_reference, way_problems
from lampwright.progress.watch import Watch
from lampwright.results.ranking import CountReport, CountRow
from lampwright.searching.evaluate import CellShare, ShareEvaluator
from lampwright.searching.plan import Step, most_choices, plan_steps

CALIBRATION = 1.5
"""Seconds that the samples of a count may take."""

FIRST = 4_000
"""About how many circuits a first sample lists."""

GROWTH = 4
"""How much larger the next sample is."""

SPREAD = 7
"""Of the circuits that passed, every one at this distance is judged first: neighbours are alike."""

LEAST_EXPONENT = 0.4
"""Judging n circuits never takes less than as this power of n."""

JUDGING = 0.2
"""The part of the time that goes to judging."""


def count_problem(problem: Problem, budget: int) -> CountReport:
    """Count every cell, with any number of helper lamps that the spec allows, and time samples.

    Circuits are counted once, in however many ways the spec can be taken; each takes its time in every way.
    """
    ways = [way_problems(one) for one in helper_problems(problem)]
    problems = [one[0] for one in ways]
    judges = [Judge(one) for one in problems]
    planned = [plan_steps(judge, None) for judge in judges]
    patience = CALIBRATION / len(problems)
    return CountReport(
        spec=spec_reference(problem),
        rows=tuple(row for helpers, steps in enumerate(planned) for row in _rows(steps, helpers)),
        total=sum(step.circuits for steps in planned for step in steps),
        choices=max(most_choices(judge, steps) for judge, steps in zip(judges, planned, strict=True)),
        about_seconds=sum(
            len(ways[0]) * about_seconds(one, steps, patience)
            for one, steps in zip(problems, planned, strict=True)
        ),
        budget=budget,
    )


def _rows(steps: tuple[Step, ...], helpers: int) -> Iterator[CountRow]:
    rows: Counter[tuple[int, int, int, int, int]] = Counter()
    for step in steps:
        for placing, circuits in step.orbits.items():
            cell = placing.cell
            rows[step.extra_parts, cell.arcs, cell.links, placing.wires, cell.internal] += circuits
    for (extra_parts, diodes, resistors, wires, joints), circuits in sorted(rows.items()):
        yield CountRow(
            extra_parts=extra_parts,
            diodes=diodes,
            resistors=resistors,
            wires=wires,
            joints=joints,
            circuits=circuits,
            helper_lamps=helpers,
        )


@dataclass(frozen=True)
class _Kind:
    """Cells of one kind: the largest, its circuits, and how many cells and circuits there are."""

    placing: Placing
    largest: int
    cells: int
    circuits: int


def about_seconds(problem: Problem, steps: tuple[Step, ...], patience: float) -> float:
    """Seconds that one process takes for a search, from samples that take about `patience` seconds."""
    kinds = _kinds(steps)
    if not kinds:
        return 0.0
    total = sum(kind.circuits for kind in kinds)
    for kind in (kinds[0], kinds[-1]):  # kernels are loaded, or compiled, before anything is timed
        ShareEvaluator(problem).take(CellShare(kind.placing, 0, 1 + kind.largest // FIRST))
    evaluator, watch = ShareEvaluator(problem), Watch()
    passed: list[tuple[CircuitGroup, float]] = []
    seconds, circuits = 0.0, 0
    for kind in kinds:
        if watch.seconds() < patience:
            seconds += _sample(evaluator, kind, patience * kind.circuits / total, passed)
            circuits += kind.circuits
    return seconds * total / circuits + _judging_seconds(evaluator.judge, passed, patience * JUDGING)


def _kinds(steps: tuple[Step, ...]) -> tuple[_Kind, ...]:
    """The kinds of cells that have circuits, the most numerous first."""
    found: dict[tuple[int, ...], list[tuple[int, Placing]]] = {}
    for step in steps:
        for placing, circuits in step.orbits.items():
            cell = placing.cell
            if circuits:
                key = cell.arcs, cell.links, cell.internal, cell.terminals
                found.setdefault(key, []).append((circuits, placing))
    kinds = []
    for cells in found.values():
        largest, placing = max(cells, key=lambda pair: pair[0])
        kinds.append(_Kind(placing, largest, len(cells), sum(circuits for circuits, _ in cells)))
    return tuple(sorted(kinds, key=lambda kind: -kind.circuits))


def _sample(
    evaluator: ShareEvaluator, kind: _Kind, allowed: float, passed: list[tuple[CircuitGroup, float]]
) -> float:
    """Seconds [s] that a kind takes; what passed is added, with how many circuits each stands for."""
    watch = Watch()
    evaluator.take(CellShare(kind.placing, 0, GROWTH * (1 + kind.largest // FIRST)))
    begin = watch.seconds()
    for shares in _fewer(1 + kind.largest // FIRST):
        watch = Watch()
        taken = evaluator.take(CellShare(kind.placing, shares // 2, shares))
        seconds = watch.seconds()
        if GROWTH * seconds > allowed:
            break
    like = kind.circuits / kind.largest
    passed.extend((group, shares * like) for group in group_drawings(taken.screened, evaluator.judge))
    return begin * kind.cells + seconds * shares * like


def _fewer(shares: int) -> Iterator[int]:
    """Numbers of shares, each a part of the one before, down to one."""
    yield shares
    while shares > 1:
        shares = max(1, shares // GROWTH)
        yield shares


def _judging_seconds(judge: Judge, passed: list[tuple[CircuitGroup, float]], allowed: float) -> float:
    """Seconds for judging what passes and for assessing designs, from some of what passed in the samples.

    Smaller circuits that many share are judged once, so n circuits take less than n times one:
    about as a power of n, whose exponent the first half of those judged tells.
    """
    number = sum(weight for _, weight in passed)
    minimality, watch = MinimalityFilter(judge), Watch()
    ends: list[float] = []
    winners: list[Winner] = []
    weighed = 0.0
    for group, weight in (pair for start in range(SPREAD) for pair in passed[start::SPREAD]):
        judged = minimality.judged(group)
        ends.append(watch.seconds())
        weighed += weight
        if judged.winner is not None:
            winners.append(judged.winner)
        if ends[-1] > allowed:
            break
    if not ends:
        return 0.0
    exponent = np.clip(np.log2(ends[-1] / ends[(len(ends) - 1) // 2]), LEAST_EXPONENT, 1.0)
    seconds = ends[-1] * float((max(number, len(ends)) / len(ends)) ** exponent)
    designs = min(ASSESSED, len(winners) * number / weighed)
    return seconds + (designs * _assessing_seconds(judge, winners[0]) if winners else 0.0)


def _assessing_seconds(judge: Judge, winner: Winner) -> float:
    watch = Watch()
    design = Presenter(judge).design(winner, 1)
    Assessor(judge).assess(design, winner.netlist, winner.passing[0].choice)
    return watch.seconds()
