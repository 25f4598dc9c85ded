"""States that join the same things are solved once: the same comes of it as of each state by itself."""

import random
from dataclasses import replace

import numpy as np
import pytest
from tests.judge.test_every_corner import FLASHER, LEADS
from tests.prove.chance import EVERY_WORD, some_kit, some_words
from tests.selection import examples

from lampwright.graphs.slots import slot_of_words
from lampwright.judge.distinct import distinct_states
from lampwright.judge.judge import Judge
from lampwright.judge.minimality import MinimalityFilter
from lampwright.problem.problem import Problem, prepare
from lampwright.searching.evaluate import ShareEvaluator, placed, shares_of
from lampwright.searching.plan import plan_steps
from lampwright.spec.load import parse_spec

SAMPLE = examples(60, 600)


def problem_of(text: str) -> Problem:
    return prepare(parse_spec(text, "spec"))


def compare(problem: Problem) -> int:
    """Screen circuits all together, and one by one; how many there were."""
    evaluator, alone = ShareEvaluator(problem), MinimalityFilter(Judge(problem))
    dice, asked = random.Random(0), 0
    shares = list(shares_of(plan_steps(evaluator.judge, 2), 1000.0))
    for share in dice.sample(shares, len(shares)):
        states = evaluator.prepared(share.placing).states
        for block in evaluator.blocks(share):
            kept = dice.sample(range(len(block.ends)), min(6, len(block.ends)))
            some = replace(block, ends=block.ends[kept], live=block.live[kept])
            result = evaluator.screen_values(share.placing, some, np.arange(len(states.first)))
            passed = {one.netlist.form: one.choices for one in result.screened}
            for ends in some.ends:
                netlist = placed(share.placing, ends)
                assert passed.pop(netlist.form, ()) == alone.screen_one(netlist)
                asked += 1
            assert not passed
        if asked >= SAMPLE:
            break
    return asked


@pytest.mark.parametrize("text", [FLASHER, LEADS])
def test_screening_keeps_what_is_kept_state_by_state(text: str) -> None:
    """Circuit by circuit, against one screening that solves every state and remembers nothing."""
    assert compare(problem_of(text)) > 40


@pytest.mark.parametrize("seed", range(examples(2, 20)))
def test_where_wires_join_feeds(seed: int) -> None:
    """Specs by chance in which settings come to the same once feeds are joined."""
    dice, asked = random.Random(seed), 0
    while not asked:
        kit = replace(some_kit(dice, 2), resistors=1, diodes=1, joints=1, wires=1, always_live=True)
        problem = kit.problem(some_words(dice, kit, EVERY_WORD))
        asked = compare(problem) if problem is not None else 0


def test_a_flasher_that_is_dark_is_off() -> None:
    problem = problem_of(FLASHER)
    boundary = Judge(problem).boundary((0, 1, 2), 1)
    assert boundary is not None
    states = distinct_states(boundary, problem.tables)
    names = [problem.states[at].name for at in states.first]
    assert (len(problem.states), len(names)) == (6, 4), names
    asked, together = problem.demands, states.tables.demands
    for at, first in enumerate(states.first):
        same = (boundary.vertex_node == boundary.vertex_node[first]).all(axis=1)
        for name in ("low_volts", "low_stops"):
            assert np.array_equal(getattr(together, name)[:, at], getattr(asked, name)[:, same].max(axis=1))
        for name in ("high_volts", "high_stops"):
            assert np.array_equal(getattr(together, name)[:, at], getattr(asked, name)[:, same].min(axis=1))
    for column in (1, 3):
        rows = boundary.vertex_node[asked.brighter[:, column]]
        assert np.array_equal(states.vertex_node[together.brighter[:, column]], rows)
    assert np.array_equal(states.vertex_node[together.same_state], boundary.vertex_node[asked.same_state])
    assert not np.array_equal(together.low_volts, asked.low_volts[:, states.first]), "more is asked"


def test_contacts_are_read_in_every_state_they_are_closed_in() -> None:
    problem = problem_of(FLASHER)
    boundary = Judge(problem).boundary((0, 1, 2), 1)
    assert boundary is not None
    states, gates = distinct_states(boundary, problem.tables), boundary.gates
    rows = {
        (tuple(boundary.vertex_node[state]), control, beyond)
        for state, control, beyond in zip(gates.state, gates.control, gates.beyond, strict=True)
    }
    own = states.gates
    found = [
        (tuple(states.vertex_node[state]), control, beyond)
        for state, control, beyond in zip(own.state, own.control, own.beyond, strict=True)
    ]
    assert set(found) == rows
    assert len(found) == len(rows), "each once"


def test_keys_that_differ_in_two_bytes_have_slots_of_their_own() -> None:
    """As many as by chance, 1 - 1/e of all: in the keys of live nets often one byte alone differs."""
    for place in range(7):
        for first, second in ((1, 0), (0, 1)):
            keys = [(n % 256 << 8 * place) + (n // 256 << 8 * ((place + 3) % 7)) for n in range(2**16)]
            slots = {slot_of_words(key * first, key * second, 2**16) for key in keys}
            assert abs(len(slots) / 2**16 - 0.632) < 0.03, f"byte {place}"
