"""What the sheet for the bench says a meter reads, against stored rows, networkx, and copies at random.

Source of the effective resistance: networkx, by the pseudo-inverse of the Laplacian; ours solves it grounded.
"""

from itertools import combinations

import networkx as nx
import numpy as np
import pytest
from msgspec.structs import replace
from tests.selection import some
from tests.sheets import FOUND, sheet_of, spec_of
from tests.shipped import shipped

from lampwright.app.checking import choice_of_parts, study_of
from lampwright.app.circuit_builder import CircuitBuilder
from lampwright.assess.bench.meter import METER_OHMS, OHMS, Readings, ohms_between, readings_of
from lampwright.assess.faults.examine import FaultFinder
from lampwright.network.netlist import netlist_of
from lampwright.problem.problem import layout_of
from lampwright.problem.reading import helped, spelled_as
from lampwright.results.design import Design, PartRow
from lampwright.results.sheet import BenchTests, SpanRow
from lampwright.solve.shelf import shelf_of

CLOSE_VOLTS = 2e-3
"""Rows keep a millivolt."""
CLOSE_OHMS = 2e-3
"""Of the resistance: rows keep four digits of a resistor's, and all of a filament's."""
IN_FAULT = ("filament open", "lamp missing", "part open", "part shorted", "fuse blown")


def cold_network(name: str, parts: tuple[PartRow, ...]) -> "nx.Graph[str]":
    """Lay out parts by name, cold; diodes left out; wires join their ends."""
    shelf, layout = shelf_of(spec_of(name)), layout_of(spec_of(name))
    graph: nx.Graph[str] = nx.Graph()
    graph.add_nodes_from(layout.terminals)
    ends = {part.ref: (part.from_node, part.to_node) for part in parts}
    joined = nx.utils.UnionFind([node for pair in ends.values() for node in pair] + list(layout.terminals))
    for part in parts:
        if part.kind == "wire":
            joined.union(part.from_node, part.to_node)
    for part in parts:
        if part.kind not in ("filament", "resistor"):
            continue
        ohms = part.ohms
        if part.kind == "filament":
            own = [one.filaments for one in spec_of(name).lamps if one.name == part.lamp]
            at = own[0].index(part.ref) if own and len(own[0]) > 1 else 0
            ohms = shelf.lamp(part.type or "").filaments[at].cold_ohms
        a, b = joined[part.from_node], joined[part.to_node]
        before = graph.get_edge_data(a, b, {"siemens": 0.0})["siemens"]
        graph.add_edge(a, b, siemens=before + 1.0 / (ohms or 1.0))
    graph.graph["joined"] = joined
    return graph


@pytest.mark.parametrize("name", FOUND)
def test_cold_ohms_are_those_of_networkx(name: str) -> None:
    tests = sheet_of(name).tests
    assert not any(position == "bridge" for _, position in tests.rest), "at rest no contact is closed"
    graph = cold_network(name, shipped(name).designs[0].parts)
    joined = graph.graph["joined"]
    for row in tests.cold:
        a, b = joined[row.node], joined[row.to]
        if not nx.has_path(graph, a, b):
            assert row.nominal is None, f"{row.node} to {row.to} is open"
            continue
        inside = graph.subgraph(nx.node_connected_component(graph, a))
        expected = nx.resistance_distance(inside, a, b, weight="siemens", invert_weight=False)
        assert isinstance(expected, float)
        assert row.nominal == pytest.approx(expected, rel=CLOSE_OHMS), f"{name}: {row.node} to {row.to}"
        assert row.span.low is not None
        assert row.span.low <= expected - METER_OHMS or row.span.low == 0.0, "the meter may be off"


@pytest.mark.parametrize("name", FOUND)
def test_expected_volts_are_the_stored_ones(name: str) -> None:
    sheet = sheet_of(name)
    stored = {
        (row.full_name, node.node): node.volts
        for row in shipped(name).designs[0].states
        if not row.damage
        for node in row.nodes
    }
    assert sheet.tests.powered, "volts are read"
    for row in sheet.tests.powered:
        expected = stored[row.state, row.node] - stored.get((row.state, row.to), 0.0)
        assert row.nominal == pytest.approx(expected, abs=CLOSE_VOLTS), row.number
        ends = {frozenset((part.from_node, part.to_node)) for part in sheet.design.parts}
        assert row.to == "31" or frozenset((row.node, row.to)) in ends, "to ground, or across a part"
        assert row.span.low is not None
        assert row.span.high is not None
        assert row.span.low <= (row.nominal or 0.0) <= row.span.high, "and lie within their span"


