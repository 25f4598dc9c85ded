"""Conductors through a coupling: nets whose pins lie in more than one zone.

A net is a node with all that wires join to it. Lamps, controls (at their terminals)
and the supply (at `30` and `31`) have a zone if the builder gave one; joints, diodes
and resistors have none, and are put where they need fewest conductors.
"""

from dataclasses import dataclass
from functools import cached_property
from itertools import product

import numpy as np
from numpy.typing import NDArray

from lampwright.network.circuit import GROUND, SUPPLY
from lampwright.network.netlist import Netlist


@dataclass(frozen=True)
class Zoned:
    """The zone of every filament, and of every terminal's pins ("" where none is given)."""

    filaments: tuple[str, ...]
    terminals: tuple[str, ...]

    @cached_property
    def zones(self) -> frozenset[str]:
        """All that were given."""
        return frozenset((*self.filaments, *self.terminals)) - {""}


def conductors(netlist: Netlist, zoned: Zoned) -> int:
    """How many conductors the coupling needs at the least: for each net, its zones less one, summed.

    Diodes and resistors go where they save most: every way of putting each into one of the
    zones is tried.
    """
    if len(zoned.zones) < 2:
        return 0
    nets: list[set[str]] = [set() for _ in range(netlist.blocks + netlist.joints)]
    for block, zone in zip(netlist.partition, zoned.terminals, strict=True):
        if zone:
            nets[block].add(zone)
    filaments = len(netlist.ends) - netlist.extra_parts
    for zone, ends in zip(zoned.filaments, netlist.ends[:filaments], strict=True):
        if zone:
            for end in ends:
                nets[end].add(zone)
    used = {int(end) for ends in netlist.ends for end in ends}
    pinned = [zones if net in used else set() for net, zones in enumerate(nets)]
    zones = sorted(set().union(*pinned))
    if len(zones) < 2:
        return 0
    extras = netlist.ends[filaments:]
    return min(_crossing(pinned, extras, chosen) for chosen in product(zones, repeat=len(extras)))


def _crossing(pinned: list[set[str]], extras: NDArray[np.int8], chosen: tuple[str, ...]) -> int:
    """Conductors with every extra part in its chosen zone."""
    nets = [set(zones) for zones in pinned]
    for ends, zone in zip(extras, chosen, strict=True):
        for end in ends:
            nets[end].add(zone)
    return sum(max(len(zones) - 1, 0) for zones in nets)


def has_rail(name: str) -> bool:
    """Whether a terminal is a pin of the supply itself."""
    return name in (GROUND, SUPPLY)
