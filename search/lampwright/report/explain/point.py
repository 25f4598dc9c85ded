"""The operating point of some parts in one state, as a graph of the parts that carry current.

Nodes joined by wires and closed contacts are one *net*; all that is live is one net, and
all that is at ground. A part carries current if it is at least `FLOW`, and then points the
way the current takes, from higher potential to lower: the graph has no ring. Two parts are
in series if they must carry the same current whatever they are, which is so when they form
a two-edge cut of the graph with the supply added between live and ground. What flows reads as
a route of legs one after another, each a part or branches side by side; or else it is split over
its paths, the greatest first, so that the shares of the paths through a part add up to its
current. Source: for cuts and currents, any text on graph theory and networks; common practice for the
threshold.

Worked case: A and B from live nets to j1, C from there to ground. A and B have both ends
in common, so are in parallel; C carries the current of both, and is in series with neither.
"""

from collections import Counter
from collections.abc import Sequence
from itertools import combinations
from typing import Any

import networkx as nx
from msgspec import Struct
from msgspec.structs import replace

from lampwright.report.explain.controls import LOST_GROUND, Controls, Situation
from lampwright.results.design import FLOW, LampReading, PartReading, PartRow, StateRow
from lampwright.results.explanation import Branch, FilamentFact, Held, Leg, PartFact, PathFact
from lampwright.words import listed

LIVE, GROUND = "live", "ground"
RAILS: dict[str, Held] = {"30": "live", "31": "ground"}

Pair = tuple[str, str]


class PartFlow(Struct, frozen=True):
    """A part in the direction of its current: nets, its own end nodes, the sizes of its readings [V, A]."""

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
    def is_filament(self) -> bool:
        """Whether it is one."""
        return self.part.kind == "filament"

    @property
    def fact(self) -> PartFact:
        """What it takes, of a part that carries current."""
        return PartFact(ref=self.ref, volts=self.volts, amps=self.amps, ohms=self.volts / self.amps)

    @property
    def rated(self) -> PartFact | None:
        """The rated volts of a filament, with its amps and resistance there; None where not known."""
        volts, ohms = self.part.test_volts, self.part.hot_ohms
        if volts is None or ohms is None:
            return None
        return PartFact(ref=self.ref, volts=volts, amps=volts / ohms, ohms=ohms)


class OperatingPoint(Struct, frozen=True):
    """A group of parts in states that are one operating point: all parts, and those that carry current.

    terminals: the group's. state: the readings of the first situation. wires: the pairs that wire joins.
    """

    parts: tuple[PartFlow, ...]
    flowing: tuple[PartFlow, ...]
    terminals: tuple[str, ...]
    state: StateRow
    situations: tuple[Situation, ...]
    controls: Controls
    wires: tuple[Pair, ...]

    @property
    def supply(self) -> float:
        """The voltage of what is live [V]; zero where nothing is."""
        return max((node.volts for node in self.state.nodes if node.held == "live"), default=0.0)

    def held(self, node: str) -> Held:
        """What holds a node."""
        return next(one.held for one in self.state.nodes if one.node == node)

    def part(self, ref: str) -> PartFlow:
        """Give one part."""
        return next(one for one in self.parts if one.ref == ref)

    def lamp(self, ref: str) -> LampReading:
        """The reading of a filament."""
        return next(reading for reading in self.state.lamps if reading.lamp == ref)

    def is_dark(self, one: PartFlow) -> bool:
        """Whether a part is a filament that gives no useful light."""
        return one.is_filament and self.lamp(one.ref).level == "off"

    def is_burning(self, one: PartFlow) -> bool:
        """Whether a part is a filament that gives light."""
        return one.is_filament and self.lamp(one.ref).level != "off"

    def is_blocking(self, one: PartFlow) -> bool:
        """Whether a part is a diode that holds back a voltage worth naming."""
        backward = one.from_node != one.part.from_node
        return one.part.kind == "diode" and backward and one.volts >= 0.1 and one not in self.flowing

    def filament(self, one: PartFlow) -> FilamentFact | None:
        """What a part takes and makes of it, if it is a filament of which all that is known."""
        kelvin = self.lamp(one.ref).kelvin if one.is_filament else None
        rated = one.rated
        if rated is None or kelvin is None:
            return None
        return FilamentFact(
            ref=one.ref,
            volts=one.volts,
            amps=one.amps,
            ohms=one.fact.ohms,
            watts=one.volts * one.amps,
            kelvin=kelvin,
            rated=rated,
        )


