"""What each state does to a circuit's vertices: live, grounded or open; sound, or with damage.

For a partition of the terminals (wires drawn in) and every state (contacts closed),
nodes joined by wires and contacts are one. A group with the supply is live, with
ground is grounded, with both is a short: a sound circuit is then refused, of a damaged
one such states are marked. The current through a control's contact is the sum of what
the vertices beyond it take.

A state in which filaments have failed or a ground is lost is damaged for them alone: they have vertices of
their own, copies of all, which stand as theirs do in sound states; in others a failed filament's are all
ground, so that it carries nothing, and where a ground is lost the copy of ground is a node of its own.

Worked case: terminals 54 and 31, a switch from the supply to 54. Off, 54 is open (2);
on, it is live (1); on and 54 bridged to 31, the state is shorted.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from lampwright.network.circuit import GROUND, SUPPLY
from lampwright.solve.laws import Bytes, Ints
from lampwright.spec.model import Spec
from lampwright.spec.states import State

Truths = NDArray[np.bool_]
Edge = tuple[int, int]

GROUND_POINT = 0
SUPPLY_POINT = 1
FIRST_POINT = 2
"""Points are ground, the supply and then the vertices: blocks first, joints after."""


MOST_COLUMNS = 62
"""Vertices and their copies: the bits that a gate has for what lies beyond it."""


@dataclass(frozen=True)
class Damage:
    """What a fault does to wires and contacts.

    joins: pairs of vertices that became one. dead: the control whose contacts with the
    supply never close ("" for none). rail_lost: terminal 30 is cut from the supply.
    """

    joins: tuple[Edge, ...] = ()
    dead: str = ""
    rail_lost: bool = False


SOUND = Damage()


@dataclass(frozen=True)
class Gates:
    """Contacts whose current is read: one row per state and contact.

    state, control: (gates,) indices. beyond: (gates,) bit mask of the vertices fed
    through it. exact: (gates,) 1 where the current is just what they take; 0 where a
    second path runs beside it, and the sum of sizes is an upper bound.
    """

    state: Ints
    control: Ints
    beyond: Ints
    exact: Bytes


@dataclass(frozen=True)
class Boundary:
    """vertex_node: (states, columns) int8: 0 ground, 1 supply, 2 and up open groups.

    shorted: (states,) where the supply meets ground; the row says nothing then. The first `vertices`
    columns are the vertices, further ones copies of them for filaments that fail in some state or lose their
    ground: vertex v of filament f stands in column v + copy[f]. copy: (filaments,), 0 for all others.
    """

    vertex_node: Bytes
    shorted: Truths
    gates: Gates
    vertices: int
    copy: Bytes

    def columns(self, ends: Bytes) -> Bytes:
        """The columns (circuits, parts, 2) of parts' ends; ends: likewise, vertices; filaments come first."""
        if not self.copy.any():
            return ends
        moved = ends.copy()
        moved[..., : len(self.copy), :] += self.copy[:, None]
        return moved


def boundary_of(
    spec: Spec,
    states: tuple[State, ...],
    names: tuple[str, ...],
    partition: tuple[int, ...],
    joints: int,
    *,
    every_contact: bool = False,
) -> Boundary | None:
    """The boundary of every state; None where wires and contacts join supply to ground.

    names: the terminals in the partition's order. Gates are the contacts of controls whose
    current is limited, or every contact.
    """
    found = boundary_under(SOUND, spec, states, names, partition, joints=joints, every_contact=every_contact)
    return None if found.shorted.any() else found


def boundary_under(
    damage: Damage,
    spec: Spec,
    states: tuple[State, ...],
    names: tuple[str, ...],
    partition: tuple[int, ...],
    *,
    joints: int,
    every_contact: bool = False,
) -> Boundary:
    """The boundary of every state under some damage, short or not; all else as for `boundary_of`."""
    point = {name: FIRST_POINT + block for name, block in zip(names, partition, strict=True)}
    joins = [(FIRST_POINT + a, FIRST_POINT + b) for a, b in damage.joins]
    joins += [(GROUND_POINT, point[GROUND])] if GROUND in point else []
    rail = [(SUPPLY_POINT, point[SUPPLY])] if SUPPLY in point and not damage.rail_lost else []
    # a contact with 30 begins at the battery, whatever became of the terminal
    point = {GROUND: GROUND_POINT} | point | {SUPPLY: SUPPLY_POINT}
    read = {
        control.name: at
        for at, control in enumerate(spec.controls)
        if every_contact or control.most_amps is not None
    }
    size = FIRST_POINT + max(partition) + 1 + joints
    rows: list[list[int]] = []
    shorted: list[bool] = []
    gates: list[tuple[int, int, int, bool]] = []
    for state, one in enumerate(states):
        contacts = [(contact.control, (point[contact.a], point[contact.b])) for contact in one.contacts]
        closed = [(name, edge) for name, edge in contacts if name != damage.dead or SUPPLY_POINT not in edge]
        edges = [edge for _, edge in closed]
        always = joins if SUPPLY in one.failures.fuse_blown else [*joins, *rail]
        root = _roots(size, [*always, *edges])
        shorted.append(root[SUPPLY_POINT] == GROUND_POINT)
        rows.append(_nodes(root))
        for at, (name, edge) in enumerate(closed):
            if name in read:
                beyond = _beyond(size, [*always, *edges[:at], *edges[at + 1 :]], edge)
                gates.append((state, read[name], *beyond))
    table = np.array(gates, np.int64).reshape(-1, 4)
    columns = [np.ascontiguousarray(table[:, at]) for at in range(4)]
    sound = Boundary(
        np.array(rows, np.int8),
        np.array(shorted, np.bool_),
        Gates(columns[0], columns[1], columns[2], columns[3].astype(np.int8)),
        size - FIRST_POINT,
        np.zeros(sum(len(lamp.filaments) for lamp in spec.lamps), np.int8),
    )
    ground = partition[names.index(GROUND)] if GROUND in names else -1
    return with_copies(sound, states, ground)


