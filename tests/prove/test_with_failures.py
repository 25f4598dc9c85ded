"""Rows with failures in the model, the bound, the conflict and the value-free rules.

Outside judge: the plain twin, that solves the circuit with the parts taken out by hand, as in
`tests.judge.test_failures`.
"""

import random
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from tests.judge.test_failures import (
    BANDS,
    DAMAGES,
    VOLTS,
    Chance,
    Row,
    circuits_of,
    filaments_of,
    small_cells,
    solved,
    some_chance,
    twin_parts,
)
from tests.prove.formulations import least_listed, passes, placed, study_of
from tests.selection import some

from lampwright.errors import InputError
from lampwright.judge.judge import Judge
from lampwright.network.layout import Placing
from lampwright.network.netlist import Netlist
from lampwright.parts.filament import relative_flux_of
from lampwright.problem.problem import Choice, Problem, choice_of, fit_of, helper_problems, prepare
from lampwright.problem.reading import read_problem
from lampwright.prove.bound import bound_of
from lampwright.prove.conflict import ConflictAnswer, conflict_of
from lampwright.prove.order_rules import descending, glowing, monotone, ordered, same_net
from lampwright.searching.evaluate import CellShare, ShareEvaluator
from lampwright.spec.load import parse_spec

SPECS = Path(__file__).parents[2] / "specs"


def word_of(problem: Problem, netlist: Netlist, choice: Choice, row: Row, lamp: str) -> str | None:
    """What a lamp shows in a row by the twin, clearly and at every supply; None if no one word."""
    setting, failed, _ = row
    one = filaments_of(problem, choice)["xyz".index(lamp)]
    parts, count = twin_parts(problem, netlist, choice, setting, failed)
    across = [abs(solved(parts, count, volts)["xyz".index(lamp)]) for volts in VOLTS]
    light = relative_flux_of(one, np.array(across))
    met = [w for w, (low, high) in BANDS.items() if np.all((light >= low * 1.01) & (light <= high * 0.99))]
    return met[0] if met else None


def readable(chance: Chance) -> Problem | None:
    try:
        return prepare(parse_spec(chance.text, "chance"))
    except InputError:
        return None


def some_kept(dice: random.Random) -> tuple[Problem, Placing, Netlist, int] | None:
    """A circuit by chance with a choice, and a spec with failures that asks what it does by the twin."""
    rows: list[Row] = [
        ({"a": dice.choice(("on", "off")), "b": dice.choice(("on", "off"))}, failed, {})
        for failed in ({}, *dice.sample(DAMAGES, 4))
    ]
    kept = some_chance(dice)
    draft = readable(
        replace(kept, rows=tuple((at, failed, {"x": "off"}) for at, failed, _ in rows), live=True)
    )
    cells = [] if draft is None else small_cells(draft, 20_000)
    if draft is None or not cells:
        return None
    placing = dice.choice(cells[-4:])
    netlist = dice.choice(circuits_of(placing))
    number = dice.randrange(len(fit_of(draft, netlist.diodes, netlist.resistors).digits))
    choice = choice_of(number, fit_of(draft, netlist.diodes, netlist.resistors))
    told: list[Row] = []
    for setting, failed, _ in rows:
        shown = {lamp: word_of(draft, netlist, choice, (setting, failed, {}), lamp) for lamp in "xyz"}
        told.append((setting, failed, {lamp: word for lamp, word in shown.items() if word is not None}))
    words = {word for _, failed, show in told if failed for word in show.values()}
    problem = readable(replace(kept, rows=tuple(row for row in told if row[2]), live=True))
    if problem is None or not words & {"lit", "dim"} or not any(state.is_damaged for state in problem.states):
        return None
    # the twin knows no ratings, and the search asks all corners
    if not Judge(problem).meets(netlist, choice):
        return None
    return problem, placing, netlist, number


