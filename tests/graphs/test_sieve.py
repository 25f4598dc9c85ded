"""What lies between two classes, told from tables: against simple paths as networkx walks them."""

from itertools import islice, pairwise, permutations
from typing import cast

import networkx as nx
import numpy as np
import pytest
from tests.selection import some

from lampwright.graphs.cell import Cell, CellError, Star
from lampwright.graphs.listing import endpoints, list_blocks, open_listing
from lampwright.graphs.options import option_tables
from lampwright.graphs.sieve import Between, EdgeSieve, sieve_of, sift, ways_on_paths

CELLS = [
    Cell(2, 0, (Star(1),), 2, 1),
    Cell(2, 1, (Star(1), Star(1)), 1, 1),
    Cell(2, 2, (Star(1),), 2, 1),
    Cell(3, 1, (Star(2), Star(1, 0)), 1, 0),
    Cell(3, 1, (Star(1), Star(1)), 0, 2),
    Cell(3, 2, (Star(1),), 1, 1),
    Cell(2, 2, (), 1, 2),
]
MISSING, ALIKE = 1, 2


def between(cell: Cell, ends: list[list[int]], classes: list[int], directed: bool) -> int:
    """The edges (bit set) on simple paths from class 1 to class 0."""
    graph: nx.MultiDiGraph[int] = nx.MultiDiGraph()
    graph.add_nodes_from((0, 1))
    labelled = sum(star.edges for star in cell.stars)
    for part, (a, b) in enumerate(ends):
        if classes[a] != classes[b]:
            graph.add_edge(classes[a], classes[b], key=part)
            if not directed or not labelled <= part < labelled + cell.arcs:
                graph.add_edge(classes[b], classes[a], key=part)
    on = 0
    for path in nx.all_simple_edge_paths(graph, 1, 0):
        for step in path:
            on |= 1 << cast(tuple[int, int, int], step)[2]
    return on


def failing(cell: Cell, ends: list[list[int]], asked: Between) -> tuple[int, list[int]]:
    """The number under which a circuit fails, arcs undirected, then directed; and what lies between."""
    live: list[int] = []
    for directed in (False, True):
        live = [between(cell, ends, row, directed) for row in asked.classes.tolist()]
        for row, wanted in zip(live, asked.wanted.tolist(), strict=True):
            if asked.missing and any(want and not (row >> edge) & 1 for edge, want in enumerate(wanted)):
                return asked.missing, live
        for (first, second), apart in zip(asked.unlike.tolist(), asked.apart.tolist(), strict=True):
            # undirected, parallel edges are one pair: all of them lie between, or none
            touched = {v for part, pair in enumerate(ends) if live[first] >> part & 1 for v in pair}
            if asked.alike and live[first] == live[second] and not any(apart >> v & 1 for v in touched):
                return asked.alike, live
    return 0, live


