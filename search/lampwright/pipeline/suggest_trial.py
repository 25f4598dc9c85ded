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

from lampwright.network.embed import Embedding
from lampwright.network.zones import conductors
from lampwright.pipeline.hunt import AT_ONCE, Hunter, Mind, Share, go_on
from lampwright.pipeline.plan import Step, plan_steps
from lampwright.rank.group import circuit_key
from lampwright.rank.judge import Judge
from lampwright.rank.study import Choice, Study, choice_of, fit_of, prepare
from lampwright.rank.winnow import DECIMALS, Group, Passing, Screened, Winner, Winnower, group_drawings
from lampwright.refute.rules import RULES
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

Near = Sequence[tuple[Embedding, Choice]]

Reach = Literal["all", "added", "near"]
"""What a trial lists: all circuits, only those that the change adds, or none but the near ones."""


class TooMuchError(Exception):
    """The work allowed does not suffice."""


@dataclass
class Purse:
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
    groups: tuple[Group, ...]
    reach: Reach
    whole: bool
    listed: int
    planned: int
    near: int

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
class Found:
    """A circuit that meets a changed spec, with one choice."""

    trial: Trial
    winner: Winner

    @property
    def margin(self) -> float:
        """Its margin [stops]."""
        return self.winner.passing[0].margin


class _Meter:
    """Counts a hunter's calls: a share lists in a few blocks, each further call is some pairs screened."""

    def __init__(self, mind: Mind) -> None:
        self._left = 0
        self._mind = mind

    def begin_share(self, work: int) -> None:
        """A share may take about so much work."""
        self._left = BLOCKS + work // AT_ONCE

    def __call__(self) -> None:
        """Raises TooMuchError where the share has taken it."""
        self._mind()
        self._left -= 1
        if self._left < 0:
            raise TooMuchError


class Trier:
    """Tries revisions of one spec."""

    def __init__(self, study: Study, near: Near, most_extra: int | None, mind: Mind = go_on) -> None:
        """near: the circuits that came nearest. most_extra: as the search's. mind: raises to stop."""
        self.study, self.most_extra, self.mind = study, most_extra, mind
        self.near = tuple(near)
        self.purse = Purse()
        self._near = tuple(
            {circuit_key(embedding, study.layout): embedding for embedding, _ in near}.values()
        )
        self._free = MOST_NEAR_TRIALS
        steps = plan_steps(Judge(study), most_extra)
        self.circuits = sum(step.circuits for step in steps)
        self._known = frozenset(placing for step in steps for placing in step.placings)

    def try_out(self, revision: Revision, reach: Reach = "all", more_extra: int = 0) -> Trial:
        """Try a revision, with so many more extra parts than the search was asked for."""
        cost = PER_TRIAL + PER_TYPE * sum(len(lamp.choose) for lamp in revision.spec.lamps)
        own = Purse(min(self.purse.left, MOST_PER_TRIAL))
        if own.left < cost:
            self._free -= 1
            if reach == "added" or self._free < 0:
                return Trial(revision, Judge(self.study), (), reach, False, 0, 0, 0)
            own = Purse(cost)
        before = own.left
        own.spend(cost)
        winnower = Winnower(Judge(prepare(revision.spec)))
        try:
            return self._tried(revision, reach, more_extra, winnower, own)
        finally:
            self.purse.left = max(0, self.purse.left - before + own.left)

    def _tried(
        self, revision: Revision, reach: Reach, more_extra: int, winnower: Winnower, own: Purse
    ) -> Trial:
        most = None if self.most_extra is None else self.most_extra + more_extra
        steps = plan_steps(winnower.judge, most)
        if reach == "added":
            steps = tuple(self._without_known(step) for step in steps)
        planned = sum(step.circuits for step in steps)
        listed, ended = 0, False
        groups: tuple[Group, ...] = ()
        if reach != "near":
            meter = _Meter(self.mind)
            hunter = Hunter(winnower.judge.study, (True,) * len(RULES), meter)
            with suppress(TooMuchError):
                for step in steps:
                    groups = self._passing(self._screened(step, hunter, meter, own), winnower)
                    listed += step.circuits
                    if groups:
                        break
                ended = True
        if ended or reach == "added":  # near circuits would pass no sooner than before
            return Trial(revision, winnower.judge, groups, reach, ended, listed, planned, 0)
        groups = self._of_near(winnower)
        return Trial(revision, winnower.judge, groups, reach, False, listed, planned, len(self._near))

    def _without_known(self, step: Step) -> Step:
        left = [
            (placing, circuits)
            for placing, circuits in zip(step.placings, step.orbits, strict=True)
            if placing not in self._known
        ]
        return replace(step, placings=tuple(p for p, _ in left), orbits=tuple(n for _, n in left))

    def _screened(self, step: Step, hunter: Hunter, meter: _Meter, own: Purse) -> list[Screened]:
        """The circuits of a step that pass screening. Raises TooMuchError."""
        study = hunter.study
        if not own.holds(step.circuits):
            raise TooMuchError
        screened: list[Screened] = []
        for placing, circuits in zip(step.placings, step.orbits, strict=True):
            if circuits and _choices(study, placing.cell.arcs, placing.cell.links) > MOST_CHOICES:
                raise TooMuchError
            count = 1 + circuits // SHARE_SIZE
            for at in range(count if circuits else 0):
                meter.begin_share(own.left)
                catch = hunter.take(Share(placing, at, count))
                own.spend(catch.tally.listed + catch.tally.pairs)
                screened.extend(one for one in catch.screened if _fits_coupling(one.embedding, study))
        return screened

    def _of_near(self, winnower: Winnower) -> tuple[Group, ...]:
        """The near circuits that pass, those with the fewest extra parts."""
        study = winnower.judge.study
        screened: list[Screened] = []
        left = MOST_CHOICES_NEAR
        for embedding in self._near:
            left -= _choices(study, embedding.diodes, embedding.resistors)
            if left >= 0 and _fits_coupling(embedding, study):
                numbers = winnower.screen_one(embedding)
                screened.extend([Screened(embedding, numbers)] if numbers else [])
        for extra in sorted({one.embedding.extra_parts for one in screened}):
            groups = self._passing([one for one in screened if one.embedding.extra_parts == extra], winnower)
            if groups:
                return groups
        return ()

    def _passing(self, screened: list[Screened], winnower: Winnower) -> tuple[Group, ...]:
        """The circuits from the first that passes on; none where none passes."""
        groups = group_drawings(screened, winnower.judge)
        for at, group in enumerate(groups):
            self.mind()
            first = group.drawings[0]
            fit = fit_of(winnower.judge.study, first.diodes, first.resistors)
            passes = any(winnower.judge.meets(first, choice_of(number, fit)) for number in group.choices)
            if passes and winnower.is_minimal(first):
                return groups[at:]
        return ()


