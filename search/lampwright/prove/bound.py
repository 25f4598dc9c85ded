"""The least number of extra parts, proved before anything is listed.

For no extra part, then one, then two: is there a placement that passes every rule? A rule
holds for every circuit that meets the spec, so where there is no placement there is no
circuit. The first number with a placement is the bound; whether a circuit is behind it, the
search finds out. A spec that no placement meets with all that is allowed has no circuit.
"""

from collections.abc import Callable

from lampwright.problem.problem import Problem
from lampwright.problem.requirements import Requirement
from lampwright.prove.partitions import TerminalPartition, joined_requirements, partitions_of
from lampwright.prove.placement import ExtraSlots
from lampwright.prove.solver import Answer, WorkBudget, go_on, new_solver
from lampwright.prove.stages import RULES, STAGES
from lampwright.results.ranking import Bound, BoundRule
from lampwright.words import counted


def bound_of(
    problem: Problem, most_extra: int | None, work: float, check_cancelled: Callable[[], None] = go_on
) -> Bound:
    """Raise the number of extra parts until some placement passes, or the work is done.

    most_extra: the most extra parts to ask about, None for all that the spec allows. What `check_cancelled`
    raises ends it.
    """
    requirements = joined_requirements(problem)
    partitions, budget = partitions_of(problem, requirements), WorkBudget(work, check_cancelled)
    allowed = extras_of(problem)
    most = allowed.most if most_extra is None else min(allowed.most, most_extra)
    for extra in range(most + 1):
        extras = ExtraSlots(min(allowed.diodes, extra), min(allowed.resistors, extra), extra)
        answer = _ask(problem, requirements, partitions, extras, budget)
        if answer is not Answer.NONE:
            return _said(problem, extra, none_at_all=False, ended=answer is Answer.BEST)
    return _said(problem, most + 1, none_at_all=True, ended=True)


def bound_at_nought(problem: Problem) -> Bound:
    """What `bound_of` comes to where a circuit without extra parts meets the spec: it passes every rule."""
    return _said(problem, 0, none_at_all=False, ended=True)


def extras_of(problem: Problem) -> ExtraSlots:
    """All extra parts that a spec allows."""
    diodes, resistors = problem.spec.extras.diodes, problem.spec.extras.resistors
    counts = diodes.most if diodes else 0, resistors.most if resistors else 0
    return ExtraSlots(*counts, sum(counts))


def over(problem: Problem) -> str:
    """For what the model's proofs hold, in words."""
    supply, bounds, resistors = problem.spec.supply.volts, problem.spec.bounds, problem.spec.extras.resistors
    values = (
        ""
        if resistors is None
        else f", every resistance from {resistors.ohms[0]:g} to {resistors.ohms[1]:g} Ω"
    )
    return (
        f"every type that the spec offers{values}, nominal parts at {supply[0]:g} and {supply[2]:g} V,"
        f" up to {counted(bounds.joints, 'joint')} and {counted(bounds.wires, 'wire')} between terminals;"
        f" limits of controls and of conductors between zones left out"
    )


def _ask(
    problem: Problem,
    requirements: tuple[Requirement, ...],
    partitions: tuple[TerminalPartition, ...],
    extras: ExtraSlots,
    budget: WorkBudget,
) -> Answer:
    """Whether some partition has a placement: BEST yes, NONE no, else undecided."""
    found = Answer.NONE
    for partition in partitions:
        answer = _ask_partition(problem, requirements, partition, extras, budget)
        if answer is Answer.BEST:
            return answer
        if answer is not Answer.NONE:
            found = Answer.UNDECIDED
    return found


def _ask_partition(
    problem: Problem,
    requirements: tuple[Requirement, ...],
    partition: TerminalPartition,
    extras: ExtraSlots,
    budget: WorkBudget,
) -> Answer:
    answer = Answer.UNDECIDED
    for stage in STAGES:
        budget.check_cancelled()
        formulation = stage(problem, requirements, partition, extras, budget.check_cancelled)
        for asked in formulation.asked:
            formulation.model.add(asked == 1)
        answer = budget.solve(new_solver(budget.left), formulation.model)
        if answer is not Answer.BEST:
            break
    return answer


def _said(problem: Problem, least: int, *, none_at_all: bool, ended: bool) -> Bound:
    return Bound(
        least_extra_parts=least,
        none_at_all=none_at_all,
        ended=ended,
        over=over(problem),
        rules=tuple(BoundRule(name=one.name, claim=one.claim) for one in RULES),
    )
