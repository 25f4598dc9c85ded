"""Which options may follow a prefix, so that every circuit is the least of its images.

The canonical form of a class is the lexicographically least tuple of option numbers among
its images under S_k. Read coordinate by coordinate: let G be the subgroup of renamings that
fix every coordinate chosen so far. Option o may follow if and only if no member of G takes
it to a smaller number, and then the stabiliser of o in G is handed down. What may follow
depends on G alone, and S_k has few subgroups (2, 6, 30 for k = 2, 3, 4), so all of it is
worked out before the listing starts, and the listing compares nothing.

Source: orderly generation, Read (Every one a winner, 1978) and Faradzev (1978), both from
memory; here with a chain of stabilisers in place of whole-tuple comparison.
One free edge, no terminal, two internal vertices: one option, both renamings stay.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from lampwright.graphs.options import OptionTable

Group = bytes


class OptionChoices(NamedTuple):
    """A layered graph: a node is a coordinate with the subgroup fixing what came before; node 0 is the root.

    Node n may take the entries start[n] to stop[n]; each entry has its option number, the
    option's mask and the node that follows (-1 after the last coordinate).
    """

    start: npt.NDArray[np.int64]
    stop: npt.NDArray[np.int64]
    option: npt.NDArray[np.int32]
    mask: npt.NDArray[np.int64]
    after: npt.NDArray[np.int32]


def least_choices(tables: Sequence[OptionTable]) -> OptionChoices:
    """Work out every node that can be met, coordinate by coordinate; `tables` must not be empty."""
    whole = np.arange(len(tables[0].image), dtype=np.int16)
    layer: list[Group] = [whole.tobytes()]
    pieces: list[tuple[npt.NDArray[np.int32], npt.NDArray[np.int64], npt.NDArray[np.int32]]] = []
    first = 0
    for depth, table in enumerate(tables):
        first += len(layer)
        number: dict[Group, int] = {}
        for group in layer:
            kept, stabilisers, which = _orbit_least(table, np.frombuffer(group, dtype=np.int16))
            if depth + 1 < len(tables):
                nodes = [first + number.setdefault(each, len(number)) for each in stabilisers]
            else:
                nodes = [-1] * len(stabilisers)
            after = np.array(nodes, dtype=np.int32)[which]
            pieces.append((kept.astype(np.int32), table.mask[kept], after))
        layer = list(number)
    stop = np.cumsum([len(kept) for kept, _, _ in pieces], dtype=np.int64)
    return OptionChoices(
        start=np.concatenate([[0], stop[:-1]]).astype(np.int64),
        stop=stop,
        option=np.concatenate([kept for kept, _, _ in pieces]),
        mask=np.concatenate([mask for _, mask, _ in pieces]),
        after=np.concatenate([after for _, _, after in pieces]),
    )


def _orbit_least(
    table: OptionTable, group: npt.NDArray[np.int16]
) -> tuple[npt.NDArray[np.intp], list[Group], npt.NDArray[np.intp]]:
    """The options least in their orbit under the group, the distinct stabilisers, and which is whose."""
    moved = table.image[group]
    kept = np.flatnonzero((moved >= np.arange(moved.shape[1])).all(axis=0))
    fixed = (moved[:, kept] == kept).T
    patterns, which = np.unique(fixed, axis=0, return_inverse=True)
    return kept, [group[row].tobytes() for row in patterns], which.reshape(-1)