def readings(name: str, design: Design | None = None) -> tuple[Readings, Design, FaultFinder]:
    """All readings of a shipped spec's first design, or of one that stands for it."""
    design = design or shipped(name).designs[0]
    spec = spec_of(name)
    built = CircuitBuilder.of_design(design, spec.types)
    spec = helped(spec, built.parts)
    circuit = spelled_as(spec, built.under(layout_of(spec)))
    problem = study_of(spec, circuit, name)
    finder = FaultFinder(problem.sound)
    netlist, choice = netlist_of(circuit, problem.layout), choice_of_parts(problem, circuit)
    return readings_of(finder, netlist, choice, design), design, finder


@pytest.mark.parametrize("name", ["sidecar_side_lamp", "trailer_pair_from_the_box", "bench_bridged_bulb"])
def test_what_a_stored_fault_reads_lies_within_its_span(name: str) -> None:
    found, design, finder = readings(name)
    states = [state.full_name for state in finder.problem.states]
    nodes = [one.node for one in design.states[0].nodes]
    looked = 0
    for trial in design.trials:
        cause = found.causes.index(trial.fault)
        for altered in trial.states:
            for at, one in enumerate(found.readings):
                if one.state == OHMS or states[one.state] != altered.state:
                    continue
                low, high = found.low[cause, at], found.high[cause, at]
                if altered.shorted:
                    assert np.isinf(low), f"{trial.fault}: a fuse blows"
                    continue
                volts, to = (altered.volts[nodes.index(found.names[at])] for at in (one.vertex, one.to))
                volts -= to
                assert low <= volts <= high, f"{trial.fault}, {altered.state}, {found.names[one.vertex]}"
                looked += 1
    assert looked > 10, "faults are stored"


def span_of(span: SpanRow) -> tuple[float, float]:
    return (np.inf if span.low is None else span.low, np.inf if span.high is None else span.high)


def shown(tests: BenchTests, fault: str) -> dict[str, tuple[float, float]]:
    """What each reading is under a fault, as the sheet shows it: otherwise, or as in the sound circuit."""
    known = {row.number: span_of(row.span) for row in (*tests.cold, *tests.powered)}
    row = next(one for one in tests.faults if fault in one.faults)
    return known | {sign.reading: span_of(sign.span) for sign in row.signs}


KINDS = ("sidecar_side_lamp", "lesson_3_a_filament_as_ground", "trailer_pair_from_the_box")
"""On a vehicle; on a school's bench; on a vehicle with diodes and resistors."""


@pytest.mark.parametrize("name", some(FOUND, KINDS))
def test_every_sign_is_clear_of_the_sound_reading(name: str) -> None:
    tests = sheet_of(name).tests
    assert tests.proved
    assert tests.unsolved == 0
    sound = {row.number: span_of(row.span) for row in (*tests.cold, *tests.powered)}
    for row in tests.faults:
        for sign in row.signs:
            low, high = span_of(sign.span)
            assert high < sound[sign.reading][0] or low > sound[sign.reading][1], f"{row.faults}: {sign}"
    alike = {pair for some in tests.alike for pair in combinations(sorted(some), 2)}
    faults = [fault for row in tests.faults for fault in row.faults]
    unseen = {one for pair in alike if "" in pair for one in pair if one}
    as_sound = {fault for fault in faults if shown(tests, fault) == sound}
    assert unseen == as_sound, "what no reading shows is said"


