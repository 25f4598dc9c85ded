"""Why a search found nothing: the conflict and the near misses as rows of the result."""

from dataclasses import dataclass, replace

from lampwright.decide.asked import Want
from lampwright.pipeline.conflict_words import (
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
from lampwright.pipeline.conflicts import Searcher, TooMuchError, smallest_clash
from lampwright.pipeline.failing import Survey
from lampwright.pipeline.hunt import Mind, go_on
from lampwright.pipeline.plan import Step
from lampwright.pipeline.present import Presenter
from lampwright.rank.cells import Cell, cells_of
from lampwright.rank.judge import Judge
from lampwright.rank.nearest import Near
from lampwright.store.shortfall_rows import Conflict, Missed, NearMiss, Shortfall


@dataclass(frozen=True)
class Proved:
    """A conflict proved for all values: its wants, whether none smaller is, and how it was proved."""

    wants: tuple[Want, ...]
    smallest: bool
    how: tuple[str, ...]


def shortfall_of(
    judge: Judge, steps: tuple[Step, ...], survey: Survey, proved: Proved | None = None, mind: Mind = go_on
) -> Shortfall:
    """Why no circuit of these steps meets the spec; suggestions are for others to add.

    proved: a conflict that holds for all values, which goes before one over the listed ones. `mind` may
    raise to stop.
    """
    presenter = Presenter(judge)
    near = tuple(near_miss(presenter, one, rank) for rank, one in enumerate(survey.near, 1))
    searcher = Searcher(judge.study, steps, mind=mind)
    conflict, said = None if proved is None else _proved(searcher, survey, proved), looked_at(survey)
    if conflict is None and not survey.met and all(one.missed for one in survey.near):
        conflict = _listed(searcher, survey)
        said = said if conflict is not None else f"{said} {UNSETTLED}"
    return Shortfall(conflict, said, near, (), ())


def _proved(searcher: Searcher, survey: Survey, proved: Proved) -> Conflict | None:
    """A proved conflict, and whether the listed values agree; None if some circuit speaks against it."""
    try:
        if searcher.meeting(proved.wants):
            return None
        checked = agrees(survey.of, len(proved.wants))
    except TooMuchError:
        checked = TOO_MUCH
    rows = requirements_of(searcher.study, proved.wants)
    text = conflict_text(rows, len(searcher.wants) - len(rows), "all values")
    return Conflict(rows, text, proved.smallest, "all values", (*proved.how, checked))


def _listed(searcher: Searcher, survey: Survey) -> Conflict | None:
    """The smallest conflict over the listed values, where the work allowed suffices."""
    try:
        clash = smallest_clash(searcher, survey.seeds)
    except TooMuchError:
        return None
    if clash is None:
        return None
    rows = requirements_of(searcher.study, clash.wants)
    text = conflict_text(rows, len(searcher.wants) - len(rows), "listed values")
    return Conflict(rows, text, True, "listed values", exhausted(survey.of, len(rows)))


def near_miss(presenter: Presenter, near: Near, rank: int) -> NearMiss:
    """A near miss in full."""
    design = presenter.judged(near.embedding, near.choice, near.judgement, near.conductors)
    cells, study = cells_of(presenter.study), presenter.study
    first_same = sum(cell.partner is None for cell in cells)
    missed = [
        _missed(presenter, near, cells[number], number - first_same if number >= first_same else None)
        for number in near.missed
    ]
    missed.sort(key=lambda one: one.margin_stops)
    most = study.spec.place.most_conductors
    over = over_lines(design, near.judgement.unconverged, most)
    if not near.sound and not over:
        over = ("a rating is exceeded at some corner",)
    return NearMiss(replace(design, rank=rank), tuple(missed), over)


def _missed(presenter: Presenter, near: Near, cell: Cell, pair: int | None) -> Missed:
    study, verdicts = presenter.study, near.judgement.verdicts
    names, state = study.layout.filaments, presenter.state_name(cell.state)
    if pair is None or cell.partner is None:
        corner = int(verdicts.margin_corner[cell.state, cell.filament])
        margin = float(verdicts.margin[cell.state, cell.filament])
        lamp, wanted = names[cell.filament], study.states[cell.state].words[cell.filament]
    else:
        corner, margin = int(verdicts.same_corner[pair]), float(verdicts.same[pair])
        lamp = f"{names[cell.filament]} = {names[cell.partner]}"
        wanted = alike(2.0 ** float(study.demands.same_high[pair]) - 1.0)
    return Missed(lamp, state, wanted, margin, presenter.corner_name(corner, near.embedding, near.judgement))
