"""Conflicts: each claim is checked by a search that asks for nothing else, and none can be left out.

Outside judge: the search over all circuits; for the smallest, every smaller set put to the model.
"""

import random
from dataclasses import replace
from itertools import combinations
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.prove.chance import some_kit, some_words
from tests.prove.formulations import least_listed, study_of
from tests.selection import examples

from lampwright.problem.problem import Problem, asking_only
from lampwright.problem.reading import read_problem
from lampwright.prove.bound import bound_of
from lampwright.prove.conflict import ConflictAnswer, ModelConflict, Oracle, Reply, conflict_of
from lampwright.prove.partitions import joined_requirements
from lampwright.prove.solver import Answer, WorkBudget

SPECS = Path(__file__).parents[2] / "specs"
WORK = 60.0
SOME = settings(max_examples=examples(2, 40), derandomize=True, deadline=None)


def check(problem: Problem, found: ModelConflict) -> None:
    """No circuit meets these; without any one of them the model has a placement; no fewer conflict."""
    narrowed = asking_only(problem, found.requirements)
    assert joined_requirements(narrowed) == found.requirements, "the narrowed spec asks these requirements"
    assert least_listed(narrowed) is None, "no listed circuit meets them"
    requirements = joined_requirements(problem)
    oracle = Oracle(problem, requirements, WorkBudget(1e9))
    numbers = [requirements.index(one) for one in found.requirements]
    for at in numbers:
        assert oracle.ask(frozenset(numbers) - {at}).answer is Answer.BEST, "each is needed"
    if found.smallest and len(numbers) <= 3:
        for fewer in combinations(range(len(requirements)), len(numbers) - 1):
            assert oracle.ask(frozenset(fewer)).answer is Answer.BEST, "no fewer conflict"


def test_a_lamp_that_is_to_fall() -> None:
    both, b_alone = 'a = "on", b = "on"', 'a = "off", b = "on"'
    rows = [('a = "on", b = "off"', 'a = "lit"'), (both, 'a = "off"'), (b_alone, 'a = "off"')]
    problem = study_of(rows, ("a", "b"), ("A", "B"), joints=0)
    found = conflict_of(problem, WORK)
    assert found.said is ConflictAnswer.CONFLICT, "no way to lay one lamp does all three"
    assert (len(found.requirements), found.irreducible, found.smallest) == (2, True, True), (
        "either can be had"
    )
    # off with both live it lies between the feeds, and then shares its volts with its equal
    assert [problem.states[one.states[0]].name for one in found.requirements] == ["a on", "a on, b on"], (
        "these two"
    )
    check(problem, found)


def test_the_shipped_spec_without_a_circuit() -> None:
    problem = read_problem(SPECS / "no_such_circuit.toml")
    found = conflict_of(problem, WORK)
    said = [
        (problem.states[one.states[0]].name, problem.layout.filaments[one.filament])
        for one in found.requirements
    ]
    # as the comment in the spec explains: nothing there can dim the rear lamp
    assert said == [("lights on", "rear")], "one wish alone cannot be had"
    assert found.smallest, "and nothing is smaller"
    check(problem, found)


def test_a_spec_that_can_be_met_has_none() -> None:
    found = conflict_of(read_problem(SPECS / "trailer_feed_telltale.toml"), WORK)
    assert (found.said, found.requirements) == (ConflictAnswer.FEASIBLE, ()), "there is a placement"


def test_out_of_work_is_no_answer() -> None:
    problem = read_problem(SPECS / "no_such_circuit.toml")
    assert conflict_of(problem, 0.0).said is ConflictAnswer.UNDECIDED, "nothing was looked at"
    for work in (0.03, 0.05, 0.1, 0.2, 0.4):
        found = conflict_of(problem, work)
        assert found.said is not ConflictAnswer.FEASIBLE, "running out is never taken for an answer"
        assert found.irreducible or not found.smallest, "what is smallest is irreducible"


def test_lamps_that_must_match_are_wants_too() -> None:
    same = '[[same]]\nlamps = ["a", "b"]\nwhen = { a = "on" }\nwithin = 0.1\n'
    problem = study_of([('a = "on"', 'a = "lit", b = "off"')], ("a", "b", "c"), more=same)
    found = conflict_of(problem, WORK)
    assert found.said is ConflictAnswer.CONFLICT, "lit and off do not match"
    assert [one.other for one in found.requirements] == [None, None, 1], "two lamps and that they match"
    check(problem, found)


def test_without_work_for_a_smallest_it_is_irreducible(monkeypatch: pytest.MonkeyPatch) -> None:
    proved = Oracle.core

    def careless(self: Oracle, subset: frozenset[int]) -> Reply:
        """A proof that uses all it is given, so that thinning has to do the work."""
        reply = proved(self, subset)
        return Reply(Answer.NONE, subset) if reply.answer is Answer.NONE else reply

    monkeypatch.setattr("lampwright.prove.conflict.FOR_SMALLEST", 0.0)
    monkeypatch.setattr(Oracle, "core", careless)
    rows = [('a = "on", b = "off"', 'a = "lit", b = "off"'), ('a = "on", b = "on"', 'a = "off", b = "lit"')]
    problem = study_of(rows, ("a", "b"), ("A", "B"), joints=0)
    found = conflict_of(problem, WORK)
    assert (found.said, found.irreducible, found.smallest) == (ConflictAnswer.CONFLICT, True, False), (
        "second best"
    )
    assert len(found.requirements) < len(joined_requirements(problem)), "not all are needed"
    check(problem, found)


@SOME
@given(st.integers(0, 2**32))
def test_conflicts_of_specs_by_chance(seed: int) -> None:
    dice = random.Random(seed)
    while True:
        kit = replace(some_kit(dice, 2), diodes=dice.randint(0, 1), resistors=0)
        problem = kit.problem(some_words(dice, kit))
        if problem is not None and bound_of(problem, None, WORK).none_at_all:
            break
    found = conflict_of(problem, WORK)
    assert found.said is ConflictAnswer.CONFLICT, "no circuit, so some requirements conflict"
    assert found.irreducible, "small specs take little work"
    check(problem, found)


@pytest.mark.parametrize("name", ["no_such_circuit"])
def test_the_same_conflict_every_time(name: str) -> None:
    problem = read_problem(SPECS / f"{name}.toml")
    assert conflict_of(problem, WORK) == conflict_of(problem, WORK), "no chance, no clock"
