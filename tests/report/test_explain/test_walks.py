"""Walks over small graphs, against networkx, over graphs made by chance."""

import random
from typing import Any

import networkx as nx
import pytest

from lampwright.report.explain.walks import Pair, blocks, components, downstream, reached, ways

SEEDS = range(60)
NODES = "abcdef"


def pairs_by_chance(seed: int) -> list[Pair]:
    """Up to nine edges between up to six nodes, some of them side by side."""
    chance = random.Random(seed)
    nodes = NODES[: chance.randint(2, 6)]
    first, second = zip(*(chance.sample(nodes, 2) for _ in range(chance.randint(1, 9))), strict=True)
    return list(zip(first, second, strict=True))


def onward(pairs: list[Pair]) -> list[Pair]:
    """The same edges, all led from the earlier letter to the later: none go round."""
    return [(min(pair), max(pair)) for pair in pairs]


@pytest.mark.parametrize("seed", SEEDS)
def test_components(seed: int) -> None:
    pairs = pairs_by_chance(seed)
    graph: nx.Graph[str] = nx.Graph()
    graph.add_nodes_from("fa")
    graph.add_edges_from(pairs)
    assert components(pairs, "fa") == [set(one) for one in nx.connected_components(graph)]


@pytest.mark.parametrize("seed", SEEDS)
def test_reached(seed: int) -> None:
    graph = nx.DiGraph(pairs_by_chance(seed))
    after = {node: list(graph.successors(node)) for node in graph}
    for node in graph:
        assert reached(node, after) == nx.descendants(graph, node) | {node}
    assert reached("nowhere", after) == {"nowhere"}


@pytest.mark.parametrize("seed", SEEDS)
def test_blocks(seed: int) -> None:
    pairs = pairs_by_chance(seed)
    # with a node in the middle of each, edges side by side are told apart
    graph: nx.Graph[str] = nx.Graph()
    for number, (a, b) in enumerate(pairs):
        graph.add_edges_from(((a, str(number)), (str(number), b)))
    found: Any = list(nx.biconnected_components(graph))
    # the two halves of a bridge are blocks by themselves
    middles = {tuple(sorted(int(node) for node in one if node.isdigit())) for one in found}
    assert sorted(tuple(sorted(one)) for one in blocks(pairs)) == sorted(middles)


@pytest.mark.parametrize("seed", SEEDS)
def test_bridges_are_blocks_of_one(seed: int) -> None:
    pairs = pairs_by_chance(seed)
    bridges: list[Pair] = list(nx.bridges(nx.MultiGraph(pairs)))
    alone = (next(iter(one)) for one in blocks(pairs) if len(one) == 1)
    assert {frozenset(pairs[edge]) for edge in alone} == set(map(frozenset, bridges))


@pytest.mark.parametrize("seed", SEEDS)
def test_downstream(seed: int) -> None:
    pairs = onward(pairs_by_chance(seed))
    graph = nx.DiGraph(pairs)
    before = {
        node: nx.dag_longest_path_length(graph.subgraph(nx.ancestors(graph, node) | {node})) for node in graph
    }
    assert downstream(pairs) == sorted(range(len(pairs)), key=lambda edge: before[pairs[edge][0]])


def test_what_goes_round_has_no_order() -> None:
    with pytest.raises(ValueError, match="go round"):
        downstream([("a", "b"), ("b", "c"), ("c", "b")])


@pytest.mark.parametrize("directed", [False, True])
@pytest.mark.parametrize("seed", SEEDS)
def test_ways_in_the_same_order(seed: int, directed: bool) -> None:
    pairs = pairs_by_chance(seed)
    graph: Any = nx.MultiDiGraph() if directed else nx.MultiGraph()
    graph.add_nodes_from("ab")
    for number, (one, other) in enumerate(pairs):
        graph.add_edge(one, other, key=number)
    # a path of a multigraph has keys, which the type of the function does not say
    walked: Any = nx.all_simple_edge_paths(graph, "a", "b")
    found = list(ways(pairs, "a", "b", directed))
    assert found == [[(node, key) for node, _, key in way] for way in walked]