def flows_of(
    parts: Sequence[PartRow], wires: Sequence[Pair], state: StateRow, situation: Situation
) -> tuple[PartFlow, ...]:
    """Direct parts by the readings of a state, between the nets that its contacts make."""
    held = {**{node.node: node.held for node in state.nodes}, **RAILS}
    nodes = [*held, *(end for part in parts for end in (part.from_node, part.to_node))]
    net: dict[str, str] = {}
    for members in joined([*wires, *((a, b) for _, a, b in situation.closed)], nodes):
        holds = {held.get(node, "open") for node in members}
        label = LIVE if LIVE in holds else GROUND if GROUND in holds else min(members)
        net.update(dict.fromkeys(members, label))
    readings = {reading.ref: reading for reading in state.parts}
    return tuple(_flow(part, readings[part.ref], net) for part in parts)


def hanging(part: PartRow, wires: Sequence[Pair], situation: Situation) -> PartRow:
    """The part as it lies in a situation: where its ground is lost, its end there is a node of its group."""
    group = next((one for one in situation.hung if part.ref in one), ())
    ground = next(net for net in joined(wires, ("31",)) if "31" in net)
    name = f"{LOST_GROUND}{listed(group)}"
    ends = [name if group and end in ground else end for end in (part.from_node, part.to_node)]
    return replace(part, from_node=ends[0], to_node=ends[1])


def _flow(part: PartRow, reading: PartReading, net: dict[str, str]) -> PartFlow:
    leading = reading.amps if abs(reading.amps) >= FLOW else reading.volts
    ends = part.from_node, part.to_node
    a, b = ends if leading >= 0.0 else ends[::-1]
    return PartFlow(
        part=part,
        tail=net[a],
        head=net[b],
        from_node=a,
        to_node=b,
        volts=abs(reading.volts),
        amps=abs(reading.amps),
    )


def joined(pairs: Sequence[Pair], nodes: Sequence[str]) -> list[set[str]]:
    """Group nodes by what joins them."""
    graph: nx.Graph[str] = nx.Graph()
    graph.add_nodes_from(nodes)
    graph.add_edges_from(pairs)
    return [set(one) for one in nx.connected_components(graph)]


def on_the_way(parts: Sequence[PartFlow]) -> tuple[PartFlow, ...]:
    """Keep what carries current from live to ground; a current that leaks away over many is dropped."""
    some = [one for one in parts if one.amps >= FLOW and one.tail != one.head]
    graph: nx.DiGraph[str] = nx.DiGraph((one.tail, one.head) for one in some)
    graph.add_nodes_from((LIVE, GROUND))
    after = nx.descendants(graph, LIVE) | {LIVE}
    before = nx.ancestors(graph, GROUND) | {GROUND}
    return tuple(one for one in some if one.tail in after and one.head in before)


def series_sets(parts: Sequence[PartFlow]) -> list[list[PartFlow]]:
    """Group parts that carry the same current by topology, two or more, in the order of the current."""
    same: nx.Graph[int] = nx.Graph()
    ordered = in_order(parts)
    for at, one in enumerate(ordered):
        rest: nx.MultiGraph[str] = nx.MultiGraph([(LIVE, GROUND)])
        rest.add_edges_from((other.tail, other.head) for other in ordered if other is not one)
        cut = {frozenset(pair) for pair in nx.bridges(rest)}
        same.add_edges_from(
            (at, place)
            for place, other in enumerate(ordered)
            if other is not one and frozenset((other.tail, other.head)) in cut
        )
    sets = sorted(sorted(places) for places in nx.connected_components(same))
    return [[ordered[at] for at in places] for places in sets]


def parallel_sets(parts: Sequence[PartFlow]) -> list[list[PartFlow]]:
    """Group parts with both ends in common, two or more."""
    ends: dict[frozenset[str], list[PartFlow]] = {}
    for one in parts:
        ends.setdefault(frozenset((one.tail, one.head)), []).append(one)
    return [some for some in ends.values() if len(some) > 1]


def in_order(parts: Sequence[PartFlow]) -> tuple[PartFlow, ...]:
    """Sort parts in the order in which current meets them."""
    graph: nx.DiGraph[str] = nx.DiGraph((one.tail, one.head) for one in parts)
    depth: dict[str, int] = {}
    for net in nx.topological_sort(graph):
        depth[net] = max((depth[before] + 1 for before in graph.predecessors(net)), default=0)
    return tuple(sorted(parts, key=lambda one: depth[one.tail]))


def streams(parts: Sequence[PartFlow]) -> list[tuple[PartFlow, ...]]:
    """Split what flows into streams that share no node but live and ground."""
    touching = [
        (one.ref, other.ref)
        for one, other in combinations(parts, 2)
        if {one.tail, one.head} & {other.tail, other.head} - {LIVE, GROUND}
    ]
    groups = joined(touching, [one.ref for one in parts])
    return [in_order([one for one in parts if one.ref in refs]) for refs in groups]


