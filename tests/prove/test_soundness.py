"""No circuit that meets a spec is refuted: by chance, over whole cells, over the shipped specs.

Outside judges: the search, which lists every circuit, and the judge, who knows no model; for
the value-free rules a plain reading of `refute.rules` with networkx.
"""

import random
from dataclasses import replace
from itertools import combinations, permutations, product
from pathlib import Path

import networkx as nx
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.prove.chance import EVERY_WORD, obeys_path_rule, some_kit, some_solved, some_words
from tests.prove.formulations import EVERY_RULE, formulations, least_listed, lets_pass, passes, study_of
from tests.selection import examples, some

from lampwright.judge.judge import Judge
from lampwright.network.netlist import Netlist
from lampwright.problem.problem import Problem
from lampwright.problem.reading import read_problem
from lampwright.prove.bound import bound_of
from lampwright.prove.partitions import joined_requirements, partitions_of
from lampwright.prove.stages import ORDER, SHAPE, STAGES
from lampwright.refute.demand import Demand, demand_of
from lampwright.searching.evaluate import CellShare, ShareEvaluator
from lampwright.searching.plan import plan_steps

SPECS = Path(__file__).parents[2] / "specs"
SHIPPED = sorted(path.stem for path in SPECS.glob("*.toml"))
EXHAUSTED = {"sidecar_side_lamp": 1, "trailer_feed_telltale": 0, "one_filament_stop_tail": 1}
EXHAUSTED |= {"classroom_three_lamps": 0, "recovery_alternating_pair": 0}
SOME = settings(max_examples=examples(2, 40), derandomize=True, deadline=None)
SEEDS = st.integers(0, 2**32)


@SOME
@given(SEEDS)
def test_a_circuit_by_chance_passes_for_what_it_does(seed: int) -> None:
    dice = random.Random(seed)
    solved = next(found for _ in range(1000) if (found := some_solved(dice)) is not None)
    assert passes(solved.problem, solved.circuit), "it meets this spec at every corner"


