"""Shares and batches of a step taken by this process or by several, joined without regard to order."""

import os
import signal
import threading
from collections.abc import Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from multiprocessing import get_context, parent_process
from typing import Protocol

from lampwright.errors import LampwrightError
from lampwright.pipeline.hunt import Catch, Hunter, Share
from lampwright.pipeline.judging import Batch, Judged, judge_batch
from lampwright.pipeline.plan import Step
from lampwright.rank.study import Study, prepare
from lampwright.rank.winnow import Winnower
from lampwright.spec.model import Spec

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


MOST_CREWS = 4
"""How often a crew is hired anew when a worker has died."""

_hand: Hand | None = None


def _enter(spec: Spec, enabled: tuple[bool, ...]) -> None:
    global _hand  # one hand serves all pieces that a worker process is given
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_parent, daemon=True).start()
    _hand = Hand(prepare(spec), enabled)


def _end_with_parent() -> None:
    """Leave when the search is gone: a killed search must leave no workers behind."""
    parent = parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


def _do(piece: Piece) -> Product:
    assert _hand is not None
    return _hand.do(piece)


class Crew(Protocol):
    """Does pieces, somewhere."""

    def products(self, pieces: Sequence[Piece]) -> Iterator[Product]:
        """The product of every piece, in the order in which they are done."""

    def dismiss(self) -> None:
        """Let go of the workers, whatever they are at."""


class OwnHand:
    """This very process does every piece."""

    def __init__(self, study: Study, enabled: tuple[bool, ...]) -> None:
        """Work on this study."""
        self._hand = Hand(study, enabled)

    def products(self, pieces: Sequence[Piece]) -> Iterator[Product]:
        """The products, in order."""
        return (self._hand.do(piece) for piece in pieces)

    def dismiss(self) -> None:
        """Nobody is there to let go."""


class LocalCrew:
    """So many processes of this machine; a piece whose process dies is done again by others."""

    def __init__(self, study: Study, workers: int, enabled: tuple[bool, ...]) -> None:
        """Hire the workers."""
        self._terms = workers, study, enabled
        self._pool = self._hire()

    def _hire(self) -> ProcessPoolExecutor:
        workers, study, enabled = self._terms
        # the spec alone is sent: more than a pipe holds would block us if the worker died unborn
        return ProcessPoolExecutor(workers, get_context("spawn"), _enter, (study.spec, enabled))

    def products(self, pieces: Sequence[Piece]) -> Iterator[Product]:
        """The products as they are done. Raises LostWorkersError when workers keep dying."""
        left = {piece.number: piece for piece in pieces}
        for _ in range(MOST_CREWS):
            try:
                for product in self._done(list(left.values())):
                    del left[product.number]
                    yield product
                return
            except BrokenProcessPool:
                self.dismiss()
                self._pool = self._hire()
        raise LostWorkersError(f"workers: they were ended {MOST_CREWS} times; try fewer, with --workers 1")

    def _done(self, pieces: Sequence[Piece]) -> Iterator[Product]:
        waiting: set[Future[Product]] = {self._pool.submit(_do, piece) for piece in pieces}
        while waiting:
            done, waiting = wait(waiting, timeout=0.5, return_when=FIRST_COMPLETED)
            for future in done:
                yield future.result()

    def dismiss(self) -> None:
        """Let the workers go, whatever they are at."""
        for process in list(getattr(self._pool, "_processes", None) or {}).copy():
            with suppress(ProcessLookupError):
                os.kill(process, signal.SIGTERM)
        self._pool.shutdown(wait=False, cancel_futures=True)


class LostWorkersError(LampwrightError):
    """Worker processes kept being ended by something outside."""


def hire(study: Study, workers: int, enabled: tuple[bool, ...]) -> Crew:
    """A crew on this machine; one worker means this very process."""
    return LocalCrew(study, workers, enabled) if workers > 1 else OwnHand(study, enabled)


@contextmanager
def crew(hired: Crew) -> Iterator[Crew]:
    """A crew that is dismissed whatever happens."""
    try:
        yield hired
    finally:
        hired.dismiss()
