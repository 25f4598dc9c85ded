"""Pieces of a step: shares to evaluate, batches to judge, and the worker that does them in turn."""

from dataclasses import dataclass

from lampwright.judge.minimality import MinimalityFilter
from lampwright.problem.problem import Problem
from lampwright.searching.batches import Batch, Judged, judge_batch
from lampwright.searching.evaluate import CheckCancelled, Share, ShareEvaluator, ShareResult, go_on
from lampwright.searching.plan import Step

SHARE_SIZE = 10_000_000
"""About how many circuits one share lists."""

WORTH_WORKERS = 20_000_000
"""Fewer circuits than this in a whole search are sooner done by one process."""


@dataclass(frozen=True)
class Piece:
    """One piece of work: a share to evaluate in or a batch to judge, by its number in the step."""

    number: int
    work: Share | Batch


@dataclass(frozen=True)
class Product:
    """What a piece brought: a result for a share, judgements for a batch."""

    number: int
    result: ShareResult | None
    judged: tuple[Judged, ...]


class Worker:
    """Does pieces of one problem, one after another."""

    def __init__(
        self, problem: Problem, enabled: tuple[bool, ...], check_cancelled: CheckCancelled = go_on
    ) -> None:
        """Work on this problem."""
        self.evaluator = ShareEvaluator(problem, enabled, check_cancelled)
        self.minimality = MinimalityFilter(self.evaluator.judge)

    def do(self, piece: Piece) -> Product:
        """Do one piece."""
        if isinstance(piece.work, Share):
            return Product(piece.number, self.evaluator.take(piece.work), ())
        return Product(piece.number, None, judge_batch(piece.work, self.minimality))


def shares_of(step: Step) -> tuple[Share, ...]:
    """Cut a step's cells into shares of about equal size; cells without circuits have none."""
    shares: list[Share] = []
    for placing, circuits in zip(step.placings, step.orbits, strict=True):
        if circuits:
            count = 1 + circuits // SHARE_SIZE
            shares.extend(Share(placing, at, count) for at in range(count))
    return tuple(shares)
