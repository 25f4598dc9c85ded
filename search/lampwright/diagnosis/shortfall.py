"""Why a search found nothing: the conflict and the near misses as rows of the result."""

from dataclasses import dataclass

from msgspec.structs import replace

from lampwright.diagnosis.cells import Cell, cells_of
from lampwright.diagnosis.conflict_words import (
    TOO_MUCH,
    UNSETTLED,
    agrees,
    alike,
    conflict_text,
    exhausted,
    looked_at,
    over_lines,
    requirements_of,
)
from lampwright.diagnosis.conflicts import Searcher, TooMuchError, smallest_clash
from lampwright.diagnosis.nearest import Near
from lampwright.diagnosis.survey import Survey
from lampwright.judge.design_rows import Presenter
from lampwright.judge.judge import Judge
from lampwright.prove.requirements import Want
from lampwright.results.shortfall import Conflict, Missed, NearMiss, Shortfall
from lampwright.searching.evaluate import CheckCancelled, go_on
from lampwright.searching.plan import Step


@dataclass(frozen=True)
class Proved:
    """A conflict proved for all values: its wants, whether none smaller is, and how it was proved."""

    wants: tuple[Want, ...]
    smallest: bool
    how: tuple[str, ...]


def shortfall_of(
    judge: Judge,
    steps: tuple[Step, ...],
    survey: Survey,
    proved: Proved | None = None,
    check_cancelled: CheckCancelled = go_on,
) -> Shortfall:
    """Why no circuit of these steps meets the spec; suggestions are for others to add.

    proved: a conflict that holds for all values, which goes before one over the listed ones.
    `check_cancelled` may raise to stop.
    """
    presenter = Presenter(judge)
    near = tuple(near_miss(presenter, one, rank) for rank, one in enumerate(survey.near, 1))
    searcher = Searcher(judge.problem, steps, check_cancelled=check_cancelled)
    conflict, said = None if proved is None else _proved(searcher, survey, proved), looked_at(survey)
    if conflict is None and not survey.met and all(one.missed for one in survey.near):
        conflict = _listed(searcher, survey)
        said = said if conflict is not None else f"{said} {UNSETTLED}"
    return Shortfall(conflict=conflict, looked_at=said, near_misses=near, suggestions=(), tried=())


def _proved(searcher: Searcher, survey: Survey, proved: Proved) -> Conflict | None:
    """A proved conflict, and whether the listed values agree; None if some circuit speaks against it."""
    try:
        if searcher.meeting(proved.wants):
            return None
        checked = agrees(survey.of, len(proved.wants))
    except TooMuchError:
        checked = TOO_MUCH
    rows = requirements_of(searcher.problem, proved.wants)
    text = conflict_text(rows, len(searcher.wants) - len(rows), "all values")
    return Conflict(
        requirements=rows,
        text=text,
        smallest=proved.smallest,
        proof="all values",
        checked=(*proved.how, checked),
    )


def _listed(searcher: Searcher, survey: Survey) -> Conflict | None:
    """The smallest conflict over the listed values, where the work allowed suffices."""
    try:
        clash = smallest_clash(searcher, survey.seeds)
    except TooMuchError:
        return None
    if clash is None:
        return None
    rows = requirements_of(searcher.problem, clash.wants)
    text = conflict_text(rows, len(searcher.wants) - len(rows), "listed values")
    return Conflict(
        requirements=rows,
        text=text,
        smallest=True,
        proof="listed values",
        checked=exhausted(survey.of, len(rows)),
    )


def near_miss(presenter: Presenter, near: Near, rank: int) -> NearMiss:
    """A near miss in full."""
    design = presenter.judged(near.netlist, near.choice, near.judgement, near.conductors)
    cells, problem = cells_of(presenter.problem), presenter.problem
    first_same = sum(cell.partner is None for cell in cells)
    missed = [
        _missed(presenter, near, cells[number], number - first_same if number >= first_same else None)
        for number in near.missed
    ]
    missed.sort(key=lambda one: one.margin_stops)
    most = problem.spec.place.most_conductors
    over = over_lines(design, near.judgement.unconverged, most)
    if not near.sound and not over:
        over = ("a rating is exceeded at some corner",)
    return NearMiss(design=replace(design, rank=rank), missed=tuple(missed), over=over)


def _missed(presenter: Presenter, near: Near, cell: Cell, pair: int | None) -> Missed:
    problem, verdicts = presenter.problem, near.judgement.verdicts
    names, state = problem.layout.filaments, problem.states[cell.state].full_name
    if pair is None or cell.partner is None:
        corner = int(verdicts.margin_corner[cell.state, cell.filament])
        margin = float(verdicts.margin[cell.state, cell.filament])
        lamp, wanted = names[cell.filament], problem.states[cell.state].words[cell.filament]
    else:
        corner, margin = int(verdicts.same_corner[pair]), float(verdicts.same[pair])
        lamp = f"{names[cell.filament]} = {names[cell.partner]}"
        wanted = alike(2.0 ** float(problem.demands.same_high[pair]) - 1.0)
    return Missed(
        lamp=lamp,
        state=state,
        wanted=wanted,
        margin_stops=margin,
        corner=presenter.corner_name(corner, near.netlist, near.judgement),
    )
