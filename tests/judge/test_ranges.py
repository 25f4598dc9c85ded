"""Whole ranges of resistance: what is refused works for no value, and a range ends where it says.

The outside judge is the full judge at single values, dense over the range, which knows no boxes; and
screening of listed values, one circuit after another, without the range stage.
"""

import random
from dataclasses import replace
from functools import cache
from itertools import product
from pathlib import Path

import numpy as np
import pytest
from tests.bench.specs import Rung, six_lamps
from tests.prove.chance import EVERY_WORD, some_kit, some_solved, some_words
from tests.selection import examples, some

from lampwright.judge import ranging
from lampwright.judge.distinct import distinct_states
from lampwright.judge.judge import Judge
from lampwright.judge.minimality import MinimalityFilter
from lampwright.judge.ranges import range_memory, refuse_whole
from lampwright.judge.ranging import Ranger
from lampwright.judge.screen import live_parts
from lampwright.network.netlist import Netlist
from lampwright.problem.problem import Choice, Problem, choice_of, fit_of_types, refilled
from lampwright.problem.reading import read_problem
from lampwright.searching.evaluate import ShareEvaluator, placed, shares_of
from lampwright.searching.plan import plan_steps

SEEDS = range(60)
CIRCUITS = 40


@cache
def chance_problem(seed: int) -> Problem:
    """A spec by chance that allows resistors."""
    dice = random.Random(seed)
    while True:
        kit = some_kit(dice, 2)
        kit = replace(kit, diodes=min(kit.diodes, 1), resistors=dice.choice([1, 1, 2]), joints=1)
        problem = kit.problem(some_words(dice, kit, EVERY_WORD))
        if problem is not None:
            return problem


def circuits_of(problem: Problem, seed: int) -> list[Netlist]:
    """Some circuits with resistors that no value-free rule refutes."""
    evaluator = ShareEvaluator(problem)
    found = [
        placed(share.placing, ends)
        for share in shares_of(plan_steps(evaluator.judge, 2), 10_000)
        if share.placing.cell.links
        for block in evaluator.blocks(share)
        for ends in block.ends
    ]
    return random.Random(seed).sample(found, min(CIRCUITS, len(found)))


def is_possible(ranger: Ranger, netlist: Netlist) -> bool:
    boundary = ranger.judge.boundary(netlist.partition, netlist.joints)
    assert boundary is not None
    fit = fit_of_types(ranger.problem, netlist.diodes, netlist.resistors)
    live = live_parts(netlist.ends[None], fit, boundary.vertex_node)
    states = distinct_states(boundary, ranger.problem.tables)
    return bool(ranger.possible(netlist.ends[None], live, boundary, states, fit)[0])


def works_somewhere(ranger: Ranger, netlist: Netlist, values: np.ndarray) -> bool:
    """Whether some types and some of these values [ohm] meet the spec, by the full judge."""
    fit = fit_of_types(ranger.problem, netlist.diodes, netlist.resistors)
    heads = {refilled(ranger.problem, choice_of(n, fit))[0] for n in range(len(fit.digits))}
    points = list(product(values, repeat=netlist.resistors))
    return any(ranger.judged(netlist, choice, ohms).met for choice in heads for ohms in points)


@pytest.mark.parametrize("seed", some(SEEDS, 3))
def test_a_circuit_that_some_listed_value_suits_is_never_refused(seed: int) -> None:
    problem = chance_problem(seed)
    minimality, ranger = MinimalityFilter(Judge(problem)), Ranger(Judge(problem))
    for netlist in circuits_of(problem, seed):
        if minimality.screen_one(netlist):
            assert is_possible(ranger, netlist), f"{netlist.form}"


