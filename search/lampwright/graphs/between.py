"""Which vertex pairs lie on a simple path between two sets of vertices, compiled.

Vertices are put into classes: class 0, class 1, and others; vertices of one class count
as one, so the graph is contracted. An edge lies on a simple path between class 0 and
class 1 exactly if it shares a block with an edge joining the two; and two edges share a
block exactly if no single vertex parts them. Source: Whitney 1932, from memory. The smallest case:
one edge between class 0 and class 1 is such a path.
"""

import numpy as np
from numba import njit
from numpy.typing import NDArray

from lampwright.compiled import ENTRY, INNER

Bytes = NDArray[np.int8]
Ints = NDArray[np.int64]


@njit(**INNER)
def _reach(start: int, without: int, adjacent: Ints) -> int:
    """The vertices (bit set) that `start` (bit set) reaches when `without` is taken out."""
    allowed = ~(1 << without)
    seen = start & allowed
    fringe = seen
    while fringe:
        grown = 0
        vertex = 0
        while fringe:
            if fringe & 1:
                grown |= adjacent[vertex]
            fringe >>= 1
            vertex += 1
        fringe = grown & allowed & ~seen
        seen |= fringe
    return seen


@njit(**ENTRY)
def pairs_between(support: int, node: Bytes, low_end: Ints, high_end: Ints, adjacent: Ints) -> int:
    """The pairs of `support` (bit sets over pairs) on a simple path between class 0 and class 1.

    node: (vertices,) the class of each vertex. low_end, high_end: (pairs,) the vertices of
    each pair. adjacent: scratch of 64.
    """
    top = 2
    for vertex in range(node.shape[0]):
        top = max(top, int(node[vertex]) + 1)
    for n in range(top):
        adjacent[n] = 0
    left = 0
    for pair in range(low_end.shape[0]):
        if (support >> pair) & 1:
            a, b = int(node[low_end[pair]]), int(node[high_end[pair]])
            if a != b:
                left |= 1 << pair
                adjacent[a] |= 1 << b
                adjacent[b] |= 1 << a
    adjacent[0] |= 2
    adjacent[1] |= 1
    for without in range(top):
        if left == 0:
            break
        if adjacent[without] == 0:
            continue
        reached = _reach(3, without, adjacent) | (1 << without)
        for pair in range(low_end.shape[0]):
            a, b = int(node[low_end[pair]]), int(node[high_end[pair]])
            if (left >> pair) & 1 and ((reached >> a) & 1 == 0 or (reached >> b) & 1 == 0):
                left &= ~(1 << pair)
    return left


@njit(**ENTRY)
def edges_between(
    ends: Bytes, circuit: int, first_arc: int, last_arc: int, classes: Bytes, row: int, stack: Ints
) -> int:
    """The edges (bit set) on a simple path from class 1 to class 0 that follows every arc's direction.

    ends: (circuits, edges, 2); edges from first_arc to before last_arc are arcs, tail
    first, the others go both ways. stack: scratch of 64. Every simple path is walked:
    for graphs of a few vertices.
    """
    on = 0
    edges = ends.shape[1]
    depth = 0
    vertex = 1
    visited = 2
    edge = 0
    while depth >= 0:
        moved = False
        while edge < 2 * edges and not moved:
            e, way = edge // 2, edge % 2
            edge += 1
            if way == 1 and first_arc <= e < last_arc:
                continue
            if classes[row, ends[circuit, e, way]] != vertex:
                continue
            other = int(classes[row, ends[circuit, e, 1 - way]])
            if (visited >> other) & 1:
                continue
            if other == 0:
                on |= 1 << e
                for step in range(depth):
                    on |= 1 << (stack[step] // 2 // 64)
                continue
            stack[depth] = (e * 64 + vertex) * 2 + way
            depth += 1
            visited |= 1 << other
            vertex = other
            edge = 0
            moved = True
        if not moved:
            depth -= 1
            if depth >= 0:
                visited &= ~(1 << vertex)
                last = stack[depth]
                e, way = last // 2 // 64, last % 2
                vertex = (last // 2) % 64
                edge = 2 * e + way + 1
    return on


@njit(**ENTRY)
def edges_by_row(ends: Bytes, first_arc: int, last_arc: int, classes: Bytes) -> Ints:
    """`edges_between` of every circuit in every row of classes: (circuits, rows)."""
    found = np.zeros((ends.shape[0], classes.shape[0]), np.int64)
    stack = np.zeros(64, np.int64)
    for circuit in range(ends.shape[0]):
        for row in range(classes.shape[0]):
            found[circuit, row] = edges_between(ends, circuit, first_arc, last_arc, classes, row, stack)
    return found
