"""Gas or vacuum not known: the choices, the worst of both in the judge, and circuits that hang on it.

The outside judge of the numbers of choices is a product written out; that of margins is the judge
with each filling taken as known, and for doubts a catalogue whose row says so.
"""

from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from itertools import product
from pathlib import Path

import numpy as np
import pytest

from lampwright.assess.uncertainty import Doubter, hangs_on
from lampwright.judge.judge import FILLED, Case, Judge
from lampwright.judge.minimality import CircuitGroup, MinimalityFilter, group_drawings
from lampwright.parts.catalogue import lamp_type
from lampwright.parts.filament import Filament
from lampwright.parts.uncertainty import revalued
from lampwright.problem.problem import (
    Choice,
    Problem,
    assumed,
    choice_of,
    fit_of,
    numbers_of,
    prepare,
    refilled,
    unsure_types,
    with_filaments,
)
from lampwright.problem.reading import read_problem
from lampwright.searching.evaluate import CellShare, ShareEvaluator
from lampwright.searching.plan import plan_steps
from lampwright.solve.part_options import as_filled
from lampwright.spec.load import load_spec

SPECS = Path(__file__).parents[2] / "specs"


@pytest.fixture(scope="module")
def caravan() -> Problem:
    return read_problem(SPECS / "caravan_unmarked_bulbs.toml")


@pytest.fixture(scope="module")
def sidecar() -> Problem:
    return read_problem(SPECS / "sidecar_side_lamp.toml")


def plain_choices(problem: Problem, resistors: int) -> list[tuple[tuple[str, str], ...]]:
    """Every choice of lamps' types and fillings in which a type has one filling, then resistors."""
    system = problem.spec.supply.system
    offered = [
        [(name, filling) for name in lamp.choose for filling in lamp_type(name, system).fillings]
        for lamp in problem.spec.lamps
    ]
    lamps = [row for row in product(*offered) if len(set(row)) == len({name for name, _ in row})]
    values = [[("ohms", f"{ohms:g}") for ohms in problem.part_options.ohms]] * resistors
    return [(*row, *rest) for row in lamps for rest in product(*values)]


@pytest.mark.parametrize("resistors", [0, 1, 2])
def test_choices_are_those_in_which_alike_lamps_are_filled_alike(caravan: Problem, resistors: int) -> None:
    fit, part_options = fit_of(caravan, 0, resistors), caravan.part_options
    lamps = len(part_options.lamp_types)
    found = [
        (
            *(
                (part_options.lamp_types[at][d], part_options.fillings[at][d])
                for at, d in enumerate(row[:lamps])
            ),
            *(("ohms", f"{part_options.ohms[d]:g}") for d in row[lamps:]),
        )
        for row in fit.digits.tolist()
    ]
    assert sorted(found) == sorted(plain_choices(caravan, resistors))
    assert numbers_of(fit.digits, fit).tolist() == list(range(len(found)))


def test_types_known_have_one_choice_each(sidecar: Problem) -> None:
    assert unsure_types(sidecar) == ("R5W", "R10W")
    assert len(fit_of(sidecar, 0, 0).digits) == 3 + 2 * 2


def test_refilled_gives_every_filling_the_likeliest_first(caravan: Problem) -> None:
    choice = choice_of(0, fit_of(caravan, 0, 0))
    found = [dict(assumed(caravan, one)) for one in refilled(caravan, choice)]
    assert found == [
        {"R10W": "gas", "R5W": "vacuum"},
        {"R10W": "gas", "R5W": "gas"},
        {"R10W": "vacuum", "R5W": "vacuum"},
        {"R10W": "vacuum", "R5W": "gas"},
    ]
    assert all(refilled(caravan, one) == refilled(caravan, choice) for one in refilled(caravan, choice))


def groups_of(problem: Problem) -> Iterator[tuple[MinimalityFilter, CircuitGroup]]:
    """Every group of the circuits with up to one resistor that pass screening."""
    evaluator = ShareEvaluator(problem)
    minimality = MinimalityFilter(evaluator.judge)
    for step in plan_steps(evaluator.judge, 1):
        screened = [
            one for placing in step.orbits for one in evaluator.take(CellShare(placing, 0, 1)).screened
        ]
        for group in group_drawings(screened, evaluator.judge):
            yield minimality, group


def test_the_judge_keeps_the_worst_of_all_fillings(caravan: Problem) -> None:
    """Merged verdicts against every filling judged by itself; a corner tells which filling it is of."""
    judge, looked = Judge(caravan), 0
    for _, group in groups_of(caravan):
        first = group.drawings[0]
        choice = choice_of(group.choices[0], fit_of(caravan, first.diodes, first.resistors))
        whole = judge.judge(first, choice)
        cases = [judge.judge_case(first, one) for one in refilled(caravan, choice)]
        assert whole.met == all(case.met for case in cases) == judge.meets(first, choice)
        assert whole.margin == min(case.margin for case in cases)
        stacked = np.stack([case.verdicts.margin for case in cases])
        assert np.array_equal(whole.verdicts.margin, stacked.min(axis=0))
        which = whole.verdicts.margin_corner // FILLED
        corner = np.take_along_axis(
            np.stack([case.verdicts.margin_corner for case in cases]), which[None], axis=0
        )
        assert np.array_equal(whole.verdicts.margin_corner % FILLED, corner[0])
        loads = np.stack([case.verdicts.load for case in cases])
        assert np.array_equal(whole.verdicts.load, loads.max(axis=0))
        assert [case.margin for case in whole.cases] == [case.margin for case in cases]
        looked += 1
    assert looked >= 3


