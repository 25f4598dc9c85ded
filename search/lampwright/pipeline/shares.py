"""Pieces of a step: shares to hunt in, batches to judge, and the hand that does them one after another."""

from dataclasses import dataclass

from lampwright.pipeline.hunt import Catch, Hunter, Mind, Share, go_on
from lampwright.pipeline.judging import Batch, Judged, judge_batch
from lampwright.pipeline.plan import Step
from lampwright.rank.study import Study
from lampwright.rank.winnow import Winnower

SHARE_SIZE = 10_000_000
"""About how many circuits one share lists."""

WORTH_WORKERS = 20_000_000
"""Fewer circuits than this in a whole search are sooner done by one process."""


@dataclass(frozen=True)
class Piece:
    """One piece of work: a share to hunt in or a batch to judge, by its number in the step."""

    number: int
    work: Share | Batch


@dataclass(frozen=True)
class Product:
    """What a piece brought: a catch for a share, judgements for a batch."""

    number: int
    catch: Catch | None
    judged: tuple[Judged, ...]


class Hand:
    """Does pieces of one study, one after another."""

    def __init__(self, study: Study, enabled: tuple[bool, ...], mind: Mind = go_on) -> None:
        """Work on this study."""
        self.hunter = Hunter(study, enabled, mind)
        self.winnower = Winnower(self.hunter.judge)

    def do(self, piece: Piece) -> Product:
        """Do one piece."""
        if isinstance(piece.work, Share):
            return Product(piece.number, self.hunter.take(piece.work), ())
        return Product(piece.number, None, judge_batch(piece.work, self.winnower))


def shares_of(step: Step) -> tuple[Share, ...]:
    """Cut a step's cells into shares of about equal size; cells without circuits have none."""
    shares: list[Share] = []
    for placing, circuits in zip(step.placings, step.orbits, strict=True):
        if circuits:
            count = 1 + circuits // SHARE_SIZE
            shares.extend(Share(placing, at, count) for at in range(count))
    return tuple(shares)
