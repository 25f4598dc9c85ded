"""Lamps compared, from state to state or with each other: bands, rules, the bound and the conflict.

Outside judges: a linear program in stops (scipy) for the bands; the judge, who knows no model and no
rule, for what circuits do; every circuit of a cell, listed without any rule.
"""

import random
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
import pytest
from scipy.optimize import linprog
from tests.judge.test_failures import circuits_of, small_cells, some_chance
from tests.prove.chance import Words, obeys_path_rule, row_of, some_circuit, some_kit
from tests.prove.formulations import passes, placed, study_of
from tests.prove.test_with_failures import readable
from tests.selection import some

from lampwright.judge.judge import Judge
from lampwright.network.netlist import Netlist
from lampwright.problem.narrowing import narrowed
from lampwright.problem.problem import Problem, choice_of, fit_of
from lampwright.problem.requirements import FluxBands
from lampwright.prove.bound import bound_of
from lampwright.prove.conflict import ConflictAnswer, conflict_of
from lampwright.prove.level_rules import brighter, ranked
from lampwright.prove.order_rules import across, descending, glowing, monotone, ordered, same_net
from lampwright.searching.evaluate import CellShare, ShareEvaluator
from lampwright.spec.model import FAILURES
from lampwright.spec.states import LightComparison, State

Draft = Callable[[str], Problem | None]
"""A spec with these rows besides."""


def places(draw: np.random.Generator, filaments: int, states: int) -> tuple[int, int, int, int]:
    """Two filaments, each in a state."""
    a, s, b, t = (int(draw.integers(most)) for most in (filaments, states, filaments, states))
    return a, s, b, t


@pytest.mark.parametrize("seed", some(range(300), 8))
def test_the_bands_left_are_those_of_a_linear_program(seed: int) -> None:
    dice = random.Random(seed)
    draw = np.random.default_rng(seed)
    filaments, states = dice.randint(1, 3), dice.randint(2, 4)
    size = filaments * states
    low = draw.choice([0.0, 0.01, 0.25], (filaments, states))
    high = np.maximum(low * 1.5, draw.choice([0.005, 0.15, np.inf, np.inf], (filaments, states)))
    across, off = draw.uniform(0.6, 1.2, filaments), 0.005
    lumens = draw.uniform(20.0, 460.0, filaments)
    rows = tuple(
        LightComparison(at, *places(draw, filaments, states), by)
        for at, by in enumerate(draw.choice([1.1, 2.0, 6.0], dice.randint(1, 4)).tolist())
    )
    rows = tuple(one for one in rows if (one.first, one.first_state) != (one.second, one.second_state))
    bands = FluxBands(
        tuple(low[f][:, None, None] for f in range(filaments)),
        tuple(high[f][:, None, None] for f in range(filaments)),
        tuple(across[f][None, None] for f in range(filaments)),
    )
    found = narrowed(bands, rows, [lumens[f : f + 1] for f in range(filaments)], range(filaments), off)
    edges = edges_by_program(low, high, across, lumens, off, rows)
    if edges is None:
        return
    for at in range(size):
        f, s = divmod(at, states)
        told = max(float(found.low[f][s, 0, 0]), 1e-4), min(float(found.high[f][s, 0, 0]), across[f])
        assert told == pytest.approx(edges[at], rel=1e-3), f"filament {f} in state {s}: {rows}"


def edges_by_program(
    low: np.ndarray,
    high: np.ndarray,
    across: np.ndarray,
    lumens: np.ndarray,
    off: float,
    rows: tuple[LightComparison, ...],
) -> list[tuple[float, float]] | None:
    """The least and the most relative flux of every filament in every state; None where nothing meets all."""
    filaments, states = low.shape
    size, stops = low.size, np.log(lumens)
    limits = [
        (np.log(max(low[f, s], 1e-4)), np.log(min(high[f, s], across[f])))
        for f in range(filaments)
        for s in range(states)
    ]
    if any(a > b for a, b in limits):
        return None
    table, most = [], []
    for one in rows:
        row = np.zeros(size)
        row[one.second * states + one.second_state] += 1.0
        row[one.first * states + one.first_state] -= 1.0
        table.append(row)
        most.append(stops[one.first] - stops[one.second] - np.log(one.by))
        least = np.zeros(size)
        least[one.first * states + one.first_state] = -1.0
        table.append(least)
        most.append(stops[one.first] - stops[one.second] - np.log(one.by * off))
    told = []
    for at in range(size):
        ends = []
        for sign in (1.0, -1.0):
            cost = np.zeros(size)
            cost[at] = sign
            answer = linprog(cost, A_ub=np.array(table) if rows else None, b_ub=most or None, bounds=limits)
            if not answer.success or answer.x is None:
                return None
            ends.append(float(np.exp(answer.x[at])))
        told.append((ends[0], ends[1]))
    return told


