"""Trying a changed spec: whether some circuit meets it, and which meets it best.

A trial takes the search's own stages (list, refute, screen, group, minimal, corners) over the
changed spec, fewest extra parts first, and ends at the first number of extra parts that will
do. Its work is counted and not timed, so that every machine tries the same: circuits listed, and
pairs of circuit and choice screened. Where a whole search would take more than is left, the
circuits that came nearest to the spec as it was are tried with every choice of the changed one.
"""

from collections import Counter
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from math import prod
from typing import Literal

from lampwright.diagnosis.survey import TooMuchError
from lampwright.judge.judge import Judge
from lampwright.judge.minimality import (
    DECIMALS,
    CircuitGroup,
    MinimalityFilter,
    Passing,
    Screened,
    Winner,
    circuit_key,
    fits_coupling,
    group_drawings,
)
from lampwright.network.netlist import Netlist
from lampwright.problem.problem import Choice, Problem, choice_of, fit_of, prepare
from lampwright.refute.rules import RULES
from lampwright.searching.evaluate import AT_ONCE, CheckCancelled, ShareEvaluator, go_on, shares_of
from lampwright.searching.plan import Step, plan_steps
from lampwright.spec.revise import Revision

ALLOWANCE = 600_000
"""Circuits listed and pairs screened that each kind of change may take; what is left goes to the next."""

MOST_PER_TRIAL = 400_000
"""Of that, what one trial may take."""

MOST_NEAR_TRIALS = 40
"""So many trials of near circuits alone are made for nothing where the work is used up."""

MOST_CHOICES = 100_000
"""Circuits with more choices of types and values than this are not tried."""

SHARE_SIZE = 100_000
"""About how many circuits are listed before the work is counted."""

BLOCKS = 8
"""More blocks than a share of that size is listed in, with a chunk of pairs for each."""

PER_TRIAL, PER_TYPE = 20_000, 3_000
"""What it costs to make a spec ready, and every type in it, in circuits listed."""

MOST_WEIGHED, MOST_JUDGED = 2_000, 150
"""Pairs of circuit and choice weighed with nominal parts, and judged at every corner, for the best one."""

MOST_CHOICES_NEAR = 200_000
"""Choices of types and values tried on all near circuits together."""

Near = Sequence[tuple[Netlist, Choice]]

Reach = Literal["all", "added", "near"]
"""What a trial lists: all circuits, only those that the change adds, or none but the near ones."""


@dataclass
class TrialBudget:
    """The work that is left."""

    left: int = 0

    def spend(self, work: int) -> None:
        """Take from it. Raises TooMuchError, and is empty, where there is not so much."""
        self.left -= work
        if self.left < 0:
            self.left = 0
            raise TooMuchError

    def holds(self, work: int) -> bool:
        """Whether there is so much."""
        return work <= self.left


@dataclass(frozen=True, eq=False)
class Trial:
    """What came of trying a revision.

    groups: the circuits that passed screening where some circuit passed, the first that did
    first; none where none did. whole: everything was tried that might pass sooner. listed:
    how many circuits were; planned: how many there are within reach. near: how many near
    circuits were tried because more were too many.
    """

    revision: Revision
    judge: Judge
    reach: Reach
    groups: tuple[CircuitGroup, ...] = ()
    whole: bool = False
    listed: int = 0
    planned: int = 0
    near: int = 0

    @property
    def passed(self) -> bool:
        """Whether some circuit passed."""
        return bool(self.groups)


@dataclass(frozen=True)
class Weighed:
    """A choice for one of a trial's groups.

    sort: to which sort it belongs. margin: for nominal parts [stops], so at least that in full.
    """

    group: int
    choice: Choice
    sort: int
    margin: float


@dataclass(frozen=True)
class MeetingCircuit:
    """A circuit that meets a changed spec, with one choice."""

    trial: Trial
    winner: Winner

    @property
    def margin(self) -> float:
        """Its margin [stops]."""
        return self.winner.passing[0].margin


