"""Why a search found nothing: the conflict and the near misses as rows of the result."""

from collections.abc import Sequence

from msgspec.structs import replace

from lampwright.diagnosis.conflict_words import (
    TOO_MUCH,
    UNSETTLED,
    agrees,
    conflict_text,
    exhausted,
    lamps_of,
    looked_at,
    over_lines,
    requirement_rows,
    wanted_in,
)
from lampwright.diagnosis.conflicts import Searcher, smallest_clash
from lampwright.diagnosis.nearest import Near
from lampwright.diagnosis.survey import Survey, TooMuchError
from lampwright.judge.design_rows import Presenter
from lampwright.judge.judge import Judge
from lampwright.problem.requirements import Requirement
from lampwright.prove.conflict import ModelConflict
from lampwright.results.design import ComparedRow
from lampwright.results.shortfall import Conflict, Missed, NearMiss, Proof, Shortfall
from lampwright.searching.evaluate import CheckCancelled, go_on
from lampwright.searching.plan import Step


def shortfall_of(
    judge: Judge,
    steps: tuple[Step, ...],
    survey: Survey,
    proved: ModelConflict | None = None,
    check_cancelled: CheckCancelled = go_on,
) -> Shortfall:
    """Why no circuit of these steps meets the spec; suggestions are for others to add.

    proved: a conflict that holds for all values, which goes before one over the listed ones.
    `check_cancelled` may raise to stop.
    """
    presenter = Presenter(judge)
    near = tuple(near_miss(presenter, one, rank) for rank, one in enumerate(survey.near, 1))
    searcher = Searcher(judge.problem, steps, check_cancelled=check_cancelled)
    but = next((one.but_for for one in near if one.but_for), "")
    conflict, said = None if proved is None else _proved(searcher, survey, proved, but), looked_at(survey)
    if conflict is None and not survey.met and all(one.missed for one in survey.near):
        try:
            conflict = _listed(searcher, survey)
        except TooMuchError:
            conflict = None
        said = said if conflict is not None else f"{said} {UNSETTLED}"
    return Shortfall(conflict=conflict, looked_at=said, near_misses=near, suggestions=(), tried=())


def _proved(searcher: Searcher, survey: Survey, proved: ModelConflict, but: str) -> Conflict | None:
    """A proved conflict, and whether the listed values agree; None if some circuit speaks against it.

    but: within what, where a near miss beyond it gives all that is asked.
    """
    try:
        if searcher.meeting(proved.requirements):
            return None
        checked = agrees(survey.of, len(proved.requirements))
    except TooMuchError:
        checked = TOO_MUCH
    over = f"Proved by a constraint model for {proved.over}."
    return _conflict(
        searcher, proved.requirements, "all values", (over, checked), smallest=proved.smallest, but=but
    )


def _listed(searcher: Searcher, survey: Survey) -> Conflict | None:
    """The smallest conflict over the listed values; None where some circuit meets all.

    Raises TooMuchError.
    """
    clash = smallest_clash(searcher, survey.seeds)
    if clash is None:
        return None
    return _conflict(searcher, clash, "listed values", exhausted(survey.of, len(clash)), smallest=True)


def _conflict(
    searcher: Searcher,
    clash: Sequence[Requirement],
    proof: Proof,
    checked: tuple[str, ...],
    *,
    smallest: bool,
    but: str = "",
) -> Conflict:
    problem, others = searcher.problem, len(searcher.requirements) - len(clash)
    rows, text = requirement_rows(problem, clash), conflict_text(problem, clash, others, proof, but)
    return Conflict(requirements=rows, text=text, smallest=smallest, proof=proof, checked=checked)


def near_miss(presenter: Presenter, near: Near, rank: int) -> NearMiss:
    """A near miss in full."""
    design = presenter.judged(near.netlist, near.choice, near.judgement, near.conductors)
    problem, every = presenter.problem, presenter.problem.requirements.every
    first_pair = len(every) - len(problem.requirements.pairs)
    compared = design.compared
    missed = [
        _missed(presenter, near, every[number])
        if number < first_pair
        else _unlike(compared[number - first_pair])
        for number in near.missed
    ]
    missed.sort(key=lambda one: one.margin_stops)
    most = problem.spec.place.most_conductors
    over = over_lines(design, near.judgement.unconverged, most)
    if not near.sound and not over:
        over = ("a rating is exceeded at some corner",)
    return NearMiss(design=replace(design, rank=rank), missed=tuple(missed), over=over)


def _unlike(one: ComparedRow) -> Missed:
    """A comparison missed."""
    return Missed(
        lamp=one.name,
        state=one.state,
        wanted=one.wanted,
        margin_stops=one.margin_stops,
        corner=one.corner,
    )


def _missed(presenter: Presenter, near: Near, one: Requirement) -> Missed:
    """A requirement of one lamp missed."""
    verdicts, at = near.judgement.verdicts, (one.state, one.filament)
    corner, margin = verdicts.margin_corner[at], verdicts.margin[at]
    return Missed(
        lamp=lamps_of(presenter.problem, one),
        state=presenter.problem.states[one.state].full_name,
        wanted=wanted_in(presenter.problem, one, presenter.problem.states[one.state]),
        margin_stops=float(margin),
        corner=presenter.corner_name(int(corner), near.netlist, near.judgement),
    )
