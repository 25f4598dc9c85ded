"""Conductors through a coupling: nets whose pins lie in more than one zone.

A net is a node with all that wires join to it. Lamps, controls (at their terminals)
and the supply (at `30` and `31`) have a zone if the builder gave one; joints, diodes
and resistors have none: they may sit on either side.
"""

from dataclasses import dataclass

from lampwright.network.circuit import GROUND, SUPPLY
from lampwright.network.embed import Embedding


@dataclass(frozen=True)
class Zoned:
    """The zone of every filament, and of every terminal's pins ("" where none is given)."""

    filaments: tuple[str, ...]
    terminals: tuple[str, ...]


def conductors(embedding: Embedding, zoned: Zoned) -> int:
    """How many conductors the coupling needs: for each net, its zones less one, summed."""
    nets: list[set[str]] = [set() for _ in range(embedding.blocks + embedding.joints)]
    for block, zone in zip(embedding.partition, zoned.terminals, strict=True):
        if zone:
            nets[block].add(zone)
    for zone, ends in zip(zoned.filaments, embedding.ends, strict=False):
        if zone:
            for end in ends:
                nets[end].add(zone)
    used = {int(end) for ends in embedding.ends for end in ends}
    return sum(max(len(zones) - 1, 0) for net, zones in enumerate(nets) if net in used)


def has_rail(name: str) -> bool:
    """Whether a terminal is a pin of the supply itself."""
    return name in (GROUND, SUPPLY)