def test_a_group_is_a_design_only_if_every_filling_meets(caravan: Problem) -> None:
    judge, hinged = Judge(caravan), 0
    for minimality, group in groups_of(caravan):
        first = group.drawings[0]
        fit = fit_of(caravan, first.diodes, first.resistors)
        met: dict[tuple[int, ...], list[bool]] = {}
        for number in group.choices:
            variants = refilled(caravan, choice_of(number, fit))
            met[variants[0].digits] = [judge.judge_case(first, one).met for one in variants]
        outcome = minimality.outcome(group)
        sure = sorted(digits for digits, found in met.items() if all(found))
        passing = [] if outcome.winner is None else [one.choice.digits for one in outcome.winner.passing]
        assert sorted(passing) == sure
        hangs = not sure and any(any(found) for found in met.values())
        assert (outcome.hinge is not None) == hangs
        if outcome.hinge is not None:
            hinged += 1
            digits = outcome.hinge.cases[0].choice.digits
            assert [case.met for case in outcome.hinge.cases] == met[digits]
    assert hinged >= 1, "the spec is there to show one"


def cases(problem: Problem, *met: bool) -> list[Case]:
    variants = refilled(problem, choice_of(0, fit_of(problem, 0, 0)))
    return [Case(one, ok, 0.0) for one, ok in zip(variants, met, strict=True)]


@pytest.mark.parametrize(
    ("met", "said"),
    [
        ((True, True, True, True), ""),
        ((False, False, False, False), ""),
        ((True, True, False, False), "holds if R10W is gas-filled, fails if it is a vacuum lamp"),
        ((True, False, True, False), "holds if R5W is a vacuum lamp, fails if it is gas-filled"),
        (
            (False, False, True, False),
            "holds if R10W is a vacuum lamp and R5W is a vacuum lamp, and fails otherwise",
        ),
        (
            (True, False, False, True),
            "holds if R10W is gas-filled and R5W is a vacuum lamp, or if R10W is a vacuum lamp and R5W is"
            " gas-filled, and fails otherwise",
        ),
    ],
)
def test_on_what_it_hangs_in_words(caravan: Problem, met: tuple[bool, ...], said: str) -> None:
    assert hangs_on(caravan, cases(caravan, *met)) == said
    many = said.replace("holds", "they hold").replace("fails", "fail")
    assert hangs_on(caravan, cases(caravan, *met), circuits=2) == many


def _with_watts(factor: float, name: str, one: Filament) -> Filament:
    assert name == "P21W"
    return revalued(one, watts=factor)


def test_a_doubt_is_the_margin_with_other_filaments() -> None:
    """The doubter's margins against a problem made anew with the moved figure in every lamp of the type."""
    problem = prepare(load_spec(SPECS / "one_filament_stop_tail.toml"))
    evaluator = ShareEvaluator(problem)
    minimality = MinimalityFilter(evaluator.judge)
    screened = [
        one
        for step in plan_steps(evaluator.judge, 1)
        for placing in step.orbits
        for one in evaluator.take(CellShare(placing, 0, 1)).screened
    ]
    winner = next(
        found
        for group in group_drawings(screened, evaluator.judge)
        if (found := minimality.outcome(group).winner) is not None
    )
    choice, judge = winner.passing[0].choice, Judge(problem)
    judgement = judge.judge(winner.netlist, choice)
    doubts = {(one.figure, one.of): one for one in Doubter(judge).doubts(winner.netlist, choice, judgement)}
    watts = doubts["rated watts", "P21W"]
    for moved, factor in zip(watts.cases, (0.97, 1.03), strict=True):
        other = with_filaments(problem, partial(_with_watts, factor))
        assert moved.margin_stops == Judge(other).judge(winner.netlist, choice).margin
    gas = doubts["heat through gas", "every gas-filled lamp"]
    assert gas.cost_stops == pytest.approx(
        judgement.margin - min(case.margin_stops for case in gas.cases), abs=1e-12
    )
    assert len(Doubter(judge).doubts(winner.netlist, choice, replace(judgement, met=False))) >= len(doubts)


def test_both_fillings_are_on_the_shelf(caravan: Problem) -> None:
    assert caravan.part_options.lamp_types[0] == ("R10W", "R10W")
    assert caravan.part_options.fillings[0] == ("gas", "vacuum")
    assert [kind.filling for kind in as_filled("R5W", caravan.spec)] == ["vacuum", "gas"]
    assert Choice((0, 0, 0)) in refilled(caravan, Choice((1, 1, 1)))
