"""Harnesses: trees that join every pin of a net, and as few conductors as can be.

Trees and components by networkx; least conductors by trying every zone of every thing.
"""

from itertools import product

import networkx as nx
import pytest

from lampwright.network.circuit import Circuit, Part
from lampwright.network.layout import LampSlot, Layout
from lampwright.network.netlist import Netlist, netlist_of
from lampwright.network.wiring import Harness, harness_of
from lampwright.network.zones import Zoned, conductors

LAYOUT = Layout(
    ("54", "58", "31"),
    (LampSlot("a", ("a",), None, False), LampSlot("rear", ("stop", "tail"), None, True)),
)
TWO = Zoned(("trailer", "trailer", "trailer"), ("vehicle", "vehicle", "vehicle"))
NOWHERE = Zoned(("", "", ""), ("", "", ""))


def filaments(*nodes: tuple[str, str]) -> tuple[Part, ...]:
    names = (("a", "a"), ("stop", "rear"), ("tail", "rear"))
    return tuple(
        Part(ref=ref, kind="filament", from_node=low, to_node=high, lamp=lamp, type="X")
        for (ref, lamp), (low, high) in zip(names, nodes, strict=True)
    )


PLAIN = Circuit(filaments(("54", "31"), ("54", "31"), ("58", "31")))
JOINTED = Circuit(
    (
        *filaments(("54", "j1"), ("j1", "31"), ("58", "31")),
        Part("D1", "diode", "58", "j1", type="X"),
        Part("R1", "resistor", "j1", "31", ohms=1.0),
    )
)
WIRED = Circuit((*PLAIN.parts, Part("W1", "wire", "54", "58")))


def names(harness: Harness) -> list[tuple[str, str]]:
    return [(harness.pins[wire.near].name, harness.pins[wire.far].name) for wire in harness.wires]


def test_a_plain_circuit_by_hand() -> None:
    """Ground goes through the coupling once, to the first lamp, and is spliced there."""
    harness = harness_of(netlist_of(PLAIN, LAYOUT), LAYOUT, TWO)
    assert names(harness) == [
        ("54", "a"),
        ("a", "rear stop"),
        ("58", "rear tail"),
        ("31", "a"),
        ("a", "rear common"),
    ]
    assert [number + 1 for number in harness.crossing()] == [1, 3, 4]
    assert [harness.pins[pin].name for pin in harness.splices()] == ["a", "a"]
    assert harness.wires_of(1) == (0, 1, 3, 4)
    assert harness.terminals_of(2) == (1, 2)


def test_refs_name_the_extra_parts() -> None:
    netlist = netlist_of(JOINTED, LAYOUT)
    named = {pin.name for pin in harness_of(netlist, LAYOUT, TWO, ("lock", "drop")).pins}
    assert {"lock anode", "lock cathode", "drop"} <= named
    assert {"D1 anode", "D1 cathode", "R1"} <= {pin.name for pin in harness_of(netlist, LAYOUT, TWO).pins}


@pytest.mark.parametrize("circuit", [PLAIN, JOINTED, WIRED], ids=["plain", "jointed", "wired"])
@pytest.mark.parametrize("zoned", [TWO, NOWHERE], ids=["two zones", "no zones"])
def test_every_net_is_one_tree(circuit: Circuit, zoned: Zoned) -> None:
    netlist = netlist_of(circuit, LAYOUT)
    harness = harness_of(netlist, LAYOUT, zoned)
    graph: nx.MultiGraph[int] = nx.MultiGraph()
    graph.add_nodes_from(range(len(harness.pins)))
    graph.add_edges_from((wire.near, wire.far) for wire in harness.wires)
    groups = list(nx.connected_components(graph))
    nets = [{harness.pins[pin].net for pin in group} for group in groups]
    assert all(len(net) == 1 for net in nets), "a wire never joins two nets"
    assert len(groups) == len({pin.net for pin in harness.pins}), "and leaves no pin of one out"
    assert nx.is_forest(graph)
    ends = sorted((end.part, end.side) for pin in harness.pins for end in pin.ends)
    assert ends == [(part, side) for part in range(len(netlist.ends)) for side in (0, 1)]


def test_crossings_are_the_conductors_counted_before() -> None:
    """Where everything has a zone, the coupling carries what `zones.conductors` counted."""
    for circuit in (PLAIN, WIRED):
        netlist = netlist_of(circuit, LAYOUT)
        assert len(harness_of(netlist, LAYOUT, TWO).crossing()) == conductors(netlist, TWO)


def least_by_trying(netlist: Netlist, layout: Layout, zoned: Zoned) -> int:
    """Every zone for everything without one; the least conductors, for lamps of one filament."""
    parts = len(netlist.ends)
    given = [*zoned.terminals, *zoned.filaments, *[""] * netlist.extra_parts]
    open_at = [at for at, zone in enumerate(given) if not zone]
    zones = sorted({zone for zone in given if zone})
    found = []
    for tried in product(zones, repeat=len(open_at)):
        home = list(given)
        for at, zone in zip(open_at, tried, strict=True):
            home[at] = zone
        pins = {(netlist.partition[n], home[n]) for n in range(len(layout.terminals))}
        pins |= {(int(end), home[len(layout.terminals) + n]) for n in range(parts) for end in netlist.ends[n]}
        found.append(len(pins) - len({net for net, _ in pins}))
    return min(found)


@pytest.mark.parametrize(
    "zoned",
    [
        Zoned(("trailer", "", "sidecar"), ("vehicle", "vehicle", "vehicle")),
        Zoned(("trailer", "trailer", "vehicle"), ("vehicle", "", "vehicle")),
        Zoned(("", "", ""), ("vehicle", "trailer", "vehicle")),
    ],
    ids=["a free lamp", "a free terminal", "free lamps"],
)
def test_free_things_go_where_fewest_conductors_are_needed(zoned: Zoned) -> None:
    layout = Layout(("54", "58", "31"), tuple(LampSlot(n, (n,), None, False) for n in ("a", "stop", "tail")))
    parts = tuple(
        Part(ref=ref, kind="filament", from_node=low, to_node=high, lamp=ref, type="X")
        for ref, low, high in (("a", "54", "j1"), ("stop", "j1", "31"), ("tail", "58", "31"))
    )
    extras = (
        Part("D1", "diode", "58", "j1", type="X"),
        Part("R1", "resistor", "j1", "31", ohms=1.0),
    )
    netlist = netlist_of(Circuit((*parts, *extras)), layout)
    assert len(harness_of(netlist, layout, zoned).crossing()) == least_by_trying(netlist, layout, zoned)