@pytest.mark.parametrize("seed", some(range(60), 2))
def test_a_circuit_passes_for_what_it_does_with_parts_taken_out(seed: int) -> None:
    dice = random.Random(seed)
    found = None
    while found is None:
        found = some_kept(dice)
    problem, placing, netlist, number = found
    assert passes(problem, netlist), "no rule of the model refuses it"
    screened = ShareEvaluator(problem).take(CellShare(placing, 0, 1)).screened
    kept = {str(one.netlist.ends.tolist()): one.choices for one in screened}
    assert number in kept.get(str(netlist.ends.tolist()), ()), "no value-free rule refuses it"


@pytest.mark.parametrize("seed", some(range(200, 260), 1))
def test_the_bound_with_failures_is_no_more_than_what_is_listed(seed: int) -> None:
    dice, problem = random.Random(seed), None
    while problem is None or not any(state.is_damaged for state in problem.states):
        problem = readable(replace(some_chance(dice), joints=1))
    bound, least = bound_of(problem, 1, 60.0), least_listed(problem, 1)
    assert bound.ended, "small specs take little work"
    if least is not None:
        assert not bound.none_at_all, "there is a design"
        assert bound.least_extra_parts <= least, "no design has fewer parts than the bound"


ON = 'a = "on"'


def test_what_has_failed_feeds_nothing() -> None:
    rows = [(ON, 'b = "lit"'), (f'{ON}, failed = "a"', 'b = "lit"')]
    problem, rules = study_of(rows, ("a", "b")), (ordered, descending, glowing)
    assert passes(problem, placed([(0, 1), (0, 1)], 2), rules), "side by side"
    assert not passes(problem, placed([(0, 2), (2, 1)], 2), rules), "in series the other goes out"
    hung = study_of([(f'{ON}, ground_lost = "a"', 'b = "lit"')], ("a", "b"))
    assert not passes(hung, placed([(2, 1), (0, 2)], 2), rules), "through a, which has lost its ground"
    assert passes(hung, placed([(0, 2), (2, 1)], 2), rules), "through a, whose ends are not at ground"


def test_failures_are_compared_with_the_sound_circuit() -> None:
    rows = [(ON, 'b = "off"'), (f'{ON}, failed = "a"', 'b = "lit"')]
    problem, rules = study_of(rows, ("a", "b")), (ordered, descending, same_net)
    assert not passes(problem, placed([(0, 2), (0, 1)], 2), rules), "what carries nothing is not missed"
    assert passes(problem, placed([(0, 2), (2, 1)], 2), rules), "in series it is"
    lost = study_of([(ON, 'b = "lit"'), (f'{ON}, ground_lost = "a"', 'b = "off"')], ("a", "b"))
    assert not passes(lost, placed([(0, 1), (0, 1)], 2), (ordered, monotone)), "a lost ground lowers nothing"
    behind = placed([(2, 1), (0, 2)], 2)
    assert passes(lost, behind, (ordered, monotone)), "but a lamp behind it may go out"


def test_a_conflict_may_name_a_failure() -> None:
    dim, failed = (ON, 'a = "dim"'), f'{ON}, failed = "a"'
    fits, cannot = (study_of([dim, (failed, f'b = "{word}"')], ("a", "b")) for word in ("off", "lit"))
    assert conflict_of(fits, 60.0).said is ConflictAnswer.FEASIBLE, "in series"
    found = conflict_of(cannot, 60.0)
    assert found.said is ConflictAnswer.CONFLICT, "a is dim only behind b, which then goes out with it"
    assert {cannot.states[one.state].full_name for one in found.requirements} == {"a on", "a on, a failed"}


def test_the_bound_of_the_shipped_telltale_needs_no_listing() -> None:
    problems = helper_problems(read_problem(SPECS / "burnt_out_telltale.toml"))
    none_at_all = [bound_of(problem, None, 60.0).none_at_all for problem in problems]
    assert none_at_all[0], "without helpers no circuit"
    assert not none_at_all[2], "with two of them there is"