def some_between(cell: Cell, rng: np.random.Generator, missing: int, alike: int) -> Between:
    """Rows by chance: vertices joined or alone, a row twice, perhaps nothing in class 0 or 1."""
    rows = int(rng.integers(2, 6))
    classes = rng.integers(0, cell.vertices + 2, (rows, cell.vertices)).astype(np.int8)
    for row in classes[: rows // 2]:
        row[rng.choice(cell.vertices, 2, replace=False)] = (0, 1)
    classes[-1] = classes[0]
    labelled = sum(star.edges for star in cell.stars)
    unlike = np.array([(a, b) for a in range(rows) for b in range(a) if rng.random() < 0.5], np.int64)
    return Between(
        classes=classes,
        wanted=(rng.random((rows, labelled)) < 0.3 / max(labelled, 1)).astype(np.int8),
        unlike=unlike.reshape(-1, 2),
        apart=rng.integers(0, 2**cell.vertices, len(unlike)),
        missing=missing,
        alike=alike,
    )


def sieved(
    cell: Cell, sieve: EdgeSieve, shares: int, size: int
) -> tuple[dict[tuple[int, ...], list[int]], list[int]]:
    """What is between by circuit that passes, and how many were cut by number."""
    passed: dict[tuple[int, ...], list[int]] = {}
    cut = np.zeros(3, np.int64)
    for share in range(shares):
        for block in list_blocks(cell, share, shares, size, sieve=sieve):
            sifted = sift(block.options, sieve, len(cell.stars))
            rows = zip(block.options.tolist(), sifted.number.tolist(), sifted.live.tolist(), strict=True)
            for options, number, live in rows:
                assert tuple(options) not in passed, "each circuit once"
                if number == 0:
                    passed[tuple(options)] = live
            cut[: len(block.cut)] += block.cut
            cut[1:] += np.bincount(sifted.number, minlength=3)[1:]
    return passed, cut.tolist()


@pytest.mark.parametrize("cell", some(CELLS, 1), ids=str)
def test_what_passes_and_what_fails_as_networkx_walks_it(cell: Cell) -> None:
    rng = np.random.default_rng(7)
    tables = option_tables(cell)
    options = np.concatenate([block.options for block in list_blocks(cell)])
    ends = endpoints(open_listing(cell), options).tolist()
    seen = set[int]()
    for missing, alike in [(MISSING, ALIKE), (MISSING, 0), (0, ALIKE), (0, 0)] * 5:
        asked = some_between(cell, rng, missing, alike)
        told = [failing(cell, circuit, asked) for circuit in ends]
        wanted = {
            tuple(row): live
            for row, (number, live) in zip(options.tolist(), told, strict=True)
            if number == 0
        }
        counts = [0, *(sum(number == at for number, _ in told) for at in (MISSING, ALIKE))]
        seen |= {number for number, _ in told}
        whole = sieve_of(cell, tables, asked)
        # few slots: what was worked out is forgotten and worked out again
        narrow = sieve_of(cell, tables, asked, most_bytes=8 * (2 + whole.pair_of.shape[0]) * 4, graphs=2)
        assert len(narrow.supports) <= 4, "a narrow table"
        for sieve in (whole, narrow):
            for shares, size in ((1, 65536), (3, 5)):
                passed, cut = sieved(cell, sieve, shares, size)
                assert passed == wanted, f"{asked}"
                assert cut == counts, f"{asked}"
    every = {0, ALIKE} | ({MISSING} if cell.stars else set())
    assert seen == every or (cell.vertices == 2 and len(seen) > 1), "some fail in each way"


@pytest.mark.parametrize("middle", range(6))
def test_ways_on_simple_paths_as_networkx_walks_them(middle: int) -> None:
    rng = np.random.default_rng(middle)
    ways = [
        (a, b) for a, b in permutations((1, *range(2, middle + 2), 0), 2) if a != 0 and b != 1
    ]  # fmt: skip
    order = {way: at for at, way in enumerate(numbered(middle))}
    assert set(order) == set(ways), "every way that a path can take has a bit"
    stack = np.zeros(64, np.int64)
    for _ in range(200):
        kept = [way for way in ways if rng.random() < 0.4]
        graph: nx.DiGraph[int] = nx.DiGraph(kept)
        graph.add_nodes_from((0, 1))
        on = {step for path in nx.all_simple_paths(graph, 1, 0) for step in pairwise(path)}
        number = sum(1 << order[way] for way in kept)
        found = ways_on_paths(number, middle, stack)
        assert found == sum(1 << order[way] for way in on), f"{kept}"


def numbered(middle: int) -> list[tuple[int, int]]:
    """The ways in the order of their bits: through, in, out, between."""
    inner = range(2, middle + 2)
    return [(1, 0), *((1, a) for a in inner), *((a, 0) for a in inner), *permutations(inner, 2)]


def test_tables_are_bounded_and_too_many_vertices_refused() -> None:
    def asked(vertices: int) -> Between:
        rows = np.tile(np.arange(vertices, dtype=np.int8), (4, 1))
        none = np.zeros(0, np.int64)
        return Between(rows, np.zeros((4, 6), np.int8), none.reshape(0, 2), none, MISSING, ALIKE)

    cell = Cell(4, 3, (Star(1),) * 6, 1, 1)
    sieve = sieve_of(cell, option_tables(cell), asked(7))
    assert sum(array.nbytes for array in sieve) < 64 * 2**20, "of the largest cell that is searched"
    assert 2**18 < len(sieve.supports) < 2**cell.pairs, "which has more supports than slots"
    wide = Cell(7, 3, (), 0, 1)
    with pytest.raises(CellError, match="10 vertices"):
        sieve_of(wide, option_tables(wide), asked(10))


def test_supports_that_share_a_slot_are_told_apart() -> None:
    # 21 pairs: more supports than slots at the widest, hence slots by a mixture of their bits
    cell = Cell(4, 3, (Star(1), Star(1)), 1, 3)
    rng = np.random.default_rng(2)
    classes = np.array([[1, 0, 2, 3, 4, 5, 6], [0, 1, 1, 2, 3, 4, 5], [1, 2, 0, 2, 3, 4, 5]], np.int8)
    asked = Between(
        classes, np.eye(3, 2, dtype=np.int8), np.array([(0, 1), (1, 2)]), np.array([2, 8]), MISSING, ALIKE
    )
    tables = option_tables(cell)
    listing = open_listing(cell)
    passed, cut = sieved(cell, sieve_of(cell, tables, asked, most_bytes=2**12), 1, 1000)
    wide, same = sieved(cell, sieve_of(cell, tables, asked), 1, 65536)
    assert (passed, cut) == (wide, same), "however many slots"
    whole = np.concatenate([block.options for block in list_blocks(cell)])
    assert len(whole) == len(passed) + sum(cut), "every circuit passes or is counted"
    for at in rng.choice(len(whole), 300, replace=False):
        number, live = failing(cell, endpoints(listing, whole[[at]])[0].tolist(), asked)
        assert (tuple(whole[at].tolist()) in passed) == (number == 0), "as networkx walks it"
        if number == 0:
            assert passed[tuple(whole[at].tolist())] == live, "with the same edges between"


def test_a_long_stretch_without_circuits_is_handed_out_in_pieces() -> None:
    cell = Cell(4, 2, (Star(1),) * 3, 2, 2)
    dark = np.full((1, cell.vertices), 2, np.int8)
    none = np.zeros(0, np.int64)
    asked = Between(dark, np.ones((1, 3), np.int8), none.reshape(0, 2), none, MISSING, 0)
    blocks = list(islice(list_blocks(cell, sieve=sieve_of(cell, option_tables(cell), asked)), 2))
    assert [len(block.options) for block in blocks] == [0, 0], "all fail, so no block fills"
    assert all(10**6 < block.cut[MISSING] < 10**7 for block in blocks), "and whoever waits has a word"
