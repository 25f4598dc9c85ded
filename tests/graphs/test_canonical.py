"""The canonical key of an explicit circuit under renaming, reversal and reordering.

Outside source: networkx is asked in test_listing, where keys are compared over whole
cells; here the invariances of the definition are drawn at random.
"""

import random
from itertools import permutations

from hypothesis import given
from hypothesis import strategies as st

from lampwright.graphs.canonical import canonical_key

PAIR = st.permutations(range(5)).map(lambda row: (row[0], row[1]))
PAIRS = st.lists(PAIR, max_size=3)


@given(PAIRS, PAIRS, PAIRS, st.permutations([2, 3, 4]), st.randoms())
def test_renaming_reordering_and_reversal_do_not_matter(
    edges: list[tuple[int, int]],
    arcs: list[tuple[int, int]],
    links: list[tuple[int, int]],
    inner: list[int],
    chance: random.Random,
) -> None:
    renaming = [0, 1, *inner]
    moved = [[(renaming[a], renaming[b]) for a, b in kind] for kind in (edges, arcs, links)]
    chance.shuffle(moved[1])
    chance.shuffle(moved[2])
    edges_moved = [pair[::-1] if chance.random() < 0.5 else pair for pair in moved[0]]
    links_moved = [pair[::-1] if chance.random() < 0.5 else pair for pair in moved[2]]
    one = canonical_key(2, 3, edges, arcs, links)
    assert one == canonical_key(2, 3, [(a, b) for a, b in edges_moved], moved[1], links_moved)


def test_what_matters() -> None:
    circuits = [
        ([(0, 2)], [(0, 2)], [(1, 2)]),
        ([(0, 2)], [(2, 0)], [(1, 2)]),
        ([(0, 2)], [(1, 2)], [(1, 2)]),
        ([(1, 2)], [(0, 2)], [(1, 2)]),
        ([(0, 2)], [(0, 2)], [(1, 3)]),
        ([(0, 2)], [(0, 2)], []),
        ([(0, 2), (0, 2)], [], [(1, 2)]),
    ]
    assert len({canonical_key(2, 2, *circuit) for circuit in circuits}) == len(circuits)


def test_edges_are_told_apart_and_links_are_not() -> None:
    there, back = [(0, 2), (1, 2)], [(1, 2), (0, 2)]
    assert canonical_key(2, 1, there, [], []) != canonical_key(2, 1, back, [], [])
    for links in permutations(there):
        assert canonical_key(2, 1, [], [], there) == canonical_key(2, 1, [], [], links)
    assert canonical_key(2, 1, [], there, []) == canonical_key(2, 1, [], back, [])