def returns_to(parts: Sequence[PartFlow], ref: str, rail: str) -> tuple[str, ...]:
    """The nodes by which ways through a part leave a rail and come back to it; none where no way does.

    With a vertex in the middle of every part, these are the parts of one block with the rail.
    """
    middle = {one.ref: f"\0{one.ref}" for one in parts if one.tail != one.head}
    graph: nx.Graph[str] = nx.Graph()
    for one in parts:
        if one.ref in middle:
            graph.add_edges_from(((one.tail, middle[one.ref]), (middle[one.ref], one.head)))
    for found in nx.biconnected_components(graph):
        block: set[object] = set(found)
        if len(block) > 2 and ref in middle and {rail, middle[ref]} <= block:
            own = [one for one in parts if middle.get(one.ref) in block]
            ends = [one.from_node for one in own if one.tail == rail]
            ends += [one.to_node for one in own if one.head == rail]
            return tuple(dict.fromkeys(ends))
    return ()


def ways_through(parts: Sequence[PartFlow], ref: str) -> list[list[tuple[PartFlow, bool]]]:
    """Every simple path from live to ground through a part; of each of its parts, whether it leads forward.

    Forward is from a part's `from` node to its `to` node.
    """
    return [
        [(one, (net == one.tail) == (one.from_node == one.part.from_node)) for net, one in way]
        for way in _ways(parts, nx.MultiGraph())
        if any(one.ref == ref for _, one in way)
    ]


def _ways(parts: Sequence[PartFlow], graph: "nx.MultiGraph[str]") -> list[list[tuple[str, PartFlow]]]:
    """List the simple paths from live to ground, each as its parts with the net they are entered from."""
    graph.add_nodes_from((LIVE, GROUND))
    for one in parts:
        if one.tail != one.head:
            graph.add_edge(one.tail, one.head, key=one.ref)
    by_ref = {one.ref: one for one in parts}
    # a path of a multigraph has keys, which the type of the function does not say
    found: Any = nx.all_simple_edge_paths(graph, LIVE, GROUND)
    return [[(net, by_ref[key]) for net, _, key in way] for way in found]


def legs_of(stream: Sequence[PartFlow]) -> tuple[Leg, ...]:
    """Read a stream as legs; empty where it is a bridge, or nested too deep to be said in one breath.

    From live on, every branch is followed over the nets at which nothing else ends; where all
    branches then meet, the leg ends. What is no row of such legs has no other net to meet at.
    """
    arriving = Counter(one.head for one in stream)
    leaving: dict[str, list[PartFlow]] = {GROUND: []}
    for one in stream:
        leaving.setdefault(one.tail, []).append(one)
    legs: list[Leg] = []
    net = LIVE
    while net != GROUND:
        branches = [[one] for one in leaving[net]]
        for branch in branches:
            while arriving[branch[-1].head] == len(leaving[branch[-1].head]) == 1:
                branch += leaving[branch[-1].head]
        if len({branch[-1].head for branch in branches}) > 1:
            return ()
        net = branches[0][-1].head
        legs += [_leg([[one]]) for one in branches[0]] if len(branches) == 1 else [_leg(_sorted(branches))]
    return tuple(legs)


def _sorted(branches: list[list[PartFlow]]) -> list[list[PartFlow]]:
    """Put the branches of one part together, after the first of several parts if that is before them."""
    single = [branch for branch in branches if len(branch) == 1]
    several = [branch for branch in branches if len(branch) > 1]
    before = 1 if len(branches[0]) > 1 else 0
    return [*several[:before], *single, *several[before:]]


def _leg(branches: Sequence[Sequence[PartFlow]]) -> Leg:
    """Make a leg of branches, each of parts in a row."""
    rows = tuple(
        Branch(
            refs=tuple(one.ref for one in some),
            from_node=some[0].from_node,
            to_node=some[-1].to_node,
            amps=some[0].amps,
        )
        for some in branches
    )
    volts, amps = sum(one.volts for one in branches[-1]), sum(one.amps for one in rows)
    return Leg(branches=rows, volts=volts, amps=amps, ohms=volts / amps)


def paths_of(stream: Sequence[PartFlow]) -> tuple[PathFact, ...]:
    """Split a stream's current over its paths, the greatest first, until less than a trickle is left."""
    left = {one.ref: one.amps for one in stream}
    every = [[one for _, one in way] for way in _ways(stream, nx.MultiDiGraph())]
    found = []
    while every:
        path = max(every, key=lambda way: min(left[one.ref] for one in way))
        refs = tuple(one.ref for one in path)
        amps = min(left[ref] for ref in refs)
        if amps < FLOW:
            break
        found.append(PathFact(feed=path[0].from_node, refs=refs, amps=amps))
        left = {ref: value - amps if ref in refs else value for ref, value in left.items()}
    return tuple(found)


def one_part(leg: Leg) -> str:
    """Give the part a leg consists of; empty where it is more."""
    refs = refs_of(leg)
    return refs[0] if len(refs) == 1 else ""


def refs_of(leg: Leg) -> tuple[str, ...]:
    """Give every part of a leg."""
    return tuple(ref for branch in leg.branches for ref in branch.refs)
