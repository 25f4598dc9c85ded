"""The search: from a spec to every circuit that meets it, and nothing beyond.

Steps go by rising number of extra parts, so that the first design found is the least; each is cut
into shares, and what passed into batches. Every finished piece goes to the keeper at once; what the
keeper already has is not done again. Pieces may come back in any order: what they bring is put in a
fixed order before it is used, so neither chance nor the number of workers shows in the result. What
is to be said of the circuits found, and why there are none, are questions of their own
(`app.answering`).

Where extra parts are allowed, a least number of them is proved before anything is listed. That takes
work and no clock, so that another machine has the same; it is kept with the pieces of the search.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field, replace
from itertools import chain

import msgspec
import numpy as np
from numpy.typing import NDArray

from lampwright.errors import InputError
from lampwright.judge.judge import Judge
from lampwright.judge.minimality import (
    CircuitGroup,
    Hinge,
    Screened,
    Winner,
    circuit_key,
    fits_coupling,
    group_drawings,
)
from lampwright.network.layout import Placing
from lampwright.network.netlist import Netlist
from lampwright.problem.problem import Choice, Problem
from lampwright.progress.bar import Progress
from lampwright.progress.watch import Watch
from lampwright.refute.rules import RULES
from lampwright.results.ranking import Bound, VerdictKind
from lampwright.searching import shares
from lampwright.searching.evaluate import (
    CellShare,
    CheckCancelled,
    ShareResult,
    Tally,
    go_on,
    placed,
    shares_of,
)
from lampwright.searching.executors import Executor, ProcessExecutor, SerialExecutor
from lampwright.searching.options import SearchOptions
from lampwright.searching.plan import Step, check_budget, most_choices, plan_steps
from lampwright.searching.records import product_text, read_product, record_name

ALL_RULES = (True,) * len(RULES)

BOUND_WORK = 10.0
"""Most work for a bound, in the solver's own count: about as many seconds of one core."""

BOUND_NAME = "bound"

SOONER_LISTED = 1_000_000
"""So many circuits without extra parts are listed first: where one will do there is no bound to prove."""


class StoppedError(Exception):
    """The time is up."""


STOPS = (StoppedError, KeyboardInterrupt)
"""What ends a search before its end without taking what was found."""


@dataclass(frozen=True)
class Nonstandard:
    """A circuit that meets the spec with ohms that are not listed: its types, and ohms that do.

    way: the number of the way in which the spec is taken.
    """

    group: CircuitGroup
    choice: Choice
    ohms: tuple[float, ...]
    way: int = 0


@dataclass
class StepResult:
    """What a step has come to so far; filled as it goes, so that a stop loses nothing.

    decided: whether its circuits were decided for every resistance of the range, which is asked only while
    there is no design; refused_in_range, undecided: how many then were refused, or neither, after solving;
    nonstandard: those that work with values that are not listed. crowded: how many circuits with resistors
    take more conductors than the spec allows, whatever their values. finished: every share was taken
    and judged, or the bound rules the step out. times: in how many ways of the spec each circuit is listed.
    """

    step: Step
    tally: Tally = field(default_factory=Tally)
    screened: int = 0
    within_coupling: int = 0
    grouped: int = 0
    minimal: int = 0
    winners: tuple[Winner, ...] = ()
    hinges: tuple[Hinge, ...] = ()
    decided: bool = False
    crowded: int = 0
    refused_in_range: int = 0
    undecided: int = 0
    nonstandard: tuple[Nonstandard, ...] = ()
    finished: bool = False
    ruled_out: bool = False
    times: int = 1

    @property
    def circuits(self) -> int:
        """How many circuits there are to list, each as often as it is listed."""
        return self.step.circuits * self.times


