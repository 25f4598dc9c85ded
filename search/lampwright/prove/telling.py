"""Which few readings tell every cause from every other: a minimum set cover, proved.

A reading tells two causes apart if the spans within which it would lie under them do not meet. What no
reading tells apart looks the same. For every other pair some reading that tells it apart must be taken: the
fewest that will do are a smallest hitting set, of those in fewest settings, and of those the first.

    >>> low = np.array([[1.0, 0.0], [3.0, 0.0], [3.1, 9.0]])
    >>> high = np.array([[2.0, 1.0], [4.0, 1.0], [5.0, 9.5]])
    >>> fewest_telling(low, high, [("dark",), ("lit",)], ())
    Telling(chosen=(0, 1), proved=True, alike=())
    >>> fewest_telling(low[:2], high[:2], [("dark",), ("lit",)], ()).chosen
    (0,)

No source: our model; the solver is CP-SAT.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations

import networkx as nx
import numpy as np
from numpy.typing import NDArray

from lampwright.prove.hitting import smallest_hitting

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Telling:
    """The readings to take, by number, rising, and the largest sets of causes that none tells apart.

    proved: no fewer, with those that were taken already, tell as much. Where the solver's work ran out, they
    still tell as much, and may be too many.
    """

    chosen: tuple[int, ...]
    proved: bool
    alike: tuple[tuple[int, ...], ...]


def apart(low: Floats, high: Floats, one: int, other: int) -> NDArray[np.bool_]:
    """Which readings (readings,) tell two causes apart; low, high: (causes, readings)."""
    below: NDArray[np.bool_] = (high[one] < low[other]) | (high[other] < low[one])
    return below


def fewest_telling(
    low: Floats,
    high: Floats,
    settings: Sequence[Sequence[str]],
    taken: Sequence[int],
    spare: frozenset[int] = frozenset(),
) -> Telling:
    """The fewest readings that, with those taken already, tell apart all that any reading does.

    low, high: (causes, readings) the span of every reading under every cause, the meter's error in it.
    settings: what has to be set for each reading, by name. spare: to be taken only for what no other tells.
    """
    told = {
        pair: frozenset(np.flatnonzero(apart(low, high, *pair)).tolist())
        for pair in combinations(range(len(low)), 2)
    }
    told = {pair: some - spare or some for pair, some in told.items()}
    open_pairs = _smallest(some for some in told.values() if some and not some.intersection(taken))
    free = sorted(frozenset().union(*open_pairs))
    place = {reading: at for at, reading in enumerate(free)}
    found = smallest_hitting(
        [settings[reading] for reading in free], [{place[one] for one in some} for some in open_pairs]
    )
    added = _one_by_one(open_pairs) if found is None else [free[at] for at in found]
    same = nx.Graph([pair for pair, some in told.items() if not some])
    alike = sorted(tuple(sorted(one)) for one in nx.find_cliques(same)) if same else []
    return Telling(tuple(sorted({*taken, *added})), found is not None, tuple(alike))


def _smallest(sets: Iterable[frozenset[int]]) -> list[frozenset[int]]:
    """Those sets that no other lies within: whoever hits them hits all."""
    kept: list[frozenset[int]] = []
    for one in sorted(set(sets), key=lambda some: (len(some), sorted(some))):
        if not any(other <= one for other in kept):
            kept.append(one)
    return kept


def _one_by_one(sets: Sequence[frozenset[int]]) -> list[int]:
    """Readings that hit all, each time the one that hits most of what is left."""
    left, chosen = list(sets), []
    while left:
        counts = sorted(frozenset().union(*left), key=lambda one: (-sum(one in some for some in left), one))
        chosen.append(counts[0])
        left = [some for some in left if counts[0] not in some]
    return chosen
