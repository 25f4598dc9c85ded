"""Whether every edge lies on a simple path between two terminals, and every internal vertex on an edge.

Only the support matters: the set of vertex pairs that carry at least one edge. Join all
terminals to one extra vertex Z. An edge lies on a path between different terminals if and
only if its block contains Z, that is, if and only if no single vertex v cuts an end of it
other than v off from Z. So: for every v, the terminals other than v must reach every
touched vertex other than v without passing v. Source for blocks: Harary, Graph Theory,
1969, chapter 3, from memory. One edge {0,1} between two terminals obeys; the same edge from a terminal to an
internal vertex does not, since cutting 0 leaves 1 with no terminal.

Assumes at most 11 vertices, so that a set of pairs fits in 63 bits.
"""

from functools import lru_cache

import numpy as np
import numpy.typing as npt
from numba import njit

from lampwright.compiled import ENTRY
from lampwright.graphs.cell import Cell, CellError, PathRule

MOST_TABLE_PAIRS = 21


@njit(**ENTRY)
def obeys(mask: int, terminals: int, vertices: int, rule: int) -> bool:
    """Whether the support `mask` obeys the rule (`PathRule` as int)."""
    if rule == 0:
        return True
    beside = np.zeros(16, dtype=np.int64)
    touched = 0
    pair = 0
    for a in range(vertices):
        for b in range(a + 1, vertices):
            if (mask >> pair) & 1:
                beside[a] |= 1 << b
                beside[b] |= 1 << a
                touched |= (1 << a) | (1 << b)
            pair += 1
    ground = (1 << terminals) - 1
    if (touched | ground) != (1 << vertices) - 1:
        return False
    if rule == 1:
        return True
    for cut in range(vertices):
        wanted = touched & ~(1 << cut)
        reached = ground & ~(1 << cut)
        fresh = reached
        while fresh != 0 and (wanted & ~reached) != 0:
            found = 0
            for a in range(vertices):
                if (fresh >> a) & 1:
                    found |= beside[a]
            fresh = found & ~reached & ~(1 << cut)
            reached |= fresh
        if (wanted & ~reached) != 0:
            return False
    return True


@njit(**ENTRY)
def _fill_table(table: npt.NDArray[np.bool_], terminals: int, vertices: int, rule: int) -> None:
    """Write the rule's answer for every support."""
    for mask in range(len(table)):
        table[mask] = obeys(mask, terminals, vertices, rule)


@lru_cache(maxsize=8)
def rule_table(terminals: int, internal: int, rule: PathRule) -> npt.NDArray[np.bool_]:
    """The rule's answer for every support, as a read-only array of 2^pairs; up to 21 pairs."""
    cell = Cell(terminals, internal, (), 0, 0)
    if cell.pairs > MOST_TABLE_PAIRS:
        raise CellError(
            f"{cell}: a table of 2^{cell.pairs} supports is too large; use at most 7 vertices, or `obeys`"
        )
    table = np.empty(1 << cell.pairs, dtype=np.bool_)
    _fill_table(table, terminals, cell.vertices, int(rule))
    table.flags.writeable = False
    return table


def path_table(terminals: int, internal: int) -> npt.NDArray[np.bool_]:
    """The path rule's answer for every support, all internal vertices touched.

    >>> path_table(2, 0).tolist()  # no edge; the edge {0,1}
    [True, True]
    >>> np.flatnonzero(path_table(2, 1)).tolist()  # {0,2} with {1,2}; and {0,1} as well
    [6, 7]
    """
    return rule_table(terminals, internal, PathRule.PATH_USED)
