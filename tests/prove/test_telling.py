"""The fewest readings that tell causes apart, against trying every set of readings there is."""

import random
from itertools import combinations

import numpy as np
import pytest

from lampwright.prove import telling
from lampwright.prove.telling import Floats, fewest_telling


def spans(dice: random.Random, causes: int, readings: int) -> tuple[Floats, Floats]:
    """Make spans at random, some of them open on either side."""
    low = np.array([[float(dice.randrange(6)) for _ in range(readings)] for _ in range(causes)])
    high = low + np.array([[float(dice.randrange(3)) for _ in range(readings)] for _ in range(causes)])
    for at in range(causes):
        if dice.random() < 0.3:
            reading = dice.randrange(readings)
            high[at, reading] = np.inf
            low[at, reading] = np.inf if dice.random() < 0.5 else low[at, reading]
    return low, high


def pairs_told(low: Floats, high: Floats, some: tuple[int, ...]) -> set[tuple[int, int]]:
    """List the pairs of causes that some of these readings tell apart, one pair and reading at a time."""
    return {
        (one, other)
        for one, other in combinations(range(len(low)), 2)
        if any(not (low[one, r] <= high[other, r] and low[other, r] <= high[one, r]) for r in some)
    }


@pytest.mark.parametrize("seed", range(25))
def test_no_fewer_readings_tell_as_much(seed: int) -> None:
    dice = random.Random(seed)
    causes, readings = dice.randint(2, 6), dice.randint(1, 7)
    low, high = spans(dice, causes, readings)
    taken = tuple(sorted(dice.sample(range(readings), dice.randint(0, min(2, readings)))))
    settings = [(f"state {dice.randrange(3)}",) if dice.random() < 0.7 else () for _ in range(readings)]
    found = fewest_telling(low, high, settings, taken)
    every = pairs_told(low, high, tuple(range(readings)))
    doing = [
        some
        for count in range(readings + 1)
        for some in combinations(range(readings), count)
        if set(taken) <= set(some) and pairs_told(low, high, some) == every
    ]
    assert found.proved, "so small a question is always decided"
    assert set(taken) <= set(found.chosen), "what is taken already stays"
    assert pairs_told(low, high, found.chosen) == every, "all is told apart that can be"
    assert len(found.chosen) == min(map(len, doing)), "and by no more readings than that takes"
    same = {pair for group in found.alike for pair in combinations(group, 2)}
    assert same == set(combinations(range(causes), 2)) - every, "and the rest looks the same"


def test_of_as_few_those_in_fewest_settings() -> None:
    low = np.array([[0.0, 0.0, 0.0, 0.0], [5.0, 5.0, 0.0, 0.0], [0.0, 0.0, 5.0, 5.0]])
    found = fewest_telling(low, low + 1.0, [("a",), ("b",), ("c",), ("b",)], ())
    assert found.chosen == (1, 3), "both with the controls in one setting"


def test_where_the_proof_runs_out_the_readings_still_tell(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(telling, "smallest_hitting", lambda *_: None)
    dice = random.Random(3)
    low, high = spans(dice, 6, 7)
    found = fewest_telling(low, high, [()] * 7, (0,))
    assert not found.proved, "nothing is said to be proved"
    assert pairs_told(low, high, found.chosen) == pairs_told(low, high, tuple(range(7)))


def test_what_is_spare_is_taken_only_where_nothing_else_tells() -> None:
    # the third reading alone tells all three apart; the others tell 0 from 1, and nothing 1 from 2
    low = np.array([[1.0, 1.0, 1.0], [3.0, 3.0, 3.0], [3.0, 3.0, 5.0]])
    settings = [("a",), ("b",), ("c",)]
    assert fewest_telling(low, low, settings, ()).chosen == (2,)
    assert fewest_telling(low, low, settings, (), frozenset({2})).chosen == (0, 2)
