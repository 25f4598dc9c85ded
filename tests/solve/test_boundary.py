"""What each state makes of the vertices, against rows written out by hand."""

from itertools import combinations
from pathlib import Path

import networkx as nx
import numpy as np
import pytest

from lampwright.solve.boundary import Boundary, Damage, boundary_of, boundary_under
from lampwright.spec.load import load_spec, parse_spec
from lampwright.spec.model import Spec, terminals
from lampwright.spec.states import expand_states

SPECS = Path(__file__).parents[2] / "specs"

REVERSING = """
lampwright = 1
title = "A motor switch, as a lamp puzzle: two leads, either way round"
[supply]
system = 12
volts = [11.8, 13.5, 14.4]
always_live = false
[controls.lever]
kind = "positions"
most_amps = 5.0
positions = { ahead = [["30", "A"], ["31", "B"]], off = [], astern = [["30", "B"], ["31", "A"]] }
[lamps.one]
choose = ["W5W"]
[[behaviour]]
when = { lever = "ahead" }
show = { one = "lit" }
"""

CHAIN = """
lampwright = 1
title = "A second switch is fed through the first"
[supply]
system = 12
volts = [11.8, 13.5, 14.4]
always_live = true
[controls.main]
kind = "switch"
feed = "15"
most_amps = 10.0
[controls.link]
kind = "positions"
most_amps = 5.0
positions = { open = [], closed = [["15", "58"]] }
[controls.free]
kind = "switch"
feed = "54"
[lamps.one]
choose = ["W5W"]
[[behaviour]]
when = { main = "on" }
show = { one = "lit" }
"""


@pytest.fixture(scope="module")
def sidecar() -> Spec:
    return load_spec(SPECS / "sidecar_side_lamp.toml")


def boundary(spec: Spec, partition: tuple[int, ...], joints: int = 0) -> Boundary | None:
    return boundary_of(spec, expand_states(spec), terminals(spec), partition, joints)


def gate_rows(found: Boundary) -> list[tuple[int, int, int, int]]:
    beyond = found.gates.beyond & ((1 << found.vertices) - 1)
    columns = (found.gates.state, found.gates.control, beyond, found.gates.exact)
    return [(int(a), int(b), int(c), int(d)) for a, b, c, d in zip(*columns, strict=True)]


def test_sidecar_states(sidecar: Spec) -> None:
    """Vertices 49a, 54, 58, 31 and one joint; open groups are 2 and up, in that order."""
    assert terminals(sidecar) == ("49a", "54", "58", "31")
    found = boundary(sidecar, (0, 1, 2, 3), joints=1)
    assert found is not None
    wanted = [
        [2, 3, 4, 0, 5],  # all off
        [2, 3, 1, 0, 4],  # lights
        [2, 1, 3, 0, 4],  # brake
        [2, 1, 1, 0, 3],  # brake, lights
        [1, 2, 3, 0, 4],  # turn closed
        [2, 3, 4, 0, 5],  # turn open
        [1, 2, 1, 0, 3],  # turn closed, lights
        [2, 3, 1, 0, 4],  # turn open, lights
        [1, 1, 2, 0, 3],  # turn closed, brake
        [2, 1, 3, 0, 4],  # turn open, brake
        [1, 1, 1, 0, 2],  # turn closed, brake, lights
        [2, 1, 1, 0, 3],  # turn open, brake, lights
    ]
    assert found.vertex_node.tolist() == wanted
    # only turn states how much its contact carries; closed in four states, feeding 49a alone
    assert gate_rows(found) == [(4, 0, 0b1, 1), (6, 0, 0b1, 1), (8, 0, 0b1, 1), (10, 0, 0b1, 1)]


def test_sidecar_states_without_joints(sidecar: Spec) -> None:
    found = boundary(sidecar, (0, 1, 2, 3))
    assert found is not None
    assert found.vertex_node.shape == (12, 4)
    assert found.vertex_node[8].tolist() == [1, 1, 2, 0]


