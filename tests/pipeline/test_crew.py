"""Crews bring the product of every piece, whoever does it, and whoever dies over it.

No source: our conventions.
"""

import os
import signal
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import pytest

from lampwright.pipeline import shares
from lampwright.pipeline.crew import MOST_LOSSES, Alone, Crew, CrewError, Pool
from lampwright.pipeline.plan import plan_steps
from lampwright.pipeline.reading import read_study
from lampwright.pipeline.records import catch_text
from lampwright.pipeline.search import ALL_RULES
from lampwright.pipeline.shares import Piece, Product
from lampwright.rank.judge import Judge
from lampwright.rank.study import Study


class Deadly:
    """Work that ends the process which takes it up."""

    def __reduce__(self) -> tuple[Callable[[int], None], tuple[int]]:
        return os._exit, (1,)


def never() -> None:
    """It is not time to stop."""


@pytest.fixture(scope="module")
def study(spec: Path) -> Study:
    return read_study(spec)


@pytest.fixture
def pieces(study: Study, monkeypatch: pytest.MonkeyPatch) -> tuple[Piece, ...]:
    """The shares with one extra part, some dozens."""
    monkeypatch.setattr(shares, "SHARE_SIZE", 5_000)
    step = plan_steps(Judge(study), 1)[1]
    return tuple(Piece(number, share) for number, share in enumerate(shares.shares_of(step)))


@contextmanager
def hired(crew: Crew) -> Iterator[Crew]:
    try:
        yield crew
    finally:
        crew.dismiss()


def told(products: Sequence[Product]) -> dict[int, str]:
    """What a crew brought, as the journal keeps it, but for how often it had to solve.

    A worker solves no point twice, so that number depends on what came its way before.
    """
    texts = {}
    for product in products:
        assert product.catch is not None, "a share has a catch"
        tally = replace(product.catch.tally, points=0, unconverged=0)
        texts[product.number] = catch_text(replace(product.catch, tally=tally))
    assert len(texts) == len(products), "a piece was done twice"
    return texts


@pytest.fixture
def expected(study: Study, pieces: tuple[Piece, ...]) -> dict[int, str]:
    with hired(Alone(study, ALL_RULES, never)) as crew:
        return told(tuple(crew.products(pieces)))


def test_a_pool_loses_nothing_with_a_worker(
    study: Study, pieces: tuple[Piece, ...], expected: dict[int, str]
) -> None:
    with hired(Pool(study, ALL_RULES, never, 2)) as crew:
        found = []
        for product in crew.products(pieces):
            found.append(product)
            if len(found) in (1, 5):
                assert isinstance(crew, Pool), "only a pool has processes"
                os.kill(next(iter(crew._pool._processes)), signal.SIGKILL)
        assert sorted(told(found)) == [piece.number for piece in pieces], "a piece is missing"
        assert told(found) == expected, "another process comes to something else"


def test_workers_that_die_over_a_piece_again_and_again_are_given_up(
    study: Study, pieces: tuple[Piece, ...]
) -> None:
    deadly = Piece(len(pieces), Deadly())  # type: ignore[arg-type]
    found: list[Product] = []
    with hired(Pool(study, ALL_RULES, never, 2)) as crew, pytest.raises(CrewError) as caught:
        found.extend(crew.products((*pieces[:4], deadly)))
    said = str(caught.value)
    assert said.startswith(f"--workers 2: worker processes died {MOST_LOSSES} times in a row"), said
    assert said.endswith("start again with fewer --workers; what was done is kept"), "the remedy is missing"
    assert "\n" not in said, "a refusal is one line"
    numbers = [product.number for product in found]
    assert len(numbers) == len(set(numbers)), "a piece was done twice"


@pytest.mark.parametrize("workers", [1, 2])
def test_a_crew_stops_when_it_is_time(study: Study, pieces: tuple[Piece, ...], workers: int) -> None:
    def mind() -> None:
        raise TimeoutError

    crew = Alone(study, ALL_RULES, mind) if workers == 1 else Pool(study, ALL_RULES, mind, workers)
    with hired(crew), pytest.raises(TimeoutError):
        for _ in crew.products(pieces):
            pass
    crew.dismiss()  # twice is no harm