class _Meter:
    """Counts an evaluator's calls: a share lists in a few blocks, further calls are pairs screened."""

    def __init__(self, check_cancelled: CheckCancelled) -> None:
        self._left = 0
        self._check_cancelled = check_cancelled

    def begin_share(self, work: int) -> None:
        """A share may take about so much work."""
        self._left = BLOCKS + work // AT_ONCE

    def __call__(self) -> None:
        """Raises TooMuchError where the share has taken it."""
        self._check_cancelled()
        self._left -= 1
        if self._left < 0:
            raise TooMuchError


class Trier:
    """Tries revisions of one spec."""

    def __init__(
        self, problem: Problem, near: Near, most_extra: int | None, check_cancelled: CheckCancelled = go_on
    ) -> None:
        """near: the circuits that came nearest. most_extra, check_cancelled: as the search's."""
        self.problem, self.most_extra, self.check_cancelled = problem, most_extra, check_cancelled
        self.near = tuple(near)
        self.budget = TrialBudget()
        self._near = tuple({circuit_key(netlist, problem.layout): netlist for netlist, _ in near}.values())
        self._free = MOST_NEAR_TRIALS
        steps = plan_steps(Judge(problem), most_extra)
        self.circuits = sum(step.circuits for step in steps)
        self._known = frozenset(placing for step in steps for placing in step.orbits)

    def try_out(self, revision: Revision, reach: Reach = "all", more_extra: int = 0) -> Trial:
        """Try a revision, with more extra parts, if need be, than the search was asked for."""
        cost = PER_TRIAL + PER_TYPE * sum(len(lamp.choose) for lamp in revision.spec.lamps)
        own = TrialBudget(min(self.budget.left, MOST_PER_TRIAL))
        if own.left < cost:
            self._free -= 1
            if reach == "added" or self._free < 0:
                return Trial(revision, Judge(self.problem), reach)
            own = TrialBudget(cost)
        before = own.left
        own.spend(cost)
        minimality = MinimalityFilter(Judge(prepare(revision.spec)))
        try:
            return self._tried(revision, reach, more_extra, minimality, own)
        finally:
            self.budget.left = max(0, self.budget.left - before + own.left)

    def _tried(
        self,
        revision: Revision,
        reach: Reach,
        more_extra: int,
        minimality: MinimalityFilter,
        own: TrialBudget,
    ) -> Trial:
        most = None if self.most_extra is None else self.most_extra + more_extra
        steps = plan_steps(minimality.judge, most)
        if reach == "added":
            steps = tuple(self._without_known(step) for step in steps)
        listed, ended = 0, False
        groups: tuple[CircuitGroup, ...] = ()
        if reach != "near":
            meter = _Meter(self.check_cancelled)
            evaluator = ShareEvaluator(minimality.judge.problem, (True,) * len(RULES), meter)
            with suppress(TooMuchError):
                for step in steps:
                    groups = self._passing(self._screened(step, evaluator, meter, own), minimality)
                    listed += step.circuits
                    if groups:
                        break
                ended = True
        planned = sum(step.circuits for step in steps)
        trial = Trial(revision, minimality.judge, reach, groups, whole=ended, listed=listed, planned=planned)
        if ended or reach == "added":  # near circuits would pass no sooner than before
            return trial
        return replace(trial, groups=self._of_near(minimality), near=len(self._near))

    def _without_known(self, step: Step) -> Step:
        left = {placing: number for placing, number in step.orbits.items() if placing not in self._known}
        return replace(step, orbits=left)

    def _screened(
        self, step: Step, evaluator: ShareEvaluator, meter: _Meter, own: TrialBudget
    ) -> list[Screened]:
        """The circuits of a step that pass screening. Raises TooMuchError."""
        problem = evaluator.problem
        if not own.holds(step.circuits):
            raise TooMuchError
        screened: list[Screened] = []
        for share in shares_of((step,), SHARE_SIZE):
            if _choices(problem, share.placing.cell.arcs, share.placing.cell.links) > MOST_CHOICES:
                raise TooMuchError
            meter.begin_share(own.left)
            catch = evaluator.take(share)
            own.spend(catch.tally.listed + catch.tally.pairs)
            screened.extend(one for one in catch.screened if fits_coupling(one.netlist, problem))
        return screened

    def _of_near(self, minimality: MinimalityFilter) -> tuple[CircuitGroup, ...]:
        """The near circuits that pass, those with the fewest extra parts."""
        problem = minimality.judge.problem
        screened: list[Screened] = []
        left = MOST_CHOICES_NEAR
        for netlist in self._near:
            left -= _choices(problem, netlist.diodes, netlist.resistors)
            if left >= 0 and fits_coupling(netlist, problem):
                numbers = minimality.screen_one(netlist)
                screened.extend([Screened(netlist, numbers)] if numbers else [])
        for extra in sorted({one.netlist.extra_parts for one in screened}):
            groups = self._passing([one for one in screened if one.netlist.extra_parts == extra], minimality)
            if groups:
                return groups
        return ()

    def _passing(self, screened: list[Screened], minimality: MinimalityFilter) -> tuple[CircuitGroup, ...]:
        """The circuits from the first that passes on; none where none passes."""
        groups = group_drawings(screened, minimality.judge)
        for at, group in enumerate(groups):
            self.check_cancelled()
            first = group.drawings[0]
            fit = fit_of(minimality.judge.problem, first.diodes, first.resistors)
            passes = any(minimality.judge.meets(first, choice_of(number, fit)) for number in group.choices)
            if passes and minimality.is_minimal(first):
                return groups[at:]
        return ()


