"""Which way each part moves each figure, told from how parts are joined, against every corner and by hand."""

import numpy as np
import pytest
from tests.judge.plain_corners import PlainCorners
from tests.judge.test_every_corner import LEADS, NOISE, random_circuits
from tests.selection import examples

from lampwright.judge.all_corners import live_in
from lampwright.judge.corners import CornerCircuit
from lampwright.judge.fitting import fit_choice
from lampwright.judge.judge import Judge, spread_of
from lampwright.judge.monotone import EITHER, Figures, can_part, drives_of, effects_on, worst_patterns
from lampwright.judge.nets import nets_of
from lampwright.judge.tolerances import patterns_of, set_live_pattern
from lampwright.network.netlist import Netlist
from lampwright.problem.problem import Choice, Problem, fit_one, prepare
from lampwright.solve.laws import Ints
from lampwright.solve.newton import HEAD, TAIL, bind_live, new_workspace
from lampwright.spec.load import parse_spec

TEXT = LEADS.replace("most = 1, series", "most = 4, series").split("[[same]]")[0]


def joined(*edges: tuple[int, int]) -> Ints:
    """The neighbours (bit sets) of nodes."""
    adjacent = np.zeros(19, np.int64)
    for a, b in edges:
        adjacent[a] |= 1 << b
        adjacent[b] |= 1 << a
    return adjacent


@pytest.mark.parametrize(
    ("edges", "a", "c", "b", "d", "may"),
    [
        ([(0, 1), (2, 3)], 0, 1, 2, 3, True),
        ([(0, 1), (2, 3)], 0, 2, 1, 3, False),
        ([(0, 4), (4, 1), (2, 4), (4, 3)], 0, 1, 2, 3, False),
        ([(0, 4), (4, 1), (2, 5), (5, 3)], 0, 1, 2, 3, True),
        ([(0, 1), (1, 2), (2, 3), (3, 0)], 0, 2, 1, 3, False),
        ([(0, 1)], 0, 0, 1, 1, True),
        ([(0, 1)], 0, 1, 1, 0, False),
    ],
)
def test_paths_that_share_no_node(
    edges: list[tuple[int, int]], a: int, c: int, b: int, d: int, may: bool
) -> None:
    """By hand; the ring is the case where two pairs lie crosswise."""
    assert can_part(a, c, b, d, joined(*edges)) is may


class _Bound:
    """A circuit with its parts bound in one state."""

    def __init__(self, problem: Problem, netlist: Netlist, choice: Choice) -> None:
        boundary = Judge(problem).boundary(netlist.partition, netlist.joints)
        assert boundary is not None
        self.boundary, self.work, gates = boundary, new_workspace(), boundary.gates
        fit = fit_one(problem, choice, netlist.diodes, netlist.resistors)
        fit_choice(0, fit, problem.part_options.models, self.work)
        self.spread = spread_of(problem, len(netlist.ends), self.work)
        read = gates.state, gates.control, gates.beyond, gates.exact
        self.circuit = CornerCircuit(
            boundary.columns(netlist.ends[None]), boundary.vertex_node, self.spread, read
        )
        self.plain = PlainCorners(problem, netlist, boundary, fit)

    def varied(self, net: int) -> Ints:
        """The parts of a net (bit set) that have a tolerance."""
        low, high = self.spread.low, self.spread.high
        return np.array([p for p in range(len(low)) if net >> p & 1 and low[p] != high[p]], np.int64)


def test_the_worst_is_among_what_is_tried() -> None:
    """Lights and loads of every net of circuits drawn by chance, at all corners and at those few."""
    problem = prepare(parse_spec(TEXT, "some"))
    tried = every_one = nets = 0
    for netlist, choice in random_circuits(problem, 3, examples(25, 400), (1, 0, 3), (2, 1, 4)):
        bound = _Bound(problem, netlist, choice)
        circuit, every, lives = bound.circuit, bound.plain.every(), live_in(bound.circuit)
        for state, live in enumerate(lives.tolist()):
            states = np.array([state])
            for net in nets_of(
                live, states, circuit.ends, circuit.vertex_node, circuit.gates, problem.demands
            ).tolist():
                bind_live(circuit.ends, 0, net, circuit.vertex_node, state, bound.work.whole)
                none = np.zeros(0, np.int64)
                few, whole = worst_patterns(
                    net, bound.varied(net), none, Figures(net, -1, -1), circuit.ends, bound.work.whole
                )
                if not whole:
                    continue
                numbers = [set_live_pattern(at, net, bound.spread, bound.work.reals) for at in few.tolist()]
                corners = np.array([3 * number + supply for number in numbers for supply in range(3)])
                for f in range(problem.demands.low_stops.shape[2]):
                    if net >> f & 1:
                        least = every.lights[3:, state, f].min()
                        assert every.lights[corners, state, f].min() - least < NOISE
                for p in range(len(netlist.ends)):
                    if net >> p & 1:
                        most = every.loads[3:, state, p].max()
                        assert most - every.loads[corners, state, p].max() < NOISE
                tried, nets = tried + len(few), nets + 1
                every_one += patterns_of(net, bound.spread)
    assert nets > 50
    assert tried < every_one, "few of many"


def test_more_of_a_part_lowers_its_own_volts_unless_the_rails_hold_them() -> None:
    problem = prepare(parse_spec(TEXT, "some"))
    seen: set[int] = set()
    for netlist, choice in random_circuits(problem, 8, 20, (1, 1, 3), (2, 2, 4)):
        bound = _Bound(problem, netlist, choice)
        for state, live in enumerate(live_in(bound.circuit).tolist()):
            ends, whole = bound.circuit.ends, bound.work.whole
            bind_live(ends, 0, live, bound.circuit.vertex_node, state, whole)
            drives = drives_of(live, ends, whole)
            for part in range(len(netlist.ends)):
                if live >> part & 1 and drives[part] not in (0, EITHER):
                    held = {int(whole[TAIL + part]), int(whole[HEAD + part])} == {0, 1}
                    effect = effects_on(part, 0, live, drives, ends, whole)[part]
                    assert effect == (0 if held else -drives[part])
                    seen.add(int(effect))
    assert seen == {-1, 0, 1}
