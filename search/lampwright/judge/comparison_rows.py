"""What must match, or be brighter than something else, as rows: how far it does, at its worst corner."""

from collections.abc import Callable, Sequence

import numpy as np

from lampwright.judge.judge import Judgement
from lampwright.problem.problem import Choice, Problem, filament_models
from lampwright.problem.requirements import Requirement
from lampwright.results.design import ComparedRow
from lampwright.solve.laws import filament_stops
from lampwright.spec.states import LightComparison

CornerName = Callable[[int], str]


def compared_rows(
    problem: Problem, choice: Choice, judgement: Judgement, corner_name: CornerName
) -> tuple[ComparedRow, ...]:
    """Everything that a spec compares, first what must match; each as a judged circuit has it."""
    names, states, verdicts = problem.layout.filaments, problem.states, judgement.verdicts
    off = problem.spec.levels.off.high
    rows = []
    for at, one in enumerate(problem.requirements.pairs):
        a, b = (_light(problem, choice, judgement, f, one.state) for f in (one.filament, one.other or 0))
        rows.append(
            ComparedRow(
                kind="same",
                lamp=names[one.filament],
                state=states[one.state].full_name,
                than=names[one.other or 0],
                versus=states[one.state].full_name,
                least=one.band.low,
                most=one.band.high,
                ratio=_ratio(a, b, off),
                wanted=wanted_alike(one),
                margin_stops=float(verdicts.same[at]),
                corner=corner_name(int(verdicts.same_corner[at])),
            )
        )
    for at, pair in enumerate(problem.requirements.comparisons):
        lamp, than = names[pair.first], names[pair.second]
        state, versus = states[pair.first_state].full_name, states[pair.second_state].full_name
        a = _light(problem, choice, judgement, pair.first, pair.first_state)
        b = _light(problem, choice, judgement, pair.second, pair.second_state)
        rows.append(
            ComparedRow(
                kind="brighter",
                lamp=lamp,
                state=state,
                than=than,
                versus=versus,
                least=pair.by,
                most=None,
                ratio=_ratio(a, b, off),
                wanted=wanted_brighter(problem, pair),
                margin_stops=float(verdicts.brighter[at]),
                corner=corner_name(int(verdicts.brighter_corner[at])),
            )
        )
    return tuple(rows)


def wanted_alike(one: Requirement) -> str:
    """How two lamps must match, in words."""
    return f"alike within {100.0 * (one.band.high - 1.0):.3g} %"


def wanted_brighter(problem: Problem, one: LightComparison) -> str:
    """How much brighter a lamp must be than what, in words."""
    than = "" if one.first == one.second else problem.layout.filaments[one.second]
    versus = "" if one.first_state == one.second_state else problem.states[one.second_state].full_name
    other = " ".join(filter(None, (than, versus and f"with {versus}")))
    return f"at least {one.by:g} times as bright as {other}"


def worst_missed(rows: Sequence[ComparedRow]) -> ComparedRow | None:
    """The comparison that is missed by most, if any is."""
    worst = min(rows, key=lambda row: row.margin_stops, default=None)
    return worst if worst is not None and worst.margin_stops < 0.0 else None


def _light(
    problem: Problem, choice: Choice, judgement: Judgement, filament: int, state: int
) -> tuple[float, float]:
    """The light of a filament at normal supply and nominal parts: relative flux [1], and lumens [lm]."""
    model = filament_models(problem, choice)[filament]
    models = problem.part_options.models
    volts = abs(float(judgement.verdicts.volts[state, filament]))
    flux = float(np.exp2(filament_stops(volts, model, models.table, models.stops)))
    return flux, flux * problem.part_options.filaments[model].lumens


def _ratio(first: tuple[float, float], second: tuple[float, float], off: float) -> float | None:
    return None if second[0] <= off else first[1] / second[1]
