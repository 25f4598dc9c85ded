"""The states of one cell as screening reads them, and the pairs that a circuit covers."""

import numpy as np

from lampwright.graphs.between import new_memory
from lampwright.judge.screen import MOST_POINTS, Scene
from lampwright.solve.laws import Bytes

SLOTS = 2**16
"""How many live nets are remembered at once; 5 MB with their points."""


def scene_of(vertex_node: Bytes, *, remember: bool) -> Scene:
    """The scene of these states (states, vertices); remember for many circuits, not for one."""
    states, vertices = vertex_node.shape
    pairs = np.array([(a, b) for a in range(vertices) for b in range(a + 1, vertices)], np.int64).reshape(
        -1, 2
    )
    paths = new_memory(states, len(pairs)) if remember else np.zeros((states, 1), np.int32)
    slots = SLOTS if remember else 0
    return Scene(
        vertex_node=vertex_node,
        low_end=np.ascontiguousarray(pairs[:, 0]),
        high_end=np.ascontiguousarray(pairs[:, 1]),
        paths=paths,
        net=np.zeros((slots, 2), np.int64),
        points=np.zeros((slots, MOST_POINTS), np.int8),
    )


def support_of(ends: Bytes, vertices: int) -> int:
    """The pairs (bit set) that parts with these ends (parts, 2) cover; loops cover none."""
    support = 0
    for a, b in np.sort(ends.astype(int), axis=1):
        if a != b:
            support |= 1 << int(a * vertices - a * (a + 1) // 2 + b - a - 1)
    return support
