"""The circuit of one state as a graph of the parts that carry current.

Nodes joined by wires and closed contacts are one *net*; all that is live is one net, and
all that is at ground. A part carries current if it is at least `FLOW`, and then points the
way the current takes, from higher potential to lower: the graph has no ring. Two parts are
in series if they must carry the same current whatever they are, which is so when they form
a two-edge cut of the graph with the supply added between live and ground. Source: for cuts
and currents, any text on graph theory and networks; common practice for the threshold.

Worked case: A and B from live nets to j1, C from there to ground. A and B have both ends
in common, so are in parallel; C carries the current of both, and is in series with neither.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import networkx as nx

from lampwright.report.explain.controls import Situation
from lampwright.results.design import NodeReading, PartReading, PartRow, StateRow

FLOW = 1e-3
"""Less than this [A] is no current: leakage, which lights nothing."""

LIVE, GROUND = "live", "ground"
RAILS = ("30", "31")


@dataclass(frozen=True)
class Edge:
    """A part in the direction of its current: nets, its own end nodes, and the two readings' sizes."""

    part: PartRow
    tail: str
    head: str
    from_node: str
    to_node: str
    volts: float
    amps: float

    @property
    def ref(self) -> str:
        """The part's name."""
        return self.part.ref

    @property
    def ohms(self) -> float:
        """What voltage and current make of it [ohm]."""
        return self.volts / self.amps


@dataclass(frozen=True)
class Net:
    """One group of parts in one state: all its parts, which of them carry current, what holds each node."""

    edges: tuple[Edge, ...]
    flowing: tuple[Edge, ...]
    nodes: tuple[NodeReading, ...]

    def edge(self, ref: str) -> Edge:
        """Give one part."""
        return next(edge for edge in self.edges if edge.ref == ref)

    def flows(self, ref: str) -> bool:
        """Whether a part carries current on its way from live to ground."""
        return any(edge.ref == ref for edge in self.flowing)

    def held(self, net: str) -> str:
        """What holds a net: live, ground or open."""
        return net if net in (LIVE, GROUND) else "open"

    @property
    def supply(self) -> float:
        """The voltage of what is live [V]; zero where nothing is."""
        return max((node.volts for node in self.nodes if node.held == "live"), default=0.0)


def net_of(group: Sequence[PartRow], wires: Sequence[PartRow], state: StateRow, situation: Situation) -> Net:
    """Make the graph of some parts in one state."""
    name = _nets(group, wires, state, situation)
    readings = {reading.ref: reading for reading in state.parts}
    edges = tuple(_edge(part, readings[part.ref], name) for part in group)
    return Net(edges, _on_the_way([edge for edge in edges if edge.amps >= FLOW]), state.nodes)


def joined(pairs: Sequence[tuple[str, str]], nodes: Sequence[str]) -> list[set[str]]:
    """Group nodes by what joins them."""
    graph: nx.Graph[str] = nx.Graph()
    graph.add_nodes_from(nodes)
    graph.add_edges_from(pairs)
    return [set(one) for one in nx.connected_components(graph)]


def _nets(
    group: Sequence[PartRow], wires: Sequence[PartRow], state: StateRow, situation: Situation
) -> dict[str, str]:
    """Name the net of every node."""
    held = {node.node: node.held for node in state.nodes}
    nodes = [*held, *(end for part in group for end in (part.from_node, part.to_node))]
    pairs = [(wire.from_node, wire.to_node) for wire in wires]
    pairs += [(contact.a, contact.b) for contact in situation.closed]
    name = {}
    for members in joined(pairs, nodes):
        holds = {held.get(node, "open") for node in members} | {_rail(node) for node in members}
        label = LIVE if LIVE in holds else GROUND if GROUND in holds else min(members)
        name.update(dict.fromkeys(members, label))
    return name


def _rail(node: str) -> str:
    return {"30": LIVE, "31": GROUND}.get(node, "open")


def _edge(part: PartRow, reading: PartReading, name: dict[str, str]) -> Edge:
    ends = part.from_node, part.to_node
    leading = reading.amps if abs(reading.amps) >= FLOW else reading.volts
    a, b = ends if leading >= 0.0 else ends[::-1]
    return Edge(
        part=part,
        tail=name[a],
        head=name[b],
        from_node=a,
        to_node=b,
        volts=abs(reading.volts),
        amps=abs(reading.amps),
    )


def _on_the_way(edges: Sequence[Edge]) -> tuple[Edge, ...]:
    """Keep what lies on a way from live to ground; a current that leaks away over many is dropped."""
    graph: nx.DiGraph[str] = nx.DiGraph()
    graph.add_nodes_from((LIVE, GROUND))
    graph.add_edges_from((edge.tail, edge.head) for edge in edges if edge.tail != edge.head)
    after = nx.descendants(graph, LIVE) | {LIVE}
    before = nx.ancestors(graph, GROUND) | {GROUND}
    return tuple(
        edge for edge in edges if edge.tail != edge.head and edge.tail in after and edge.head in before
    )


