"""The listing against every labelled placement, grouped by brute force and by networkx.

Outside source: networkx, `is_isomorphic` of coloured graphs and blocks for the path rule;
the smallest lists are written out by hand.
"""

from collections.abc import Iterator, Sequence
from itertools import combinations, combinations_with_replacement, permutations, product

import networkx as nx
import numpy as np
import pytest

from lampwright.graphs.canonical import canonical_key
from lampwright.graphs.cell import Cell, PathRule, Star
from lampwright.graphs.listing import endpoints, list_blocks, open_listing

Pair = tuple[int, int]
Circuit = tuple[tuple[Pair, ...], tuple[Pair, ...], tuple[Pair, ...]]

CELLS = [
    Cell(0, 0, (), 0, 0),
    Cell(0, 2, (Star(1),), 0, 1),
    Cell(0, 3, (), 1, 2),
    Cell(1, 2, (Star(2, 0),), 1, 0),
    Cell(1, 2, (Star(1), Star(1, 0)), 0, 1),
    Cell(2, 0, (Star(1), Star(2)), 2, 2),
    Cell(2, 1, (Star(1), Star(1)), 1, 1),
    Cell(2, 2, (Star(1),), 1, 1),
    Cell(2, 2, (Star(2),), 0, 2),
    Cell(2, 2, (), 2, 2),
    Cell(2, 3, (), 0, 4),
    Cell(2, 3, (), 2, 1),
    Cell(3, 1, (Star(2, 2), Star(1)), 1, 0),
    Cell(3, 2, (Star(1),), 0, 2),
    Cell(3, 0, (Star(3),), 0, 1),
    Cell(2, 1, (Star(1), Star(2, alike=True)), 1, 0),
    Cell(2, 2, (Star(3, alike=True),), 0, 1),
    Cell(1, 2, (Star(2, 0), Star(2, alike=True)), 0, 0),
]


def alike_edges(cell: Cell) -> list[slice]:
    """Where the labelled edges stand that are not told apart."""
    first, found = 0, []
    for star in cell.stars:
        found += [slice(first, first + star.edges)] if star.alike else []
        first += star.edges
    return found


def listed(cell: Cell, rule: PathRule, share: int = 0, shares: int = 1, size: int = 65536) -> list[Circuit]:
    """The listed circuits as ends: labelled edges, arcs, links."""
    labelled = sum(star.edges for star in cell.stars)
    circuits = []
    for block in list_blocks(cell, share, shares, size, rule):
        assert len(block.options) == len(block.masks) <= size
        for ends in endpoints(open_listing(cell), block.options).tolist():
            parts = [(a, b) for a, b in ends]
            arcs = parts[labelled : labelled + cell.arcs]
            circuits.append((tuple(parts[:labelled]), tuple(arcs), tuple(parts[labelled + cell.arcs :])))
    return circuits


def key(cell: Cell, circuit: Circuit) -> bytes:
    """The canonical key of an explicit circuit."""
    return canonical_key(cell.terminals, cell.internal, *circuit, alike=alike_edges(cell))


def placements(cell: Cell) -> Iterator[Circuit]:
    """Every labelled placement, straight from the definition."""
    pairs = list(combinations(range(cell.vertices), 2))
    stars = []
    for star in cell.stars:
        if star.alike:
            stars.append(list(combinations_with_replacement(pairs, star.edges)))
            continue
        hubs = range(cell.vertices) if star.hub is None else [star.hub]
        fits = [
            row
            for row in product(pairs, repeat=star.edges)
            if any(all(hub in pair for pair in row) for hub in hubs)
        ]
        stars.append(fits)
    arcs = list(combinations_with_replacement(permutations(range(cell.vertices), 2), cell.arcs))
    links = list(combinations_with_replacement(pairs, cell.links))
    for chosen in product(*stars):
        edges = tuple(pair for row in chosen for pair in row)
        for some, others in product(arcs, links):
            yield edges, some, others


def obeys(cell: Cell, circuit: Circuit, rule: PathRule) -> bool:
    """The rule, by networkx."""
    pairs = [pair for kind in circuit for pair in kind]
    touched = {vertex for pair in pairs for vertex in pair}
    if rule is PathRule.ALL:
        return True
    if not set(range(cell.terminals, cell.vertices)) <= touched:
        return False
    graph: nx.Graph[int] = nx.Graph(pairs)
    graph.add_edges_from((-1, terminal) for terminal in range(cell.terminals))
    blocks = [list(block) for block in nx.biconnected_component_edges(graph)]
    return rule is PathRule.USED or all(any(-1 in edge for edge in block) for block in blocks)


