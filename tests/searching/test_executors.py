"""Executors bring the product of every piece, whoever does it, and whoever dies over it.

No source: our conventions.
"""

import os
import random
import signal
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import pytest

from lampwright.judge.choices import ChoiceJudge
from lampwright.judge.judge import Judge
from lampwright.judge.minimality import Fact, group_drawings
from lampwright.problem.problem import Problem
from lampwright.problem.reading import read_problem
from lampwright.searching import executors
from lampwright.searching.evaluate import CellShare, ShareEvaluator, ShareResult, shares_of
from lampwright.searching.executors import (
    Executor,
    ExecutorError,
    ProcessExecutor,
    SerialExecutor,
    Stretches,
)
from lampwright.searching.plan import plan_steps
from lampwright.searching.records import product_text
from lampwright.searching.search import ALL_RULES
from lampwright.searching.shares import Piece, Product, Worker


class Deadly:
    """Work that ends the process which takes it up."""

    def __reduce__(self) -> tuple[Callable[[int], None], tuple[int]]:
        return os._exit, (1,)


def never() -> None:
    """It is not time to stop."""


@pytest.fixture(scope="module")
def problem(spec: Path) -> Problem:
    return read_problem(spec)


@pytest.fixture
def pieces(problem: Problem) -> tuple[Piece, ...]:
    """The shares with one extra part, some dozens."""
    return tuple(shares_of(plan_steps(Judge(problem), 1)[1:2], 5_000))


@contextmanager
def closed(executor: Executor) -> Iterator[Executor]:
    try:
        yield executor
    finally:
        executor.close()


def told(products: Sequence[tuple[int, Product]]) -> dict[int, str]:
    """What an executor brought, as the journal keeps it, but for how often it had to solve.

    A worker solves no point twice, so that number depends on what came its way before.
    """
    texts = {}
    for place, product in products:
        assert isinstance(product, ShareResult), "a share has a result"
        tally = replace(product.tally, points=0, unconverged=0)
        texts[place] = product_text(replace(product, tally=tally))
    assert len(texts) == len(products), "a piece was done twice"
    return texts


@pytest.fixture
def expected(problem: Problem, pieces: tuple[Piece, ...]) -> dict[int, str]:
    with closed(SerialExecutor(problem, ALL_RULES, never)) as executor:
        return told(tuple(executor.products(pieces)))


def test_a_pool_loses_nothing_with_a_worker(
    problem: Problem, pieces: tuple[Piece, ...], expected: dict[int, str]
) -> None:
    with closed(ProcessExecutor(problem, ALL_RULES, never, 2)) as executor:
        found = []
        for product in executor.products(pieces):
            found.append(product)
            if len(found) in (1, 5):
                assert isinstance(executor, ProcessExecutor), "only a pool has processes"
                os.kill(next(iter(executor._pools[-1]._processes)), signal.SIGKILL)
        assert sorted(told(found)) == list(range(len(pieces))), "a piece is missing"
        assert told(found) == expected, "another process comes to something else"


@pytest.fixture
def batches(problem: Problem, pieces: tuple[Piece, ...]) -> tuple[Piece, ...]:
    """The circuits of those shares, one by one, to be judged."""
    evaluator = ShareEvaluator(problem)
    screened = [
        one for piece in pieces if isinstance(piece, CellShare) for one in evaluator.take(piece).screened
    ]
    return tuple((group,) for group in group_drawings(screened, evaluator.judge))