def _choices(problem: Problem, diodes: int, resistors: int) -> int:
    lamps = prod(len(types) for types in problem.part_options.lamp_types)
    return int(
        lamps * len(problem.part_options.diode_types) ** diodes * len(problem.part_options.ohms) ** resistors
    )


Sort = Callable[[Netlist, Choice], int | None]
"""The sort to which a choice for a circuit belongs; None for those of no interest."""


def _all_one(netlist: Netlist, choice: Choice) -> int:
    del netlist, choice
    return 0


def weigh(trial: Trial, sort: Sort = _all_one, sorts: int = 1) -> tuple[Weighed, ...]:
    """Choices that passed screening with their margins for nominal parts, greatest first.

    Of each sort as many as may be weighed, in order of the circuits.
    """
    weighed: list[Weighed] = []
    taken: Counter[int] = Counter()
    for at, group in enumerate(trial.groups):
        first = group.drawings[0]
        fit = fit_of(trial.judge.problem, first.diodes, first.resistors)
        for number in group.choices:
            choice = choice_of(number, fit)
            kind = sort(first, choice)
            if kind is None or taken[kind] >= MOST_WEIGHED // sorts:
                continue
            taken[kind] += 1
            one = fit._replace(digits=fit.digits[number : number + 1])
            margin = trial.judge.judge_fit(first, one, len(first.ends)).margin
            weighed.append(Weighed(at, choice, kind, margin))
    return tuple(sorted(weighed, key=lambda one: (-one.margin, one.group, one.choice.digits)))


def best_of(trial: Trial, weighed: Sequence[Weighed]) -> MeetingCircuit | None:
    """Of these choices the one with the greatest margin at all corners; None where none passes."""
    minimality = MinimalityFilter(trial.judge)
    found: list[tuple[float, int, tuple[int, ...], float]] = []
    for one in weighed[:MOST_JUDGED]:
        if found and one.margin < found[0][3] - 10.0**-DECIMALS:
            break
        first = trial.groups[one.group].drawings[0]
        judgement = trial.judge.judge(first, one.choice)
        if judgement.met and minimality.is_minimal(first):
            rounded = -round(judgement.margin, DECIMALS)
            found = [min([*found, (rounded, one.group, one.choice.digits, judgement.margin)])]
    if not found:
        return None
    _, at, digits, margin = found[0]
    group = trial.groups[at]
    passing = (Passing(Choice(digits), margin),)
    return MeetingCircuit(trial, Winner(group.drawings[0], passing, group.drawings[1:], group.conductors))


def best(trial: Trial) -> MeetingCircuit | None:
    """The circuit and choice with the greatest margin; None where none passes."""
    return best_of(trial, weigh(trial))