def least_image(cell: Cell, circuit: Circuit) -> Circuit:
    """The least renamed circuit: the orbit's name."""
    images = []
    for inner in permutations(range(cell.terminals, cell.vertices)):
        renaming = (*range(cell.terminals), *inner)
        edges, arcs, links = ([tuple(renaming[v] for v in pair) for pair in kind] for kind in circuit)
        moved = [(min(pair), max(pair)) for pair in edges]
        for some in alike_edges(cell):
            moved[some] = sorted(moved[some])
        images.append(
            (
                tuple(moved),
                tuple(sorted((pair[0], pair[1]) for pair in arcs)),
                tuple(sorted((min(pair), max(pair)) for pair in links)),
            )
        )
    return min(images)


def coloured(cell: Cell, circuit: Circuit) -> "nx.Graph[str]":
    """The circuit as a coloured simple graph: an edge is a vertex, an arc two."""
    graph: nx.Graph[str] = nx.Graph()
    for vertex in range(cell.vertices):
        graph.add_node(f"v{vertex}", colour=vertex if vertex < cell.terminals else "internal")
    edges, arcs, links = circuit
    names = [f"edge {n}" for n in range(len(edges))]
    for some in alike_edges(cell):
        names[some] = [names[some][0]] * len(names[some])
    undirected = [*zip(names, edges, strict=True), *(("link", pair) for pair in links)]
    for number, (colour, (a, b)) in enumerate(undirected):
        graph.add_node(f"u{number}", colour=colour)
        graph.add_edges_from([(f"u{number}", f"v{a}"), (f"u{number}", f"v{b}")])
    for number, (tail, head) in enumerate(arcs):
        graph.add_node(f"t{number}", colour="tail")
        graph.add_node(f"h{number}", colour="head")
        nx.add_path(graph, [f"v{tail}", f"t{number}", f"h{number}", f"v{head}"])
    return graph


def are_isomorphic(one: "nx.Graph[str]", other: "nx.Graph[str]") -> bool:
    """Isomorphic with colours, by networkx."""
    return bool(nx.is_isomorphic(one, other, node_match=lambda a, b: a["colour"] == b["colour"]))


@pytest.mark.parametrize("rule", list(PathRule))
@pytest.mark.parametrize("cell", CELLS)
def test_the_list_is_one_of_each_orbit_of_all_placements(cell: Cell, rule: PathRule) -> None:
    orbits = {least_image(cell, circuit) for circuit in placements(cell) if obeys(cell, circuit, rule)}
    circuits = [least_image(cell, circuit) for circuit in listed(cell, rule)]
    assert len(circuits) == len(set(circuits))
    assert set(circuits) == orbits


@pytest.mark.parametrize("cell", CELLS)
def test_a_listed_circuit_is_its_own_least_image(cell: Cell) -> None:
    for edges, arcs, links in listed(cell, PathRule.ALL):
        circuit = (tuple((min(pair), max(pair)) for pair in edges), arcs, links)
        assert circuit == least_image(cell, circuit)


@pytest.mark.parametrize("cell", [cell for cell in CELLS if cell.internal])
def test_networkx_tells_all_listed_circuits_apart_and_finds_no_other(cell: Cell) -> None:
    found: list[nx.Graph[str]] = []
    for circuit in placements(cell):
        if obeys(cell, circuit, PathRule.PATH_USED):
            graph = coloured(cell, circuit)
            if not any(are_isomorphic(graph, other) for other in found):
                found.append(graph)
        if len(found) > 60:
            break
    graphs = [coloured(cell, circuit) for circuit in listed(cell, PathRule.PATH_USED)[:60]]
    assert not any(are_isomorphic(one, other) for one, other in combinations(graphs, 2))
    assert min(len(found), 60) == len(graphs)


def test_smallest_lists_by_hand() -> None:
    def ends(cell: Cell) -> list[Sequence[Pair]]:
        return [[pair for kind in circuit for pair in kind] for circuit in listed(cell, PathRule.PATH_USED)]

    assert ends(Cell(0, 0, (), 0, 0)) == [[]]
    assert ends(Cell(1, 1, (), 0, 1)) == []
    assert ends(Cell(2, 0, (Star(1),), 0, 0)) == [[(0, 1)]]
    assert ends(Cell(2, 0, (), 1, 1)) == [[(0, 1), (0, 1)], [(1, 0), (0, 1)]]
    assert ends(Cell(2, 1, (), 0, 1)) == []
    assert ends(Cell(2, 1, (), 0, 2)) == [[(0, 2), (1, 2)]]
    assert ends(Cell(2, 1, (), 1, 1)) == [
        [(0, 2), (1, 2)],
        [(1, 2), (0, 2)],
        [(2, 0), (1, 2)],
        [(2, 1), (0, 2)],
    ]
    assert ends(Cell(3, 0, (Star(1, 0),), 0, 0)) == [[(0, 1)], [(0, 2)]]
    assert ends(Cell(2, 2, (), 0, 3)) == [[(0, 2), (1, 3), (2, 3)]]


