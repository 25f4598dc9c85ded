"""Smaller circuits: one extra part taken out, opened or bridged.

Used to drop designs that carry a part they do not need.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from lampwright.network.embed import Embedding


@dataclass(frozen=True)
class Reduced:
    """An embedding with the extra part at `removed` (an index into `ends`) taken out."""

    embedding: Embedding
    removed: int


def _without(embedding: Embedding, at: int) -> Embedding:
    first = len(embedding.ends) - embedding.extra_parts
    is_diode = at < first + embedding.diodes
    return Embedding(
        embedding.partition,
        embedding.joints,
        np.delete(embedding.ends, at, axis=0),
        embedding.diodes - is_diode,
        embedding.resistors - (not is_diode),
    )


def _bridged(embedding: Embedding, at: int) -> Embedding:
    opened = _without(embedding, at)
    low, high = sorted(int(end) for end in embedding.ends[at])
    renumber = np.arange(embedding.blocks + embedding.joints)
    renumber[high] = low
    renumber[high + 1 :] -= 1
    merges_blocks = high < embedding.blocks
    return Embedding(
        tuple(int(renumber[block]) for block in opened.partition),
        embedding.joints - (not merges_blocks),
        renumber[opened.ends].astype(np.int8),
        opened.diodes,
        opened.resistors,
    )


def reductions(embedding: Embedding) -> Iterator[Reduced]:
    """Every embedding with one extra part less: opened first, then bridged."""
    count = len(embedding.ends)
    for at in range(count - embedding.extra_parts, count):
        yield Reduced(_without(embedding, at), at)
        if embedding.ends[at, 0] != embedding.ends[at, 1]:
            yield Reduced(_bridged(embedding, at), at)
