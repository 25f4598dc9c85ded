"""The search: from a spec to every circuit that meets it, and nothing beyond.

Steps go by rising number of extra parts, so that the first design found is the least. What is to be said of
the circuits found, and why there are none, are questions of their own (`app.answering`).
"""

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, replace
from typing import Protocol

from lampwright.errors import InputError
from lampwright.judge.judge import Judge
from lampwright.judge.minimality import Hinge, Winner
from lampwright.problem.problem import Problem
from lampwright.progress.bar import Progress
from lampwright.progress.watch import Watch
from lampwright.refute.rules import RULES
from lampwright.results.bound import Bound
from lampwright.results.ranking import VerdictKind
from lampwright.searching import shares
from lampwright.searching.bounding import find_bound, is_ruled_out, kept_bound
from lampwright.searching.cluster import ClusterExecutor
from lampwright.searching.evaluate import CheckCancelled
from lampwright.searching.executors import Executor, ProcessExecutor, SerialExecutor
from lampwright.searching.options import SearchOptions
from lampwright.searching.plan import Step, check_budget, most_choices, plan_steps
from lampwright.searching.step import StepContext, StepResult, take_step
from lampwright.searching.verdict import Done

ALL_RULES = (True,) * len(RULES)


class StoppedError(Exception):
    """The time is up."""


STOPS = (StoppedError, KeyboardInterrupt)
"""What ends a search before its end without taking what was found."""


class Keeper(Protocol):
    """Keeps finished pieces, and what the run is expected to be."""

    def known(self, name: str) -> str | None:
        """What is kept under a name, if anything."""

    def add(self, name: str, text: str) -> None:
        """Keep a finished piece."""

    def predict(self, planned: "Planned") -> None:
        """Note what is about to be searched."""


class Memory:
    """Keeps nothing: for a search whose result is only returned."""

    def known(self, name: str) -> str | None:
        """Nothing."""
        del name
        return None

    def add(self, name: str, text: str) -> None:
        """Let it go."""
        del name, text

    def predict(self, planned: "Planned") -> None:
        """Let it go."""
        del planned


@dataclass(frozen=True)
class Planned:
    """A search that fits its budget, ready to go: its steps, and the bound that rules some of them out."""

    problem: Problem
    judge: Judge
    steps: tuple[Step, ...]
    bound: Bound | None
    options: SearchOptions

    @property
    def listed(self) -> tuple[Step, ...]:
        """The steps that are to be listed."""
        return tuple(step for step in self.steps if not is_ruled_out(step, self.bound))

    @property
    def circuits(self) -> int:
        """How many circuits those have."""
        return sum(step.circuits for step in self.listed)


@dataclass(frozen=True)
class Searched:
    """What a search came to, its steps as far as they were taken; circuits as they were found, not ranked."""

    planned: Planned
    taken: tuple[StepResult, ...]

    @property
    def winners(self) -> tuple[Winner, ...]:
        """Every circuit that meets the spec."""
        return tuple(winner for step in self.taken for winner in step.winners)

    @property
    def hinges(self) -> tuple[Hinge, ...]:
        """The circuits that meet it with some fillings of their bulbs only."""
        return tuple(hinge for step in self.taken for hinge in step.hinges)

    @property
    def done(self) -> tuple[Done, ...]:
        """The counts of the steps."""
        return tuple(step.done() for step in self.taken)

    @property
    def kind(self) -> VerdictKind:
        """Whether it found something, found nothing to its end, or was stopped before."""
        if not all(step.finished for step in self.taken) or len(self.taken) < len(self.planned.steps):
            return "stopped"
        return "found" if self.winners else "none"


def plan_search(problem: Problem, options: SearchOptions) -> Planned:
    """The steps of a search. Raises InputError for one over its budget."""
    judge = Judge(problem)
    planned = Planned(problem, judge, plan_steps(judge, options.extra_parts), None, options)
    try:
        _check(planned)
    except InputError:
        if not options.bound:
            raise
        # a search over its budget may be within it once it starts at its bound
        planned = replace(planned, bound=find_bound(problem, planned.steps))
        _check(planned)
    return planned


def _check(planned: Planned) -> None:
    listed, file = planned.listed, f"{planned.problem.spec.name}.toml"
    check_budget(file, listed, most_choices(planned.judge, listed), planned.options.budget)


def _bounded(planned: Planned, keeper: Keeper, progress: Progress) -> Planned:
    """The search with its bound, if it has none yet and is to have one."""
    if planned.bound is not None or not planned.options.bound:
        return planned
    progress.stage("proving a least number of extra parts", 1)
    bound = kept_bound(planned.problem, planned.steps, keeper)
    progress.advance(1)
    return replace(planned, bound=bound)


def cancel_check(watch: Watch) -> CheckCancelled:
    """What raises StoppedError once the time is up."""

    def check_cancelled() -> None:
        if watch.is_over():
            raise StoppedError

    return check_cancelled


@contextmanager
def executor_for(planned: Planned, watch: Watch, enabled: tuple[bool, ...] = ALL_RULES) -> Iterator[Executor]:
    """The executor that the options ask for, dismissed whatever happens; enabled: the rules that may refute.

    Raises InputError for a scheduler that does not answer.
    """
    options, check_cancelled = planned.options, cancel_check(watch)
    executor: Executor
    if options.scheduler is not None:
        executor = ClusterExecutor(planned.problem, enabled, check_cancelled, options.scheduler)
    elif options.workers > 1 and planned.circuits > shares.WORTH_WORKERS:
        executor = ProcessExecutor(planned.problem, enabled, check_cancelled, options.workers)
    else:
        executor = SerialExecutor(planned.problem, enabled, check_cancelled)
    try:
        yield executor
    finally:
        executor.close()


def find(planned: Planned, executor: Executor, keeper: Keeper, progress: Progress) -> Searched:
    """Find every circuit; Ctrl-C and the time limit end the search, and what was found so far is kept."""
    taken: list[StepResult] = []
    context = StepContext(planned.judge, executor, keeper, progress)
    with suppress(*STOPS):
        planned = _bounded(planned, keeper, progress)
        keeper.predict(planned)
        for step in planned.steps:
            ruled_out = is_ruled_out(step, planned.bound)
            taken.append(StepResult(step, finished=ruled_out, ruled_out=ruled_out))
            if not ruled_out:
                take_step(context, taken[-1])
    # before anything is made of it: a stopped executor may be in the middle of something
    executor.close()
    return Searched(planned, tuple(taken))


def find_circuits(
    problem: Problem, options: SearchOptions, progress: Progress, enabled: tuple[bool, ...] = ALL_RULES
) -> Searched:
    """Find every circuit, keeping nothing on disk. Raises InputError as `search_problem` does."""
    planned = plan_search(problem, options)
    with executor_for(planned, Watch(options.time_limit), enabled) as executor:
        return find(planned, executor, Memory(), progress)