@pytest.mark.parametrize("name", some(EXHAUSTED, ["trailer_feed_telltale", "one_filament_stop_tail"]))
def test_every_circuit_that_meets_a_shipped_spec_passes(name: str) -> None:
    problem = read_problem(SPECS / f"{name}.toml")
    judge, evaluator = Judge(problem), ShareEvaluator(problem)
    partitions = {
        formulation.partition.block_of: formulation for formulation in formulations(problem, EVERY_RULE)
    }
    found = [
        screened.netlist
        for step in plan_steps(judge, EXHAUSTED[name])
        for placing in step.orbits
        for screened in evaluator.take(CellShare(placing, 0, 1)).screened
    ]
    assert found, "the search finds some"
    # all were tried once; some thirty of many are enough to notice a change
    for circuit in found[:: 1 + len(found) // 30]:
        assert lets_pass(partitions[circuit.partition], circuit), f"{circuit} passes screening"


@pytest.mark.parametrize("name", some(SHIPPED, 3))
def test_the_bound_of_a_shipped_spec(name: str) -> None:
    problem = read_problem(SPECS / f"{name}.toml")
    bound, least = bound_of(problem, None, 60.0), least_listed(problem, 1)
    assert bound.ended, "shipped specs take little work"
    if least is not None:
        assert not bound.none_at_all, "there is a design"
        assert bound.least_extra_parts == least, "the bound is what the search finds"


@SOME
@given(SEEDS)
def test_the_bound_of_a_spec_by_chance(seed: int) -> None:
    dice = random.Random(seed)
    problem = None
    while problem is None:
        kit = replace(some_kit(dice, 2), diodes=dice.randint(0, 1), resistors=dice.randint(0, 1), joints=1)
        problem = kit.problem(some_words(dice, kit, EVERY_WORD))
    bound, least = bound_of(problem, 1, 60.0), least_listed(problem, 1)
    assert bound.ended, "small specs take little work"
    if least is not None:
        assert not bound.none_at_all, "there is a design"
        assert bound.least_extra_parts <= least, "no design has fewer parts than the bound"


class Plain:
    """The value-free rules read word for word, for one partition."""

    def __init__(self, problem: Problem, joints: int) -> None:
        alone = tuple(range(len(problem.layout.terminals)))
        boundary = Judge(problem).boundary(alone, joints)
        assert boundary is not None, "no contact shorts the supply"
        self.nodes = boundary.vertex_node
        self.demand: Demand = demand_of(problem.narrowed_bands, boundary, len(alone))
        vertices = range(self.nodes.shape[1])
        self.pair = {pair: at for at, pair in enumerate(combinations(vertices, 2))}

    def refutes(self, circuit: Netlist, filaments: int) -> bool:
        ends = [(int(a), int(b)) for a, b in circuit.ends]
        for f, (a, b) in enumerate(ends[:filaments]):
            at = self.pair[min(a, b), max(a, b)]
            if self.demand.banned_across[f, at] or self.demand.banned_monotone[f, at]:
                return True
        live = [self._live(ends, filaments, circuit.diodes, state) for state in range(len(self.nodes))]
        for state, f in zip(*np.nonzero(self.demand.glow), strict=True):
            if int(f) not in live[state]:
                return True
        for (s, t), apart in zip(self.demand.clash.tolist(), self.demand.apart.tolist(), strict=True):
            touched = {v for p in live[s] for v in ends[p]}
            if live[s] == live[t] and not any((apart >> v) & 1 for v in touched):
                return True
        return False

    def _live(self, ends: list[tuple[int, int]], filaments: int, diodes: int, state: int) -> set[int]:
        """The parts on simple live-to-ground paths; a part is a vertex in each of its directions."""
        graph: nx.DiGraph[int] = nx.DiGraph()
        graph.add_nodes_from((0, 1))
        for p, (a, b) in enumerate(ends):
            n, m = int(self.nodes[state, a]), int(self.nodes[state, b])
            if n != m:
                nx.add_path(graph, (n, 100 + 2 * p, m))
                if not filaments <= p < filaments + diodes:
                    nx.add_path(graph, (m, 101 + 2 * p, n))
        return {(at - 100) // 2 for path in nx.all_simple_paths(graph, 1, 0) for at in path if at >= 100}


def every_placing(
    vertices: int, lamps: int, diodes: int, resistors: int
) -> list[np.ndarray[tuple[int, int], np.dtype[np.int8]]]:
    either, arcs = list(combinations(range(vertices), 2)), list(permutations(range(vertices), 2))
    kinds = [*[either] * lamps, *[arcs] * diodes, *[either] * resistors]
    return [np.array(ends, np.int8) for ends in product(*kinds)]


TINY = [(2, 1, 0, 0), (2, 1, 1, 0), (1, 1, 1, 1), (2, 0, 1, 0), (3, 0, 0, 0)]
BEHAVES = [
    (('a = "on", b = "off"', {"a": "lit", "b": "off"}), ('a = "on", b = "on"', {"a": "off", "b": "lit"})),
    (('a = "on", b = "off"', {"a": "lit"}), ('a = "off", b = "on"', {"a": "lit", "b": "off"})),
    (('a = "off", b = "on"', {"a": "off", "b": "dim"}), ('a = "on", b = "on"', {"a": "lit", "b": "off"})),
]


@pytest.mark.parametrize("behaves", some(range(len(BEHAVES)), 1))
@pytest.mark.parametrize(("lamps", "joints", "diodes", "resistors"), TINY)
def test_what_a_value_free_rule_refutes_the_model_refutes(
    lamps: int, joints: int, diodes: int, resistors: int, behaves: int
) -> None:
    names = "abc"[:lamps]
    rows = [
        (when, ", ".join(f'{lamp} = "{word}"' for lamp, word in show.items() if lamp in names))
        for when, show in BEHAVES[behaves]
    ]
    extras = f'diodes = {{ most = {diodes}, choose = ["1N5404"] }}\n' if diodes else ""
    ohms = 'series = "E3", ohms = [1.0, 10.0], watts = [50]'
    extras += f"resistors = {{ most = {resistors}, {ohms} }}" if resistors else ""
    problem = study_of(rows, tuple(names), ("A", "B"), extras=extras, joints=joints)
    plain = Plain(problem, joints)
    (formulation,) = formulations(problem, (*SHAPE, *ORDER), supplies=(13.5,))
    refuted = 0
    for ends in every_placing(3 + joints, lamps, diodes, resistors):
        used = len({int(v) for v in ends.ravel() if v >= 3})
        circuit = Netlist((0, 1, 2), used, ends, diodes, resistors)
        if used == joints and obeys_path_rule(circuit) and plain.refutes(circuit, lamps):
            refuted += 1
            assert not lets_pass(formulation, circuit), f"{ends.tolist()} is refuted by a rule"
    assert refuted > 0, "the rules refute some"


def test_both_stages_agree_with_what_is_asked() -> None:
    problem = read_problem(SPECS / "sidecar_side_lamp.toml")
    requirements = joined_requirements(problem)
    assert len(partitions_of(problem, requirements)) == 4, (
        "no wire, or one between two of three feeds; none to ground"
    )
    assert len(STAGES) == 2, "values come after order"
    asked = sum(band is not None for state in problem.states for band in state.bands)
    assert sum(len(one.states) for one in requirements) == asked, "every cell is a one, or part of one"
