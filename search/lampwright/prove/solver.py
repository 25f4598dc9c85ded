"""The constraint solver as everything here asks it: one worker, one seed, work and never a clock.

CP-SAT of OR-tools. With one worker, a fixed seed and a limit in its deterministic time
(counted operations, roughly seconds of one core) the same model gives the same answer on
any machine. Ctrl-C is left to Python, so that a stopped question stops the program and is
never taken for an answer.

    >>> from ortools.sat.python import cp_model
    >>> model, solver = cp_model.CpModel(), new_solver(1.0)
    >>> x = model.new_int_var(0, 9, "x")
    >>> _ = model.add(2 * x == 7)
    >>> solve(solver, model)
    <Answer.NONE: 'proved none'>
"""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor, wait
from enum import Enum
from math import inf

from ortools.sat.python import cp_model

SEED = 1

PATIENCE = 0.2
"""Seconds between two looks for an interruption."""

PER_CONSTRAINT = 3e-5
"""What it costs to build and read one constraint, in units of deterministic time; measured."""


class Answer(Enum):
    """What the solver said; only BEST and NONE are proofs.

    BEST: a solution, and none is better. FOUND: a solution, but the work ran out before it was
    proved best. NONE: there is no solution. UNDECIDED: the work ran out with nothing found.
    """

    BEST = "proved best"
    FOUND = "found"
    NONE = "proved none"
    UNDECIDED = "undecided"


def new_solver(work: float) -> cp_model.CpSolver:
    """A solver that gives up after so much work, in units of deterministic time."""
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = SEED
    solver.parameters.max_deterministic_time = work
    solver.parameters.catch_sigint_signal = False
    return solver


def go_on() -> None:
    """It is never time to stop."""


def solve(
    solver: cp_model.CpSolver, model: cp_model.CpModel, check_cancelled: Callable[[], None] = go_on
) -> Answer:
    """Put a model to a solver. Raises ValueError for a model that is none.

    What `check_cancelled` raises, Ctrl-C, and whatever else interrupts the caller, ends the question first
    and then goes on its way.
    """
    # in a thread of its own, since a signal is not answered before the solver's call comes back
    with ThreadPoolExecutor(1) as aside:
        asked = aside.submit(solver.solve, model)
        try:
            while not wait((asked,), timeout=PATIENCE).done:
                check_cancelled()
        except BaseException:
            solver.stop_search()
            raise
    status = asked.result()
    if status == cp_model.MODEL_INVALID:
        raise ValueError(f"this is no model: {model.validate()}")
    return {
        cp_model.OPTIMAL: Answer.BEST,
        cp_model.FEASIBLE: Answer.FOUND,
        cp_model.INFEASIBLE: Answer.NONE,
    }.get(status, Answer.UNDECIDED)


class WorkBudget:
    """Work that may still be spent, in units of deterministic time."""

    def __init__(self, work: float, check_cancelled: Callable[[], None] = go_on) -> None:
        """Start with so much; what `check_cancelled` raises ends it all."""
        self.left, self.check_cancelled = work, check_cancelled

    def solve(self, solver: cp_model.CpSolver, model: cp_model.CpModel, most: float = inf) -> Answer:
        """Put a model to a solver for what is left, at the most `most`, and pay for it."""
        self.check_cancelled()
        if self.left <= 0.0:
            return Answer.UNDECIDED
        solver.parameters.max_deterministic_time = min(self.left, most)
        answer = solve(solver, model, self.check_cancelled)
        self.left -= solver.deterministic_time + PER_CONSTRAINT * len(model.proto.constraints)
        return answer
