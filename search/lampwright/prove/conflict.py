"""Which requirements of a spec cannot be met together, by any placement, whatever the values.

A smallest such set is found by implicit hitting sets. Every placement that meets some requirements
misses others, and a conflict must hold at least one of those. A smallest set that hits all that
is known so far either conflicts, and is then a smallest conflict, or a placement meets it: made
to meet as many other requirements as it can, it leaves another set to hit. Where the work for this
runs out, the requirements that the solver's own proof used are thinned out one by one, which gives a
conflict that is irreducible, if not smallest.

Source: Ignatiev, Previti, Liffiton and Marques-Silva, Smallest MUS Extraction with Minimal
Hitting Set Dualization, CP 2015 (MEMORY).
"""

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum

from ortools.sat.python import cp_model

from lampwright.problem.problem import Problem
from lampwright.problem.requirements import Requirement
from lampwright.prove.bound import extras_of, over
from lampwright.prove.formulation import Formulation
from lampwright.prove.partitions import joined_requirements, partitions_of
from lampwright.prove.solver import Answer, WorkBudget, go_on, new_solver
from lampwright.prove.stages import STAGES

GROWING = 2.0
"""Work spent on making a placement meet more requirements than were asked of it."""

FOR_SMALLEST = 0.7
"""The part of the work that is spent on a smallest conflict before an irreducible one is sought."""


class ConflictAnswer(Enum):
    """CONFLICT: proved, all values. FEASIBLE: some placement passes all rules. UNDECIDED: out of work."""

    CONFLICT = "conflict"
    FEASIBLE = "feasible"
    UNDECIDED = "undecided"


@dataclass(frozen=True)
class ModelConflict:
    """What was found out; requirements only where there is a conflict.

    irreducible: without any one of them the model has a placement; smallest: no fewer requirements
    conflict. over: for which parts, values and supplies it holds.
    """

    said: ConflictAnswer
    requirements: tuple[Requirement, ...]
    irreducible: bool
    smallest: bool
    over: str


@dataclass(frozen=True)
class Reply:
    """To a set of requirements: UNDECIDED, NONE with a part that conflicts, or BEST with all that are met."""

    answer: Answer
    requirements: frozenset[int]


class Oracle:
    """Says whether a set of requirements can be met by some placement on some partition."""

    def __init__(self, problem: Problem, requirements: tuple[Requirement, ...], budget: WorkBudget) -> None:
        """Build models as they are needed."""
        self.problem, self.requirements, self.budget = problem, requirements, budget
        self.partitions = partitions_of(problem, requirements)
        self._drafts: dict[tuple[int, int], Formulation] = {}
        self._met: list[frozenset[int]] = []

    def ask(self, subset: frozenset[int]) -> Reply:
        """Put a set of requirements, by number, to every partition in turn."""
        known = next((met for met in self._met if subset <= met), None)
        if known is not None:
            return Reply(Answer.BEST, known)
        for at in range(len(self.partitions)):
            reply = self._ask_partition(at, subset)
            if reply.answer is Answer.BEST:
                self._met.append(reply.requirements)
            if reply.answer is not Answer.NONE:
                return reply
        return Reply(Answer.NONE, subset)

    def core(self, subset: frozenset[int]) -> Reply:
        """For a set that may conflict: those that the proof of it uses, of all partitions together."""
        used: frozenset[int] = frozenset()
        for at in range(len(self.partitions)):
            reply = self._core_board(at, subset)
            if reply.answer is not Answer.NONE:
                return reply
            used |= reply.requirements
        return Reply(Answer.NONE, used)

    def _draft(self, at: int, stage: int) -> Formulation:
        if (at, stage) not in self._drafts:
            self.budget.check_cancelled()
            make = STAGES[stage]
            self._drafts[at, stage] = make(
                self.problem,
                self.requirements,
                self.partitions[at],
                extras_of(self.problem),
                self.budget.check_cancelled,
            )
        return self._drafts[at, stage]

    def _ask_partition(self, at: int, subset: frozenset[int]) -> Reply:
        """Stage by stage; the last is made to meet as many requirements as it can in some of the work."""
        nothing: frozenset[int] = frozenset()
        for stage in range(len(STAGES)):
            formulation, solver = self._draft(at, stage), new_solver(self.budget.left)
            model = _asking(formulation, subset)
            if stage < len(STAGES) - 1:
                answer = self.budget.solve(solver, model)
                if answer is not Answer.BEST:
                    return Reply(answer, nothing)
        plain = model.clone()
        model.maximize(sum(formulation.asked))
        answer = self.budget.solve(solver, model, GROWING)
        if answer is Answer.UNDECIDED:
            answer = self.budget.solve(solver, plain)
        if answer in (Answer.BEST, Answer.FOUND):
            met = frozenset(
                requirement for requirement, asked in enumerate(formulation.asked) if solver.value(asked)
            )
            return Reply(Answer.BEST, met)
        return Reply(answer, nothing)

    def _core_board(self, at: int, subset: frozenset[int]) -> Reply:
        answer = Answer.UNDECIDED
        for stage in range(len(STAGES)):
            formulation, solver = self._draft(at, stage), new_solver(self.budget.left)
            model = formulation.model.clone()
            model.add_assumptions([formulation.asked[requirement] for requirement in sorted(subset)])
            answer = self.budget.solve(solver, model)
            if answer is Answer.NONE:
                used = set(solver.sufficient_assumptions_for_infeasibility())
                return Reply(answer, frozenset(w for w in subset if formulation.asked[w].index in used))
            if answer is not Answer.BEST:
                break
        return Reply(answer, frozenset())