def test_wired_feeds(sidecar: Spec) -> None:
    """49a wired to 54: both live with either, and with both the contacts run side by side."""
    found = boundary(sidecar, (0, 0, 1, 2))
    assert found is not None
    wanted = [
        [2, 3, 0],  # all off
        [2, 1, 0],  # lights
        [1, 2, 0],  # brake
        [1, 1, 0],  # brake, lights
        [1, 2, 0],  # turn closed
        [2, 3, 0],  # turn open
        [1, 1, 0],  # turn closed, lights
        [2, 1, 0],  # turn open, lights
        [1, 2, 0],  # turn closed, brake
        [1, 2, 0],  # turn open, brake
        [1, 1, 0],  # turn closed, brake, lights
        [1, 1, 0],  # turn open, brake, lights
    ]
    assert found.vertex_node.tolist() == wanted
    assert gate_rows(found)[:3] == [(4, 0, 0b1, 1), (6, 0, 0b1, 1), (8, 0, 0b1, 0)], (
        "exact while turn alone feeds the block, a bound while the brake does too"
    )


def test_a_bound_counts_no_other_feed(sidecar: Spec) -> None:
    found = boundary(sidecar, (0, 0, 1, 2))
    assert found is not None
    assert gate_rows(found)[3] == (10, 0, 0b1, 0), "58 has its own contact, and takes nothing through turn's"


@pytest.mark.parametrize("partition", [(0, 1, 2, 0), (0, 1, 2, 1), (0, 1, 2, 2), (0, 0, 1, 0), (0, 0, 0, 0)])
def test_shorted_partitions(partition: tuple[int, ...], sidecar: Spec) -> None:
    assert boundary(sidecar, partition) is None, "a feed wired to ground shorts the supply when it closes"


def test_polarity_reversing() -> None:
    """Terminals A, B, 31: each lead live in one position and grounded in the other."""
    spec = parse_spec(REVERSING, "reversing")
    assert terminals(spec) == ("A", "B", "31")
    found = boundary(spec, (0, 1, 2), joints=1)
    assert found is not None
    assert found.vertex_node.tolist() == [[1, 0, 0, 2], [2, 3, 0, 4], [0, 1, 0, 2]]
    # ahead: its contacts carry what A takes and what B gives; astern: B's, then A's
    assert gate_rows(found) == [(0, 0, 0b01, 1), (0, 0, 0b10, 1), (2, 0, 0b10, 1), (2, 0, 0b01, 1)]
    assert boundary(spec, (0, 0, 1)) is None, "A wired to B joins 30 to 31 in either position"
    assert boundary(spec, (0, 1, 0)) is None, "A wired to 31 is live in one of them"


def test_one_contact_feeds_another() -> None:
    """Terminals 15, 58, 54, 30, 31: main feeds 15, link passes it on to 58."""
    spec = parse_spec(CHAIN, "chain")
    assert terminals(spec) == ("15", "58", "54", "30", "31")
    found = boundary(spec, (0, 1, 2, 3, 4))
    assert found is not None
    wanted = [
        [2, 3, 4, 1, 0],  # all open
        [2, 3, 1, 1, 0],  # free
        [2, 2, 3, 1, 0],  # link: 15 and 58 are one open group
        [2, 2, 1, 1, 0],  # link, free
        [1, 2, 3, 1, 0],  # main
        [1, 2, 1, 1, 0],  # main, free
        [1, 1, 2, 1, 0],  # main, link
        [1, 1, 1, 1, 0],  # main, link, free
    ]
    assert found.vertex_node.tolist() == wanted
    rows = gate_rows(found)
    main = [row for row in rows if row[1] == 0]
    assert main == [(4, 0, 0b01, 1), (5, 0, 0b01, 1), (6, 0, 0b11, 1), (7, 0, 0b11, 1)], (
        "main carries 15, and 58 with it once link is closed"
    )
    assert [row for row in rows if row[1] == 1 and row[0] >= 6] == [(6, 1, 0b10, 1), (7, 1, 0b10, 1)]
    assert {row[1] for row in rows} == {0, 1}, "free states no limit"
    # with nothing live, either side of link will do: both sides' currents are one
    assert [row[2] for row in rows if row[0] in (2, 3)] in ([0b01, 0b01], [0b10, 0b10])
    assert boundary(spec, (0, 1, 2, 3, 3)) is None, "30 wired to 31"


def test_always_live_terminal_wired_to_a_feed() -> None:
    spec = parse_spec(CHAIN, "chain")
    found = boundary(spec, (0, 1, 2, 0, 3))
    assert found is not None
    assert found.vertex_node[0].tolist() == [1, 2, 3, 0], "15 is live through the wire"
    assert (4, 0, 0b1, 0) in gate_rows(found), "main is bridged by the wire: its share is only bounded"