@dataclass(frozen=True)
class Kept:
    """A spec that asks only comparisons, and a circuit with a choice that meets it at every corner."""

    problem: Problem
    circuit: Netlist
    number: int


def kept_by(dice: random.Random, draft: Draft, problem: Problem, circuit: Netlist) -> Kept | None:
    """Ask what this circuit does in comparison, with a choice by chance; None if that is nothing."""
    fit = fit_of(problem, circuit.diodes, circuit.resistors)
    number = dice.randrange(len(fit.digits))
    choice = choice_of(number, fit)
    rows = []
    for _ in range(12):
        state, lamp, than = dice.choice(problem.states), *dice.choices(problem.layout.filaments, k=2)
        other = dice.choice([one for one in problem.states if one.failures == state.failures])
        if lamp != than or set(state.contacts) != set(other.contacts):
            versus = dict(other.setting)
            rows.append(partial(row_of, lamp, dict(state.setting), than, versus, failed=said_in(state)))
    drawn = draft("".join(row(1.05) for row in rows))
    if drawn is None or Judge(drawn).boundary(circuit.partition, circuit.joints) is None:
        return None
    margins = Judge(drawn).judge(circuit, choice).verdicts.brighter
    assert len(margins) == len(rows), "a row compares once"
    met = [(row, margin) for row, margin in zip(rows, margins.tolist(), strict=True) if margin > 0.01]
    found = draft("".join(row(1.05 * 2.0 ** (margin - 0.005)) for row, margin in met)) if met else None
    if found is None or not Judge(found).meets(circuit, choice):
        return None
    return Kept(found, circuit, number)


def said_in(state: State) -> str:
    """What has failed in a state, as in `when`."""
    rows = [(key, list(getattr(state.failures, key))) for key in FAILURES]
    return ", ".join(f"{key} = {names}".replace("'", '"') for key, names in rows if names)


def some_compared(dice: random.Random) -> Kept | None:
    """A circuit by chance and what it does in comparison, with nothing failed."""
    kit = some_kit(dice)
    blank: Words = [[None] * len(kit.filaments)] * len(kit.settings)
    nothing = f'[[behaviour]]\nwhen = {{ a = "on" }}\nshow = {{ {kit.filaments[0]} = "any" }}\n'

    def draft(rows: str) -> Problem | None:
        return replace(kit, more=nothing + rows).problem(blank)

    problem = draft("")
    circuit = None if problem is None else some_circuit(dice, kit, problem)
    if problem is None or circuit is None or not obeys_path_rule(circuit):
        return None
    return kept_by(dice, draft, problem, circuit)


def some_failing(dice: random.Random) -> Kept | None:
    """Likewise where parts have failed."""
    chance = replace(some_chance(dice), live=True)
    rows = tuple((at, failed, {"x": "any"}) for at, failed, _ in chance.rows)

    def draft(more: str) -> Problem | None:
        return readable(replace(chance, rows=rows, more=more))

    problem = draft("")
    cells = [] if problem is None else small_cells(problem, 300)
    if problem is None or not cells:
        return None
    return kept_by(dice, draft, problem, dice.choice(circuits_of(dice.choice(cells[-4:]))))


MAKERS = {"sound": some_compared, "failing": some_failing}


def kept(seed: int, how: str) -> Kept:
    dice, found = random.Random(seed), None
    while found is None:
        found = MAKERS[how](dice)
    return found


@pytest.mark.parametrize("how", MAKERS)
@pytest.mark.parametrize("seed", some(range(400, 480), 5))
def test_a_circuit_passes_for_what_it_does_in_comparison(seed: int, how: str) -> None:
    one = kept(seed, how)
    assert passes(one.problem, one.circuit), f"no rule of the model refuses it: {one.problem.requirements}"


@pytest.mark.parametrize("how", MAKERS)
@pytest.mark.parametrize("seed", some(range(500, 580), 4))
def test_no_circuit_that_meets_comparisons_is_refuted(seed: int, how: str) -> None:
    problem = kept(seed, how).problem
    judge, evaluator = Judge(problem), ShareEvaluator(problem)
    for placing in small_cells(problem, 150)[-3:]:
        fit = fit_of(problem, placing.cell.arcs, placing.cell.links)
        screened = evaluator.take(CellShare(placing, 0, 1)).screened
        found = {(str(one.netlist.ends.tolist()), n) for one in screened for n in one.choices}
        for netlist in circuits_of(placing):
            for number in range(min(len(fit.digits), 12)):
                if judge.meets(netlist, choice_of(number, fit)):
                    assert (str(netlist.ends.tolist()), number) in found, f"{netlist} meets it"


