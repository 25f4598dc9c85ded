"""Rules of shape: each satisfiable, violated, not too strong; and every circuit kept exactly once.

Outside count: Burnside's lemma by `graphs.orbits`, which lists nothing and shares nothing with
the model.
"""

from itertools import product

import pytest
from ortools.sat.python import cp_model
from tests.prove.formulations import formulations, passes, placed, study_of

from lampwright.graphs.cell import Cell, PathRule, Star
from lampwright.graphs.orbits import count_orbits
from lampwright.problem.problem import Problem, prepare
from lampwright.prove.placement import ExtraSlots, Placement
from lampwright.prove.shape_rules import budget, joints_alike, shared_contact, slots_alike, two_ways
from lampwright.prove.solver import new_solver
from lampwright.spec.load import parse_spec

TWO_DIODES = 'diodes = { most = 2, choose = ["1N5404"] }'
BOTH = TWO_DIODES + '\nresistors = { most = 2, series = "E3", ohms = [1.0, 10.0], watts = [50] }'


def plain(extras: str = "", lamps: tuple[str, ...] = ("a",), joints: int = 1) -> Problem:
    return study_of([('a = "on"', f'{lamps[0]} = "lit"')], lamps, extras=extras, joints=joints)


def two_filaments(common: str) -> Problem:
    text = f"""
        lampwright = 1
        title = "Shared"
        [supply]
        system = 12
        volts = [11.8, 13.5, 14.4]
        [controls.a]
        kind = "switch"
        feed = "A"
        [lamps.rear]
        choose = ["P21/5W"]
        filaments = ["stop", "tail"]
        {common}
        [search]
        joints = 1
        [[behaviour]]
        when = {{ a = "on" }}
        show = {{ stop = "lit" }}
    """
    return prepare(parse_spec(text, "shared"))


def test_shared_contact_at_its_terminal() -> None:
    problem = two_filaments('common = "31"')
    assert passes(problem, placed([(0, 1), (1, 2)], 2), [shared_contact]), "both end at ground"
    assert not passes(problem, placed([(0, 1), (0, 2)], 2), [shared_contact]), "the second is off ground"
    assert passes(problem, placed([(0, 1), (0, 1)], 2), [shared_contact]), "side by side is allowed"


def test_shared_contact_anywhere() -> None:
    problem = two_filaments("")
    assert passes(problem, placed([(0, 2), (1, 2)], 2), [shared_contact]), "they meet at a joint"
    assert passes(problem, placed([(0, 2), (0, 2)], 2), [shared_contact]), "and side by side at both ends"
    assert not passes(two_filaments(""), placed([(0, 1), (2, 3)], 2), [shared_contact]), "no joint to spare"


def test_budget() -> None:
    problem = plain(BOTH)
    circuit = placed([(1, 2), (0, 2), (0, 2)], 2, diodes=1, resistors=1)
    assert passes(problem, circuit, [budget], ExtraSlots(1, 1, 2)), "two are allowed"
    assert not passes(problem, circuit, [budget], ExtraSlots(1, 1, 1)), "one is allowed"
    assert passes(problem, placed([(0, 1)], 2), [budget], ExtraSlots(1, 1, 1)), "none is always allowed"


def test_two_ways() -> None:
    problem = plain(lamps=("a", "b"))
    assert passes(problem, placed([(0, 2), (1, 2)], 2), [two_ways]), "in series"
    assert not passes(problem, placed([(0, 1), (1, 2)], 2), [two_ways]), "a dead end"
    assert not passes(problem, placed([(0, 2), (0, 2)], 2), [two_ways]), (
        "two parts to one neighbour are one way"
    )
    assert passes(problem, placed([(0, 1), (0, 1)], 2), [two_ways]), "an unused joint needs nothing"


def test_slots_alike() -> None:
    problem = plain(TWO_DIODES)
    formulation = next(formulations(problem, [slots_alike]))
    first, second = formulation.placement.slots
    orders = [
        (first.takes[0], second.takes[1]),
        (first.takes[1], second.takes[0]),
        (first.takes[0], second.takes[0]),
    ]
    answers = []
    for pair in orders:
        formulation.model.clear_assumptions()
        formulation.model.add_assumptions(list(pair))
        answers.append(new_solver(9.0).solve(formulation.model) == cp_model.OPTIMAL)
    assert answers == [True, False, True], "in order, out of order, on one pair"


def test_joints_alike() -> None:
    problem = plain(lamps=("a", "b"), joints=2)
    formulation = next(formulations(problem, [joints_alike]))
    named = list(formulation.placement.fixed(placed([(0, 2), (1, 3)], 2)))
    kept = []
    for literals in named:
        formulation.model.clear_assumptions()
        formulation.model.add_assumptions(list(literals))
        kept.append(new_solver(9.0).solve(formulation.model) == cp_model.OPTIMAL)
    assert sorted(kept) == [False, True], "one of two numberings is kept, and the other is not"
    assert passes(problem, placed([(0, 2), (1, 2)], 2), [joints_alike]), "one joint alone is not barred"


class Counter(cp_model.CpSolverSolutionCallback):
    """Collects the placements of all solutions."""

    def __init__(self, placement: Placement) -> None:
        super().__init__()
        self.takes = [take for piece in placement.pieces for take in piece.takes]
        self.seen: set[tuple[int, ...]] = set()

    def on_solution_callback(self) -> None:
        self.seen.add(tuple(self.value(take) for take in self.takes))


CELLS = [(1, 1, 1, 1), (2, 2, 0, 0), (2, 2, 1, 0), (1, 2, 0, 2), (1, 2, 2, 0), (2, 3, 0, 0), (1, 3, 1, 1)]


@pytest.mark.parametrize(("lamps", "joints", "diodes", "resistors"), CELLS)
def test_every_circuit_is_kept_exactly_once(lamps: int, joints: int, diodes: int, resistors: int) -> None:
    names = tuple("abc"[: max(lamps, 1)])
    problem = plain(BOTH, names, joints)
    wanted = ExtraSlots(diodes, resistors, diodes + resistors)
    (formulation,) = formulations(problem, [slots_alike, joints_alike], extras=wanted)
    for slot in formulation.placement.slots:
        formulation.model.add_exactly_one(slot.takes)
    counter, solver = Counter(formulation.placement), new_solver(1e9)
    solver.parameters.enumerate_all_solutions = True
    assert solver.solve(formulation.model, counter) == cp_model.OPTIMAL, "all are enumerated"
    cell = Cell(2, joints, (Star(1),) * len(names), diodes, resistors)
    assert len(counter.seen) == count_orbits(cell, PathRule.ALL), "as many as Burnside's lemma counts"


def test_count_without_the_rule_is_larger() -> None:
    problem = plain(lamps=("a", "b"), joints=2)
    (formulation,) = formulations(problem, [])
    counter, solver = Counter(formulation.placement), new_solver(1e9)
    solver.parameters.enumerate_all_solutions = True
    solver.solve(formulation.model, counter)
    assert len(counter.seen) == len(list(product(range(6), repeat=2))), "every labelled placement"