def series_sets(edges: Sequence[Edge]) -> tuple[tuple[str, ...], ...]:
    """Group parts that carry the same current by topology, two or more, in the order of the current."""
    if not edges:
        return ()
    order = {edge.ref: at for at, edge in enumerate(in_order(edges))}
    same: nx.Graph[str] = nx.Graph()
    for edge in edges:
        rest: nx.MultiGraph[str] = nx.MultiGraph([(LIVE, GROUND)])
        rest.add_edges_from((other.tail, other.head) for other in edges if other is not edge)
        cut = {frozenset(pair) for pair in nx.bridges(rest)}
        same.add_edges_from(
            (edge.ref, other.ref)
            for other in edges
            if other is not edge and frozenset((other.tail, other.head)) in cut
        )
    sets = [sorted(one, key=order.__getitem__) for one in nx.connected_components(same)]
    return tuple(tuple(one) for one in sorted(sets, key=lambda one: order[one[0]]))


def parallel_sets(edges: Sequence[Edge]) -> tuple[tuple[str, ...], ...]:
    """Group parts with both ends in common, two or more."""
    ends: dict[frozenset[str], list[str]] = {}
    for edge in edges:
        ends.setdefault(frozenset((edge.tail, edge.head)), []).append(edge.ref)
    return tuple(tuple(refs) for refs in ends.values() if len(refs) > 1)


def in_order(edges: Sequence[Edge]) -> tuple[Edge, ...]:
    """Sort parts in the order in which current meets them."""
    graph: nx.DiGraph[str] = nx.DiGraph()
    graph.add_edges_from((edge.tail, edge.head) for edge in edges)
    depth: dict[str, int] = {}
    for node in nx.topological_sort(graph):
        depth[node] = max((depth[before] + 1 for before in graph.predecessors(node)), default=0)
    return tuple(sorted(edges, key=lambda edge: depth[edge.tail]))


def streams(edges: Sequence[Edge]) -> tuple[tuple[Edge, ...], ...]:
    """Split what flows into streams that share no node but live and ground."""
    graph: nx.Graph[str] = nx.Graph()
    for edge in edges:
        graph.add_node(edge.ref)
    for one, other in combinations(edges, 2):
        if {one.tail, one.head} & {other.tail, other.head} - {LIVE, GROUND}:
            graph.add_edge(one.ref, other.ref)
    parts = [[edge for edge in edges if edge.ref in refs] for refs in nx.connected_components(graph)]
    return tuple(in_order(part) for part in parts)


def could_pass(net: Net, ref: str, one_way: bool) -> bool:
    """Whether a part lies on any simple path from live to ground; one_way heeds the diodes."""
    return any(_passable(path, one_way) for path in paths_through(net, ref))


def blocking(net: Net, ref: str) -> tuple[str, ...]:
    """The diodes that stand the wrong way, with a voltage against them, on the paths through a part."""
    found: dict[str, None] = {}
    for path in paths_through(net, ref):
        for tail, edge in path:
            if edge.part.kind == "diode" and not _forward(tail, edge) and is_blocking(edge, net):
                found[edge.ref] = None
    return tuple(found)


def returns_to(net: Net, ref: str, rail: str) -> tuple[str, ...]:
    """The nodes by which ways through a part leave a rail and come back to it; none where no way does.

    With a vertex in the middle of every part, these are the parts of one block with the rail.
    """
    middle = {edge.ref: f"\0{edge.ref}" for edge in net.edges if edge.tail != edge.head}
    graph: nx.Graph[str] = nx.Graph()
    for edge in net.edges:
        if edge.ref in middle:
            graph.add_edges_from(((edge.tail, middle[edge.ref]), (middle[edge.ref], edge.head)))
    for found in nx.biconnected_components(graph):
        block: set[object] = set(found)
        if len(block) > 2 and ref in middle and {rail, middle[ref]} <= block:
            own = [edge for edge in net.edges if middle.get(edge.ref) in block]
            ends = [edge.from_node for edge in own if edge.tail == rail]
            ends += [edge.to_node for edge in own if edge.head == rail]
            return tuple(dict.fromkeys(ends))
    return ()


def is_blocking(edge: Edge, net: Net) -> bool:
    """Whether a diode holds back a voltage worth naming."""
    backward = edge.from_node != edge.part.from_node
    return edge.part.kind == "diode" and backward and edge.volts >= 0.1 and not net.flows(edge.ref)


def paths_through(net: Net, ref: str) -> list[list[tuple[str, Edge]]]:
    """Every simple path from live to ground through a part, as parts with the net they are entered from."""
    graph: nx.MultiGraph[str] = nx.MultiGraph()
    graph.add_nodes_from((LIVE, GROUND))
    by_ref = {edge.ref: edge for edge in net.edges}
    for edge in net.edges:
        if edge.tail != edge.head:
            graph.add_edge(edge.tail, edge.head, key=edge.ref)
    return [
        [(tail, by_ref[key]) for tail, _, key in way]
        for way in ways(graph)
        if any(key == ref for _, _, key in way)
    ]


def ways(graph: "nx.MultiGraph[str]") -> list[list[tuple[str, str, str]]]:
    """List the simple paths from live to ground, each as (node, next node, key) of its edges."""
    # a path of a multigraph has keys, which the type of the function does not say
    return list(nx.all_simple_edge_paths(graph, LIVE, GROUND))  # type: ignore[arg-type]


def _forward(tail: str, edge: Edge) -> bool:
    """Whether a part entered from this net is passed from its `from` to its `to` node."""
    entered_as_reading = tail == edge.tail
    return entered_as_reading == (edge.from_node == edge.part.from_node)


def _passable(path: Sequence[tuple[str, Edge]], one_way: bool) -> bool:
    return not one_way or all(edge.part.kind != "diode" or _forward(tail, edge) for tail, edge in path)
