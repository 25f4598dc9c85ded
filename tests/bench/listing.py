"""Circuits told apart per second, against networkx and pynauty on the same cells; then large cells.

In the races no path rule is asked for, so that only telling circuits apart is raced. The others
get every labelled circuit as a coloured graph with a vertex for each part (two for a
diode), and keep one of each class: networkx compares pairwise, after a validator by what
needs no comparison; pynauty keeps a set of certificates.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from importlib.util import find_spec
from itertools import combinations, combinations_with_replacement, permutations, product

import networkx as nx
from networkx.algorithms.isomorphism import categorical_node_match
from tests.bench.clock import core_seconds
from tests.bench.table import Row, Size, rate

from lampwright.graphs.cell import Cell, PathRule, Star
from lampwright.graphs.listing import list_blocks
from lampwright.graphs.orbits import count_orbits

FREE = Star(1)
COUNTED, SAME = "as counted", "as many"
RACES = {
    Size.TINY: (Cell(2, 1, (FREE,), 1, 1),),
    Size.QUICK: (Cell(2, 3, (FREE,), 1, 1), Cell(3, 2, (FREE, FREE), 1, 1)),
    Size.FULL: (Cell(2, 3, (FREE,), 1, 1), Cell(3, 2, (FREE, FREE), 1, 1), Cell(4, 2, (FREE, FREE), 1, 1)),
}
LARGE = {
    Size.TINY: (Cell(3, 1, (FREE, FREE), 1, 1),),
    Size.QUICK: (Cell(3, 2, (FREE,) * 3, 2, 1), Cell(4, 2, (FREE,) * 4, 1, 1)),
    Size.FULL: (Cell(3, 2, (FREE,) * 3, 2, 2), Cell(4, 2, (FREE,) * 4, 1, 2), Cell(3, 3, (FREE,) * 3, 1, 2)),
}


@dataclass(frozen=True)
class Coloured:
    """A labelled circuit as a simple graph. colours: one per vertex; shape: what renaming cannot change."""

    colours: tuple[str, ...]
    edges: tuple[tuple[int, int], ...]
    shape: tuple[tuple[str, int, int], ...]


def measure(size: Size) -> tuple[Row, ...]:
    """Race on small cells, then list large ones."""
    rows = [row for cell in RACES[size] for row in _race(cell)]
    return (*rows, *(_large(cell) for cell in LARGE[size]))


def _race(cell: Cell) -> Iterator[Row]:
    ours = sum(len(block.masks) for block in list_blocks(cell, rule=PathRule.ALL))
    seconds = core_seconds(lambda: sum(len(block.masks) for block in list_blocks(cell, rule=PathRule.ALL)))
    name = _name(cell)
    said = f"{rate(ours / seconds)} of {ours:,} circuits"
    yield Row(name, said, COUNTED, ours == count_orbits(cell, PathRule.ALL))
    found: list[int] = []
    theirs = core_seconds(lambda: found.append(_by_networkx(cell)), 1)
    yield Row("  networkx", _ratio(ours / theirs, theirs / seconds), SAME, found[-1] == ours)
    if find_spec("pynauty") is None:
        yield Row("  pynauty", "not installed: it is in the extra `bench`")
        return
    theirs = core_seconds(lambda: found.append(_by_pynauty(cell)), 1)
    yield Row("  pynauty", _ratio(ours / theirs, theirs / seconds), SAME, found[-1] == ours)


def _ratio(per_second: float, ratio: float) -> str:
    return f"{rate(per_second)}: here {ratio:,.0f}x as many"


def _large(cell: Cell) -> Row:
    listed: list[int] = []
    seconds = core_seconds(lambda: listed.append(sum(len(block.masks) for block in list_blocks(cell))), 1)
    said = f"{rate(listed[0] / seconds)} of {listed[0]:,} circuits"
    return Row(f"{_name(cell)}, path rule", said, COUNTED, listed[0] == count_orbits(cell))


def _name(cell: Cell) -> str:
    return f"{cell.terminals}T {cell.internal}J {len(cell.stars)}F {cell.arcs}D {cell.links}R"


def _labelled(cell: Cell) -> Iterator[Coloured]:
    """Every circuit with its joints told apart."""
    vertices = range(cell.vertices)
    pairs, ordered = list(combinations(vertices, 2)), list(permutations(vertices, 2))
    filaments = product(pairs, repeat=len(cell.stars))
    arcs = list(combinations_with_replacement(ordered, cell.arcs))
    links = list(combinations_with_replacement(pairs, cell.links))
    for parts in product(filaments, arcs, links):
        yield _coloured(cell, *parts)


def _coloured(cell: Cell, *parts: tuple[tuple[int, int], ...]) -> Coloured:
    colours = [f"terminal {at}" if at < cell.terminals else "joint" for at in range(cell.vertices)]
    edges: list[tuple[int, int]] = []
    shape: list[tuple[str, int, int]] = []
    names = ([f"filament {at}" for at in range(len(parts[0]))], ["diode"] * cell.arcs, ["link"] * cell.links)
    for of_kind, ends in zip(names, parts, strict=True):
        for name, (a, b) in zip(of_kind, ends, strict=True):
            first = last = len(colours)
            colours.append(name)
            if name == "diode":
                last = first + 1
                colours.append("cathode")
                edges.append((first, last))
            edges += [(a, first), (last, b)]
            outer = [end if end < cell.terminals else cell.terminals for end in (a, b)]
            low, high = outer if name == "diode" else sorted(outer)
            shape.append((name, low, high))
    return Coloured(tuple(colours), tuple(edges), tuple(sorted(shape)))


def _by_networkx(cell: Cell) -> int:
    """Pairwise among circuits of one shape."""
    alike = categorical_node_match("colour", None)
    kept: dict[tuple[tuple[str, int, int], ...], list[nx.Graph[int]]] = {}
    for one in _labelled(cell):
        graph: nx.Graph[int] = nx.Graph(one.edges)
        graph.add_nodes_from((at, {"colour": colour}) for at, colour in enumerate(one.colours))
        others = kept.setdefault(one.shape, [])
        if not any(nx.is_isomorphic(graph, other, node_match=alike) for other in others):
            others.append(graph)
    return sum(map(len, kept.values()))


def _by_pynauty(cell: Cell) -> int:
    """A set of certificates: all graphs of a cell have the same classes of colours."""
    from pynauty import Graph, certificate

    seen = set()
    for one in _labelled(cell):
        order = {colour: set[int]() for colour in sorted(set(one.colours))}
        for at, colour in enumerate(one.colours):
            order[colour].add(at)
        adjacent: dict[int, list[int]] = {}
        for a, b in one.edges:
            adjacent.setdefault(a, []).append(b)
        seen.add(
            certificate(
                Graph(len(one.colours), adjacency_dict=adjacent, vertex_coloring=list(order.values()))
            )
        )
    return len(seen)