def _asking(formulation: Formulation, subset: frozenset[int]) -> cp_model.CpModel:
    model = formulation.model.clone()
    for requirement in sorted(subset):
        model.add(formulation.asked[requirement] == 1)
    return model


def conflict_of(problem: Problem, work: float, check_cancelled: Callable[[], None] = go_on) -> ModelConflict:
    """A smallest set of requirements that no placement within the spec's bounds meets together.

    What `check_cancelled` raises ends it.
    """
    requirements = joined_requirements(problem)
    oracle = Oracle(problem, requirements, WorkBudget(FOR_SMALLEST * work, check_cancelled))
    every = frozenset(range(len(requirements)))
    reply = oracle.ask(every)
    if reply.answer is Answer.NONE:
        reply = _smallest(oracle, every)
    if reply.answer is Answer.NONE:
        return _said(
            problem,
            ConflictAnswer.CONFLICT,
            [requirements[at] for at in sorted(reply.requirements)],
            True,
            True,
        )
    if reply.answer is Answer.UNDECIDED:
        oracle.budget.left += (1 - FOR_SMALLEST) * work
        reply = oracle.core(every)
    if reply.answer is not Answer.NONE:
        said = ConflictAnswer.UNDECIDED if reply.answer is Answer.UNDECIDED else ConflictAnswer.FEASIBLE
        return _said(problem, said, [], False, False)
    core, irreducible = _thinned(oracle, reply.requirements)
    return _said(
        problem, ConflictAnswer.CONFLICT, [requirements[at] for at in sorted(core)], irreducible, False
    )


def _said(
    problem: Problem, said: ConflictAnswer, requirements: list[Requirement], irreducible: bool, smallest: bool
) -> ModelConflict:
    return ModelConflict(said, tuple(requirements), irreducible, smallest, over(problem))


def _smallest(oracle: Oracle, every: frozenset[int]) -> Reply:
    """A smallest conflict of requirements that cannot all be met."""
    missed: list[frozenset[int]] = []
    while True:
        hitting = _least_hitting(missed, len(every))
        reply = oracle.ask(hitting)
        if reply.answer is not Answer.BEST:
            return Reply(reply.answer, hitting)
        missed.append(every - reply.requirements)


def _thinned(oracle: Oracle, core: frozenset[int]) -> tuple[frozenset[int], bool]:
    """Leave out of a conflict what can be; whether the rest is irreducible."""
    for requirement in sorted(core, reverse=True):
        if requirement in core:
            without = core - {requirement}
            if oracle.ask(without).answer is Answer.BEST:
                continue
            reply = oracle.core(without)
            if reply.answer is Answer.UNDECIDED:
                return core, False
            if reply.answer is Answer.NONE:
                core = reply.requirements
    return core, True


def _least_hitting(sets: list[frozenset[int]], size: int) -> frozenset[int]:
    """A smallest set that has something of every set."""
    model = cp_model.CpModel()
    takes = [model.new_bool_var(f"{at}") for at in range(size)]
    for one in sets:
        model.add_bool_or([takes[at] for at in sorted(one)])
    model.minimize(sum(takes))
    solver = new_solver(60.0)
    solver.solve(model)
    return frozenset(at for at, take in enumerate(takes) if solver.value(take))
