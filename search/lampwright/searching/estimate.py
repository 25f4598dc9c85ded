"""How many circuits a search has, and about how long it takes, from small samples of its own work.

The cells of a search fall into kinds: as many terminals, joints, diodes and resistors. Of each
kind, the most numerous first, one cell is sampled: what any cell costs to begin, and what a
share of its circuits costs, the share growing while time allows. Some of the circuits that
pass are judged. Kinds that time does not reach cost per circuit what the others do.

A sample is begun only if it is small whatever is in it: of so few circuits, and on a problem with so few
of the types and values on offer, that all its operating points are within `POINTS`; where that leaves
choices out the estimate is said to be rough. No source: our method.
"""

from collections import Counter
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from math import prod

import numpy as np

from lampwright.assess.assess import ASSESSED
from lampwright.graphs.options import images
from lampwright.judge.design_rows import SUPPLIES, Presenter
from lampwright.judge.judge import Judge
from lampwright.judge.minimality import CircuitGroup, MinimalityFilter, Winner, group_drawings
from lampwright.network.layout import Placing
from lampwright.problem.problem import (
    Problem,
    choices_of,
    helper_problems,
    prepare,
    spec_reference,
    way_problems,
)
from lampwright.progress.watch import Watch
from lampwright.results.ranking import CountReport, CountRow
from lampwright.searching.evaluate import CellShare, CheckCancelled, ShareEvaluator
from lampwright.searching.plan import MOST_CHOICES, Step, most_choices, plan_steps

CALIBRATION = 0.8
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

POINTS = 150_000
"""Operating points that a first sample may come to: about so many microseconds."""

BOX_COST = 100
"""Operating points that one box with the whole range of resistance may take as long as, in one state."""

LARGE = 1_000_000
"""Circuits of a cell whose beginning, with the count of all that its bars cut, matters no more."""

LATEST = 1.2
"""A sample is given up after so many times what all of them may take."""

AT_ONCE = 20_000
"""Circuits times choices of a sample between two looks at that."""

PER_POINT = 1e-6
"""Seconds of one operating point, where judging even one circuit would take too many."""

IMAGES = 2_000_000
"""Entries of the tables of a cell that is sampled, at the most: they are made before anything is listed."""

ASSESSING = 35
"""Assessing a design takes about so many times as long as writing its row; measured on the shipped specs."""


