"""Two states of a boundary compared, node by node: whether one is the other raised, where they differ.

A row says the node of every vertex, and of every copy of the vertices that filaments with damage have (see
`boundary`). Of a copy whose vertices are all ground, while the vertices are not, the filaments are open.

Worked case: terminals A, B and ground, rows (1, 2, 0) and (1, 1, 0): B is fed in the second. It is the
first raised, and they differ in B.
"""

from collections.abc import Sequence

from lampwright.solve.boundary import GROUND_POINT, SUPPLY_POINT

Row = Sequence[int]


def is_raised(low: Row, high: Row, vertices: int) -> bool:
    """Whether every terminal is as high in the second row as in the first, or higher, and no more has failed.

    Only where open vertices are not joined to each other: joining is no rise. A lost ground rises, an open
    filament does not: the circuit is another.
    """
    bases = low[:vertices], high[:vertices]
    if any(len({n for n in row if n > SUPPLY_POINT}) < sum(n > SUPPLY_POINT for n in row) for row in bases):
        return False
    if _open(low, vertices) != _open(high, vertices) or not _hung(low, vertices) <= _hung(high, vertices):
        return False
    return all(_height(a) <= _height(b) for a, b in zip(*bases, strict=True))


def differing(first: Row, second: Row, vertices: int) -> tuple[int, ...]:
    """The columns that are not the same node in both rows; open groups are their members."""
    pairs = zip(_companies(first, vertices), _companies(second, vertices), strict=True)
    return tuple(at for at, (a, b) in enumerate(pairs) if a != b)


def _height(node: int) -> int:
    return {GROUND_POINT: 0, SUPPLY_POINT: 2}.get(node, 1)


def _copies(row: Row, vertices: int) -> list[tuple[int, ...]]:
    return [tuple(row[at : at + vertices]) for at in range(vertices, len(row), vertices)]


def _open(row: Row, vertices: int) -> set[int]:
    """The copies whose filaments are open; where all is ground that makes no difference."""
    if not any(row[:vertices]):
        return set()
    return {at for at, copy in enumerate(_copies(row, vertices)) if not any(copy)}


def _hung(row: Row, vertices: int) -> set[frozenset[int]]:
    """The copies that share a lost ground, for each."""
    copies = _copies(row, vertices)
    own = {node for copy in copies for node in copy} - set(row[:vertices]) - {GROUND_POINT}
    return {frozenset(at for at, copy in enumerate(copies) if node in copy) for node in own}


def _companies(row: Row, vertices: int) -> list[tuple[int, ...]]:
    """What tells every column's node: held so, or open together with these vertices, or with these copies."""
    members: dict[int, list[int]] = {}
    for at, node in enumerate(row):
        if at < vertices or node not in row[:vertices]:
            members.setdefault(node, []).append(at)
    return [(node,) if node <= SUPPLY_POINT else (2, *members[node]) for node in row]
