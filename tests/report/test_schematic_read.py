"""Every drawing, read as an electrician reads it, is the circuit it was made of: parts, contacts, terminals.

No outside source: the reader, `reading`, knows the symbols and nothing of how they were set.
"""

from collections import Counter
from collections.abc import Sequence

import networkx as nx
import pytest
from tests.report.drawing import bulbs, shipped_drawings
from tests.report.reading import Drawn, read, told_of
from tests.report.selectors import random_selectors
from tests.selection import examples, some
from tests.shipped import NAMES

from lampwright.report.explain.controls import ControlFeed
from lampwright.report.schematic.feed import feeds_of
from lampwright.report.schematic.svg import schematic
from lampwright.results.design import Design


def circuit_of(design: Design, feeds: Sequence[ControlFeed]) -> Drawn:
    """The net list that a drawing must have: what wires join is one net."""
    joined: nx.Graph[str] = nx.Graph()
    joined.add_nodes_from(["30", "31", *(name for feed in feeds for name in (feed.terminal, *feed.joins))])
    joined.add_nodes_from(node for part in design.parts for node in (part.from_node, part.to_node))
    joined.add_edges_from((part.from_node, part.to_node) for part in design.parts if part.kind == "wire")
    net = {node: n for n, group in enumerate(nx.connected_components(joined)) for node in group}
    contacts = {
        (feed.control, *sorted((feed.terminal, other)))
        for feed in feeds
        if feed.kind != "supply"
        for other in feed.joins
    }
    parts: dict[str, tuple[int, ...]] = {
        part.ref: (net[part.from_node], net[part.to_node]) for part in design.parts if part.kind != "wire"
    }
    named = tuple((name, number) for name, number in net.items() if name not in ("30", "31"))
    diodes = frozenset(part.ref for part in design.parts if part.kind == "diode")
    joins = tuple((name, net[a], net[b]) for name, a, b in contacts)
    return Drawn(parts, diodes, joins, named, net["30"], net["31"])


def signatures(drawn: Drawn) -> tuple[Counter[object], Counter[object]]:
    """The nets by what hangs on them, and the contacts by the nets they join."""
    told = told_of(drawn)
    nets: Counter[object] = Counter(told.values())
    contacts: Counter[object] = Counter(
        (name, tuple(sorted(told.get(net, ()) for net in pair))) for name, *pair in drawn.contacts
    )
    return nets, contacts


def check(design: Design, feeds: Sequence[ControlFeed]) -> None:
    found = read(schematic(design, feeds).svg, [feed.control for feed in feeds])
    wanted = circuit_of(design, feeds)
    assert found.parts.keys() == wanted.parts.keys()
    for one, other in zip(signatures(found), signatures(wanted), strict=True):
        assert one - other == other - one == Counter()


@pytest.mark.parametrize("name", NAMES)
def test_shipped_designs_read_as_what_they_are(name: str) -> None:
    for design, controls in shipped_drawings(name):
        check(design, feeds_of(design, controls))


@pytest.mark.parametrize("hundred", some(range(8), 1))
def test_selectors_read_as_what_they_are(hundred: int) -> None:
    for seed in range(100 * hundred, 100 * hundred + examples(30, 100)):
        design, controls = random_selectors(seed)
        check(design, feeds_of(design, controls))


@pytest.mark.parametrize("hundred", some(range(8), 1))
def test_bulbs_read_as_what_they_are(hundred: int) -> None:
    for seed in range(100 * hundred, 100 * hundred + examples(30, 100)):
        check(*bulbs(seed))
