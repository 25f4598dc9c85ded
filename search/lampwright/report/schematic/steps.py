"""How far apart the rails of a narrow drawing stand: evenly, but for steps that symbols need wider.

Rails side by side share a width; a row's symbol stands on one stretch of its line, between two of the rails
that it meets or leaps over. Each step gets its share of what such a stretch needs, and the other steps
are evenly less: of 100 in four steps where one needs 40, the others get 20 each.

No source: our layout.
"""

from collections.abc import Sequence
from itertools import pairwise

from msgspec import Struct

HOP = 5.0
"""From a rail to where the leap over it begins and ends."""
LEAD = 2.0
"""Least line that shows between a symbol and a rail or leap."""


class Need(Struct, frozen=True):
    """The width that a row needs from one of its rails to another, as their places from the left."""

    first: int
    last: int
    wide: float

    @property
    def share(self) -> float:
        """What each step of it has to be."""
        return self.wide / (self.last - self.first)


def needs_of(ends: Sequence[int], leaps: Sequence[int], symbol: float, fuse: float) -> list[Need]:
    """Say what a row needs: the stretch of its line that has to be widened least for its symbol.

    ends, leaps: places of the rails that it ends at and leaps over; symbol: its width; fuse: what it and its
    leads take at the left end, 0 without one.
    """
    left, right = min(ends), max(ends)
    edges = [left, *sorted({place for place in leaps if left < place < right}), right]
    if left == right:
        return []
    stretches = [
        Need(one, two, _beside(one == left, fuse) + symbol + _beside(two == right))
        for one, two in pairwise(edges)
    ]
    found = [min(stretches, key=lambda one: one.share)]
    # the fuse stands before the first leap even where the symbol stands beyond it
    return found + [Need(left, edges[1], fuse + HOP)] * (fuse > 0.0 and len(edges) > 2)


def _beside(is_end: bool, fuse: float = 0.0) -> float:
    """Give the room between a rail and the symbol beside it."""
    return (fuse or LEAD) if is_end else HOP + LEAD


def steps(needs: Sequence[Need], count: int, total: float) -> list[float]:
    """Share a width among so many steps; where there is too little for all needs, each gives alike."""
    least = [0.0] * count
    for need in needs:
        for step in range(need.first, need.last):
            least[step] = max(least[step], need.share)
    wide = sorted(least, reverse=True)
    for taken, widest in enumerate(wide):
        even = (total - sum(wide[:taken])) / (count - taken)
        if widest <= even:
            return [max(one, even) for one in least]
    return [one * total / sum(least) for one in least]
