"""Minimality found in two ways, grouping of drawings, and the order of designs."""

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from lampwright.judge.choices import ChoiceJudge
from lampwright.judge.judge import Judge
from lampwright.judge.minimality import MinimalityFilter, Screened, circuit_key, group_drawings
from lampwright.network.netlist import Netlist
from lampwright.network.reduce import reductions
from lampwright.problem.problem import Problem, choice_of, fit_of, helper_problems, numbers_of, prepare
from lampwright.problem.reading import read_problem
from lampwright.searching.evaluate import CellShare, ShareEvaluator
from lampwright.searching.plan import plan_steps
from lampwright.spec.load import parse_spec

SPECS = Path(__file__).parents[2] / "specs"


@pytest.fixture(scope="module")
def sidecar() -> Problem:
    return read_problem(SPECS / "sidecar_side_lamp.toml")


def screened_in(problem: Problem, extra: int) -> list[Screened]:
    evaluator = ShareEvaluator(problem)
    step = plan_steps(evaluator.judge, extra)[extra]
    return [one for p in step.orbits for one in evaluator.take(CellShare(p, 0, 1)).screened]


def test_minimality_by_simulation_agrees_with_looking_up_the_smaller_circuits(sidecar: Problem) -> None:
    evaluator = ShareEvaluator(sidecar)
    minimality = MinimalityFilter(evaluator.judge)
    smaller = group_drawings(screened_in(sidecar, 0), evaluator.judge)
    passing = {
        circuit_key(group.drawings[0], sidecar.layout)
        for group in smaller
        if minimality.outcome(group).winner is not None
    }
    one_more = group_drawings(screened_in(sidecar, 1), evaluator.judge)
    assert len(one_more) > 10, "there is something to compare"
    for group in one_more:
        first = group.drawings[0]
        wires = sidecar.spec.bounds.wires
        looked_up = any(
            circuit_key(r.netlist, sidecar.layout) in passing
            for r in reductions(first)
            if r.netlist.wires <= wires
        )
        assert minimality.is_minimal(first) == (not looked_up), f"{first.form}"


