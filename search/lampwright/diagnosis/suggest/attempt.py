"""All that is tried of one kind of change, alone or in notches, and what came of it.

Changes in notches each ask no less than the next. Which of 0.24, 0.23, ... is the greatest lower
edge of `lit` that will do? The last is tried first: where not even that passes, none does. Then the
distance is halved again and again.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import ceil, log2
from typing import TypeVar

from lampwright.diagnosis.suggest.trial import MeetingCircuit, Reach, Trial, Trier, best
from lampwright.spec.model import Spec
from lampwright.spec.revise import Revision
from lampwright.words import many

Notch = TypeVar("Notch")
Order = tuple[int, float]


class NotTriedError(Exception):
    """Why nothing of a kind can be tried."""


@dataclass(frozen=True)
class Proposal:
    """A change with which some circuit passes, in words.

    burden: 0 where the builder needs nothing else for it, more where he does: of one kind the
    least come first. exact: one notch less does not do; None where the change has no notches.
    """

    change: str
    found: MeetingCircuit
    burden: int = 0
    exact: bool | None = None

    @property
    def order(self) -> Order:
        """What comes first of one kind: the least burden, then the greatest margin."""
        return self.burden, -round(self.found.margin, 6)

    @property
    def verified(self) -> str:
        """How it was tried."""
        trial = self.found.trial
        extra = many(self.found.winner.netlist.extra_parts, "extra part")
        if trial.whole:
            those = " that the change adds" if trial.reach == "added" else ""
            listed = f"{many(trial.listed, 'circuit')}{those}"
            said = f"searched: {listed}, with up to {extra}, judged at every corner"
        else:
            said = f"judged at every corner: {many(trial.near, 'near circuit')} of the spec as it was"
        if self.exact is None:
            return said
        return f"{said}; less does not do" if self.exact else f"{said}; less may do"


@dataclass(frozen=True, eq=False)
class Least:
    """The trial of the least change that passes, its notch, and whether one notch less was shown not to.

    Where nothing passes: the trial of the last change.
    """

    trial: Trial
    notch: int
    exact: bool


class Attempt:
    """Trials of one kind of change, and the proposals that came of them."""

    def __init__(self, trier: Trier) -> None:
        """Nothing is tried yet."""
        self.trier = trier
        self.trials: list[Trial] = []
        self.proposals: list[Proposal] = []

    @property
    def spec(self) -> Spec:
        """The spec that is changed."""
        return self.trier.problem.spec

    def try_out(self, revision: Revision, reach: Reach = "all", more_extra: int = 0) -> Trial:
        """Try a change, as one of those that are counted."""
        self.trials.append(self.trier.try_out(revision, reach, more_extra))
        return self.trials[-1]

    def propose(
        self, change: str, found: MeetingCircuit | None, burden: int = 0, exact: bool | None = None
    ) -> bool:
        """Keep a change in words, if some circuit was found for it; whether one was."""
        if found is not None:
            self.proposals.append(Proposal(change, found, burden, exact))
        return found is not None

    def alone(self, change: str, revision: Revision, reach: Reach = "all", more_extra: int = 0) -> bool:
        """Try one change; whether some circuit passes."""
        return self.propose(change, best(self.try_out(revision, reach, more_extra)))

    def along(
        self, notches: Sequence[Notch], revise: Callable[[Notch], Revision], say: Callable[[Notch], str]
    ) -> bool:
        """Find the least of changes in notches that does; whether one does. Its trial alone is counted."""
        if not notches:
            return False
        tried = least(self.trier, notches, revise)
        self.trials.append(tried.trial)
        return self.propose(say(notches[tried.notch]), best(tried.trial), exact=tried.exact)

    def cut(self, most: int, since: int = 0) -> None:
        """Of the proposals since one, keep the best."""
        self.proposals[since:] = sorted(self.proposals[since:], key=lambda one: one.order)[:most]

    @property
    def outcome(self) -> str:
        """What came of all trials, in words."""
        if not self.trials:
            return "not tried: nothing left to try"
        tried = [trial for trial in self.trials if trial.whole or trial.near or trial.listed]
        if not tried:
            most = max(trial.planned for trial in self.trials)
            return f"not tried: {many(most, 'circuit')} are too many" if most else "not tried: too much work"
        passed = sum(trial.passed for trial in self.trials)
        some = f"{passed} of {len(tried)} pass" if len(tried) > 1 else "passes"
        partly = [trial for trial in tried if not trial.whole and not trial.passed]
        none = (
            "nothing passes of what was looked at, which does not settle it" if partly else "nothing passes"
        )
        said = [some if passed else none]
        if partly:
            which = "" if len(partly) == len(tried) else f" for {len(partly)} of {len(tried)}"
            one = max(partly, key=lambda trial: trial.planned)
            near = f", and {many(one.near, 'near circuit')}" if one.near else ""
            said.append(f"too many to try all{which}: {one.listed:,} of {many(one.planned, 'circuit')}{near}")
        if len(tried) < len(self.trials):
            said.append(f"{len(self.trials) - len(tried)} not tried: too much work")
        return "; ".join(said)


def least(trier: Trier, notches: Sequence[Notch], revise: Callable[[Notch], Revision]) -> Least:
    """The least of changes in notches with which some circuit passes.

    Where the work left does not suffice to search at every step, near circuits alone decide.
    """
    before, final = trier.budget.left, revise(notches[-1])
    last = trier.try_out(final)
    steps = ceil(log2(len(notches)))
    reach: Reach = "all"
    if last.passed and not (last.whole and trier.budget.holds(steps * (before - trier.budget.left))):
        near = trier.try_out(final, "near")
        last, reach = (near, "near") if near.passed else (last, "all")
    low, high, exact = -1, len(notches) - 1, True
    while last.passed and high - low > 1:
        middle = (low + high) // 2
        trial = trier.try_out(revise(notches[middle]), reach)
        if trial.passed:
            last, high = trial, middle
        else:
            low, exact = middle, trial.whole
    return Least(last, high, exact)
