"""The last judgement of circuits that passed screening, batch by batch."""

from dataclasses import dataclass

from lampwright.judge.minimality import Group, Hinge, MinimalityFilter, Winner

BATCH = 64
"""How many circuits are judged before what was found is kept."""


@dataclass(frozen=True)
class Batch:
    """Some groups, to be judged together."""

    groups: tuple[Group, ...]


@dataclass(frozen=True)
class Judged:
    """Whether a circuit needs all its extra parts; its design if it meets the spec, or on what it hangs."""

    minimal: bool
    winner: Winner | None
    hinge: Hinge | None = None


def batches(groups: tuple[Group, ...]) -> tuple[Batch, ...]:
    """Cut groups into batches, in order."""
    return tuple(Batch(groups[at : at + BATCH]) for at in range(0, len(groups), BATCH))


def judge_batch(batch: Batch, minimality: MinimalityFilter) -> tuple[Judged, ...]:
    """Judge every group of a batch."""
    return tuple(_judge(group, minimality) for group in batch.groups)


def _judge(group: Group, minimality: MinimalityFilter) -> Judged:
    if not minimality.is_minimal(group.drawings[0]):
        return Judged(False, None)
    found = minimality.outcome(group)
    return Judged(True, found.winner, found.hinge)
