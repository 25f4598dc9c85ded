"""Smaller circuits: one extra part taken out, opened or bridged; and those with one wire more.

Used to drop designs that carry a part they do not need.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from lampwright.network.netlist import Netlist


@dataclass(frozen=True)
class Reduced:
    """An netlist with the extra part at `removed` (an index into `ends`) taken out."""

    netlist: Netlist
    removed: int


def _without(netlist: Netlist, at: int) -> Netlist:
    first = len(netlist.ends) - netlist.extra_parts
    is_diode = at < first + netlist.diodes
    return Netlist(
        netlist.partition,
        netlist.joints,
        np.concatenate((netlist.ends[:at], netlist.ends[at + 1 :])),
        netlist.diodes - is_diode,
        netlist.resistors - (not is_diode),
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
    for at in range(count - netlist.extra_parts, count):
        yield Reduced(_without(netlist, at), at)
        if netlist.ends[at, 0] != netlist.ends[at, 1]:
            yield Reduced(_bridged(netlist, at), at)