def plain(spec: Spec, partition: tuple[int, ...], joints: int, damage: Damage) -> list[list[object]]:
    """The same by graphs, a new one for every question: nodes per state, shorts, every contact's gate."""
    vertex = dict(zip(terminals(spec), partition, strict=True))
    vertices, rails = range(max(partition) + 1 + joints), {"30", "31"}
    nodes: list[object] = []
    shorted: list[object] = []
    gates: list[object] = []
    for at, state in enumerate(expand_states(spec)):
        graph: nx.MultiGraph[object] = nx.MultiGraph()
        graph.add_nodes_from([*rails, *vertices])
        graph.add_edges_from([*damage.joins, ("31", vertex["31"])])
        if "30" in vertex and not damage.rail_lost:
            graph.add_edge("30", vertex["30"])
        closed = []
        for contact in state.contacts:
            a, b = (end if end == "30" else vertex[end] for end in (contact.a, contact.b))
            if contact.control != damage.dead or "30" not in (a, b):
                closed.append((contact.control, a, b, graph.add_edge(a, b)))
        groups = [nx.node_connected_component(graph, vertex) for vertex in vertices]
        shorted.append("30" in nx.node_connected_component(graph, "31"))
        free = list(dict.fromkeys(tuple(sorted(group)) for group in groups if not group & rails))  # type: ignore[type-var]
        nodes.append(
            [1 if "30" in g else 0 if "31" in g else 2 + free.index(tuple(sorted(g))) for g in groups]  # type: ignore[type-var]
        )
        for control, a, b, key in closed:
            cut: nx.MultiGraph[object] = nx.MultiGraph(graph)
            cut.remove_edge(a, b, key)
            sides = [nx.node_connected_component(cut, end) for end in (a, b)]
            far, exact = min(sides, key=lambda side: len(side & rails)), b not in sides[0]
            if not exact:
                loose = graph.subgraph(vertices)
                far = set().union(*(nx.node_connected_component(loose, n) for n in (a, b) if n != "30"))
            mask = sum(1 << node for node in far if isinstance(node, int))
            number = [one.name for one in spec.controls].index(control)
            gates.append((at, number, mask, int(exact)))
    return [nodes, shorted, gates]


@pytest.mark.parametrize("name", [*sorted(path.stem for path in SPECS.glob("*.toml")), "reversing", "chain"])
def test_sound_or_damaged_it_is_what_graphs_say(name: str) -> None:
    texts = {"reversing": REVERSING, "chain": CHAIN}
    spec = parse_spec(texts[name], name) if name in texts else load_spec(SPECS / f"{name}.toml")
    apart = tuple(range(len(terminals(spec))))
    pairs = list(combinations(range(len(apart) + 1), 2))
    for partition in (apart, (0, 0, *apart[1:-1]), (0, *apart[:-1])):
        joints = len(apart) - max(partition)
        for damage in (
            Damage(),
            Damage(rail_lost=True),
            *(Damage(dead=control.name) for control in spec.controls),
            *(Damage(joins=(pair,)) for pair in pairs),
        ):
            states, names = expand_states(spec), terminals(spec)
            found = boundary_under(damage, spec, states, names, partition, joints=joints, every_contact=True)
            nodes, shorted, gates = plain(spec, partition, joints, damage)
            assert found.shorted.tolist() == shorted
            fine = np.flatnonzero(~found.shorted)
            # copies for what has failed come after the vertices
            assert found.vertex_node[fine, : found.vertices].tolist() == [nodes[at] for at in fine]
            assert gate_rows(found) == gates
            if damage == Damage():
                assert (boundary(spec, partition, joints) is None) == any(shorted)


def test_two_switches_side_by_side_carry_what_their_feed_takes() -> None:
    """Main and link both feed 15 from 30: main carries no more than 15 and 58 take, whatever hangs on 30."""
    both = CHAIN.replace('[["15", "58"]]', '[["30", "15"], ["15", "58"]]')
    found = boundary(parse_spec(both, "both"), (0, 1, 2, 3, 4))
    assert found is not None
    assert [row for row in gate_rows(found) if row[1] == 0] == [
        (4, 0, 0b01, 1),  # main
        (5, 0, 0b01, 1),  # main, free
        (6, 0, 0b11, 0),  # main, link: side by side
        (7, 0, 0b11, 0),  # all three
    ]
