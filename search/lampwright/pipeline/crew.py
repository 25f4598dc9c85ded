"""Who does the pieces of a search: this very process, or several that it starts.

A crew gives the product of every piece, in whatever order they are done. A piece lost with
a process that died is done again by another. No source: our conventions.
"""

import os
import signal
from collections.abc import Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from multiprocessing import get_context, parent_process
from queue import Empty, SimpleQueue
from threading import Thread
from typing import Protocol

from lampwright.errors import Finding, LampwrightError
from lampwright.pipeline.hunt import Mind
from lampwright.pipeline.shares import Hand, Piece, Product
from lampwright.rank.study import Study, prepare
from lampwright.spec.model import Spec

PATIENCE = 0.2
"""Seconds between two looks at whether the search is to stop."""

MOST_LOSSES = 3
"""So many times in a row workers may die before anything is done again."""


class CrewError(LampwrightError):
    """The workers cannot go on; what they have done is kept."""

    def __init__(self, finding: Finding) -> None:
        """Keep the one finding."""
        super().__init__(str(finding))
        self.findings = (finding,)


class Crew(Protocol):
    """Does pieces."""

    def products(self, pieces: Sequence[Piece]) -> Iterator[Product]:
        """The product of every piece, in the order in which they are done."""

    def dismiss(self) -> None:
        """Let the workers go, whatever they are at; safe to call twice."""


class Alone:
    """A crew of this very process."""

    def __init__(self, study: Study, enabled: tuple[bool, ...], mind: Mind) -> None:
        """Work on this study; enabled says which refutations may refuse."""
        self._hand = Hand(study, enabled, mind)
        self._mind = mind

    def products(self, pieces: Sequence[Piece]) -> Iterator[Product]:
        """The product of every piece, in their order."""
        for piece in pieces:
            yield self._hand.do(piece)
            self._mind()

    def dismiss(self) -> None:
        """Nobody was hired."""


_hand: Hand | None = None


def _enter(spec: Spec, enabled: tuple[bool, ...]) -> None:
    global _hand  # one hand serves all pieces that a worker process is given
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    Thread(target=_leave_with_the_search, daemon=True).start()
    _hand = Hand(prepare(spec), enabled)


def _leave_with_the_search() -> None:
    """End a worker whose search was killed: it would wait for work for ever."""
    search = parent_process()
    if search is not None:
        search.join()
        os._exit(1)


def _do(piece: Piece) -> Product:
    assert _hand is not None
    return _hand.do(piece)


class Pool:
    """A crew of processes on this machine."""

    def __init__(self, study: Study, enabled: tuple[bool, ...], mind: Mind, workers: int) -> None:
        """Hire so many processes; they start with the first piece."""
        # the spec and not the study: a process that dies at its start leaves what it was told
        # unread, and more than a pipe holds (64 kB) would then keep us waiting for ever
        self._told = study.spec, enabled
        self._mind = mind
        self._workers = workers
        self._pool = self._hire()

    def _hire(self) -> ProcessPoolExecutor:
        return ProcessPoolExecutor(self._workers, get_context("spawn"), _enter, self._told)

    def products(self, pieces: Sequence[Piece]) -> Iterator[Product]:
        """The product of every piece, in the order in which they are done.

        Raises CrewError where workers die again and again.
        """
        left = {piece.number: piece for piece in pieces}
        losses = 0
        while left:
            try:
                for product in self._round(tuple(left.values())):
                    losses = 0
                    del left[product.number]
                    yield product
            except BrokenProcessPool:
                losses += 1
                self.dismiss()
                if losses == MOST_LOSSES:
                    raise CrewError(_lost(self._workers)) from None
                self._pool = self._hire()

    def _round(self, pieces: Sequence[Piece]) -> Iterator[Product]:
        """The products until one is lost with its process; raises BrokenProcessPool then."""
        done: SimpleQueue[Product | BaseException] = SimpleQueue()

        def bring(future: Future[Product]) -> None:
            if not future.cancelled():
                done.put(future.exception() or future.result())

        # Ctrl-C while this thread holds a future's lock would leave it locked, and the end of the
        # process waiting for it: so futures are touched here alone, and brought by the pool's thread
        with _interrupts_held():
            for piece in pieces:
                self._pool.submit(_do, piece).add_done_callback(bring)
        left = len(pieces)
        while left:
            self._mind()
            try:
                brought = done.get(timeout=PATIENCE)
            except Empty:
                continue
            if isinstance(brought, BaseException):
                raise brought
            left -= 1
            yield brought
        self._mind()

    def dismiss(self) -> None:
        """Let the workers go, whatever they are at."""
        with _interrupts_held():
            for process in list((getattr(self._pool, "_processes", None) or {}).values()):
                process.terminate()
            self._pool.shutdown(wait=False, cancel_futures=True)


def _lost(workers: int) -> Finding:
    said = f"worker processes died {MOST_LOSSES} times in a row (killed, or out of memory)"
    remedy = "start again with fewer --workers; what was done is kept"
    return Finding(f"--workers {workers}", said, remedy)


@contextmanager
def _interrupts_held() -> Iterator[None]:
    """Ctrl-C waits: processes that start take this over, since it is the search's to answer."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
