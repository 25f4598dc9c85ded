"""One size of an atlas: its circuits listed, solved in every setting with every fit, and gathered.

Circuits are taken in lots, by as many threads as may work at once; what they bring is joined in order, so
their number changes nothing. No source: our layout.
"""

from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from functools import partial

import numpy as np
from numpy.typing import NDArray

from lampwright.atlas.bound import AtlasBound, Size, problem_of, setting_numbers
from lampwright.atlas.circuits import Circuits, distinct_circuits, every_fit, go_on, least_fits
from lampwright.atlas.gather import Gathered, Lot, gather
from lampwright.atlas.showing import Setting, ShownFunctions, show
from lampwright.judge.judge import Judge
from lampwright.problem.problem import Problem
from lampwright.solve.laws import Ints

AT_ONCE = 100_000
"""Circuits times fits in one lot."""


@dataclass
class SizeSurvey:
    """What was found among the circuits of a size.

    circuits: by number of joints. drawings: how many they stand for. fitted: circuits with types, each once;
    overloaded: those over a rating. normal: what is shown at normal supply; always: at all three.
    """

    size: Size
    circuits: list[Circuits] = field(default_factory=list)
    drawings: int = 0
    distinct: int = 0
    fitted: int = 0
    overloaded: int = 0
    points: int = 0
    unsolved: int = 0
    normal: Gathered = field(default_factory=dict)
    always: Gathered = field(default_factory=dict)


def survey_size(
    bound: AtlasBound, size: Size, threads: int, check_cancelled: Callable[[], None] = go_on
) -> SizeSurvey:
    """Survey a size. Whatever `check_cancelled` raises ends it."""
    problem, found, fits = problem_of(bound, size), SizeSurvey(size), every_fit(bound, size)
    pool = ThreadPoolExecutor(threads)
    try:
        for joints, circuits in enumerate(distinct_circuits(bound, size, check_cancelled)):
            wanted = least_fits(circuits, fits)
            found.circuits.append(circuits)
            found.drawings += int(circuits.drawings.sum())
            found.distinct += len(circuits.ends)
            found.fitted += int(wanted.sum())
            look = partial(
                _look, circuits=circuits, fits=fits, wanted=wanted, setting=setting_of(problem, joints)
            )
            lots = list(_lots(len(circuits.ends), max(1, AT_ONCE // len(fits))))
            for lot, shown in zip(lots, pool.map(look, lots), strict=True):
                check_cancelled()
                found.points += shown.points
                found.unsolved += shown.unsolved
                found.overloaded += int(shown.overloaded.sum())
                where = Lot(fits, bound.feeds, joints, lot.start)
                gather(found.normal, shown.normal, shown.normal_stops, where)
                gather(found.always, shown.always, shown.always_stops, where)
    finally:
        pool.shutdown(cancel_futures=True)
    return found


def _look(
    lot: slice, circuits: Circuits, fits: Ints, wanted: NDArray[np.bool_], setting: Setting
) -> ShownFunctions:
    return show(circuits.ends[lot], fits, wanted[lot], setting)


def _lots(count: int, most: int) -> Iterator[slice]:
    for first in range(0, count, most):
        yield slice(first, min(first + most, count))


def setting_of(problem: Problem, joints: int) -> Setting:
    """What the circuits of a problem with so many joints are looked at with."""
    partition = tuple(range(len(problem.layout.terminals)))
    boundary = Judge(problem).boundary(partition, joints)
    assert boundary is not None
    options, levels = problem.part_options, problem.spec.levels
    first = [[types.index(name) for name in dict.fromkeys(types)] for types in options.lamp_types]
    return Setting(
        vertex_node=boundary.vertex_node,
        bit=setting_numbers(problem),
        volts=problem.volts,
        edges=np.log2([levels.off.high, levels.lit.low]),
        lamp_volts=problem.limits.lamp_volts,
        diode_amps=float(problem.limits.diode_amps.max(initial=0.0)),
        model=np.array(
            [[rows[at] for at in some] for rows, some in zip(options.filament_model, first, strict=True)]
        ),
        models=options.models,
    )