@pytest.mark.parametrize("seed", some([*SEEDS, None], [*SEEDS[:2], None]))
def test_lanes_refuse_what_the_plain_kernel_refuses(
    seed: int | None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Share by share; live nets remembered or not, states that join the same things once or each by
    itself; specs by chance, and one with four fillings.
    """
    problem = read_problem(six_lamps(Rung(0, 1, 1), tmp_path)) if seed is None else chance_problem(seed)
    evaluator, ranger = ShareEvaluator(problem), Ranger(Judge(problem))
    refused = listed = 0
    # the one spec that is not by chance has thousands of shares; shares that follow each other are alike
    every = examples(5, 1) if seed is None else 1
    shares = [one for one in shares_of(plan_steps(evaluator.judge, 2), 3_000) if one.placing.cell.links]
    for share in shares[::every]:
        boundary = ranger.judge.boundary(share.placing.partition, share.placing.cell.internal)
        fit = fit_of_types(problem, share.placing.cell.arcs, share.placing.cell.links)
        assert boundary is not None
        nodes = int(boundary.vertex_node.max()) + 1
        states = distinct_states(boundary, problem.tables)
        for block in evaluator.blocks(share):
            ends, live = block.ends[:300], block.live[:300]
            left = [
                ranger.possible(ends, live, boundary, states, fit, memory)
                for memory in (None, range_memory(fit, nodes))
            ]
            each = states._replace(
                first=np.arange(len(problem.states)),
                vertex_node=boundary.vertex_node,
                gates=boundary.gates,
                tables=problem.tables,
            )
            with monkeypatch.context() as patch:
                patch.setattr(ranging, "refuse_in_lanes", refuse_whole)
                plain = ranger.possible(ends, live, boundary, each, fit)
            assert left[0].tolist() == plain.tolist()
            assert left[1].tolist() == plain.tolist()
            refused, listed = refused + int((~plain).sum()), listed + len(plain)
    assert listed < 50 or refused > 0, "of many some are refused"


@pytest.mark.parametrize("seed", some(SEEDS, 3))
def test_decisions_agree_with_the_judge_at_many_values(seed: int) -> None:
    problem = chance_problem(seed)
    ranger = Ranger(Judge(problem))
    asked = problem.spec.extras.resistors
    assert asked is not None
    for netlist in circuits_of(problem, seed)[:12]:
        outcome = ranger.decide(netlist)
        count = 60 if netlist.resistors == 1 else 8
        if outcome.decision == "refused":
            values = np.geomspace(*asked.ohms, count)
            assert not works_somewhere(ranger, netlist, values), f"{netlist.form} works"
        elif outcome.decision == "works":
            assert outcome.choice is not None
            assert ranger.judged(netlist, outcome.choice, outcome.ohms).met, f"{netlist.form}"


def solved_with_resistor(seed: int) -> tuple[Problem, Netlist, Choice]:
    dice = random.Random(seed)
    while True:
        solved = some_solved(dice)
        if solved is not None and solved.circuit.resistors:
            return solved.problem, solved.circuit, solved.choice


@pytest.mark.parametrize("seed", some(SEEDS, 3))
def test_a_circuit_that_meets_its_spec_is_possible_and_works(seed: int) -> None:
    problem, netlist, _ = solved_with_resistor(seed)
    ranger = Ranger(Judge(problem))
    assert is_possible(ranger, netlist)
    assert ranger.decide(netlist).decision == "works"


@pytest.mark.parametrize("seed", some(SEEDS, 3))
def test_ranges_work_throughout_and_end_where_the_judge_says(seed: int) -> None:
    problem, netlist, choice = solved_with_resistor(seed)
    ranger, asked = Ranger(Judge(problem)), problem.spec.extras.resistors
    assert asked is not None
    first = len(choice.digits) - netlist.resistors
    ohms = [problem.part_options.ohms[digit] for digit in choice.digits[first:]]
    for at, (low, high) in enumerate(ranger.widths(netlist, choice, ohms)):
        assert low <= ohms[at] <= high
        for value in np.geomspace(low, high, 9):
            moved = [*ohms[:at], float(value), *ohms[at + 1 :]]
            assert ranger.judged(netlist, choice, moved).met, f"R{at + 1} at {value}"
        for beyond in (low / 1.01, high * 1.01):
            if asked.ohms[0] <= beyond <= asked.ohms[1]:
                moved = [*ohms[:at], float(beyond), *ohms[at + 1 :]]
                assert not ranger.judged(netlist, choice, moved).met, f"R{at + 1} would work at {beyond}"
