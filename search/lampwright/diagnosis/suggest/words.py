"""What is said of changes that were tried: how each was verified, and what came of each kind."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from lampwright.diagnosis.suggest.trial import MeetingCircuit, Trial
from lampwright.words import many

Kind = Literal[
    "other type", "wider band", "narrower supply", "one more part", "one more joint", "one more wire",
    "insulated holder", "looser rating",
]  # fmt: skip


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


@dataclass(frozen=True)
class Attempt:
    """All that was tried of one kind of change, and the best of what passes."""

    kind: Kind
    proposals: tuple[Proposal, ...]
    tried: str


def attempt(kind: Kind, what: str, trials: Sequence[Trial], proposals: Sequence[Proposal]) -> Attempt:
    """All trials of one kind, and the proposals in order."""
    ordered = sorted(proposals, key=lambda one: (one.burden, -round(one.found.margin, 6)))
    return Attempt(kind, tuple(ordered), f"{kind}: {what}: {_outcome(trials)}")


def not_tried(kind: Kind, why: str) -> Attempt:
    """Nothing of this kind was tried."""
    return Attempt(kind, (), f"{kind}: not tried: {why}")


def _outcome(trials: Sequence[Trial]) -> str:
    if not trials:
        return "not tried: nothing left to try"
    tried = [trial for trial in trials if trial.whole or trial.near or trial.listed]
    if not tried:
        most = max(trial.planned for trial in trials)
        return f"not tried: {many(most, 'circuit')} are too many" if most else "not tried: too much work"
    passed = sum(trial.passed for trial in trials)
    some = f"{passed} of {len(tried)} pass" if len(tried) > 1 else "passes"
    partly = [trial for trial in tried if not trial.whole and not trial.passed]
    none = "nothing passes of what was looked at, which does not settle it" if partly else "nothing passes"
    said = [some if passed else none]
    if partly:
        which = "" if len(partly) == len(tried) else f" for {len(partly)} of {len(tried)}"
        one = max(partly, key=lambda trial: trial.planned)
        near = f", and {many(one.near, 'near circuit')}" if one.near else ""
        said.append(f"too many to try all{which}: {one.listed:,} of {many(one.planned, 'circuit')}{near}")
    if len(tried) < len(trials):
        said.append(f"{len(trials) - len(tried)} not tried: too much work")
    return "; ".join(said)


def verified(proposal: Proposal) -> str:
    """How a proposal was tried."""
    trial = proposal.found.trial
    extra = many(proposal.found.winner.netlist.extra_parts, "extra part")
    if trial.whole:
        those = " that the change adds" if trial.reach == "added" else ""
        said = f"searched: {many(trial.listed, 'circuit')}{those}, with up to {extra}, judged at every corner"
    else:
        said = f"judged at every corner: {many(trial.near, 'near circuit')} of the spec as it was"
    if proposal.exact is None:
        return said
    return f"{said}; less does not do" if proposal.exact else f"{said}; less may do"
