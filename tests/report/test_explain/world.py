"""One state of a design as a judge sees it, made by other means than the program's.

Source: networkx for what is joined; the rest are the rows of the result.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import networkx as nx

from lampwright.results.design import Design, LampReading, PartRow, StateRow
from lampwright.spec.states import Contact

TRICKLE = 1e-3
"""The least current [A] that is said to flow."""
LOOSE = 6e-3
"""How far [A] sums may be off: what some parts below the trickle carry, left out."""


@dataclass(frozen=True)
class World:
    """One state as a judge sees it: readings by name, and the node every terminal is joined to."""

    design: Design
    state: StateRow
    net: dict[str, str]

    def volts(self, node: str) -> float:
        """The potential of a node that some part touches."""
        return next(one.volts for one in self.state.nodes if one.node == node)

    def current(self, ref: str) -> float:
        return next(p.amps for p in self.state.parts if p.ref == ref)

    def drop(self, ref: str) -> float:
        return next(p.volts for p in self.state.parts if p.ref == ref)

    def part(self, ref: str) -> PartRow:
        return next(p for p in self.design.parts if p.ref == ref)

    def reading(self, ref: str) -> LampReading:
        return next(r for r in self.state.lamps if r.lamp == ref)

    def level(self, ref: str) -> str:
        return next((r.level for r in self.state.lamps if r.lamp == ref), "")

    def ends(self, ref: str) -> tuple[str, str]:
        """The nets of a part, in the direction of its current."""
        part = next(p for p in self.design.parts if p.ref == ref)
        a, b = self.net[part.from_node], self.net[part.to_node]
        return (a, b) if self.current(ref) > 0 else (b, a)

    def flowing(self, refs: Sequence[str]) -> list[str]:
        """Parts above the trickle, cut back to what leads from live to ground."""
        some = [r for r in refs if abs(self.current(r)) >= TRICKLE]
        for _ in some:
            tails, heads = {self.ends(r)[0] for r in some}, {self.ends(r)[1] for r in some}
            some = [
                r
                for r in some
                if self.ends(r)[0] in {"live"} | heads and self.ends(r)[1] in {"ground"} | tails
            ]
        return some

    def graph(self, refs: Sequence[str]) -> "nx.Graph[str]":
        """The parts as a simple graph, a vertex in the middle of each, and the supply from live to ground."""
        graph: nx.Graph[str] = nx.Graph([("live", "supply"), ("supply", "ground")])
        for ref in refs:
            a, b = self.ends(ref)
            if a != b:
                graph.add_edges_from([(a, f"part {ref}"), (f"part {ref}", b)])
        return graph


def world(design: Design, contacts: Sequence[Contact], at: int) -> World:
    joined: nx.Graph[str] = nx.Graph([("30", "live"), ("31", "ground")])
    state = design.states[at]
    joined.add_nodes_from(node for part in design.parts for node in (part.from_node, part.to_node))
    joined.add_nodes_from(node.node for node in state.nodes)
    joined.add_edges_from((p.from_node, p.to_node) for p in design.parts if p.kind == "wire")
    joined.add_edges_from((c.a, c.b) for c in contacts)
    net = {}
    for group in nx.connected_components(joined):
        name = "live" if "live" in group else "ground" if "ground" in group else min(group)
        net.update(dict.fromkeys(group, name))
    return World(design, state, net)


def near(one: float, other: float, within: float = 1e-6) -> bool:
    return abs(one - other) <= within