@dataclass(frozen=True)
class Search:
    """A search that fits its budget, and what it came to: its steps as far as they were taken.

    bound: rules some of the steps out; None where there is none, or none yet.
    """

    judge: Judge
    steps: tuple[Step, ...]
    options: SearchOptions
    bound: Bound | None = None
    taken: tuple[StepResult, ...] = ()

    @property
    def problem(self) -> Problem:
        """What is searched for."""
        return self.judge.problem

    @property
    def listed(self) -> tuple[Step, ...]:
        """The steps that are to be listed."""
        return tuple(step for step in self.steps if not is_ruled_out(step, self.bound))

    @property
    def circuits(self) -> int:
        """How many circuits those have."""
        return sum(step.circuits for step in self.listed)

    @property
    def winners(self) -> tuple[Winner, ...]:
        """Every circuit that meets the spec, as they were found."""
        return tuple(winner for step in self.taken for winner in step.winners)

    @property
    def hinges(self) -> tuple[Hinge, ...]:
        """The circuits that meet it with some fillings of their bulbs only."""
        return tuple(hinge for step in self.taken for hinge in step.hinges)

    @property
    def nonstandard(self) -> tuple[Nonstandard, ...]:
        """The circuits that meet it with resistances that are not listed only."""
        return tuple(one for step in self.taken for one in step.nonstandard)

    @property
    def kind(self) -> VerdictKind:
        """Whether it found something, found nothing to its end, or was stopped before."""
        if not all(step.finished for step in self.taken) or len(self.taken) < len(self.steps):
            return "stopped"
        return "found" if self.winners else "none"


@dataclass(frozen=True)
class Keeper:
    """Where finished pieces are kept; as it stands, nowhere, for a search whose result is only returned.

    known: what was kept before, by name. add: keeps a finished piece. predict: notes what is about
    to be searched. show: is shown each circuit that meets the spec, as it is found.
    """

    known: Mapping[str, str] = field(default_factory=dict)
    add: Callable[[str, str], None] = lambda _name, _text: None
    predict: Callable[[Search], None] = lambda _search: None
    show: Callable[[Judge, Winner], None] = lambda _judge, _winner: None


@dataclass(frozen=True)
class StepContext:
    """What does the work of every step, keeps it and tells of it."""

    judge: Judge
    executor: Executor
    keeper: Keeper
    progress: Progress


def plan_search(problem: Problem, options: SearchOptions) -> Search:
    """The steps of a search. Raises InputError for one over its budget."""
    return plan_searches((problem,), options)[0]


def plan_searches(
    problems: Sequence[Problem], options: SearchOptions, check_cancelled: CheckCancelled = go_on
) -> tuple[Search, ...]:
    """The same for problems that differ in nothing but what they ask; the budget is for all together.

    What `check_cancelled` raises leaves them without bounds, and so over their budget.
    """
    judges = [Judge(problem) for problem in problems]
    steps = plan_steps(judges[0], options.extra_parts)
    searches = [Search(judge, steps, options) for judge in judges]
    try:
        _check(searches)
    except InputError:
        if not options.bound:
            raise
        # searches over their budget may be within it once they start at their bounds
        with suppress(StoppedError):
            bounds = [find_bound(search.problem, steps, check_cancelled) for search in searches]
            searches = [replace(one, bound=bound) for one, bound in zip(searches, bounds, strict=True)]
        _check(searches)
    return tuple(searches)


def _check(searches: Sequence[Search]) -> None:
    first, listed = searches[0], tuple(step for search in searches for step in search.listed)
    choices = most_choices(first.judge, listed)
    check_budget(f"{first.problem.spec.name}.toml", listed, choices, first.options.budget, len(searches))


def find_bound(
    problem: Problem,
    steps: tuple[Step, ...],
    check_cancelled: CheckCancelled = go_on,
    is_nought: bool = False,
) -> Bound | None:
    """Ask the constraint model for the extra parts of these steps; None where none are allowed.

    is_nought: some circuit without extra parts meets the spec, so that there is nothing to ask.
    """
    most = max((step.extra_parts for step in steps), default=0)
    if most == 0:
        return None
    # the solver is imported with the first question, so that searches without one start at once
    from lampwright.prove.bound import bound_at_nought, bound_of

    return bound_at_nought(problem) if is_nought else bound_of(problem, most, BOUND_WORK, check_cancelled)


def kept_bound(
    problem: Problem,
    steps: tuple[Step, ...],
    keeper: Keeper,
    check_cancelled: CheckCancelled = go_on,
    is_nought: bool = False,
) -> Bound | None:
    """The bound of these steps, from the keeper if it has it; None where no extra parts are allowed.

    is_nought: some circuit without extra parts meets the spec.
    """
    known = keeper.known.get(BOUND_NAME)
    if known is not None:
        return msgspec.json.decode(known, type=Bound)
    bound = find_bound(problem, steps, check_cancelled, is_nought)
    if bound is not None:
        keeper.add(BOUND_NAME, msgspec.json.encode(bound).decode())
    return bound


