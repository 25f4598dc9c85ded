"""Who does the pieces of a search: this very process, or several that it starts.

An executor gives what every piece brought, in whatever order they are done. A piece lost with
a process that died is done again by another. No source: our conventions.
"""

import os
import signal
from collections import deque
from collections.abc import Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from functools import partial
from multiprocessing import get_context, parent_process
from queue import Empty, SimpleQueue
from threading import Thread
from typing import NamedTuple, Protocol

from lampwright.errors import Finding, LampwrightError
from lampwright.judge.minimality import Fact
from lampwright.kernels import begin_alone, collect_rarely
from lampwright.problem.problem import Problem, prepare
from lampwright.searching.evaluate import CheckCancelled
from lampwright.searching.shares import Piece, Product, Worker
from lampwright.spec.model import Spec

AHEAD = 2
"""So many pieces a worker is given at once: it never waits for the next."""

PATIENCE = 0.2
"""Seconds between two looks at whether the search is to stop."""

MOST_LOSSES = 3
"""So many times in a row workers may die before anything is done again."""


class ExecutorError(LampwrightError):
    """The workers cannot go on; what they have done is kept."""

    def __init__(self, finding: Finding) -> None:
        """Keep the one finding."""
        super().__init__(str(finding))
        self.findings = (finding,)


class Executor(Protocol):
    """Does pieces; `check_cancelled` raises when it is time to stop."""

    check_cancelled: CheckCancelled

    def products(self, pieces: Sequence[Piece]) -> Iterator[tuple[int, Product]]:
        """Of every piece its place and what it brought, in the order in which they are done."""

    def close(self) -> None:
        """Let the workers go, whatever they are at; safe to call twice."""


class SerialExecutor:
    """An executor of this very process."""

    def __init__(self, problem: Problem, enabled: tuple[bool, ...], check_cancelled: CheckCancelled) -> None:
        """Work on this problem; enabled says which refutations may refuse."""
        self._worker = Worker(problem, enabled, check_cancelled)
        self.check_cancelled = check_cancelled

    def products(self, pieces: Sequence[Piece]) -> Iterator[tuple[int, Product]]:
        """Of every piece its place and what it brought, in their order."""
        for place, piece in enumerate(pieces):
            yield place, self._worker.do(piece)
            self.check_cancelled()

    def close(self) -> None:
        """There is nobody to let go."""


_worker: Worker | None = None


def be_worker(spec: Spec, enabled: tuple[bool, ...]) -> None:
    """Make this process a worker for a spec, which takes no interrupt and ends with the search."""
    collect_rarely()
    global _worker  # one worker serves all pieces that a worker process is given
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    Thread(target=leave_with_the_search, daemon=True).start()
    _worker = Worker(prepare(spec), enabled)


def leave_with_the_search() -> None:
    """End a worker whose search was killed: it would wait for work for ever."""
    search = parent_process()
    if search is not None:
        search.join()
        os._exit(1)


def _make_ready() -> None:
    """Nothing: a process that is given this has come to its start."""


class _Brought(NamedTuple):
    """A piece's place, what it brought, and what the worker found out over it that serves others."""

    place: int
    product: Product
    news: tuple[Fact, ...]


def _do(place: int, piece: Piece, heard: Sequence[Fact]) -> _Brought:
    assert _worker is not None
    _worker.minimality.hear(heard)
    product = _worker.do(piece)
    return _Brought(place, product, _worker.minimality.news())


