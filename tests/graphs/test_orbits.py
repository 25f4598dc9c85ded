"""The count without listing equals the list, for every small cell; exact large counts by hand.

Outside source: none needed, two independent ways (Burnside's lemma against the list) and
closed forms worked out beside the check.
"""

from itertools import product

import pytest
from tests.selection import some_rows

from lampwright.graphs.cell import Cell, PathRule, Star
from lampwright.graphs.listing import list_blocks
from lampwright.graphs.orbits import count_all, count_orbits

STARS: list[tuple[Star, ...]] = [
    (),
    (Star(1),),
    (Star(1), Star(1)),
    (Star(2),),
    (Star(3),),
    (Star(1, 0),),
    (Star(2, 0), Star(1)),
    (Star(2), Star(1, 1)),
    (Star(2, alike=True),),
    (Star(1), Star(3, alike=True)),
]


def small_cells(terminals: int, internal: int) -> list[Cell]:
    """Every mix of stars with up to two arcs and two links, fewer on many vertices."""
    most = {6: 2, 7: 1}.get(terminals + internal, 4)
    several = STARS if terminals + internal < 7 else STARS[3:5]
    return [
        Cell(terminals, internal, stars, arcs, links)
        for stars, arcs, links in product(several, range(3), range(3))
        if all(star.hub is None or star.hub < terminals for star in stars) and arcs + links <= most
    ]


SIZES = list(product(range(5), range(4)))
SMALL = [(terminals, internal) for terminals, internal in SIZES if terminals + internal < 6 and terminals < 4]


@pytest.mark.parametrize(("terminals", "internal"), some_rows(SIZES, SMALL))
def test_listed_equals_counted(terminals: int, internal: int) -> None:
    for cell in small_cells(terminals, internal):
        for rule in PathRule:
            listed = sum(len(block.masks) for block in list_blocks(cell, rule=rule))
            assert listed == count_orbits(cell, rule), f"{cell} {rule}"


@pytest.mark.parametrize("terminals", range(3))
def test_listed_equals_counted_with_four_internal_vertices(terminals: int) -> None:
    for stars, arcs, links in [
        ((Star(1),), 1, 1),
        ((Star(2),), 0, 3),
        ((), 3, 1),
        ((Star(1), Star(1)), 0, 2),
    ]:
        cell = Cell(terminals, 4, stars, arcs, links)
        for rule in PathRule:
            listed = sum(len(block.masks) for block in list_blocks(cell, rule=rule))
            assert listed == count_orbits(cell, rule), f"{cell} {rule}"


def test_counts_beyond_64_bits_are_exact() -> None:
    # three terminals: each of 50 told-apart edges on any of three pairs
    assert count_orbits(Cell(3, 0, (Star(1),) * 50, 0, 0)) == 3**50
    assert count_all(Cell(3, 0, (Star(1),) * 50, 0, 0)) == 3**50
    # two terminals and one internal vertex: both of its pairs are taken, {0,1} or not; by inclusion
    # and exclusion over the two pairs
    assert count_orbits(Cell(2, 1, (Star(1),) * 50, 0, 0)) == 3**50 - 2 * 2**50 + 1


def test_counts_with_no_rule_have_no_limit_of_pairs() -> None:
    # 8 terminals: 28 pairs, so 56 * 28 placements of an arc and a link
    assert count_all(Cell(8, 0, (), 1, 1)) == 56 * 28
    assert count_orbits(Cell(8, 0, (), 1, 1), PathRule.ALL) == 56 * 28


def test_count_of_the_rule_is_never_more_than_of_a_weaker_one() -> None:
    for cell in small_cells(3, 2):
        path, used, every = (
            count_orbits(cell, rule) for rule in (PathRule.PATH_USED, PathRule.USED, PathRule.ALL)
        )
        assert path <= used <= every
