"""The path rule against networkx: blocks with the extra vertex Z, and simple paths by brute force.

Outside source: networkx, `biconnected_component_edges` and `all_simple_paths`.
"""

from itertools import combinations, pairwise

import networkx as nx
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lampwright.graphs.cell import PathRule
from lampwright.graphs.pathrule import obeys, path_table, rule_table

Pair = tuple[int, int]


def support(mask: int, vertices: int) -> list[Pair]:
    """The pairs of a mask."""
    return [pair for place, pair in enumerate(combinations(range(vertices), 2)) if mask >> place & 1]


def touches_all(pairs: list[Pair], terminals: int, vertices: int) -> bool:
    """Whether every internal vertex is on a pair."""
    return set(range(terminals, vertices)) <= {vertex for pair in pairs for vertex in pair}


def holds_by_blocks(pairs: list[Pair], terminals: int, vertices: int) -> bool:
    """Join all terminals to Z; the block of every pair contains Z."""
    graph: nx.Graph[int] = nx.Graph(pairs)
    graph.add_edges_from((-1, terminal) for terminal in range(terminals))
    blocks = nx.biconnected_component_edges(graph)
    return touches_all(pairs, terminals, vertices) and all(
        any(-1 in edge for edge in block) for block in map(list, blocks)
    )


def holds_by_paths(pairs: list[Pair], terminals: int, vertices: int) -> bool:
    """Every pair is a step of a simple path between two terminals."""
    graph: nx.Graph[int] = nx.Graph(pairs)
    graph.add_nodes_from(range(vertices))
    steps: set[Pair] = set()
    for first, last in combinations(range(terminals), 2):
        for path in nx.all_simple_paths(graph, first, last):
            steps.update((min(step), max(step)) for step in pairwise(path))
    return touches_all(pairs, terminals, vertices) and steps == set(pairs)


@pytest.mark.parametrize("vertices", range(6))
def test_every_support_of_up_to_five_vertices_against_blocks(vertices: int) -> None:
    for terminals in range(vertices + 1):
        table = path_table(terminals, vertices - terminals)
        for mask, said in enumerate(table.tolist()):
            assert said == holds_by_blocks(support(mask, vertices), terminals, vertices)


@pytest.mark.parametrize(("terminals", "internal"), [(0, 2), (1, 3), (2, 2), (3, 1), (4, 0), (2, 3), (3, 2)])
def test_every_support_against_simple_paths(terminals: int, internal: int) -> None:
    vertices = terminals + internal
    for mask, said in enumerate(path_table(terminals, internal).tolist()):
        assert said == holds_by_paths(support(mask, vertices), terminals, vertices)


@pytest.mark.parametrize("terminals", [3, 4])
def test_a_sample_of_seven_vertices_against_blocks(terminals: int) -> None:
    table = path_table(terminals, 7 - terminals)
    # a stride prime to 2^21 meets every pattern of low bits; half of all supports obey
    for mask in range(0, 1 << 21, 3989):
        assert table[mask] == holds_by_blocks(support(mask, 7), terminals, 7)


@given(st.integers(0, (1 << 28) - 1), st.integers(0, (1 << 28) - 1), st.integers(2, 4))
def test_the_predicate_beyond_the_table(one: int, other: int, terminals: int) -> None:
    sparse = one & other
    assert obeys(sparse, terminals, 8, 2) == holds_by_blocks(support(sparse, 8), terminals, 8)


def test_fewer_than_two_terminals_allow_no_edge() -> None:
    for terminals in (0, 1):
        for internal in range(4):
            good = np.flatnonzero(path_table(terminals, internal)).tolist()
            assert good == ([0] if internal == 0 else [])


def test_the_weaker_rules() -> None:
    for mask, said in enumerate(rule_table(2, 2, PathRule.USED).tolist()):
        assert said == touches_all(support(mask, 4), 2, 4)
    assert rule_table(2, 2, PathRule.ALL).all()


def test_tables_cannot_be_written() -> None:
    with pytest.raises(ValueError, match="read-only"):
        path_table(2, 1)[0] = True