def test_a_circuit_with_a_part_less_that_is_known_to_do_is_looked_up_before_others_are_judged(
    sidecar: Problem, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> bool:
        raise AssertionError("nothing need be judged")

    circuit = with_two([0, 4], [4, 1], [4, 3])
    *before, last = (circuit_key(one.netlist, sidecar.layout) for one in reductions(circuit))
    assert last not in before, "three of them come before it"
    minimality = MinimalityFilter(Judge(sidecar))
    monkeypatch.setattr(ChoiceJudge, "meets_somehow", refuse)
    with pytest.raises(AssertionError, match="nothing need"):
        minimality.is_minimal(circuit)
    minimality._meets[last] = True
    assert not minimality.is_minimal(circuit)


def test_all_choices_of_a_circuit_screen_alike_one_by_one_and_in_the_hunt(sidecar: Problem) -> None:
    evaluator = ShareEvaluator(sidecar)
    minimality = MinimalityFilter(evaluator.judge)
    for one in screened_in(sidecar, 1)[:40]:
        assert minimality.screen_one(one.netlist) == one.choices, f"{one.netlist.form}"


def test_screening_loses_nothing_that_the_judge_keeps(sidecar: Problem) -> None:
    evaluator = ShareEvaluator(sidecar)
    minimality = MinimalityFilter(evaluator.judge)
    fit = fit_of(sidecar, 0, 0)
    rng = np.random.default_rng(7)
    kept = 0
    for _ in range(300):
        ends = [sorted(rng.choice(4, 2, replace=False)) for _ in range(2)] + [
            [3, rng.integers(3)] for _ in range(2)
        ]
        one = Netlist((0, 1, 2, 3), 0, np.array(ends, np.int8), 0, 0)
        passed = set(minimality.screen_one(one))
        for number in range(len(fit.digits)):
            if evaluator.judge.meets(one, choice_of(number, fit)):
                kept += 1
                assert number in passed, f"{one.form} with choice {number}"
    one = Netlist((0, 1, 2, 3), 0, np.array([[0, 3], [0, 1], [3, 1], [3, 2]], np.int8), 0, 0)
    # five types, two of which may hold gas or vacuum
    assert len(minimality.screen_one(one)) == 7, "the shipped design passes with each of its lamps"


def test_series_order_is_one_circuit_and_other_ends_are_not(sidecar: Problem) -> None:
    def with_resistor(ends: list[list[int]]) -> Netlist:
        return Netlist((0, 1, 2, 3), 1, np.array(ends, np.int8), 0, 1)

    rear = [[3, 1], [3, 2]]
    one = with_resistor([[0, 3], [0, 4], *rear, [4, 1]])
    turned = with_resistor([[0, 3], [4, 1], *rear, [0, 4]])
    other = with_resistor([[0, 3], [0, 4], *rear, [4, 2]])
    keys = [circuit_key(e, sidecar.layout) for e in (one, turned, other)]
    assert keys[0] == keys[1], "lamp and resistor in series, in either order"
    assert keys[0] != keys[2], "another terminal is another circuit"
    evaluator = ShareEvaluator(sidecar)
    groups = group_drawings([Screened(one, (3,)), Screened(turned, (3,))], evaluator.judge)
    assert len(groups) == 1, "one group"
    assert (groups[0].choices, groups[0].conductors) == ((3,), 0)
    assert [drawn.form for drawn in groups[0].drawings] == sorted([one.form, turned.form])


def with_two(front: list[int], *resistors: list[int]) -> Netlist:
    """The sidecar's lamps and two resistors, with a joint 4."""
    ends = [front, [0, 1], [3, 1], [3, 2], *resistors]
    return Netlist((0, 1, 2, 3), 1, np.array(ends, np.int8), 0, 2)


def numbers(problem: Problem, *values: tuple[int, int]) -> tuple[int, ...]:
    """The numbers of choices with the first type of each lamp and these digits of two resistors."""
    fit, lamps = fit_of(problem, 0, 2), [0] * len(problem.layout.lamps)
    digits = np.array([[*lamps, *pair] for pair in values], np.int64)
    return tuple(int(number) for number in numbers_of(digits, fit))


def test_a_choice_found_in_one_drawing_is_carried_to_the_first(sidecar: Problem) -> None:
    first, other = with_two([0, 4], [4, 1], [4, 3]), with_two([0, 4], [4, 3], [4, 1])
    mine, theirs = numbers(sidecar, (2, 5), (5, 2))
    judge = Judge(sidecar)
    (one,) = group_drawings([Screened(other, (theirs,)), Screened(first, (mine,))], judge)
    assert one.choices == (mine,), "one choice, written in two ways"
    (two,) = group_drawings([Screened(other, (mine,)), Screened(first, (mine,))], judge)
    assert two.choices == (mine, theirs), "two choices, written in one way"
    ends = [drawn.ends.tolist() for drawn in two.drawings]
    assert ends[0] == ends[1] == first.ends.tolist(), "and the parts are numbered alike"


def test_a_choice_of_helper_lamps_is_carried_too() -> None:
    """Two helper lamps from two terminals to a joint, the other lamps behind it: drawn in either order."""
    text = (SPECS / "burnt_out_telltale.toml").read_text()
    of_two_types = 'lamps = { most = 2, choose = ["P21W@12", "R10W@12"] }'
    spec = parse_spec(re.sub(r"lamps = \{ most = 3.*\}", of_two_types, text), "telltale")
    problem = helper_problems(prepare(spec))[2]
    partition = tuple(range(len(problem.layout.terminals)))
    joint, last = len(partition), len(partition) - 1
    lamps, helpers = [[joint, last]] * 3, ([0, joint], [1, joint])
    first, other = (
        Netlist(partition, 1, np.array([*lamps, *ends], np.int8), 0, 0) for ends in (helpers, helpers[::-1])
    )
    fit = fit_of(problem, 0, 0)
    mine, theirs = (int(numbers_of(np.array([[0, 0, 0, *pair]]), fit)[0]) for pair in ((0, 1), (1, 0)))
    assert mine != theirs, "a thick lamp at one terminal and a thin one at the other, or the other way"
    (one,) = group_drawings([Screened(other, (theirs,)), Screened(first, (mine,))], Judge(problem))
    assert len(one.choices) == 1, "one choice, written in two ways"
    (two,) = group_drawings([Screened(other, (mine,)), Screened(first, (mine,))], Judge(problem))
    assert len(two.choices) == 2, "two choices, written in one way"


@pytest.mark.parametrize(
    ("what", "circuit", "alike"),
    [
        ("in parallel", with_two([0, 4], [4, 3], [3, 4]), True),
        ("in series, with the lamp between", with_two([4, 5], [0, 4], [5, 3]), True),
        ("to two terminals", with_two([0, 4], [4, 3], [4, 1]), False),
    ],
)
def test_mirror_images_of_a_choice_are_one(
    sidecar: Problem, what: str, circuit: Netlist, alike: bool
) -> None:
    circuit = replace(circuit, joints=int(circuit.ends.max()) - 3)
    small, mirrored, equal = numbers(sidecar, (2, 5), (5, 2), (3, 3))
    (group,) = group_drawings([Screened(circuit, (small, equal, mirrored))], Judge(sidecar))
    assert group.choices == ((small, equal) if alike else (small, equal, mirrored)), what


def test_a_diode_in_a_resistors_place_is_another_circuit_and_the_order_is_fixed(sidecar: Problem) -> None:
    ends = np.array([[0, 3]] * 5, np.int8)
    both = [Screened(Netlist((0, 1, 2, 3), 0, ends, diodes, 1 - diodes), (0,)) for diodes in (0, 1)]
    for came in (both, both[::-1]):
        groups = group_drawings(came, Judge(sidecar))
        found = [group.drawings[0].diodes for group in groups]
        assert found == [0, 1], "whichever the workers brought first"
