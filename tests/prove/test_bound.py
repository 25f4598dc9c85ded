"""The least number of extra parts: what is said, of which spec, and what where the work runs out."""

from pathlib import Path

import pytest
from ortools.sat.python import cp_model
from tests.prove.formulations import study_of

from lampwright.problem.reading import read_problem
from lampwright.prove.bound import bound_of, extras_of
from lampwright.prove.partitions import joined_requirements, partitions_of
from lampwright.prove.placement import ExtraSlots
from lampwright.prove.solver import new_solver, solve
from lampwright.prove.stages import RULES, value_formulation

SPECS = Path(__file__).parents[2] / "specs"
WORK = 60.0


def test_a_resistor_is_needed_to_dim() -> None:
    extras = 'resistors = { most = 2, series = "E3", ohms = [1.0, 47.0], watts = [50] }'
    problem = study_of([('a = "on"', 'a = "dim"')], extras=extras)
    bound = bound_of(problem, None, WORK)
    assert (bound.least_extra_parts, bound.none_at_all, bound.ended) == (1, False, True), (
        "one, not none, not two"
    )


def test_none_at_all() -> None:
    bound = bound_of(study_of([('a = "on"', 'a = "dim"')]), None, WORK)
    assert (bound.least_extra_parts, bound.none_at_all, bound.ended) == (1, True, True), "no part is allowed"


def test_the_question_may_allow_less_than_the_spec() -> None:
    extras = 'resistors = { most = 2, series = "E3", ohms = [1.0, 47.0], watts = [50] }'
    bound = bound_of(study_of([('a = "on"', 'a = "dim"')], extras=extras), 0, WORK)
    assert bound.none_at_all, "not with as many as were asked about"


def test_out_of_work_is_no_proof() -> None:
    problem = read_problem(SPECS / "no_such_circuit.toml")
    bound = bound_of(problem, None, 0.0)
    assert (bound.least_extra_parts, bound.none_at_all, bound.ended) == (0, False, False), (
        "nothing was proved"
    )


def test_what_was_proved_before_the_work_ran_out_stays() -> None:
    problem = read_problem(SPECS / "one_filament_stop_tail.toml")
    spent = [bound_of(problem, None, work / 500) for work in range(12)]
    assert {(one.least_extra_parts, one.ended) for one in spent} >= {(0, False), (1, True)}, (
        "from none to all"
    )
    assert all(not one.none_at_all for one in spent), "running out is never taken for a proof"
    assert [one.least_extra_parts for one in spent] == sorted(one.least_extra_parts for one in spent), (
        "it grows"
    )


def test_it_says_for_what_it_holds_and_by_what() -> None:
    problem = read_problem(SPECS / "one_filament_stop_tail.toml")
    bound = bound_of(problem, None, WORK)
    for words in ("1 to 47 Ω", "12.4 and 14.4 V", "1 joint", "1 wire", "left out"):
        assert words in bound.over, f"{words} is said"
    assert [rule.name for rule in bound.rules] == [rule.name for rule in RULES], "every family is named"
    assert len({rule.name for rule in RULES}) == len(RULES), "each by its own name"
    assert extras_of(problem) == ExtraSlots(0, 1, 1), "the spec allows one resistor"


@pytest.mark.parametrize("name", ["sidecar_side_lamp", "no_such_circuit"])
def test_the_same_bound_every_time(name: str) -> None:
    problem = read_problem(SPECS / f"{name}.toml")
    assert bound_of(problem, None, WORK) == bound_of(problem, None, WORK), "no chance, no clock"


class _EndedError(Exception):
    """The time is up."""


@pytest.mark.parametrize("name", ["sidecar_side_lamp", "trailer_pair_from_the_box"])
def test_a_model_in_the_making_can_be_ended_between_a_few_constraints(name: str) -> None:
    """A model of a large spec takes seconds to make; the longest time between two looks is what counts."""
    problem = read_problem(SPECS / f"{name}.toml")
    requirements = joined_requirements(problem)
    partition = partitions_of(problem, requirements)[-1]
    looks = 0

    def look() -> None:
        nonlocal looks
        looks += 1

    made = value_formulation(problem, requirements, partition, extras_of(problem), look)
    assert len(made.model.proto.constraints) < 300 * looks, "it is seldom asked"
    left = looks // 2

    def end() -> None:
        nonlocal left
        left -= 1
        if left == 0:
            raise _EndedError

    with pytest.raises(_EndedError):
        value_formulation(problem, requirements, partition, extras_of(problem), end)


def test_an_interruption_ends_the_question(monkeypatch: pytest.MonkeyPatch) -> None:
    stopped: list[bool] = []

    def interrupt(*_given: object, **_named: object) -> None:
        raise KeyboardInterrupt

    solver_made = new_solver(1.0)
    monkeypatch.setattr(solver_made, "stop_search", lambda: stopped.append(True))
    monkeypatch.setattr("lampwright.prove.solver.wait", interrupt)
    with pytest.raises(KeyboardInterrupt):
        solve(solver_made, cp_model.CpModel())
    assert stopped == [True], "the solver was left at work"
