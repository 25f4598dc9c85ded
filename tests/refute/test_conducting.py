"""Which pairs lie on a supply-to-ground path: against simple paths enumerated by networkx."""

import networkx as nx
import numpy as np
import pytest

from lampwright.refute.conducting import conducting_pairs, new_memory, recall_pairs


def pairs_of(vertices: int) -> list[tuple[int, int]]:
    return [(a, b) for a in range(vertices) for b in range(a + 1, vertices)]


def by_paths(support: int, node: list[int], pairs: list[tuple[int, int]]) -> int:
    """Contract the nodes, walk every simple path from 1 (supply) to 0 (ground), note its edges."""
    graph: "nx.MultiGraph[int]" = nx.MultiGraph()
    graph.add_nodes_from((0, 1))
    for at, (a, b) in enumerate(pairs):
        if support >> at & 1 and node[a] != node[b]:
            graph.add_edge(node[a], node[b], key=at)
    on = 0
    for path in nx.all_simple_edge_paths(graph, 1, 0):
        for edge in path:
            on |= 1 << edge[2]
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
        found = conducting_pairs(
            support, np.array(node, np.int8), ends[:, 0].copy(), ends[:, 1].copy(), scratch
        )
        assert found == by_paths(support, node, pairs), f"support {support:b}, nodes {node}"


def test_what_is_remembered_is_what_is_worked_out() -> None:
    pairs = np.array(pairs_of(4), np.int64)
    low, high = pairs[:, 0].copy(), pairs[:, 1].copy()
    nodes = np.array([[1, 0, 2, 3], [1, 1, 0, 2]], np.int8)
    memory, scratch = new_memory(2, 6), np.zeros(64, np.int64)
    for _ in range(2):
        for state in range(2):
            for support in range(64):
                worked = conducting_pairs(support, nodes[state], low, high, scratch)
                assert recall_pairs(state, support, nodes, low, high, scratch, memory) == worked, (
                    "as worked out"
                )