@pytest.mark.parametrize("shares", [1, 2, 3, 7, 50])
@pytest.mark.parametrize(
    "cell",
    [Cell(3, 2, (Star(1), Star(2)), 1, 1), Cell(2, 2, (Star(1), Star(1)), 1, 0), Cell(2, 2, (), 1, 2)],
)
def test_shares_are_disjoint_and_their_union_is_the_whole(cell: Cell, shares: int) -> None:
    whole = listed(cell, PathRule.PATH_USED)
    parts = [listed(cell, PathRule.PATH_USED, share, shares) for share in range(shares)]
    assert sum(map(len, parts)) == len(whole)
    assert {circuit for part in parts for circuit in part} == set(whole)


def test_share_r_of_m_takes_every_mth_choice_of_stars_from_the_rth() -> None:
    cell = Cell(3, 2, (Star(1), Star(2)), 1, 1)
    whole = list(dict.fromkeys(edges for edges, _, _ in listed(cell, PathRule.ALL)))
    for share in range(3):
        mine = list(dict.fromkeys(edges for edges, _, _ in listed(cell, PathRule.ALL, share, 3)))
        assert mine == whole[share::3]


@pytest.mark.parametrize("size", [1, 2, 5, 64])
@pytest.mark.parametrize("rule", list(PathRule))
def test_a_block_goes_on_where_the_last_one_ended(size: int, rule: PathRule) -> None:
    for cell in (Cell(2, 2, (Star(1),), 1, 1), Cell(2, 2, (Star(2),), 2, 0), Cell(2, 1, (Star(1),), 0, 0)):
        assert listed(cell, rule, size=size) == listed(cell, rule)


def test_masks_are_the_pairs_covered() -> None:
    cell = Cell(3, 1, (Star(2, 0),), 1, 1)
    bit = {pair: 1 << place for place, pair in enumerate(combinations(range(4), 2))}
    masks = np.concatenate([block.masks for block in list_blocks(cell)])
    for mask, circuit in zip(masks.tolist(), listed(cell, PathRule.PATH_USED), strict=True):
        assert mask == sum({bit[min(pair), max(pair)] for kind in circuit for pair in kind})


def test_the_walk_without_a_table() -> None:
    # 28 pairs each: five links through four internal vertices are one path, between any two of four
    # terminals; two links through one internal vertex likewise, between any two of seven
    assert len(listed(Cell(4, 4, (), 0, 5), PathRule.PATH_USED)) == 6
    wide = Cell(7, 1, (), 0, 2)
    wanted = {((), (), ((a, 7), (b, 7))) for a, b in combinations(range(7), 2)}
    assert set(listed(wide, PathRule.PATH_USED)) == wanted


def test_keys_of_listed_circuits_differ_and_renamed_ones_agree() -> None:
    cell = Cell(2, 2, (Star(1),), 1, 1)
    circuits = listed(cell, PathRule.ALL)
    assert len({key(cell, circuit) for circuit in circuits}) == len(circuits)
    for circuit in placements(cell):
        assert key(cell, circuit) == key(cell, least_image(cell, circuit))


@pytest.mark.parametrize(
    "cell",
    [
        Cell(3, 2, (Star(1), Star(2, 0)), 1, 1),
        Cell(2, 2, (Star(1), Star(1), Star(1)), 1, 0),
        Cell(3, 1, (Star(2), Star(1)), 0, 2),
        Cell(4, 2, (Star(1), Star(1)), 1, 1),
    ],
    ids=str,
)
def test_what_is_barred_is_counted_and_not_written(cell: Cell) -> None:
    rng = np.random.default_rng(3)
    whole = np.concatenate([block.options for block in list_blocks(cell)])
    most = max(len(table.mask) for table in open_listing(cell).tables[: len(cell.stars)])
    for _ in range(6):
        bars = rng.choice(np.array([0, 0, 1, 2], dtype=np.int8), (len(cell.stars), most))
        by_star = np.stack([bars[star, whole[:, star]] for star in range(len(cell.stars))], axis=1)
        first = np.zeros(len(whole), dtype=np.int8)
        for star in reversed(range(len(cell.stars))):
            first = np.where(by_star[:, star] > 0, by_star[:, star], first)
        for shares in (1, 3):
            blocks = [b for share in range(shares) for b in list_blocks(cell, share, shares, 50, bars=bars)]
            written = np.concatenate([block.options for block in blocks])
            cut = np.zeros(3, dtype=np.int64)
            for block in blocks:
                cut[: len(block.cut)] += block.cut
            wanted = [0, int((first == 1).sum()), int((first == 2).sum())]
            assert cut.tolist() == wanted, "each circuit is cut by the first star that is barred"
            free = {tuple(row) for row in whole[first == 0].tolist()}
            assert {tuple(row) for row in written.tolist()} == free, "the others are written"
            assert len(written) == len(free), "once"
