"""Cells: what is refused, with what words. Outside source: none, our own definitions."""

import pytest

from lampwright.errors import LampwrightError
from lampwright.graphs.cell import Cell, CellError, Star
from lampwright.graphs.listing import list_blocks, open_listing
from lampwright.graphs.orbits import count_orbits
from lampwright.graphs.pathrule import path_table


def test_a_cell_counts_its_vertices_pairs_and_parts() -> None:
    cell = Cell(3, 2, (Star(1), Star(2, 0)), 1, 4)
    assert (cell.vertices, cell.pairs, cell.parts) == (5, 10, 8)


@pytest.mark.parametrize("numbers", [(-1, 0, 0, 0), (0, -1, 0, 0), (0, 0, -1, 0), (0, 0, 0, -1)])
def test_numbers_below_zero_are_refused(numbers: tuple[int, int, int, int]) -> None:
    terminals, internal, arcs, links = numbers
    with pytest.raises(CellError, match="below zero"):
        Cell(terminals, internal, (), arcs, links)


def test_too_many_vertices_are_refused() -> None:
    with pytest.raises(CellError, match="too many to permute"):
        Cell(2, 7, (), 0, 1)
    with pytest.raises(CellError, match="too many to permute"):
        Cell(12, 0, (), 0, 1)


@pytest.mark.parametrize("star", [Star(0), Star(-1), Star(1, 2), Star(1, -1)])
def test_no_star_without_edges_and_no_hub_but_a_terminal(star: Star) -> None:
    with pytest.raises(CellError, match="Star"):
        Cell(2, 1, (star,), 0, 0)


@pytest.mark.parametrize(
    "cell",
    [
        Cell(5, 2, (), 6, 0),
        Cell(5, 2, (), 0, 9),
        Cell(5, 2, (Star(8, 0),), 0, 0),
        Cell(1, 6, (Star(5),), 0, 2),
    ],
)
def test_a_coordinate_with_too_many_options_is_refused(cell: Cell) -> None:
    with pytest.raises(CellError, match="too many to keep in a table"):
        open_listing(cell)


def test_the_count_and_the_table_stop_at_21_pairs() -> None:
    with pytest.raises(CellError, match="at most 21"):
        count_orbits(Cell(4, 4, (), 0, 1))
    with pytest.raises(CellError, match="too large"):
        path_table(4, 4)


def test_every_refusal_is_one_of_ours() -> None:
    assert issubclass(CellError, LampwrightError)


@pytest.mark.parametrize(("share", "shares", "size"), [(1, 1, 10), (-1, 2, 10), (0, 0, 10), (0, 1, 0)])
def test_a_share_that_cannot_be_is_refused(share: int, shares: int, size: int) -> None:
    with pytest.raises(ValueError, match="cannot be"):
        next(list_blocks(Cell(2, 0, (), 0, 1), share, shares, size))
