"""Smaller circuits: one extra part or helper lamp taken out, opened or bridged; and those with one wire more.

Used to drop designs that carry a part they do not need.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from lampwright.network.netlist import Netlist


@dataclass(frozen=True)
class Reduced:
    """A netlist with the part at `removed` (an index into `ends`) taken out."""

    netlist: Netlist
    removed: int


def _without(netlist: Netlist, at: int) -> Netlist:
    first = len(netlist.ends) - netlist.extra_parts
    is_resistor = at >= first + netlist.diodes
    return Netlist(
        netlist.partition,
        netlist.joints,
        np.concatenate((netlist.ends[:at], netlist.ends[at + 1 :])),
        netlist.diodes - (at >= first and not is_resistor),
        netlist.resistors - is_resistor,
    )


def _bridged(netlist: Netlist, at: int) -> Netlist:
    low, high = sorted(int(end) for end in netlist.ends[at])
    return _merged(_without(netlist, at), low, high)


def _merged(netlist: Netlist, low: int, high: int) -> Netlist:
    """The netlist with two of its vertices made one, the first of them not the higher."""
    renumber = np.arange(netlist.blocks + netlist.joints, dtype=np.int8)
    renumber[high] = low
    renumber[high + 1 :] -= 1
    merges_blocks = high < netlist.blocks
    return Netlist(
        tuple(int(renumber[block]) for block in netlist.partition),
        netlist.joints - (not merges_blocks),
        renumber[netlist.ends],
        netlist.diodes,
        netlist.resistors,
    )


def wired(netlist: Netlist) -> Iterator[Netlist]:
    """Every netlist with one wire between terminals more."""
    for low, high in combinations(range(netlist.blocks), 2):
        yield _merged(netlist, low, high)


def reductions(netlist: Netlist) -> Iterator[Reduced]:
    """Every netlist with one extra part less: opened first, then bridged."""
    count = len(netlist.ends)
    yield from _taken_out(netlist, range(count - netlist.extra_parts, count))


def reduced(netlist: Netlist, way: int) -> Netlist | None:
    """The netlist with an extra part less: part way // 2, opened where the way is even, else bridged.

    None where both its ends are one already.
    """
    at = len(netlist.ends) - netlist.extra_parts + way // 2
    if way % 2 == 0:
        return _without(netlist, at)
    return None if netlist.ends[at, 0] == netlist.ends[at, 1] else _bridged(netlist, at)


def helper_reductions(netlist: Netlist, helpers: int) -> Iterator[Reduced]:
    """Every netlist with one helper lamp of so many less: opened first, then bridged."""
    first = len(netlist.ends) - netlist.extra_parts
    yield from _taken_out(netlist, range(first - helpers, first))


def _taken_out(netlist: Netlist, places: Iterable[int]) -> Iterator[Reduced]:
    for at in places:
        yield Reduced(_without(netlist, at), at)
        if netlist.ends[at, 0] != netlist.ends[at, 1]:
            yield Reduced(_bridged(netlist, at), at)
