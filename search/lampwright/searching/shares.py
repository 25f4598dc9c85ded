"""Pieces of a step: shares to evaluate, batches to judge, and the worker that does them in turn."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeVar

from lampwright.judge.minimality import CircuitGroup, Judged, MinimalityFilter
from lampwright.judge.ranging import RangeOutcome
from lampwright.problem.problem import Problem
from lampwright.searching.evaluate import CellShare, CheckCancelled, ShareEvaluator, ShareResult, go_on

SHARE_SIZE = 10_000_000
"""About how many circuits one share lists."""

WORTH_WORKERS = 100_000_000
"""Fewer circuits than this in a whole search are sooner done by one process."""

BATCH = 64
"""How many circuits are judged before what was found is kept."""

Batch = tuple[CircuitGroup, ...]
"""Some circuits that passed screening, to be judged together."""


@dataclass(frozen=True)
class RangeBatch:
    """Some circuits that no listed value suits, to be decided for every resistance of the range."""

    groups: Batch


@dataclass(frozen=True)
class RangeOutcomes:
    """What became of each circuit of a range batch."""

    outcomes: tuple[RangeOutcome, ...]


Done = TypeVar("Done")
Piece = CellShare | Batch | RangeBatch
Product = ShareResult | tuple[Judged, ...] | RangeOutcomes
"""What a piece brings: the result of a share, or a judgement or decision for each circuit of a batch."""


def batches_of(groups: Sequence[CircuitGroup]) -> tuple[Batch, ...]:
    """Cut groups into batches, in order."""
    return tuple(tuple(groups[at : at + BATCH]) for at in range(0, len(groups), BATCH))


class Worker:
    """Does pieces of one problem, one after another."""

    def __init__(
        self, problem: Problem, enabled: tuple[bool, ...], check_cancelled: CheckCancelled = go_on
    ) -> None:
        """Work on this problem."""
        self.check_cancelled = check_cancelled
        self.evaluator = ShareEvaluator(problem, enabled, check_cancelled)
        self.minimality = MinimalityFilter(self.evaluator.judge)

    def do(self, piece: Piece) -> Product:
        """Do one piece."""
        if isinstance(piece, CellShare):
            return self.evaluator.take(piece)
        if isinstance(piece, RangeBatch):
            ranger = self.evaluator.ranger
            return RangeOutcomes(self._each(piece.groups, lambda group: ranger.decide(group.drawings[0])))
        return self._each(piece, self.minimality.judged)

    def _each(self, groups: Batch, do: Callable[[CircuitGroup], Done]) -> tuple[Done, ...]:
        """Do the same with every group, unless it is time to stop."""
        done = []
        for group in groups:
            self.check_cancelled()
            done.append(do(group))
        return tuple(done)
