"""From a circuit's names to numbered vertices, and back.

Wires are drawn in by merging the nodes they join. What is left is a partition of the
terminals into blocks, some joints, and two vertices for each part: blocks first, then
joints. The order of parts is always filaments, diodes, resistors.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from lampwright.network.circuit import GROUND, Circuit, Part
from lampwright.network.layout import Layout


@dataclass(frozen=True)
class Netlist:
    """A circuit as numbers.

    partition: the block of every terminal. joints: how many inner vertices follow the
    blocks. ends: (parts, 2) int8 vertices, a diode's from its anode. diodes, resistors:
    how many parts of each kind follow the filaments.
    """

    partition: tuple[int, ...]
    joints: int
    ends: NDArray[np.int8]
    diodes: int
    resistors: int

    @property
    def blocks(self) -> int:
        """How many blocks of terminals there are."""
        return max(self.partition) + 1

    @property
    def extra_parts(self) -> int:
        """Diodes and resistors together."""
        return self.diodes + self.resistors

    @property
    def wires(self) -> int:
        """How many wires between terminals the partition takes."""
        return len(self.partition) - self.blocks

    @property
    def form(self) -> tuple[int, ...]:
        """What orders netlists and tells them apart: partition, joints, both ends of every part, diodes."""
        return (*self.partition, self.joints, *self.ends.ravel().tolist(), self.diodes)


@dataclass(frozen=True)
class Fitted:
    """What is fitted in each place: a type per filament and diode, ohms per resistor."""

    filaments: tuple[str, ...]
    diodes: tuple[str, ...]
    ohms: tuple[float, ...]


@dataclass(frozen=True)
class NumberedNode:
    """A node's name and the vertex it is; nodes joined by wires are one vertex."""

    name: str
    vertex: int


def number_nodes(circuit: Circuit, layout: Layout) -> tuple[NumberedNode, ...]:
    """Every terminal in order, then every joint of the circuit in the order of their numbers."""
    names = {*layout.terminals, *(end for part in circuit.parts for end in (part.from_node, part.to_node))}
    merged = {name: {name} for name in names}
    for wire in circuit.of_kind("wire"):
        joined = merged[wire.from_node] | merged[wire.to_node]
        merged |= dict.fromkeys(joined, joined)
    groups = sorted({id(one): one for one in merged.values()}.values(), key=lambda one: _first(one, layout))
    vertex = {node: number for number, nodes in enumerate(groups) for node in nodes}
    joints = sorted((name for name in vertex if name not in layout.terminals), key=lambda n: (len(n), n))
    return tuple(NumberedNode(name, vertex[name]) for name in (*layout.terminals, *joints))


def netlist_of(circuit: Circuit, layout: Layout) -> Netlist:
    """Number the vertices of a circuit; its filaments must be the layout's, in order."""
    nodes = number_nodes(circuit, layout)
    vertex = {node.name: node.vertex for node in nodes}
    partition = tuple(vertex[name] for name in layout.terminals)
    drawn = (*circuit.of_kind("filament"), *circuit.of_kind("diode"), *circuit.of_kind("resistor"))
    ends = np.array([(vertex[p.from_node], vertex[p.to_node]) for p in drawn], np.int8).reshape(-1, 2)
    return Netlist(
        partition,
        max(vertex.values()) - max(partition),
        ends,
        len(circuit.of_kind("diode")),
        len(circuit.of_kind("resistor")),
    )


def _first(nodes: set[str], layout: Layout) -> tuple[int, str]:
    places = [layout.terminals.index(name) for name in nodes if name in layout.terminals]
    return (min(places), "") if places else (len(layout.terminals), min(nodes))


def draw(netlist: Netlist, fitted: Fitted, layout: Layout) -> Circuit:
    """The circuit of an netlist: named nodes, parts named D1, R1, W1 and so on."""
    names = [*_block_names(netlist.partition, layout), *(f"j{n + 1}" for n in range(netlist.joints))]
    ends = [(names[a], names[b]) for a, b in netlist.ends]
    count = len(layout.filaments)
    directed = range(count, count + netlist.diodes)
    # a reader looks from feed to ground
    ends = [(b, a) if a == GROUND and at not in directed else (a, b) for at, (a, b) in enumerate(ends)]
    parts = [
        Part(name, "filament", *ends[at], lamp=layout.lamp_of[at], type=fitted.filaments[at])
        for at, name in enumerate(layout.filaments)
    ]
    for number, kind in enumerate(fitted.diodes):
        parts.append(Part(f"D{number + 1}", "diode", *ends[count + number], type=kind))
    count += len(fitted.diodes)
    for number, ohms in enumerate(fitted.ohms):
        parts.append(Part(f"R{number + 1}", "resistor", *ends[count + number], ohms=ohms))
    for number, (a, b) in enumerate(_wires(netlist.partition, layout)):
        parts.append(Part(f"W{number + 1}", "wire", a, b))
    return Circuit(tuple(parts))


def _members(partition: tuple[int, ...], layout: Layout) -> list[list[str]]:
    return [
        [name for name, at in zip(layout.terminals, partition, strict=True) if at == block]
        for block in range(max(partition) + 1)
    ]


def _block_names(partition: tuple[int, ...], layout: Layout) -> list[str]:
    return [members[0] for members in _members(partition, layout)]


def _wires(partition: tuple[int, ...], layout: Layout) -> list[tuple[str, str]]:
    return [pair for members in _members(partition, layout) for pair in pairwise(members)]