def is_ruled_out(step: Step, bound: Bound | None) -> bool:
    """Whether no circuit of a step can meet the spec."""
    return bound is not None and (bound.none_at_all or step.extra_parts < bound.least_extra_parts)


def cancel_check(watch: Watch) -> CheckCancelled:
    """What raises StoppedError once the time is up."""

    def check_cancelled() -> None:
        if watch.is_over():
            raise StoppedError

    return check_cancelled


@contextmanager
def executor_for(search: Search, watch: Watch, enabled: tuple[bool, ...] = ALL_RULES) -> Iterator[Executor]:
    """The executor that the options ask for, dismissed whatever happens; enabled: the rules that may refute.

    Raises InputError for a scheduler that does not answer.
    """
    options, check_cancelled = search.options, cancel_check(watch)
    executor: Executor
    if options.scheduler is not None:
        from lampwright.searching.cluster import ClusterExecutor

        executor = ClusterExecutor(search.problem, enabled, check_cancelled, options.scheduler)
    elif options.workers > 1 and search.circuits > shares.WORTH_WORKERS:
        executor = ProcessExecutor(search.problem, enabled, check_cancelled, options.workers)
    else:
        executor = SerialExecutor(search.problem, enabled, check_cancelled)
    try:
        yield executor
    finally:
        executor.close()


def find(
    search: Search, executor: Executor, keeper: Keeper, progress: Progress, bound_from: int = 0
) -> Search:
    """Find every circuit; Ctrl-C and the time limit end the search, and what was found so far is kept.

    bound_from: a search of fewer circuits goes without a bound, as listing them is sooner done.
    """
    taken: list[StepResult] = []
    context = StepContext(search.judge, executor, keeper, progress)
    with suppress(*STOPS):
        if search.bound is None and search.options.bound and search.circuits >= bound_from:
            if _begins_unbounded(search, keeper):
                taken.append(StepResult(search.steps[0]))
                take_step(context, taken[0], decide=True)
            progress.stage("proving a least number of extra parts", 1)
            is_nought = any(done.winners for done in taken)
            bound = kept_bound(search.problem, search.steps, keeper, executor.check_cancelled, is_nought)
            search = replace(search, bound=bound)
            progress.advance(1)
        keeper.predict(search)
        if is_ruled_out(search.steps[0], search.bound):
            taken.clear()
        for step in search.steps[len(taken) :]:
            ruled_out = is_ruled_out(step, search.bound)
            taken.append(StepResult(step, finished=ruled_out, ruled_out=ruled_out))
            if not ruled_out:
                settled = any(done.winners or done.nonstandard for done in taken)
                take_step(context, taken[-1], decide=not settled)
    # before anything is made of it: a stopped executor may be in the middle of something
    executor.close()
    return replace(search, taken=tuple(taken))


def _begins_unbounded(search: Search, keeper: Keeper) -> bool:
    """Whether the circuits without extra parts are sooner listed than bounded: one of them may do."""
    first, *others = search.steps
    few = first.circuits <= SOONER_LISTED and search.circuits <= shares.WORTH_WORKERS
    return few and first.extra_parts == 0 and others != [] and BOUND_NAME not in keeper.known


def find_circuits(
    problem: Problem,
    options: SearchOptions,
    progress: Progress,
    enabled: tuple[bool, ...] = ALL_RULES,
    bound_from: int = 0,
) -> Search:
    """Find every circuit, keeping nothing on disk. Raises InputError as `search_problem` does."""
    search = plan_search(problem, options)
    with executor_for(search, Watch(options.time_limit), enabled) as executor:
        return find(search, executor, Keeper(), progress, bound_from)


