"""What each state does to a circuit's vertices: live, grounded or open.

For a partition of the terminals (wires drawn in) and every state (contacts closed),
nodes joined by wires and contacts are one. A group with the supply is live, with
ground is grounded, with both is a short, and such a partition is refused. The current
through a control's contact is the sum of what the vertices beyond it take.
"""

from dataclasses import dataclass

import networkx as nx
import numpy as np

from lampwright.network.circuit import GROUND, SUPPLY
from lampwright.solve.laws import Bytes, Ints
from lampwright.spec.model import Spec
from lampwright.spec.states import Contact, State


@dataclass(frozen=True)
class Gates:
    """Contacts whose current is limited: one row per state and contact.

    state, control: (gates,) indices. beyond: (gates,) bit mask of the blocks fed
    through it. exact: (gates,) 1 where the current is just what they take; 0 where a
    second path runs beside it, and the sum of sizes is an upper bound.
    """

    state: Ints
    control: Ints
    beyond: Ints
    exact: Bytes


@dataclass(frozen=True)
class Boundary:
    """vertex_node: (states, vertices) int8: 0 ground, 1 supply, 2 and up open groups."""

    vertex_node: Bytes
    gates: Gates


def _joined(
    partition: tuple[int, ...], contacts: tuple[Contact, ...], names: tuple[str, ...]
) -> "nx.MultiGraph[str]":
    graph: nx.MultiGraph[str] = nx.MultiGraph()
    block = {name: f"block {at}" for name, at in zip(names, partition, strict=True)}
    graph.add_nodes_from((SUPPLY, GROUND, *block.values()))
    for name in (SUPPLY, GROUND):
        if name in block:
            graph.add_edge(name, block[name], key="rail")
    for number, contact in enumerate(contacts):
        a, b = block.get(contact.a, contact.a), block.get(contact.b, contact.b)
        graph.add_edge(a, b, key=str(number))
    return graph


def _nodes(graph: "nx.MultiGraph[str]", blocks: int, joints: int) -> list[int] | None:
    codes: dict[str, int] = {}
    free = 2
    for group in nx.connected_components(graph):
        if SUPPLY in group and GROUND in group:
            return None
        code = 1 if SUPPLY in group else 0 if GROUND in group else free
        free += code == free
        codes.update(dict.fromkeys(group, code))
    return [*(codes[f"block {at}"] for at in range(blocks)), *range(free, free + joints)]


def _beyond(graph: "nx.MultiGraph[str]", a: str, b: str, key: str) -> tuple[int, bool]:
    rest = graph.copy()
    rest.remove_edge(a, b, key=key)
    sides = [nx.node_connected_component(rest, end) for end in (a, b)]
    exact = b not in sides[0]
    far = min(sides, key=lambda side: (SUPPLY in side) + (GROUND in side))
    if not exact:
        # a second path runs beside the contact: what hangs on it without the rails bounds its current
        loose = graph.subgraph(node for node in graph if node not in (SUPPLY, GROUND))
        far = set().union(*(nx.node_connected_component(loose, end) for end in (a, b) if end in loose))
    return sum(1 << int(node.split()[1]) for node in far if node.startswith("block")), exact


def boundary_of(
    spec: Spec, states: tuple[State, ...], names: tuple[str, ...], partition: tuple[int, ...], joints: int
) -> Boundary | None:
    """The boundary of every state; None where wires and contacts join supply to ground.

    names: the terminals in the partition's order.
    """
    limited = {control.name: at for at, control in enumerate(spec.controls) if control.most_amps is not None}
    rows: list[list[int]] = []
    gates: list[tuple[int, int, int, bool]] = []
    for at, state in enumerate(states):
        graph = _joined(partition, state.contacts, names)
        nodes = _nodes(graph, max(partition) + 1, joints)
        if nodes is None:
            return None
        rows.append(nodes)
        for number, (a, b, key) in enumerate(_contact_edges(graph)):
            control = state.contacts[number].control
            if control in limited:
                mask, exact = _beyond(graph, a, b, key)
                gates.append((at, limited[control], mask, exact))
    table = np.array(gates, np.int64).reshape(-1, 4)
    columns = [np.ascontiguousarray(table[:, at]) for at in range(4)]
    return Boundary(
        np.array(rows, np.int8),
        Gates(columns[0], columns[1], columns[2], columns[3].astype(np.int8)),
    )


def _contact_edges(graph: "nx.MultiGraph[str]") -> list[tuple[str, str, str]]:
    edges = [(a, b, key) for a, b, key in graph.edges(keys=True) if key != "rail"]
    return sorted(edges, key=lambda edge: int(edge[2]))
