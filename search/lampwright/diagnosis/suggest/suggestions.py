"""What would help where no circuit meets a spec: the least changes with which some circuit does.

Kinds of change stand in the order of what they cost the builder: another type or value; an
insulated holder; a stronger contact; one more part; one more lamp, joint or wire; a narrower
supply; a wider band. Of one kind, what needs nothing else comes first, then what has the
greatest margin. Every kind is tried, and each says what came of it.
"""

from collections.abc import Callable
from dataclasses import dataclass

from msgspec.structs import replace

from lampwright.diagnosis.suggest.attempt import Attempt, NotTriedError, Proposal
from lampwright.diagnosis.suggest.bands import wider_band
from lampwright.diagnosis.suggest.parts import (
    insulated_holder,
    looser_rating,
    one_more_joint,
    one_more_lamp,
    one_more_part,
    one_more_wire,
)
from lampwright.diagnosis.suggest.supply import narrower_supply
from lampwright.diagnosis.suggest.trial import ALLOWANCE, Near, Trier
from lampwright.diagnosis.suggest.types import other_type
from lampwright.judge.design_rows import Presenter
from lampwright.problem.problem import Problem
from lampwright.progress.bar import Progress
from lampwright.results.shortfall import ChangeKind, Suggestion
from lampwright.searching.evaluate import CheckCancelled, go_on

KINDS: dict[ChangeKind, Callable[[Attempt], str]] = {
    "other type": other_type,
    "insulated holder": insulated_holder,
    "looser rating": looser_rating,
    "one more part": one_more_part,
    "one more lamp": one_more_lamp,
    "one more joint": one_more_joint,
    "one more wire": one_more_wire,
    "narrower supply": narrower_supply,
    "wider band": wider_band,
}
"""Every kind of change, the cheapest for the builder first: what tries it, and says what was tried."""


@dataclass(frozen=True)
class Advice:
    """Changes with which some circuit passes, the least first, and a line for every kind of change tried."""

    suggestions: tuple[Suggestion, ...]
    tried: tuple[str, ...]


def suggestions_of(
    problem: Problem,
    near: Near,
    most_extra: int | None,
    progress: Progress,
    check_cancelled: CheckCancelled = go_on,
) -> Advice:
    """What would help, for a problem whose search ended and found nothing.

    near: the circuits that came nearest, with their choices. most_extra: the most extra parts that the
    search was asked for, None for as many as the spec allows. check_cancelled: raises to stop.
    """
    trier = Trier(problem, near, most_extra, check_cancelled)
    progress.stage("trying changes of the spec", len(KINDS))
    found: list[tuple[ChangeKind, Proposal]] = []
    tried: list[tuple[ChangeKind, str]] = []
    # what a lamp more costs to try takes nothing from the other kinds
    order = sorted(KINDS, key=lambda kind: kind == "one more lamp")
    for kind in order:
        try_all = KINDS[kind]
        trier.budget.left += ALLOWANCE
        attempt = Attempt(trier)
        try:
            tried.append((kind, f"{try_all(attempt)}: {attempt.outcome}"))
        except NotTriedError as why:
            tried.append((kind, f"not tried: {why}"))
        found += [(kind, one) for one in sorted(attempt.proposals, key=lambda one: one.order)]
        progress.advance(1)
    found.sort(key=lambda pair: [*KINDS].index(pair[0]))
    tried.sort(key=lambda pair: [*KINDS].index(pair[0]))
    suggestions = tuple(_suggestion(kind, one, rank) for rank, (kind, one) in enumerate(found, 1))
    return Advice(suggestions, tuple(f"{kind}: {said}" for kind, said in tried))


def _suggestion(kind: ChangeKind, proposal: Proposal, rank: int) -> Suggestion:
    found = proposal.found
    design = Presenter(found.trial.judge).design(found.winner, 1)
    return Suggestion(
        kind=kind,
        change=proposal.change,
        spec_text=found.trial.revision.text,
        row=found.trial.revision.row,
        margin_stops=found.margin,
        design=replace(design, rank=rank),
        verified=proposal.verified,
    )