def take_step(context: StepContext, found: StepResult, *, decide: bool) -> None:
    """Take one step; what the executor raises to stop it leaves the findings so far.

    decide: whether circuits without a design are to be decided for every resistance, if no other has one.
    """
    extra, progress = found.step.extra_parts, context.progress
    progress.stage(f"listing and solving, {extra} extra part{'s' * (extra != 1)}", found.step.circuits)
    problem = context.judge.problem
    screened: list[Screened] = []
    still_open: list[tuple[Placing, NDArray[np.int8]]] = []
    for share, result in _products(context, extra, tuple(shares_of((found.step,), shares.SHARE_SIZE))):
        assert isinstance(share, CellShare), "shares alone were given out"
        assert isinstance(result, ShareResult), "a share has a result"
        progress.advance(result.tally.listed)
        found.tally = found.tally.plus(result.tally)
        found.screened += len(result.screened)
        screened.extend(result.screened)
        still_open.append((share.placing, result.open))
    check_cancelled = context.executor.check_cancelled
    coupled = [one for one in screened if fits_coupling(one.netlist, problem)]
    found.within_coupling = len(coupled)
    if problem.spec.place.most_conductors is not None:
        listed = chain((one.netlist for one in screened), _netlists(still_open))
        found.crowded = sum(one.resistors > 0 and not fits_coupling(one, problem) for one in listed)
    groups = group_drawings(coupled, context.judge, check_cancelled)
    found.grouped = len(groups)
    progress.stage("judging at every corner", len(groups))
    failed: list[CircuitGroup] = []
    for piece, batch in _products(context, extra, shares.batches_of(groups)):
        assert isinstance(piece, tuple), "batches alone were given out"
        assert isinstance(batch, tuple), "a batch has judgements"
        progress.advance(len(batch))
        failed.extend(group for group, judged in zip(piece, batch, strict=True) if judged.is_open)
        found.minimal += sum(judged.minimal for judged in batch)
        for winner in (judged.winner for judged in batch if judged.winner is not None):
            found.winners += (winner,)
            context.keeper.show(context.judge, winner)
        found.hinges += tuple(judged.hinge for judged in batch if judged.hinge is not None)
    if decide and not found.winners:
        within = [one for one in _netlists(still_open) if fits_coupling(one, problem)]
        _decide(context, found, groups, failed, within)
    found.finished = True


def _netlists(listed: Iterable[tuple[Placing, NDArray[np.int8]]]) -> Iterator[Netlist]:
    """Circuits of some cells, whose ends (circuits, parts, 2) come cell by cell, one by one."""
    return (placed(placing, ends) for placing, some in listed for ends in some)


def _decide(
    context: StepContext,
    found: StepResult,
    groups: Sequence[CircuitGroup],
    failed: Sequence[CircuitGroup],
    still_open: Sequence[Netlist],
) -> None:
    """Decide for every resistance of the range what becomes of the circuits that no listed value suits.

    groups: all that passed screening; failed: those of them that miss the spec at a corner; still_open: those
    that no listed value got so far.
    """
    judge, progress, extra = context.judge, context.progress, found.step.extra_parts
    keys = {circuit_key(group.drawings[0], judge.problem.layout) for group in groups}
    check_cancelled = context.executor.check_cancelled
    others = group_drawings((Screened(one, ()) for one in still_open), judge, check_cancelled)
    others = tuple(one for one in others if circuit_key(one.drawings[0], judge.problem.layout) not in keys)
    left = [*(group for group in failed if group.drawings[0].resistors), *others]
    # judgements come back in any order, and batches must not
    left.sort(key=lambda group: group.drawings[0].form)
    progress.stage("deciding for every resistance", len(left))
    batches = tuple(shares.RangeBatch(batch) for batch in shares.batches_of(left))
    for piece, product in _products(context, extra, batches):
        assert isinstance(piece, shares.RangeBatch), "range batches alone were given out"
        assert isinstance(product, shares.RangeOutcomes), "a range batch has outcomes"
        progress.advance(len(product.outcomes))
        for group, outcome in zip(piece.groups, product.outcomes, strict=True):
            if outcome.choice is not None:
                found.nonstandard += (Nonstandard(group, outcome.choice, outcome.ohms),)
            elif outcome.decision == "refused":
                found.refused_in_range += len(group.drawings)
            else:
                found.undecided += len(group.drawings)
    found.decided = True


def _products(
    context: StepContext, extra_parts: int, pieces: Sequence[shares.Piece]
) -> Iterator[tuple[shares.Piece, shares.Product]]:
    """These pieces of a step and what they bring: first what is kept, then the rest as it is done."""
    left: list[tuple[str, shares.Piece]] = []
    for number, piece in enumerate(pieces):
        name = record_name(extra_parts, number, piece)
        kept = context.keeper.known.get(name)
        if kept is None:
            left.append((name, piece))
        else:
            yield piece, read_product(kept, piece)
    for place, product in context.executor.products([piece for _, piece in left]):
        context.keeper.add(left[place][0], product_text(product))
        yield left[place][1], product
