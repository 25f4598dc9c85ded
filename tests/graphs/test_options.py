"""Option tables against placements made one by one in plain Python.

Outside source: none needed, the twin enumerates the definition; the counts written out
are by hand.
"""

from itertools import combinations, permutations, product

import numpy as np
import pytest

from lampwright.graphs.cell import Cell, Star
from lampwright.graphs.options import OptionTable, option_tables

CELLS = [
    Cell(0, 3, (Star(1), Star(2)), 2, 2),
    Cell(2, 2, (Star(1), Star(2), Star(2, 1), Star(1, 0), Star(3)), 1, 3),
    Cell(3, 1, (Star(3, 2),), 3, 0),
    Cell(1, 3, (Star(2, 0),), 0, 1),
    Cell(1, 0, (Star(1),), 0, 0),
    Cell(1, 1, (), 4, 70),
]


def numbers_of(table: OptionTable, cell: Cell, *, directed: bool, alike: bool) -> list[tuple[int, ...]]:
    """Each option as the tuple of its members' numbers, read back from the ends."""
    vertices = range(cell.vertices)
    items = list(permutations(vertices, 2)) if directed else list(combinations(vertices, 2))
    rows = []
    for ends in table.ends.tolist():
        row = [items.index(tuple(pair) if directed else tuple(sorted(pair))) for pair in ends]
        rows.append(tuple(sorted(row) if alike else row))
    return rows


def coordinates(cell: Cell) -> list[tuple[OptionTable, bool, bool]]:
    """Each table, whether it is of arcs, and whether its members are alike."""
    tables = option_tables(cell)
    stars = [(table, False, False) for table in tables[:-2]]
    return [*stars, (tables[-2], True, True), (tables[-1], False, True)]


@pytest.mark.parametrize("cell", CELLS)
def test_options_stand_in_lexicographic_order_each_once(cell: Cell) -> None:
    for table, directed, alike in coordinates(cell):
        rows = numbers_of(table, cell, directed=directed, alike=alike)
        assert rows == sorted(set(rows))


@pytest.mark.parametrize("cell", CELLS)
def test_masks_are_the_pairs_of_the_ends(cell: Cell) -> None:
    bit = {pair: 1 << place for place, pair in enumerate(combinations(range(cell.vertices), 2))}
    for table in option_tables(cell):
        for mask, ends in zip(table.mask.tolist(), table.ends.tolist(), strict=True):
            assert mask == sum({bit[min(pair), max(pair)] for pair in ends})


@pytest.mark.parametrize("cell", CELLS)
def test_images_are_the_options_with_renamed_ends(cell: Cell) -> None:
    inner = permutations(range(cell.terminals, cell.vertices))
    renamings = [(*range(cell.terminals), *images) for images in inner]
    for table, directed, alike in coordinates(cell):
        rows = numbers_of(table, cell, directed=directed, alike=alike)
        assert table.image.shape == (len(renamings), len(rows))
        for renaming, image in zip(renamings, table.image, strict=True):
            moved = OptionTable(table.mask, np.array(renaming, np.int8)[table.ends], table.image)
            assert [rows[o] for o in image] == numbers_of(moved, cell, directed=directed, alike=alike)


@pytest.mark.parametrize("cell", CELLS)
def test_every_star_is_there(cell: Cell) -> None:
    pairs = list(combinations(range(cell.vertices), 2))
    for star, table in zip(cell.stars, option_tables(cell), strict=False):
        hubs = range(cell.vertices) if star.hub is None else [star.hub]
        placed = product(range(len(pairs)), repeat=star.edges)
        wanted = [row for row in placed if any(all(hub in pairs[n] for n in row) for hub in hubs)]
        assert numbers_of(table, cell, directed=False, alike=False) == wanted


def test_a_star_names_its_hub_first() -> None:
    cell = Cell(3, 1, (Star(2, 2), Star(2)), 0, 0)
    fixed, chosen = option_tables(cell)[:2]
    assert (fixed.ends[:, :, 0] == 2).all()
    assert (chosen.ends[:, 0, 0] == chosen.ends[:, 1, 0]).all()


def test_smallest_lists_by_hand() -> None:
    two = option_tables(Cell(2, 0, (Star(2),), 2, 2))
    assert two[0].ends.tolist() == [[[0, 1], [0, 1]]]
    assert two[1].ends.tolist() == [[[0, 1], [0, 1]], [[0, 1], [1, 0]], [[1, 0], [1, 0]]]
    assert two[2].ends.tolist() == [[[0, 1], [0, 1]]]
    four = option_tables(Cell(4, 0, (Star(2),), 0, 0))[0]
    assert len(four.mask) == 36 - 6, "ordered couples of the six pairs, less the three matchings both ways"
