"""Walks over small graphs: what hangs together, what is reached, blocks, order and simple paths.

A graph is its edges, each a pair of nodes; edges are counted from 0, may lie side by side, and are undirected
where nothing else is said. A spec's circuits have some ten edges, and a library of graphs takes longer to
import than an explanation to make. The tests walk with networkx. Source: blocks by low points, R. Tarjan,
Depth-first search and linear graph algorithms, SIAM J. Comput. 1 (1972); order by in-degrees, A. B. Kahn,
Topological sorting of large networks, Comm. ACM 5 (1962).
"""

from collections.abc import Iterable, Iterator, Sequence

Pair = tuple[str, str]


def components(pairs: Iterable[Pair], nodes: Iterable[str] = ()) -> list[set[str]]:
    """Group nodes, and all ends of edges, by what joins them; groups in the order of their first nodes.

    >>> [sorted(one) for one in components([("b", "c"), ("d", "c")], ["a", "b"])]
    [['a'], ['b', 'c', 'd']]
    """
    beside: dict[str, list[str]] = {node: [] for node in nodes}
    for a, b in pairs:
        beside.setdefault(a, []).append(b)
        beside.setdefault(b, []).append(a)
    groups: list[set[str]] = []
    grouped: set[str] = set()
    for node in beside:
        if node not in grouped:
            groups.append(reached(node, beside))
            grouped |= groups[-1]
    return groups


def reached(node: str, after: dict[str, list[str]]) -> set[str]:
    """A node and all that is reached from it. after: the next nodes of those that have any."""
    found, left = {node}, [node]
    while left:
        new = [one for one in after.get(left.pop(), ()) if one not in found]
        found.update(new)
        left += new
    return found


def blocks(pairs: Sequence[Pair]) -> list[set[int]]:
    """Sort edges into blocks: two are in one if a ring goes through both; a bridge is a block by itself.

    No edge may join a node to itself.

    >>> blocks([("a", "b"), ("b", "c"), ("c", "a"), ("c", "d")])
    [{3}, {0, 1, 2}]
    """
    at: dict[str, list[int]] = {}
    for number, (a, b) in enumerate(pairs):
        at.setdefault(a, []).append(number)
        at.setdefault(b, []).append(number)
    met: dict[str, int] = {}
    found: list[set[int]] = []
    walked: list[int] = []

    def lowest(node: str) -> int:
        """The number of the first node that edges from here on lead back to; close the blocks on the way."""
        low = met[node] = len(met)
        for edge in at[node]:
            a, b = pairs[edge]
            other = b if a == node else a
            if other not in met:
                begun = len(walked)
                walked.append(edge)
                back = lowest(other)
                if back >= met[node]:
                    found.append(set(walked[begun:]))
                    del walked[begun:]
                low = min(low, back)
            elif met[other] < met[node]:
                walked.append(edge)
                low = min(low, met[other])
        return low

    for node in at:
        if node not in met:
            lowest(node)
    return found


def downstream(pairs: Sequence[Pair]) -> list[int]:
    """Sort edges, each from its first node to its second, by how many lie before it at most.

    Raises ValueError where some edges go round.

    >>> downstream([("b", "c"), ("a", "c"), ("a", "b")])
    [1, 2, 0]
    """
    after: dict[str, list[str]] = {}
    coming: dict[str, int] = {}
    for a, b in pairs:
        after.setdefault(a, []).append(b)
        coming[b] = coming.get(b, 0) + 1
    depth = {node: 0 for node in after if node not in coming}
    left = list(depth)
    for node in left:
        for other in after.get(node, ()):
            depth[other] = max(depth.get(other, 0), depth[node] + 1)
            coming[other] -= 1
            if not coming[other]:
                left.append(other)
    if any(coming.values()):
        raise ValueError("some edges go round")
    return sorted(range(len(pairs)), key=lambda edge: depth[pairs[edge][0]])


def ways(
    pairs: Sequence[Pair], start: str, end: str, directed: bool = False
) -> Iterator[list[tuple[str, int]]]:
    """Every simple path between two nodes, as its edges, each with the node it is entered from.

    Where a path branches, nodes come in the order of their first edges, and edges to one node in theirs.

    >>> list(ways([("a", "b"), ("c", "b"), ("a", "b")], "a", "c"))
    [[('a', 0), ('b', 1)], [('a', 2), ('b', 1)]]
    """
    beside: dict[str, dict[str, list[int]]] = {}
    for number, (a, b) in enumerate(pairs):
        beside.setdefault(a, {}).setdefault(b, []).append(number)
        if not directed:
            beside.setdefault(b, {}).setdefault(a, []).append(number)
    passed = {start}
    path: list[tuple[str, int]] = []

    def onward(node: str) -> Iterator[list[tuple[str, int]]]:
        """Lead the path on from its last node."""
        for other, edges in beside.get(node, {}).items():
            if other in passed:
                continue
            for edge in edges:
                path.append((node, edge))
                if other == end:
                    yield path.copy()
                else:
                    passed.add(other)
                    yield from onward(other)
                    passed.remove(other)
                path.pop()

    yield from onward(start)