def count_problem(problem: Problem, budget: int) -> CountReport:
    """Count every cell, with any number of helper lamps that the spec allows, and time samples.

    Circuits are counted once, in however many ways the spec can be taken; each takes its time in every way,
    but designs are assessed once.
    """
    ways = [way_problems(one) for one in helper_problems(problem)]
    judges = [Judge(one[0]) for one in ways]
    planned = [plan_steps(judge, None) for judge in judges]
    patience = CALIBRATION / len(ways)
    told = [about_time(judge.problem, steps, patience) for judge, steps in zip(judges, planned, strict=True)]
    return CountReport(
        spec=spec_reference(problem),
        rows=tuple(row for helpers, steps in enumerate(planned) for row in _rows(steps, helpers)),
        total=sum(step.circuits for steps in planned for step in steps),
        choices=max(most_choices(judge, steps) for judge, steps in zip(judges, planned, strict=True)),
        about_seconds=sum(about.in_ways(len(one)) for one, about in zip(ways, told, strict=True)),
        budget=budget,
        is_rough=any(about.is_rough for about in told),
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


@dataclass(frozen=True)
class About:
    """Seconds [s] that one process takes, and for assessing designs besides.

    rough: told from some of the choices alone, or from no sample.
    """

    searching: float
    assessing: float = 0.0
    is_rough: bool = False

    def in_ways(self, ways: int) -> float:
        """Seconds [s] where a spec can be taken in so many ways."""
        return ways * self.searching + self.assessing


def about_time(problem: Problem, steps: tuple[Step, ...], patience: float) -> About:
    """How long one process takes for a search, from samples that take about `patience` seconds."""
    kinds = _kinds(steps)
    if not kinds:
        return About(0.0)
    total, whole = sum(kind.circuits for kind in kinds), most_choices(Judge(problem), steps)
    if whole > MOST_CHOICES:  # such a search is refused
        return About(total * whole * PER_POINT, is_rough=True)
    most = max(1, POINTS // _states(problem))
    boxed = BOX_COST * choices_of(problem, 0, 0) if problem.part_options.ohms else 0
    problem = problem if max(whole, boxed) <= most else _thinned(problem, steps, most)
    choices = max(1, most_choices(Judge(problem), steps))
    boxed = BOX_COST * choices_of(problem, 0, 0) if problem.part_options.ohms else 0
    size = max(1, min(FIRST, POINTS // (max(choices, boxed) * _states(problem))))
    sampled = [kind for kind in kinds if images(kind.placing.cell) <= IMAGES]
    for kind in sampled[:1]:  # kernels are loaded, or compiled, before anything is timed
        shares, most_seconds = 1 + kind.largest // size, Watch(patience)
        with suppress(_LateError):
            warm = ShareEvaluator(problem, check_cancelled=_ending(most_seconds), at_once=AT_ONCE)
            warm.take(CellShare(kind.placing, shares // 2, shares))
    watch, deadline = Watch(), Watch(LATEST * patience)
    evaluator = ShareEvaluator(problem, check_cancelled=_ending(deadline), at_once=AT_ONCE)
    passed: list[tuple[CircuitGroup, float]] = []
    seconds, circuits = 0.0, 0
    for kind in sampled:
        if watch.seconds() < patience:
            share = patience * kind.circuits / total
            with suppress(_LateError):
                seconds += _sample(evaluator, kind, share, size, passed)
                circuits += kind.circuits
    if not circuits:
        return About(total * whole * PER_POINT, is_rough=True)
    judging = _judging_seconds(evaluator.judge, passed, patience * JUDGING)
    scale = whole / choices
    is_rough = scale > 1.0 or deadline.is_over()
    return About(
        scale * (seconds * total / circuits + judging.searching), scale * judging.assessing, is_rough
    )


class _LateError(Exception):
    """A sample has taken longer than all samples may."""


def _ending(watch: Watch) -> CheckCancelled:
    """What raises once a watch is over."""

    def check_cancelled() -> None:
        if watch.is_over():
            raise _LateError

    return check_cancelled


def _states(problem: Problem) -> int:
    """Operating points of one choice in one circuit that passes, about."""
    return len(SUPPLIES) * len(problem.states)


def _thinned(problem: Problem, steps: tuple[Step, ...], most: int) -> Problem:
    """The problem with every second value, then every second type, until a circuit has so few choices."""
    kinds = {(placing.cell.arcs, placing.cell.links) for step in steps for placing in step.orbits}
    diodes, resistors = (max(one) for one in zip(*kinds, strict=True))
    options, spec = problem.part_options, problem.spec
    ohms, lamps = options.ohms, spec.lamps
    offered = spec.extras.diodes.choose if spec.extras.diodes else ()

    def choices() -> int:
        fillings = 2  # at the most, of each type
        types: int = prod(fillings * len(lamp.choose) for lamp in lamps)
        values = max(prod([len(ohms)] * resistors), BOX_COST) if resistors else 1
        return types * prod([len(offered)] * diodes) * values

    while choices() > most and len(ohms) > 1 and resistors:
        ohms = ohms[::2]
    while choices() > most and max(len(offered), *(len(lamp.choose) for lamp in lamps)) > 1:
        lamps = tuple(replace(lamp, choose=lamp.choose[: max(1, len(lamp.choose) // 2)]) for lamp in lamps)
        offered = offered[: max(1, len(offered) // 2)]
    diode = replace(spec.extras.diodes, choose=offered) if spec.extras.diodes else None
    fewer = prepare(replace(spec, lamps=lamps, extras=replace(spec.extras, diodes=diode)))
    return replace(fewer, part_options=replace(fewer.part_options, ohms=ohms))


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
    evaluator: ShareEvaluator,
    kind: _Kind,
    allowed: float,
    size: int,
    passed: list[tuple[CircuitGroup, float]],
) -> float:
    """Seconds [s] that a kind takes; what passed is added, with how many circuits each stands for.

    size: circuits of the first sample.
    """
    begin = 0.0
    if kind.largest <= LARGE:
        watch = Watch()
        evaluator.take(CellShare(kind.placing, 0, GROWTH * (1 + kind.largest // size)))
        begin = watch.seconds()
    for shares in _fewer(1 + kind.largest // size):
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


def _judging_seconds(judge: Judge, passed: list[tuple[CircuitGroup, float]], allowed: float) -> About:
    """Seconds for judging what passes and for assessing designs, from some of what passed in the samples.

    Smaller circuits that many share are judged once, so n circuits take less than n times one:
    about as a power of n, whose exponent the first half of those judged tells.
    """
    number = sum(weight for _, weight in passed)
    if not passed:
        return About(0.0)
    parts = max(len(group.drawings[0].ends) for group, _ in passed)
    corners = _states(judge.problem) << parts
    most = POINTS // corners
    if most == 0:
        return About(number * corners * PER_POINT)
    # kernels are loaded, or compiled, before anything is timed
    MinimalityFilter(judge).judged(replace(passed[0][0], choices=passed[0][0].choices[:1]))
    minimality, watch = MinimalityFilter(judge), Watch()
    ends: list[float] = []
    winners: list[Winner] = []
    weighed = began = 0.0
    for group, weight in (pair for start in range(SPREAD) for pair in passed[start::SPREAD]):
        # all choices of a circuit may be more than there is time for
        share = max(1, -(-len(group.choices) // most))
        judged = minimality.judged(replace(group, choices=group.choices[::share]))
        ends.append(ends[-1] if ends else 0.0)
        ends[-1] += share * (watch.seconds() - began)
        weighed += weight
        if judged.winner is not None:
            winners.append(judged.winner)
        if watch.seconds() > allowed:
            break
        began = watch.seconds()
    exponent = np.clip(np.log2(ends[-1] / ends[(len(ends) - 1) // 2]), LEAST_EXPONENT, 1.0)
    seconds = ends[-1] * float((max(number, len(ends)) / len(ends)) ** exponent)
    designs = min(ASSESSED, len(winners) * number / weighed)
    return About(seconds, designs * _assessing_seconds(judge, winners[0]) if winners else 0.0)


def _assessing_seconds(judge: Judge, winner: Winner) -> float:
    presenter = Presenter(judge)
    presenter.design(winner, 1)  # loads what the first one needs
    watch = Watch()
    presenter.design(winner, 1)
    return ASSESSING * watch.seconds()