def _choices(study: Study, diodes: int, resistors: int) -> int:
    lamps = prod(len(types) for types in study.shelf.lamp_types)
    return int(lamps * len(study.shelf.diode_types) ** diodes * len(study.shelf.ohms) ** resistors)


def _fits_coupling(embedding: Embedding, study: Study) -> bool:
    most = study.spec.place.most_conductors
    return most is None or conductors(embedding, study.zoned) <= most


Sort = Callable[[Embedding, Choice], int | None]
"""The sort to which a choice for a circuit belongs; None for those of no interest."""


def _all_one(embedding: Embedding, choice: Choice) -> int:
    del embedding, choice
    return 0


def weigh(trial: Trial, sort: Sort = _all_one, sorts: int = 1) -> tuple[Weighed, ...]:
    """Choices that passed screening with their margins for nominal parts, greatest first.

    Of each of so many sorts as many as may be weighed, in order of the circuits.
    """
    weighed: list[Weighed] = []
    taken: Counter[int] = Counter()
    for at, group in enumerate(trial.groups):
        first = group.drawings[0]
        fit = fit_of(trial.judge.study, first.diodes, first.resistors)
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


def best_of(trial: Trial, weighed: Sequence[Weighed]) -> Found | None:
    """Of these choices the one with the greatest margin at all corners; None where none passes."""
    winnower = Winnower(trial.judge)
    found: list[tuple[float, int, tuple[int, ...], float]] = []
    for one in weighed[:MOST_JUDGED]:
        if found and one.margin < found[0][3] - 10.0**-DECIMALS:
            break
        first = trial.groups[one.group].drawings[0]
        judgement = trial.judge.judge(first, one.choice)
        if judgement.met and winnower.is_minimal(first):
            rounded = -round(judgement.margin, DECIMALS)
            found = [min([*found, (rounded, one.group, one.choice.digits, judgement.margin)])]
    if not found:
        return None
    _, at, digits, margin = found[0]
    group = trial.groups[at]
    passing = (Passing(Choice(digits), margin),)
    return Found(trial, Winner(group.drawings[0], passing, group.drawings[1:], group.conductors))


def best(trial: Trial) -> Found | None:
    """The circuit and choice with the greatest margin; None where none passes."""
    return best_of(trial, weigh(trial))
