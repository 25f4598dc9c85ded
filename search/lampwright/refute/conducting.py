"""Which vertex pairs lie on a simple path from a live to a grounded terminal, compiled.

In a state, vertices of one electrical node are one: the graph is contracted. An edge
lies on a simple path between supply and ground just if it shares a block with an edge
joining the two; and two edges share a block just if no single vertex parts them.
Answers are remembered in a table, filled as it is asked, while the table is small.
"""

import numpy as np
from numba import njit
from numpy.typing import NDArray

Bytes = NDArray[np.int8]
Ints = NDArray[np.int64]
Words = NDArray[np.int32]

MOST_TABLE_BYTES = 256 * 2**20


def new_memory(states: int, pairs: int) -> Words:
    """Room to remember (states, supports); one column, unused, where that would be too large."""
    fits = pairs <= 30 and states * 4 * 2**pairs <= MOST_TABLE_BYTES
    return np.zeros((states, 2**pairs if fits else 1), np.int32)


@njit(cache=True, nogil=True)
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


@njit(cache=True, nogil=True)
def conducting_pairs(support: int, node: Bytes, low_end: Ints, high_end: Ints, adjacent: Ints) -> int:
    """The pairs of `support` (bit sets over pairs) on a simple supply-to-ground path.

    node: (vertices,) 0 ground, 1 supply, 2 and up open. low_end, high_end: (pairs,)
    the vertices of each pair. adjacent: scratch of 64.
    """
    top = 2
    for vertex in range(node.shape[0]):
        top = max(top, node[vertex] + 1)
    for n in range(top):
        adjacent[n] = 0
    left = 0
    for pair in range(low_end.shape[0]):
        if (support >> pair) & 1:
            a = node[low_end[pair]]
            b = node[high_end[pair]]
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
            if (left >> pair) & 1 and (
                (reached >> node[low_end[pair]]) & 1 == 0 or (reached >> node[high_end[pair]]) & 1 == 0
            ):
                left &= ~(1 << pair)
    return left


@njit(cache=True, nogil=True)
def recall_pairs(
    state: int, support: int, vertex_node: Bytes, low_end: Ints, high_end: Ints, adjacent: Ints, memory: Words
) -> int:
    """`conducting_pairs` of a state, remembered."""
    if memory.shape[1] == 1:
        return int(conducting_pairs(support, vertex_node[state], low_end, high_end, adjacent))
    known = memory[state, support]
    if known == 0:
        known = conducting_pairs(support, vertex_node[state], low_end, high_end, adjacent) + 1
        memory[state, support] = known
    return int(known) - 1
