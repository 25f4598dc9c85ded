"""Counts of multigraphs, against sequences of the On-Line Encyclopedia of Integer Sequences.

Every term is from the table "Published counts, recomputed" of the project's notes on
enumeration, where the sequences were read in oeis/oeisdata and each term was found again by
augmentation with canonical form. The numbers are reached through the public functions,
with no special code: a root is a terminal, an edge a link or an arc, and an isolated
internal vertex is kept out by PathRule.USED.
"""

import pytest

from lampwright.graphs.cell import Cell, PathRule, Star
from lampwright.graphs.drawings import drawing_key
from lampwright.graphs.listing import endpoints, list_blocks, open_listing
from lampwright.graphs.orbits import count_all, count_orbits

# OEIS A339065, n = 0..3: loopless multigraphs with n edges, two told-apart roots
A339065 = [1, 4, 17, 69]
# OEIS A007717, n = 0..3: the same with one root
A007717 = [1, 2, 7, 23]
# OEIS A050535, n = 0..3: loopless multigraphs with n edges, no isolated vertex
A050535 = [1, 1, 3, 8]
# OEIS A052170, n = 0..3: directed loopless multigraphs with n arcs
A052170 = [1, 1, 6, 24]
# no OEIS number, n = 1..6: two-terminal networks whose every part is on a terminal-to-terminal path
TWO_TERMINAL = [1, 2, 5, 15, 49, 176]
# OEIS A003430, n = 1..5: oriented series-parallel networks, and how many of the above are not such
A003430 = [1, 2, 5, 15, 48]
NOT_SERIES_PARALLEL = [0, 0, 0, 0, 1]
# OEIS A006351, n = 1..4: series-parallel networks with n labelled edges
A006351 = [1, 2, 8, 52]
# OEIS A000084, n = 1..5: two-terminal series-parallel networks, series order ignored
A000084 = [1, 2, 4, 10, 24]


def listed(cell: Cell, rule: PathRule) -> int:
    """How many circuits the listing gives."""
    return sum(len(block.masks) for block in list_blocks(cell, rule=rule))


def rooted_cells(roots: int, edges: int) -> list[Cell]:
    """Cells with so many links and up to two new vertices for each."""
    return [Cell(roots, internal, (), 0, edges) for internal in range(2 * edges + 1)]


@pytest.mark.parametrize(("roots", "sequence"), [(2, A339065), (1, A007717), (0, A050535)])
def test_rooted_multigraphs_listed(roots: int, sequence: list[int]) -> None:
    sums = [
        sum(listed(cell, PathRule.USED) for cell in rooted_cells(roots, edges))
        for edges in range(len(sequence))
    ]
    assert sums == sequence


@pytest.mark.parametrize(("roots", "sequence"), [(2, A339065[:3]), (1, A007717[:3]), (0, A050535)])
def test_rooted_multigraphs_counted(roots: int, sequence: list[int]) -> None:
    sums = [
        sum(count_orbits(cell, PathRule.USED) for cell in rooted_cells(roots, edges))
        for edges in range(len(sequence))
    ]
    assert sums == sequence


@pytest.mark.parametrize(("roots", "sequence"), [(2, A339065), (1, A007717), (0, A050535)])
def test_rooted_multigraphs_counted_with_isolated_vertices(roots: int, sequence: list[int]) -> None:
    # with 2n internal vertices to spare, every class with fewer appears once, padded with isolated ones
    counts = [count_all(Cell(roots, 2 * edges, (), 0, edges)) for edges in range(len(sequence))]
    assert counts == sequence


def test_directed_multigraphs() -> None:
    cells = [[Cell(0, internal, (), arcs, 0) for internal in range(2 * arcs + 1)] for arcs in range(4)]
    assert [sum(listed(cell, PathRule.USED) for cell in row) for row in cells] == A052170
    assert [sum(count_orbits(cell, PathRule.USED) for cell in row) for row in cells] == A052170


def path_cells(edges: int) -> list[Cell]:
    """Two terminals, so many links, and as many internal vertices as a path has room for."""
    return [Cell(2, internal, (), 0, edges) for internal in range(edges)]


def test_two_terminal_networks() -> None:
    counts = [sum(count_orbits(cell) for cell in path_cells(edges)) for edges in range(1, 7)]
    assert counts == TWO_TERMINAL
    sums = [sum(listed(cell, PathRule.PATH_USED) for cell in path_cells(edges)) for edges in range(1, 6)]
    assert sums == TWO_TERMINAL[:5]
    assert sums == [a + b for a, b in zip(A003430, NOT_SERIES_PARALLEL, strict=True)]


def electrical_classes(cells: list[Cell], labels: list[str]) -> int:
    """How many circuits are left when drawings of one circuit are joined."""
    directed = [False] * len(labels)
    keys = set()
    for cell in cells:
        for block in list_blocks(cell):
            for ends in endpoints(open_listing(cell), block.options).tolist():
                edges = [(a, b) for a, b in ends]
                keys.add(drawing_key(cell.vertices, cell.terminals, edges, labels, directed))
    return len(keys)


@pytest.mark.parametrize("edges", [1, 2, 3, 4])
def test_electrical_classes_of_told_apart_edges(edges: int) -> None:
    cells = [Cell(2, internal, (Star(1),) * edges, 0, 0) for internal in range(edges)]
    assert electrical_classes(cells, [f"e{n}" for n in range(edges)]) == A006351[edges - 1]


@pytest.mark.parametrize("edges", [1, 2, 3, 4, 5])
def test_electrical_classes_of_alike_edges(edges: int) -> None:
    # the one network of five that is not series-parallel, the bridge, is a class of its own
    bridges = NOT_SERIES_PARALLEL[edges - 1]
    assert electrical_classes(path_cells(edges), ["r"] * edges) == A000084[edges - 1] + bridges