class ProcessExecutor:
    """An executor of processes on this machine; what one finds out that serves the others it hands on."""

    def __init__(
        self, problem: Problem, enabled: tuple[bool, ...], check_cancelled: CheckCancelled, workers: int
    ) -> None:
        """Take this number of processes; they make ready at once, while there is something else to do."""
        # the spec and not the problem: a process that dies at its start leaves what it was told
        # unread, and more than a pipe holds (64 kB) would then keep us waiting for ever
        self._told = problem.spec, enabled
        self.check_cancelled = check_cancelled
        self._workers = workers
        self._facts: list[Fact] = []
        self._pools = self._hire()

    def _hire(self) -> tuple[ProcessPoolExecutor, ...]:
        """A pool of one process for each worker, so that it can be told which."""
        self._heard = [0] * self._workers
        first = __name__, be_worker.__name__, *self._told
        pools = tuple(
            ProcessPoolExecutor(1, get_context("spawn"), begin_alone, first) for _ in range(self._workers)
        )
        with interrupts_held():
            for pool in pools:
                # a pool starts its process for the first task
                pool.submit(_make_ready)
        return pools

    def products(self, pieces: Sequence[Piece]) -> Iterator[tuple[int, Product]]:
        """Of every piece its place and what it brought, in the order in which they are done.

        Raises ExecutorError where workers die again and again.
        """
        left = dict(enumerate(pieces))
        losses = 0
        while left:
            try:
                for place, product in self._round(dict(left)):
                    losses = 0
                    del left[place]
                    yield place, product
            except BrokenProcessPool:
                losses += 1
                self.close()
                if losses == MOST_LOSSES:
                    raise ExecutorError(_lost(self._workers)) from None
                self._pools = self._hire()

    def _round(self, pieces: dict[int, Piece]) -> Iterator[tuple[int, Product]]:
        """The products until one is lost with its process; raises BrokenProcessPool then."""
        done: SimpleQueue[tuple[int, _Brought | BaseException]] = SimpleQueue()
        stretches = Stretches(sorted(pieces), self._workers)

        def bring(worker: int, future: Future[_Brought]) -> None:
            if not future.cancelled():
                done.put((worker, future.exception() or future.result()))

        def give(worker: int) -> None:
            place = stretches.next_for(worker)
            if place is None:
                return
            heard = self._facts[self._heard[worker] :]
            self._heard[worker] = len(self._facts)
            # Ctrl-C while this thread holds a future's lock would leave it locked, and the end of the
            # process waiting for it: so futures are touched here alone, and brought by the pool's thread
            with interrupts_held():
                future = self._pools[worker].submit(_do, place, pieces[place], heard)
                future.add_done_callback(partial(bring, worker))

        for worker in [*range(self._workers)] * AHEAD:
            give(worker)
        left = len(pieces)
        while left:
            self.check_cancelled()
            try:
                worker, brought = done.get(timeout=PATIENCE)
            except Empty:
                continue
            if isinstance(brought, BaseException):
                raise brought
            self._facts.extend(brought.news)
            give(worker)
            left -= 1
            yield brought.place, brought.product
        self.check_cancelled()

    def close(self) -> None:
        """Let the workers go, whatever they are at."""
        with interrupts_held():
            for pool in self._pools:
                for process in list((getattr(pool, "_processes", None) or {}).values()):
                    process.terminate()
            for pool in self._pools:
                pool.shutdown(wait=False, cancel_futures=True)


class Stretches:
    """Places of pieces that are still to be given out, a stretch of neighbours for each worker.

    What a worker learns of live nets serves the neighbours of the piece it is at, so two that take turns
    would learn most of it twice; likewise what it learns of smaller circuits before that is handed on.
    """

    def __init__(self, places: Sequence[int], workers: int) -> None:
        """Cut these places into as many stretches."""
        size = -(-len(places) // workers)
        self._left = [deque(places[at * size : (at + 1) * size]) for at in range(workers)]

    def next_for(self, worker: int) -> int | None:
        """The next of a worker's own stretch, then the last of the longest; None where none is left."""
        if own := self._left[worker]:
            return own.popleft()
        longest = max(self._left, key=len)
        return longest.pop() if longest else None


def _lost(workers: int) -> Finding:
    said = f"worker processes died {MOST_LOSSES} times in a row (killed, or out of memory)"
    remedy = "start again with fewer --workers; what was done is kept"
    return Finding(f"--workers {workers}", said, remedy)


@contextmanager
def interrupts_held() -> Iterator[None]:
    """Ctrl-C waits: processes that start take this over, since it is the search's to answer."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
