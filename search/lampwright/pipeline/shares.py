"""Shares and batches of a step taken by this process or by several, joined without regard to order."""

import os
import signal
import threading
from collections.abc import Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from contextlib import contextmanager
from dataclasses import dataclass
from multiprocessing import get_context, parent_process

from lampwright.pipeline.hunt import Catch, Hunter, Share
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

    def __init__(self, study: Study, enabled: tuple[bool, ...]) -> None:
        """Work on this study."""
        self.hunter = Hunter(study, enabled)
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


_hand: Hand | None = None


def _enter(study: Study, enabled: tuple[bool, ...]) -> None:
    global _hand  # one hand serves all pieces that a worker process is given
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_parent, daemon=True).start()
    _hand = Hand(study, enabled)


def _end_with_parent() -> None:
    """Leave when the search is gone: a killed search must leave no workers behind."""
    parent = parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


def _do(piece: Piece) -> Product:
    assert _hand is not None
    return _hand.do(piece)


class Crew:
    """Does pieces with so many processes; one means this very process."""

    def __init__(self, study: Study, workers: int, enabled: tuple[bool, ...]) -> None:
        """Hire the workers."""
        self._hand = Hand(study, enabled)
        start = get_context("spawn")
        self._pool = ProcessPoolExecutor(workers, start, _enter, (study, enabled)) if workers > 1 else None

    def products(self, pieces: Sequence[Piece]) -> Iterator[Product]:
        """The product of every piece, in the order in which they are done."""
        if self._pool is None:
            for piece in pieces:
                yield self._hand.do(piece)
            return
        waiting: set[Future[Product]] = {self._pool.submit(_do, piece) for piece in pieces}
        while waiting:
            done, waiting = wait(waiting, timeout=0.5, return_when=FIRST_COMPLETED)
            for future in done:
                yield future.result()

    def dismiss(self) -> None:
        """Let the workers go, whatever they are at."""
        if self._pool is not None:
            for process in list(getattr(self._pool, "_processes", {}).values()):
                process.terminate()
            self._pool.shutdown(wait=False, cancel_futures=True)


@contextmanager
def crew(study: Study, workers: int, enabled: tuple[bool, ...]) -> Iterator[Crew]:
    """A crew that is dismissed whatever happens."""
    hired = Crew(study, workers, enabled)
    try:
        yield hired
    finally:
        hired.dismiss()
