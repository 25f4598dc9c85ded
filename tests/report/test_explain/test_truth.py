"""No fact of an explanation is false: each against the numbers, on hundreds of random circuits.

Every kind of statement has its checker here, written from the rows of the result and from
graph theory's definitions by other means than the program's: currents add up at nodes
(Kirchhoff), series is a cut of two edges with the supply, a way through a part is a block
with the supply. Source: networkx for blocks and connection.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise
from typing import Any

import networkx as nx
import pytest
from tests.report.test_explain.filaments import (
    check_compared,
    check_fact,
    check_faint,
    check_power,
    check_rated,
)
from tests.report.test_explain.world import LOOSE, TRICKLE, World, near, world

from lampwright.results import explanation as row
from lampwright.spec.states import expand_states


def check_route(said: row.Route, at: World) -> None:
    assert all(at.net[feed] == "live" for feed in said.feeds), f"{said.feeds} are not live"
    before = "live"
    for leg in said.legs:
        ends = {(at.net[b.from_node], at.net[b.to_node]) for b in leg.branches}
        assert len(ends) == 1, f"{leg}: branches of one leg end at the same two nodes"
        ((a, b),) = ends
        assert a == before, f"{leg}: does not begin where the last ended"
        before = b
        assert near(leg.amps, said.amps, LOOSE), f"{leg}: the same current runs through every leg"
        assert near(
            leg.volts, at.volts(leg.branches[0].from_node) - at.volts(leg.branches[0].to_node), 1e-4
        ), leg
        assert near(leg.ohms * leg.amps, leg.volts), f"{leg}: ohms"
        for branch in leg.branches:
            chain = [at.ends(ref) for ref in branch.refs]
            assert all(near(abs(at.current(r)), branch.amps, LOOSE) for r in branch.refs), f"{branch}: amps"
            assert all(one[1] == two[0] for one, two in pairwise(chain)), f"{branch}: a gap"
            assert (chain[0][0], chain[-1][1]) == (a, b), f"{branch}: other ends"
        assert near(sum(branch.amps for branch in leg.branches), leg.amps), f"{leg}: sum"
    assert before == "ground", "the current does not arrive"
    assert near(sum(leg.volts for leg in said.legs), said.volts, 1e-4), "voltages sum to the supply's"


def check_paths(said: row.Paths, at: World) -> None:
    through: Counter[str] = Counter()
    for path in said.paths:
        nets = ["live"]
        for ref in path.refs:
            a, b = at.ends(ref)
            assert a == nets[-1], f"{path}: a gap at {ref}"
            nets.append(b)
            through[ref] += path.amps  # type: ignore[assignment]  # a counter of currents
        assert nets[-1] == "ground", f"{path}: does not arrive"
        assert at.net[path.feed] == "live", f"{path}: not from a live feed"
        assert len(set(nets)) == len(nets), f"{path}: runs in a ring"
    for ref, amps in through.items():
        assert near(amps, abs(at.current(ref)), LOOSE), f"{ref}: its paths do not add up to its current"
    assert near(sum(path.amps for path in said.paths), said.amps, LOOSE), "the paths do not add up"


def check_series(said: row.Series, at: World, refs: Sequence[str]) -> None:
    graph = at.graph(at.flowing(refs))
    for fact in said.parts:
        check_fact(fact, at)
        assert near(fact.amps, said.amps, LOOSE), f"{fact}: another current"
    for one, other in combinations(said.parts, 2):
        rest = graph.copy()
        rest.remove_nodes_from([f"part {one.ref}", f"part {other.ref}"])
        assert not nx.is_connected(rest), f"{one.ref} and {other.ref} are no cut, so not in series"
    assert near(said.volts, sum(fact.volts for fact in said.parts)), "the sum of the shares"
    sizes = sorted(fact.volts for fact in said.parts)
    assert ("nearly equally" in said.text) == (sizes[-1] <= 1.1 * sizes[0]), said.text
    assert ("only" in said.text) <= (sizes[-1] > 5 * sizes[-2]), said.text
    for fact in said.rated:
        check_rated(fact, at)
        assert at.level(fact.ref) == "off", f"{fact.ref} gives light"


def check_share(said: row.Share, at: World) -> None:
    assert near(sum(leg.volts for leg in said.legs), said.volts, 1e-4), "shares of the supply"
    assert near(said.volts, at.volts(said.legs[0].branches[0].from_node), 1e-4), "the supply"
    for leg in said.legs:
        currents = sum(abs(at.current(branch.refs[0])) for branch in leg.branches)
        assert near(leg.ohms, leg.volts / currents, 1e-4), f"{leg}: ohms"


def check_parallel(said: row.Parallel, at: World) -> None:
    ends = {frozenset(at.ends(fact.ref)) for fact in said.parts}
    assert len(ends) == 1, f"{said.text} have other ends"
    assert (ends == {frozenset(("live", "ground"))}) == said.whole, said.text
    for fact in said.parts:
        check_fact(fact, at)
        assert near(fact.volts, said.volts, 1e-4), f"{fact}: another voltage"


def check_serves(said: row.Serves, at: World, refs: Sequence[str]) -> None:
    assert at.level(said.lamp) != "off", f"{said.lamp} is dark"
    assert all(at.level(ref) == "off" for ref in said.through), f"{said.through} are not all dark"
    way: nx.DiGraph[str] = nx.DiGraph([("live", "feed"), ("ground", "end")])
    way.add_edges_from(at.ends(ref) for ref in at.flowing(refs) if ref not in said.through)
    way.add_nodes_from(at.ends(said.lamp))
    if said.role == "ground":
        assert not nx.has_path(way, at.ends(said.lamp)[1], "ground"), f"{said.text} There is another way."
    else:
        assert not nx.has_path(way, "live", at.ends(said.lamp)[0]), f"{said.text} There is another way."


def on_a_way(at: World, refs: Sequence[str], ref: str) -> bool:
    """Whether a part lies in one block with the supply: on a simple path from live to ground."""
    blocks = nx.biconnected_components(at.graph(refs))
    return any({"supply", f"part {ref}"} <= set(block) for block in blocks)


def passable(at: World, refs: Sequence[str], ref: str) -> bool:
    """Whether current could pass a part from live to ground, diodes one way only; by trying every way."""
    arcs: list[tuple[str, str, str]] = []
    for part in (p for p in at.design.parts if p.ref in refs):
        a, b = at.net[part.from_node], at.net[part.to_node]
        arcs += [(a, b, part.ref)] if part.kind == "diode" else [(a, b, part.ref), (b, a, part.ref)]

    def tried(node: str, seen: frozenset[str], used: bool) -> bool:
        if node == "ground":
            return used
        steps = [(head, name) for tail, head, name in arcs if tail == node and head not in seen]
        return any(tried(head, seen | {head}, used or name == ref) for head, name in steps)

    return tried("live", frozenset({"live"}), False)


def is_on_a_ring(at: World, refs: Sequence[str], ref: str, rail: str) -> bool:
    """Whether some ring of parts runs through this one and the rail: every path between its ends is tried."""
    graph = at.graph([other for other in refs if other != ref])
    graph.add_nodes_from(at.ends(ref))
    return any(rail in path for path in nx.all_simple_paths(graph, *at.ends(ref)))


def check_rest(said: row.Rest, at: World, refs: Sequence[str]) -> None:
    nets = {at.net[said.from_node], at.net[said.to_node]}
    assert near(said.amps, abs(at.current(said.ref))), f"{said}: amps"
    assert said.ref not in at.flowing(refs), f"{said.text} But it carries current."
    assert said.amps < (LOOSE if said.why == "trickle" else TRICKLE), f"{said.text} It carries {said.amps} A."
    held = {node.node: node.held for node in at.state.nodes}
    assert all(held[node] == "open" for node in said.open), f"{said.text} Not open."
    match said.why:
        case "both live" | "both ground":
            assert nets == {said.why.removeprefix("both ")}, f"{said.text} Its ends are at {nets}."
        case "live to live" | "ground to ground":
            rail = said.why.partition(" ")[0]
            assert said.between, f"{said.text} Between nothing."
            assert {at.net[node] for node in said.between} == {rail}, f"{said.text} Not all are."
            assert len(nets) == 2, f"{said.text} Its ends are one node."
            assert not on_a_way(at, refs, said.ref), f"{said.text} There is a way."
            assert is_on_a_ring(at, refs, said.ref, rail), f"{said.text} It comes back to no rail."
        case "no way":
            assert len(nets) == 2, f"{said.text} Its ends are one node."
            assert not on_a_way(at, refs, said.ref), f"{said.text} There is a way."
        case "blocked":
            assert said.blockers, f"{said.text} By none."
            assert on_a_way(at, refs, said.ref), f"{said.text} There is no way even without the diodes."
            assert not passable(at, refs, said.ref), f"{said.text} There is a way past the diodes."
            assert all(at.drop(ref) < -0.09 for ref in said.blockers), f"{said.text} They hold nothing back."
        case "no voltage":
            assert said.volts < 0.5, f"{said.text} There are {said.volts} V."


def check_statement(said: row.Statement, at: World, refs: Sequence[str]) -> None:
    """Hold one statement against one state."""
    match said:
        case row.Route():
            check_route(said, at)
        case row.Paths():
            check_paths(said, at)
        case row.Series():
            check_series(said, at, refs)
        case row.Share():
            check_share(said, at)
        case row.Parallel():
            check_parallel(said, at)
        case row.Faint():
            check_faint(said, at)
        case row.Power():
            check_power(said, at)
        case row.Compared():
            check_compared(said, at)
        case row.Serves():
            check_serves(said, at, refs)
        case row.Rest():
            check_rest(said, at, refs)
        case row.Drop():
            check_fact(said.part, at)
            assert near(said.watts, said.part.volts * said.part.amps), "watts"
            assert all(near(lamp.amps, said.part.amps, LOOSE) for lamp in said.lamps), "in series"
        case row.Passes():
            check_fact(said.part, at)
            assert at.current(said.part.ref) > 0, f"{said.text} It runs backwards."
        case row.Blocks():
            assert at.drop(said.ref) < -0.09, f"{said.text} It holds nothing back."
            assert abs(at.current(said.ref)) < TRICKLE, f"{said.text} It conducts."


def whole(at: World, refs: Sequence[str]) -> list[str]:
    """The parts that have not failed."""
    return [ref for ref in refs if ref not in at.state.failed]


def check_whole(scene: row.Scene, at: World, refs: Sequence[str]) -> None:
    """Nothing is left out: every current has its way, every idle part its reason, every cut is said."""
    on_way = [b for s in scene.statements if isinstance(s, row.Route) for leg in s.legs for b in leg.branches]
    ways = [ref for branch in on_way for ref in branch.refs]
    bridged = {
        ref for s in scene.statements if isinstance(s, row.Paths) for path in s.paths for ref in path.refs
    }
    flowing = at.flowing(refs)
    assert sorted([*ways, *bridged]) == sorted(flowing), f"{scene.title}: some current is not told"
    if any(node.held == "live" for node in at.state.nodes if node.node in at.net) and flowing:
        idle = {s.ref for s in scene.statements if isinstance(s, row.Rest | row.Blocks)}
        # a filament that has failed is named in the title
        gone = set(at.state.failed)
        assert all(f"{ref} failed" in scene.title for ref in gone & set(refs)), scene.title
        assert idle == set(refs) - set(flowing) - gone, (
            f"{scene.title}: some part without current is not told"
        )
    together = [{f.ref for f in s.parts} for s in scene.statements if isinstance(s, row.Series)]
    graph = at.graph(flowing)
    for pair in combinations(flowing, 2):
        rest = graph.copy()
        rest.remove_nodes_from([f"part {ref}" for ref in pair])
        said = any(set(pair) <= one for one in together)
        assert said == (not nx.is_connected(rest)), f"{scene.title}: {pair} in series, or not"


def told(case: Any) -> Iterator[str]:
    """Hold every scene of an explanation against every state it stands for; name what was said."""
    states = [(state.state, state.phase) for state in case.design.states]
    closed = [state.contacts for state in expand_states(case.spec)]
    for group in case.explanation.groups:
        for scene in group.scenes:
            for name in scene.states:
                number = states.index((name.state, name.phase))
                at = world(case.design, closed[number], number)
                for said in scene.statements:
                    check_statement(said, at, whole(at, group.refs))
                    yield said.why if isinstance(said, row.Rest) else said.kind
                    if isinstance(said, row.Compared):
                        yield from said.reasons
                check_whole(scene, at, group.refs)


@pytest.fixture(scope="module")
def seen(cases: Any) -> Counter[str]:
    """Hold all explanations against their numbers, and count what was said."""
    return Counter(kind for case in cases for kind in told(case))


def test_every_fact_is_true_on_random_circuits(cases: Any, seen: Counter[str]) -> None:
    assert len(cases) >= 200, "too few to mean anything"
    kinds = [
        "feeds", "lights", "route", "paths", "series", "share", "parallel", "faint", "serves", "drop",
        "power", "compared", "weaker", "more current", "feedback",
        "passes", "blocks", "both live", "both ground", "live to live",
        "ground to ground", "no way", "blocked", "no voltage", "trickle",
    ]  # fmt: skip
    never = [kind for kind in kinds if not seen[kind]]
    assert not never, f"these never occurred, so were not tried: {never}"