@pytest.mark.parametrize("how", MAKERS)
@pytest.mark.parametrize("seed", some(range(600, 660), 2))
def test_the_bound_with_comparisons_is_no_more_than_what_is_listed(seed: int, how: str) -> None:
    one = kept(seed, how)
    bound = bound_of(one.problem, None, 60.0)
    assert bound.ended, "small specs take little work"
    assert not bound.none_at_all, "there is a circuit"
    assert bound.least_extra_parts <= one.circuit.extra_parts, "no design has fewer parts than the bound"


A_ALONE, BOTH = {"a": "on", "b": "off"}, {"a": "on", "b": "on"}
FEEDS = ("A", "B")


def asking(*rows: str, lamps: tuple[str, ...] = ("a",), types: str = '"P21W"') -> Problem:
    return study_of([('a = "on"', 'a = "any"')], lamps, FEEDS, types, more="".join(rows))


def test_a_lamp_brighter_than_itself() -> None:
    falls = asking(row_of("a", A_ALONE, "a", {"b": "on"}, 2.0), lamps=("a", "b"))
    rules = [ordered, glowing, descending]
    assert not passes(falls, placed([(3, 2), (0, 3)], 3), [monotone]), "an end grounded: it cannot fall"
    assert passes(falls, placed([(0, 3), (3, 2)], 3), [monotone]), "an end live: it may"
    rises = asking(row_of("a", BOTH, "a", {"b": "off"}, 2.0), lamps=("a", "b"))
    assert not passes(rises, placed([(0, 3), (3, 2)], 3), [monotone]), "an end live: it cannot rise"
    assert not passes(rises, placed([(0, 2), (0, 2)], 3), [*rules, same_net]), "nothing hangs on B"
    assert passes(rises, placed([(0, 2), (0, 2)], 3), rules), "which that rule alone says"
    assert not passes(rises, placed([(0, 2), (1, 2)], 3), [across]), "it is as bright before as it can be"
    assert not passes(rises, placed([(0, 1), (1, 2)], 3), [glowing]), "it must glow"
    assert passes(rises, placed([(1, 2), (0, 2)], 3)), "on B alone it does so"


def test_a_lamp_brighter_than_another() -> None:
    types = '"P21W", "R5W"'
    for by, said in ((8.0, True), (20.0, False)):
        problem = asking(row_of("a", A_ALONE, "b", {}, by), lamps=("a", "b"), types=types)
        assert passes(problem, placed([(0, 2), (0, 2)], 3), [across]) is said, "460 lm over 50 lm"
    problem = asking(row_of("a", A_ALONE, "b", {}, 20.0), lamps=("a", "b"), types='"P21W"')
    in_row = placed([(0, 3), (3, 2)], 3)
    assert not passes(problem, in_row), "two of a kind in series are alike"
    assert passes(problem, in_row, [ordered, ranked, brighter]), "which takes currents to know"
    off = asking(row_of("a", A_ALONE, "b", {}, 900.0), lamps=("a", "b"), types='"R5W"')
    assert not passes(off, placed([(0, 2), (0, 1)], 3), [ranked, brighter]), "0.005 of 50 lm 900 times"


def test_a_conflict_may_name_a_comparison() -> None:
    row = row_of("a", A_ALONE, "b", {}, 2.0)
    dim = study_of(
        [('a = "on", b = "off"', 'a = "dim", b = "dim"')],
        ("a", "b"),
        FEEDS,
        '"R5W"',
        more=row_of("a", A_ALONE, "b", {}, 40.0),
    )
    found = conflict_of(dim, 60.0)
    assert found.said is ConflictAnswer.CONFLICT
    assert found.smallest
    assert [bool(one.versus) for one in found.requirements] == [False, False, True][
        -len(found.requirements) :
    ]
    fits = study_of(
        [('a = "on", b = "off"', 'a = "lit", b = "off"')], ("a", "b"), FEEDS, '"R5W", "P21W"', more=row
    )
    assert conflict_of(fits, 60.0).said is ConflictAnswer.FEASIBLE


def test_every_value_free_rule_refutes_by_comparison() -> None:
    rows = row_of("a", A_ALONE, "a", {"b": "on"}, 1.5), row_of("b", BOTH, "b", {"b": "off"}, 1.5)
    plain, compared = asking(lamps=("a", "b")), asking(*rows, lamps=("a", "b"))
    for problem, refuted in ((plain, False), (compared, True)):
        evaluator = ShareEvaluator(problem)
        blocks = [
            block
            for placing in small_cells(problem, 500)
            for block in evaluator.blocks(CellShare(placing, 0, 1))
        ]
        counts = np.sum([block.refuted for block in blocks], axis=0)
        assert np.all(counts > 0) == refuted, f"{counts}"
        assert np.any(counts > 0) == refuted