def test_what_a_worker_found_out_another_need_not(
    problem: Problem, batches: tuple[Piece, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> bool:
        raise AssertionError("it is known")

    worker, other = Worker(problem, ALL_RULES), Worker(problem, ALL_RULES)
    expected = [product_text(worker.do(batch)) for batch in batches]
    facts = worker.minimality.news()
    assert facts, "there is something to tell"
    assert worker.minimality.news() == (), "news are told once"
    other.minimality.hear(facts)
    monkeypatch.setattr(ChoiceJudge, "meets_somehow", refuse)
    assert [product_text(other.do(batch)) for batch in batches] == expected


class Here:
    """A pool that does what it is given at once, in this process; it keeps what it is told."""

    def __init__(self) -> None:
        self.heard: list[Fact] = []

    def submit(
        self, do: Callable[..., object], place: int, piece: Piece, heard: list[Fact]
    ) -> Future[object]:
        self.heard.extend(heard)
        future = Future[object]()
        future.set_result(do(place, piece, heard))
        return future

    def shutdown(self, **_: object) -> None:
        """Nothing to end."""


def test_a_pool_hands_on_what_its_workers_found_out(
    problem: Problem, batches: tuple[Piece, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    with closed(SerialExecutor(problem, ALL_RULES, never)) as serial:
        expected = {place: product_text(product) for place, product in serial.products(batches)}
    with closed(ProcessExecutor(problem, ALL_RULES, never, 2)) as executor:
        assert isinstance(executor, ProcessExecutor), "only a pool has processes"
        found = {place: product_text(product) for place, product in executor.products(batches)}
        assert found == expected, "who found it out shows"
        executor.close()
        monkeypatch.setattr("lampwright.searching.executors._worker", Worker(problem, ALL_RULES))
        pools = Here(), Here()
        executor._pools, executor._facts, executor._heard = pools, [], [0, 0]  # type: ignore[assignment]
        assert len(tuple(executor.products(batches))) == len(batches), "a piece is missing"
        for pool in pools:
            assert len(pool.heard) > 0, "it was told nothing"
            assert pool.heard == executor._facts[: len(pool.heard)], "each fact once, in order"


def test_each_worker_has_neighbours_and_takes_from_the_far_end_of_another() -> None:
    stretches = Stretches(range(3, 10), 3)
    assert [stretches.next_for(worker) for worker in (0, 0, 0)] == [3, 4, 5], "a third of seven, in order"
    assert stretches.next_for(2) == 9, "what is left for the last"
    assert [stretches.next_for(worker) for worker in (2, 0, 1)] == [8, 7, 6], "the farthest of the other's"
    assert [stretches.next_for(worker) for worker in range(3)] == [None] * 3, "every place was given once"


@pytest.mark.parametrize("workers", [1, 2, 3, 8])
def test_every_piece_is_given_once_to_however_many_workers(workers: int) -> None:
    chance = random.Random(workers)
    for count in (0, 1, 2, 7, 64):
        stretches, given = Stretches(range(count), workers), list[int]()
        while (place := stretches.next_for(chance.randrange(workers))) is not None:
            given.append(place)
        assert sorted(given) == list(range(count)), "a piece is lost, or done twice"


def test_a_pool_makes_ready_before_it_is_asked(problem: Problem) -> None:
    with closed(ProcessExecutor(problem, ALL_RULES, never, 2)) as executor:
        assert isinstance(executor, ProcessExecutor), "only a pool has processes"
        assert [len(pool._processes) for pool in executor._pools] == [1, 1], "processes start with the pool"


def test_workers_that_die_over_a_piece_again_and_again_are_given_up(
    problem: Problem, pieces: tuple[Piece, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    # each loss is two starts of the program; two are again and again, too
    monkeypatch.setattr(executors, "MOST_LOSSES", 2)
    found: list[tuple[int, Product]] = []
    with (
        closed(ProcessExecutor(problem, ALL_RULES, never, 2)) as executor,
        pytest.raises(ExecutorError) as caught,
    ):
        found.extend(executor.products((*pieces[:4], Deadly())))  # type: ignore[arg-type]
    said = str(caught.value)
    assert said.startswith("--workers 2: worker processes died 2 times in a row"), said
    assert said.endswith("start again with fewer --workers; what was done is kept"), "the remedy is missing"
    assert "\n" not in said, "a refusal is one line"
    numbers = [place for place, _ in found]
    assert len(numbers) == len(set(numbers)), "a piece was done twice"


@pytest.mark.parametrize("workers", [1, 2])
def test_an_executor_stops_when_it_is_time(problem: Problem, pieces: tuple[Piece, ...], workers: int) -> None:
    def check_cancelled() -> None:
        raise TimeoutError

    executor = (
        SerialExecutor(problem, ALL_RULES, check_cancelled)
        if workers == 1
        else ProcessExecutor(problem, ALL_RULES, check_cancelled, workers)
    )
    with closed(executor), pytest.raises(TimeoutError):
        for _ in executor.products(pieces):
            pass
    executor.close()  # twice is no harm
