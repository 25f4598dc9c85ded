"""The least number of extra parts, proved before anything is listed.

For no extra part, then one, then two: is there a placement that passes every rule? A rule
holds for every circuit that meets the spec, so where there is no placement there is no
circuit. The first number with a placement is the bound; whether a circuit is behind it, the
search finds out. A spec that no placement meets with all that is allowed has no circuit.
"""

from dataclasses import dataclass

from lampwright.decide.asked import Board, Want, boards_of, wants_of
from lampwright.decide.placement import Extras
from lampwright.decide.solver import Answer, Purse, new_solver
from lampwright.decide.stages import RULES, STAGES
from lampwright.rank.study import Study


@dataclass(frozen=True)
class RuleClaim:
    """A family of conditions: its name, and what it says of every circuit that meets a spec."""

    name: str
    claim: str


@dataclass(frozen=True)
class Bound:
    """What was proved, as in `store.bound_rows`.

    No circuit with fewer than `least_extra_parts` extra parts meets the spec; none_at_all: none
    with as many as were asked about does. ended: false where the work ran out first. over: for
    which parts, values and supplies it holds.
    """

    least_extra_parts: int
    none_at_all: bool
    ended: bool
    over: str
    rules: tuple[RuleClaim, ...]


def bound_of(study: Study, most_extra: int | None, work: float) -> Bound:
    """Raise the number of extra parts until some placement passes, or the work is done.

    most_extra: the most extra parts to ask about, None for all that the spec allows.
    """
    wants = wants_of(study)
    boards, purse = boards_of(study, wants), Purse(work)
    allowed = extras_of(study)
    most = allowed.most if most_extra is None else min(allowed.most, most_extra)
    for extra in range(most + 1):
        extras = Extras(min(allowed.diodes, extra), min(allowed.resistors, extra), extra)
        answer = _ask(study, wants, boards, extras, purse)
        if answer is not Answer.NONE:
            return _said(study, extra, none_at_all=False, ended=answer is Answer.BEST)
    return _said(study, most + 1, none_at_all=True, ended=True)


def extras_of(study: Study) -> Extras:
    """All extra parts that a spec allows."""
    diodes, resistors = study.spec.extras.diodes, study.spec.extras.resistors
    counts = diodes.most if diodes else 0, resistors.most if resistors else 0
    return Extras(*counts, sum(counts))


def over(study: Study) -> str:
    """For what the model's proofs hold, in words."""
    supply, bounds, resistors = study.spec.supply.volts, study.spec.bounds, study.spec.extras.resistors
    values = (
        ""
        if resistors is None
        else f", every resistance from {resistors.ohms[0]:g} to {resistors.ohms[1]:g} Ω"
    )
    return (
        f"every type that the spec offers{values}, nominal parts at {supply[0]:g} and {supply[2]:g} V,"
        f" up to {_many(bounds.joints, 'joint')} and {_many(bounds.wires, 'wire')} between terminals;"
        " limits of controls and of conductors between zones left out"
    )


def _many(number: int, noun: str) -> str:
    return f"{number or 'no'} {noun}{'s' * (number != 1)}"


def _ask(
    study: Study, wants: tuple[Want, ...], boards: tuple[Board, ...], extras: Extras, purse: Purse
) -> Answer:
    """Whether some board has a placement: BEST yes, NONE no, else undecided."""
    found = Answer.NONE
    for board in boards:
        answer = _ask_board(study, wants, board, extras, purse)
        if answer is Answer.BEST:
            return answer
        if answer is not Answer.NONE:
            found = Answer.UNDECIDED
    return found


def _ask_board(study: Study, wants: tuple[Want, ...], board: Board, extras: Extras, purse: Purse) -> Answer:
    answer = Answer.UNDECIDED
    for stage in STAGES:
        draft = stage(study, wants, board, extras)
        for asked in draft.asked:
            draft.model.add(asked == 1)
        answer = purse.solve(new_solver(purse.left), draft.model)
        if answer is not Answer.BEST:
            break
    return answer


def _said(study: Study, least: int, *, none_at_all: bool, ended: bool) -> Bound:
    claims = tuple(RuleClaim(rule.name, rule.claim) for rule in RULES)
    return Bound(least, none_at_all, ended, over(study), claims)
