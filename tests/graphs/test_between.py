"""Which pairs and edges lie between two classes of vertices: against simple paths walked by networkx."""

from typing import cast

import networkx as nx
import numpy as np
import pytest

from lampwright.graphs.between import edges_between, edges_by_row, pairs_between


def pairs_of(vertices: int) -> list[tuple[int, int]]:
    return [(a, b) for a in range(vertices) for b in range(a + 1, vertices)]


def by_paths(support: int, node: list[int], pairs: list[tuple[int, int]]) -> int:
    """Contract the classes, walk every simple path from class 1 to class 0, note its edges."""
    graph: nx.MultiGraph[int] = nx.MultiGraph()
    graph.add_nodes_from((0, 1))
    for at, (a, b) in enumerate(pairs):
        if support >> at & 1 and node[a] != node[b]:
            graph.add_edge(node[a], node[b], key=at)
    on = 0
    for path in nx.all_simple_edge_paths(graph, 1, 0):
        for edge in path:
            on |= 1 << cast(tuple[int, int, int], edge)[2]
    return on


@pytest.mark.parametrize("vertices", [2, 3, 4, 5, 6])
def test_pairs_on_simple_paths_as_networkx_walks_them(vertices: int) -> None:
    rng = np.random.default_rng(vertices)
    pairs = pairs_of(vertices)
    ends = np.array(pairs, np.int64)
    scratch = np.zeros(64, np.int64)
    for _ in range(150):
        support = int(rng.integers(0, 2 ** len(pairs)))
        node = [0, *rng.integers(0, vertices, vertices - 1).tolist()]
        found = pairs_between(support, np.array(node, np.int8), ends[:, 0].copy(), ends[:, 1].copy(), scratch)
        assert found == by_paths(support, node, pairs), f"support {support:b}, nodes {node}"


def test_edges_on_simple_paths_along_the_arcs_as_networkx_walks_them() -> None:
    rng = np.random.default_rng(5)
    stack = np.zeros(64, np.int64)
    for _ in range(600):
        vertices, edges = int(rng.integers(2, 7)), int(rng.integers(1, 9))
        tail = rng.integers(0, vertices, edges)
        head = (tail + rng.integers(1, vertices, edges)) % vertices
        first = int(rng.integers(0, edges + 1))
        last = int(rng.integers(first, edges + 1))
        classes = rng.integers(0, vertices, (1, vertices)).astype(np.int8)
        graph: nx.MultiDiGraph[int] = nx.MultiDiGraph()
        graph.add_nodes_from((0, 1))
        for edge in range(edges):
            a, b = int(classes[0, tail[edge]]), int(classes[0, head[edge]])
            if a != b:
                graph.add_edge(a, b, key=edge)
                if not first <= edge < last:
                    graph.add_edge(b, a, key=edge)
        on = 0
        for path in nx.all_simple_edge_paths(graph, 1, 0):
            for step in path:
                on |= 1 << cast(tuple[int, int, int], step)[2]
        ends = np.stack([tail, head], axis=1)[None].astype(np.int8)
        found = edges_between(ends, 0, first, last, classes, 0, stack)
        assert found == on, f"{ends.tolist()}, arcs {first} to {last}, classes {classes.tolist()}"
        assert edges_by_row(ends, first, last, classes).tolist() == [[on]], "and for many at once"
