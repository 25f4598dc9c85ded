"""Slips: each one change away, each once, none that leaves a joint with one part; shapes known by renaming.

Source: the slips of the smallest circuits, written out by hand.
"""

from itertools import permutations

import networkx as nx
from msgspec.structs import replace
from networkx.algorithms.isomorphism import categorical_multiedge_match, categorical_node_match
from tests.shipped import shipped
from tests.worksheets import LESSONS

from lampwright.results.design import PartRow
from lampwright.teaching.near_misses import Parts, near_misses, same_shape


def lamp(ref: str, a: str, b: str, of: str | None = None) -> PartRow:
    return PartRow(ref=ref, kind="filament", from_node=a, to_node=b, lamp=of or ref, type="P21W")


def diode(ref: str, a: str, b: str) -> PartRow:
    return PartRow(ref=ref, kind="diode", from_node=a, to_node=b, type="1N5404")


ROW = (lamp("A", "S1", "j1"), lamp("B", "j1", "31"))


def test_the_slips_of_two_lamps_in_a_row() -> None:
    # an end moved leaves the joint with one part
    found = {one.what for one in near_misses(ROW, ("S1", "31", "j1"))}
    assert found == {
        "A from ground to j1", "B from j1 to S1",
        "A and B exchanged", "A and B side by side from S1 to ground",
    }  # fmt: skip


def test_the_slips_of_a_lamp_with_both_ends_live() -> None:
    parts = (lamp("A", "S1", "S2"), lamp("B", "S2", "31"))
    found = {one.what: one.parts for one in near_misses(parts, ("S1", "S2", "31"))}
    assert set(found) == {
        "A from S1 to ground", "A from ground to S2", "B from S2 to S1", "B from S1 to ground",
        "A and B exchanged", "A and B side by side from S1 to ground",
    }  # fmt: skip
    joined = [
        {(one.ref, frozenset((one.from_node, one.to_node))) for one in parts} for parts in found.values()
    ]
    assert all(one not in joined[:at] for at, one in enumerate(joined)), "one circuit twice"


def test_what_is_the_same_circuit_is_no_slip() -> None:
    parts = (lamp("A", "S1", "31"), lamp("B", "31", "S1"))
    assert [one.what for one in near_misses(parts, ("S1", "31"))] == []


def test_filaments_of_one_lamp_keep_what_they_share() -> None:
    parts = (lamp("stop", "54", "31", "rear"), lamp("tail", "58", "31", "rear"))
    for one in near_misses(parts, ("54", "58", "31")):
        assert all("31" in (part.from_node, part.to_node) for part in one.parts), one.what


def test_a_diode_is_turned() -> None:
    parts = (lamp("A", "S1", "j1"), diode("D1", "j1", "31"))
    assert "D1 the other way round" in {one.what for one in near_misses(parts, ("S1", "31", "j1"))}


def graph(parts: Parts) -> "nx.MultiGraph[str]":
    """A circuit as a graph whose nodes are told apart by kind alone."""
    made: nx.MultiGraph[str] = nx.MultiGraph()
    for part in parts:
        for node in (part.from_node, part.to_node):
            made.add_node(node, of=node if node in ("30", "31") else "joint" if node[0] == "j" else "feed")
        made.add_edge(part.from_node, part.to_node, of=part.kind)
    return made


def test_the_way_parts_meet_makes_the_shape() -> None:
    ring = (lamp("A", "S1", "S2"), lamp("B", "S2", "31"), lamp("C", "S1", "31"))
    tail = (lamp("A", "S1", "S2"), lamp("B", "S2", "31"), lamp("C", "S2", "31"))
    assert not same_shape(ring, tail)


def test_circuits_that_differ_in_names_alone_have_one_shape() -> None:
    designs = [shipped(name).designs[0].parts for name in LESSONS]
    match = {
        "node_match": categorical_node_match("of", ""),
        "edge_match": categorical_multiedge_match("of", ""),
    }
    for one, other in permutations(designs, 2):
        assert same_shape(one, other) == nx.is_isomorphic(graph(one), graph(other), **match)
    for parts in designs:
        turned = {"S1": "S2", "S2": "S1"}
        renamed = tuple(
            replace(
                part,
                from_node=turned.get(part.from_node, part.from_node),
                to_node=turned.get(part.to_node, part.to_node),
            )
            for part in parts
        )
        assert same_shape(parts, renamed)
