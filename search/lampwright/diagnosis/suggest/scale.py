"""Changes in notches, each asking no less than the next: the least that lets some circuit pass.

Which of 0.24, 0.23, ... is the greatest lower edge of `lit` that will do? The last is tried
first: where not even that passes, none does. Then the distance is halved again and again.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import ceil, log2

from lampwright.diagnosis.suggest.trial import Reach, Trial, Trier, best
from lampwright.diagnosis.suggest.words import Proposal
from lampwright.spec.model import Spec
from lampwright.spec.revise import Change


@dataclass(frozen=True)
class Scale:
    """So many changes, the least first, and how to say one in words from the spec it makes."""

    change: Change
    count: int
    say: Callable[[Spec], str]


@dataclass(frozen=True, eq=False)
class Least:
    """The trial of the least change that passes, its notch, and whether one notch less was shown not to.

    Where nothing passes: the trial of the last change.
    """

    trial: Trial
    notch: int
    exact: bool


def least(trier: Trier, scale: Scale) -> Least:
    """The least change of a scale with which some circuit passes.

    Where the work left does not suffice to search at every step, near circuits alone decide.
    """
    before = trier.budget.left
    last = trier.try_out(scale.change(scale.count - 1))
    steps = ceil(log2(scale.count))
    reach: Reach = "all"
    if last.passed and not (last.whole and trier.budget.holds(steps * (before - trier.budget.left))):
        near = trier.try_out(scale.change(scale.count - 1), "near")
        last, reach = (near, "near") if near.passed else (last, "all")
    low, high, exact = -1, scale.count - 1, True
    while last.passed and high - low > 1:
        middle = (low + high) // 2
        trial = trier.try_out(scale.change(middle), reach)
        if trial.passed:
            last, high = trial, middle
        else:
            low, exact = middle, trial.whole
    return Least(last, high, exact)


def along(trier: Trier, scale: Scale, trials: list[Trial], burden: int = 0) -> list[Proposal]:
    """The proposal of the least change of a scale, if any passes; the trial that decided joins the trials."""
    if not scale.count:
        return []
    tried = least(trier, scale)
    trials.append(tried.trial)
    found = best(tried.trial)
    if found is None:
        return []
    return [Proposal(scale.say(tried.trial.revision.spec), found, burden, tried.exact)]
