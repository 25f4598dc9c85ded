"""What to say after a search that found nothing: what conflicts, what comes near, what would help.

A conflict that holds for all values comes from the constraint model, and only where the bound
does not already say that the model has a placement; near misses and a conflict over the listed
values come from a survey of the circuits; suggestions start from the near misses. A stop on the
way takes nothing from the verdict: the circuits were all listed before.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

from msgspec.structs import replace

from lampwright.diagnosis.shortfall import shortfall_of
from lampwright.diagnosis.suggest.suggestions import suggestions_of
from lampwright.diagnosis.survey import ALLOWED, Survey, survey_problem
from lampwright.judge.design_rows import taken_rows
from lampwright.judge.judge import Judge
from lampwright.problem.problem import Problem
from lampwright.progress.bar import Progress
from lampwright.prove.conflict import ConflictAnswer, ModelConflict, conflict_of
from lampwright.results.ranking import Bound
from lampwright.results.shortfall import Shortfall
from lampwright.searching.evaluate import CheckCancelled
from lampwright.searching.plan import Step

WORK = 20.0
"""Most work for a conflict, in the solver's own count: about as many seconds of one core."""

STOPPED = Shortfall(
    conflict=None,
    looked_at="The run was stopped before it could say why; start it again to go on.",
    near_misses=(),
    suggestions=(),
    tried=(),
)


@dataclass(frozen=True)
class SearchedWay:
    """One way in which a spec can be taken, searched in vain: what judges it, and its bound."""

    judge: Judge
    bound: Bound | None


def why_none(
    ways: Sequence[SearchedWay],
    steps: tuple[Step, ...],
    most_extra: int | None,
    progress: Progress,
    check_cancelled: CheckCancelled,
    stops: tuple[type[BaseException], ...],
) -> Shortfall:
    """Work out why none of these steps has a circuit; what `check_cancelled` raises is among `stops`.

    Of several ways, all of which have none, it is told of the one that comes nearest.
    """
    said = STOPPED
    try:
        progress.stage("looking for what conflicts", len(ways) + 1)
        surveys = [_surveyed(one.judge.problem, steps, len(ways), progress, check_cancelled) for one in ways]
        way, survey = min(zip(ways, surveys, strict=True), key=lambda pair: _distance(pair[1]))
        problem = way.judge.problem
        proved = _proved(problem, way.bound, check_cancelled)
        said = replace(
            shortfall_of(way.judge, steps, survey, proved, check_cancelled), takes=taken_rows(problem.spec)
        )
        progress.advance(1)
        near = tuple((one.netlist, one.choice) for one in survey.near)
        advice = suggestions_of(problem, near, most_extra, progress, check_cancelled)
    except stops:
        told = () if said is STOPPED else ("The run was stopped before changes of the spec were tried.",)
        return replace(said, tried=told)
    return replace(said, suggestions=advice.suggestions, tried=advice.tried)


def _surveyed(
    problem: Problem,
    steps: tuple[Step, ...],
    ways: int,
    progress: Progress,
    check_cancelled: CheckCancelled,
) -> Survey:
    """The survey of one of so many ways, which share the work allowed."""
    survey = survey_problem(problem, steps, ALLOWED // ways, check_cancelled)
    progress.advance(1)
    return survey


def _distance(survey: Survey) -> tuple[float, float]:
    """What ranks surveys: how many requirements the nearest circuit misses, and by how much."""
    return survey.near[0].order[:2] if survey.near else (inf, 0.0)


def _proved(problem: Problem, bound: Bound | None, check_cancelled: CheckCancelled) -> ModelConflict | None:
    """A conflict that holds for all values, if the model has no placement and the work suffices."""
    if bound is not None and not bound.none_at_all:
        return None
    conflict = conflict_of(problem, WORK, check_cancelled)
    # one that may hold requirements it does not need tells a user less than one over listed values
    return conflict if conflict.said is ConflictAnswer.CONFLICT and conflict.irreducible else None