@pytest.mark.parametrize("name", FOUND)
def test_what_is_not_said_to_look_the_same_is_told_apart(name: str) -> None:
    found, _, _ = readings(name)
    tests = sheet_of(name).tests
    numbers = {(row.state, row.node, row.to) for row in (*tests.cold, *tests.powered)}
    _, _, finder = readings(name)
    states = [state.full_name for state in finder.problem.states]
    chosen = [
        at
        for at, one in enumerate(found.readings)
        if (
            "" if one.state == OHMS else states[one.state],
            found.names[one.vertex],
            found.names[one.to],
        )
        in numbers
    ]
    alike = {pair for some in tests.alike for pair in combinations(sorted(some), 2)}
    for one, other in combinations(range(len(found.causes)), 2):
        apart = any(
            found.high[one, at] < found.low[other, at] or found.high[other, at] < found.low[one, at]
            for at in chosen
        )
        pair = tuple(sorted((found.causes[one], found.causes[other])))
        assert apart is (pair not in alike), pair


def test_a_bridge_by_hand() -> None:
    # Wheatstone, balanced: the bridge of 5 ohm carries nothing, and two branches of 30 ohm are side by side
    ends = np.array([[0, 1], [0, 2], [1, 3], [2, 3], [1, 2]])
    siemens = 1.0 / np.array([10.0, 10.0, 20.0, 20.0, 5.0])
    assert ohms_between(ends, siemens, 0, 3) == pytest.approx(15.0, abs=1e-9)
    siemens[[0, 3]] = 0.0
    assert ohms_between(ends, siemens, 0, 3) == pytest.approx(35.0, abs=1e-9)
    siemens[4] = 0.0
    assert np.isinf(ohms_between(ends, siemens, 0, 3)), "open"


@pytest.mark.parametrize("seed", range(6))
def test_any_network_is_that_of_networkx(seed: int) -> None:
    dice = np.random.default_rng(seed)
    graph = nx.gnm_random_graph(6, 9, seed=seed)
    ends = np.array(list(graph.edges))
    siemens = dice.uniform(0.01, 10.0, len(ends))
    for (a, b), value in zip(ends.tolist(), siemens.tolist(), strict=True):
        graph[a][b]["siemens"] = value
    for one, other in combinations(graph, 2):
        ours = ohms_between(ends, siemens, one, other)
        if not nx.has_path(graph, one, other):
            assert np.isinf(ours)
            continue
        inside = graph.subgraph(nx.node_connected_component(graph, one))
        theirs = nx.resistance_distance(inside, one, other, weight="siemens", invert_weight=False)
        assert ours == pytest.approx(theirs, rel=1e-9)


def test_across_a_part_is_the_difference_of_its_ends() -> None:
    found, design, _ = readings("lesson_4_one_or_the_other")
    every = zip(found.readings, found.nominal, strict=True)
    nominal = {(one.state, one.vertex, one.to): volts for one, volts in every}
    across = [one for one in nominal if one[0] != OHMS and one[2] != found.ground]
    assert across, "nothing is read across a part"
    ends = {frozenset((part.from_node, part.to_node)) for part in design.parts}
    for state, one, other in across:
        assert frozenset((found.names[one], found.names[other])) in ends, "no part is there"
        apart = nominal[state, one, found.ground] - nominal[state, other, found.ground]
        assert nominal[state, one, other] == pytest.approx(apart, abs=1e-9)


def test_spans_have_room_for_what_wires_take() -> None:
    name = "trailer_feed_telltale"
    found, design, _ = readings(name)
    bare, _, _ = readings(name, replace(design, wiring=None))
    assert design.wiring is not None
    assert not bare.wires.any(), "no length, no loss"
    (row,) = (row for row in design.wiring.lamps if row.lamp == "left")
    at = next(
        number
        for number, one in enumerate(found.readings)
        if one.state != OHMS and found.names[one.vertex] == "58L" and one.to == found.ground
        if found.nominal[number] > 13.0
    )
    # the wiring's own figure is at high supply and with the lamp at the end of its tolerance
    assert 0.8 * row.drop_volts <= found.wires[at] <= row.drop_volts * 1.001
    for number, one in enumerate(found.readings):
        lost = found.wires[number]
        assert (lost == 0.0) or one.state != OHMS, "no current, no loss"
        if np.isfinite(bare.low[0, number]):
            assert found.low[0, number] <= max(bare.low[0, number] - 0.9 * lost + 0.01, 0.0)
            assert found.high[0, number] >= bare.high[0, number] + 0.9 * lost - 0.01
