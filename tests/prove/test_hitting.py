"""The smallest hitting set against trying every set there is."""

import random
from itertools import combinations

import pytest

from lampwright.prove.hitting import smallest_hitting


def by_trying(sets: list[set[int]], size: int) -> int:
    """The size of the smallest set that hits all, by trying all."""
    return next(
        count
        for count in range(size + 1)
        for some in combinations(range(size), count)
        if all(one & set(some) for one in sets)
    )


@pytest.mark.parametrize("seed", range(20))
def test_hitting_sets_by_trying_all(seed: int) -> None:
    dice = random.Random(seed)
    spoken = [(f"s{dice.randrange(3)}", f"l{dice.randrange(3)}") for _ in range(9)]
    sets = [set(dice.sample(range(9), dice.randint(1, 4))) for _ in range(dice.randint(0, 8))]
    found = smallest_hitting(spoken, sets)
    assert found is not None, "no set is empty"
    size = by_trying(sets, 9)

    def order(some: tuple[int, ...]) -> tuple[int, tuple[int, ...]]:
        return len({name for at in some for name in spoken[at]}), some

    best = min(
        (some for some in combinations(range(9), size) if all(one & set(some) for one in sets)), key=order
    )
    assert found == best, "the smallest, of fewest states and lamps, the first"
