"""The canonical key of one circuit given by its ends: equal keys, same circuit up to renaming.

Every renaming of the internal vertices is tried and the least image kept: labelled edges in
their order as sorted pairs, then arcs and links as sorted multisets. That is the order of
`options`, so a listed circuit is its own least image. Plain Python, for single circuits; k
internal vertices cost k! images. No source: the definition, written out.
"""

from collections.abc import Sequence
from itertools import permutations

Pair = tuple[int, int]


def canonical_key(
    terminals: int,
    internal: int,
    edges: Sequence[Pair],
    arcs: Sequence[Pair],
    links: Sequence[Pair],
    alike: Sequence[slice] = (),
) -> bytes:
    """The least image as bytes, after the numbers of vertices and parts.

    alike: edges that are not told apart.

    >>> canonical_key(1, 2, [(2, 0)], [], []) == canonical_key(1, 2, [(0, 1)], [], [])
    True
    """
    outer = tuple(range(terminals))
    least = min(
        _image((*outer, *inner), edges, arcs, links, alike)
        for inner in permutations(range(terminals, terminals + internal))
    )
    return bytes([terminals, internal, len(edges), len(arcs), len(links), *least])


def _image(
    renaming: Sequence[int],
    edges: Sequence[Pair],
    arcs: Sequence[Pair],
    links: Sequence[Pair],
    alike: Sequence[slice],
) -> list[int]:
    """The ends of the renamed circuit, in comparable order."""
    moved = [sorted((renaming[a], renaming[b])) for a, b in edges]
    for some in alike:
        moved[some] = sorted(moved[some])
    moved += sorted([renaming[tail], renaming[head]] for tail, head in arcs)
    moved += sorted(sorted((renaming[a], renaming[b])) for a, b in links)
    return [vertex for pair in moved for vertex in pair]