Fate = tuple[tuple[int, tuple[bool, ...]], ...]
"""What becomes of a filament, state by state: whether it is open, and in which lost ground it hangs."""


def _fate(filament: int, states: Sequence[State]) -> Fate:
    return tuple(
        (state.opened.count(filament), tuple(filament in group for group in state.hung)) for state in states
    )


def _alike(fates: Sequence[Fate], states: Sequence[State]) -> dict[Fate, int]:
    """The fates of filaments that are damaged somewhere, numbered from 1."""
    whole = tuple((0, (False,) * len(state.hung)) for state in states)
    return {fate: at for at, fate in enumerate(dict.fromkeys(one for one in fates if one != whole), 1)}


def columns_needed(states: Sequence[State], filaments: int, vertices: int) -> int:
    """How many columns a boundary of so many vertices has, scalars; at most MOST_COLUMNS can be held."""
    return vertices * (1 + len(_alike([_fate(f, states) for f in range(filaments)], states)))


def with_copies(sound: Boundary, states: Sequence[State], ground: int) -> Boundary:
    """A boundary with vertices of their own for the filaments that fail or lose their ground in some state.

    sound: what contacts and wires do. ground: the vertex of terminal 31. Raises ValueError where the copies
    are more than a gate can count.
    """
    fates = [_fate(f, states) for f in range(len(sound.copy))]
    alike = _alike(fates, states)
    if not alike:
        return sound
    count = sound.vertices
    if count * (1 + len(alike)) > MOST_COLUMNS:
        raise ValueError(f"{len(alike)} kinds of damage on {count} nodes")
    node = np.tile(sound.vertex_node, 1 + len(alike))
    for fate, at in alike.items():
        own = slice(count * at, count * (at + 1))
        for state, (is_open, hung) in enumerate(fate):
            if is_open:
                node[state, own] = GROUND_POINT
            elif any(hung):
                free = max(FIRST_POINT, int(sound.vertex_node[state].max()) + 1)
                node[state, count * at + ground] = free + hung.index(True)
    gates = sound.gates
    beyond = sum((gates.beyond << (count * at) for at in range(1 + len(alike))), np.zeros_like(gates.beyond))
    copy = np.array([count * alike.get(fate, 0) for fate in fates], np.int8)
    return replace(sound, vertex_node=node, gates=replace(gates, beyond=beyond), copy=copy)


def _roots(size: int, edges: Sequence[Edge]) -> list[int]:
    """For every point the least point it is joined to."""
    root = list(range(size))
    for a, b in edges:
        low, high = sorted((root[a], root[b]))
        if low != high:
            root = [low if at == high else at for at in root]
    return root


def _nodes(root: Sequence[int]) -> list[int]:
    """The solver's nodes of the vertices: the rails keep theirs, other groups count up from 2."""
    nodes = {root[SUPPLY_POINT]: SUPPLY_POINT, GROUND_POINT: GROUND_POINT}
    free = FIRST_POINT
    for group in root[FIRST_POINT:]:
        if group not in nodes:
            nodes[group] = free
            free += 1
    return [nodes[group] for group in root[FIRST_POINT:]]


def _beyond(size: int, edges: Sequence[Edge], contact: Edge) -> tuple[int, bool]:
    """The vertices on the far side of a contact from the rails, and whether it is the only way there."""
    root = _roots(size, edges)
    sides = [root[end] for end in contact]
    exact = sides[0] != sides[1]
    if exact:
        rails = [(root[GROUND_POINT] == side) + (root[SUPPLY_POINT] == side) for side in sides]
        far = {sides[0] if rails[0] <= rails[1] else sides[1]}
    else:
        # a second path runs beside it: what hangs on it without the rails bounds its current
        root = _roots(size, [edge for edge in (*edges, contact) if min(edge) >= FIRST_POINT])
        far = {root[end] for end in contact if end >= FIRST_POINT}
    return sum(1 << vertex for vertex, group in enumerate(root[FIRST_POINT:]) if group in far), exact
