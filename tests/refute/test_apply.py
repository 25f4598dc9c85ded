"""What is refuted from tables, against the rules word for word: specs by chance, each rule on and off."""

import random
from collections import Counter
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.judge.test_failures import small_cells, some_chance
from tests.prove.chance import EVERY_WORD, Kit, row_of, some_comparisons, some_kit, some_words
from tests.prove.test_with_failures import readable
from tests.refute.plain_rules import Faults, PlainRules
from tests.selection import examples, some

from lampwright.network.layout import Placing
from lampwright.problem.problem import Problem
from lampwright.refute.rules import RULES
from lampwright.searching.evaluate import CellShare, ShareEvaluator
from lampwright.searching.plan import plan_steps

SOME = settings(max_examples=examples(2, 60), derandomize=True, deadline=None)
SEEDS = st.integers(0, 2**32)
MOST_CIRCUITS = 1500
ON, OFF = {"a": "on", "b": "on"}, {"b": "off"}
COMPARED = [
    row_of("x", ON, "x", OFF, 1.5),
    row_of("y", ON, "y", OFF, 3.0, 'failed = "x"'),
    row_of("z", ON, "x", {}, 1.5, 'ground_lost = "rear"'),
]
SWITCHED = [
    (True,) * len(RULES),
    (False,) * len(RULES),
    *(tuple(at == on for at in range(len(RULES))) for on in range(len(RULES))),
    *(tuple(at != off for at in range(len(RULES))) for off in range(len(RULES))),
]


def chosen(dice: random.Random, kit: Kit) -> tuple[Problem, Placing] | None:
    """A spec of this kit and a cell of it, of those with the most parts that are small enough."""
    problem = kit.problem(some_words(dice, kit, EVERY_WORD))
    if problem is None:
        return None
    steps = plan_steps(ShareEvaluator(problem).judge, None)
    small = [
        placing
        for step in steps
        for placing, circuits in step.orbits.items()
        if 0 < circuits <= MOST_CIRCUITS and placing.cell.arcs >= min(kit.diodes, 1)
    ]
    return (problem, dice.choice(small[-6:])) if small else None


def compare(
    problem: Problem, placing: Placing, faults: list[Faults], enabled: tuple[bool, ...]
) -> Counter[str]:
    """Take the cell in two shares; what is kept and counted must be as by the plain rules."""
    evaluator = ShareEvaluator(problem, enabled)
    blocks = [block for share in range(2) for block in evaluator.blocks(CellShare(placing, share, 2))]
    by = [one.refuted_by(enabled) for one in faults]
    left = {
        str(one.ends): [sum(1 << part for part in live) for live in one.live]
        for one, rule in zip(faults, by, strict=True)
        if rule is None
    }
    found = {
        str(ends.tolist()): live.tolist()
        for block in blocks
        for ends, live in zip(block.ends, block.live, strict=True)
    }
    assert found == left, f"{placing}, {enabled}: the circuits left, and their live parts by state"
    counts = np.sum([block.refuted for block in blocks], axis=0).tolist()
    assert counts == [by.count(rule) for rule in RULES], f"{placing}, {enabled}: counts by rule"
    assert sum(block.listed for block in blocks) == len(faults), "every circuit is listed"
    return Counter({rule.name: by.count(rule) for rule in RULES})


@SOME
@given(SEEDS)
def test_specs_by_chance_are_refuted_as_the_plain_rules_refute_them(seed: int) -> None:
    dice = random.Random(seed)
    found = None
    while found is None:
        kit = some_kit(dice)
        more = some_comparisons(dice, kit) if dice.random() < 0.4 else ""
        found = chosen(dice, replace(kit, selector=dice.random() < 0.4, more=more))
    problem, placing = found
    faults = PlainRules(problem, placing).every()
    for enabled in SWITCHED:
        compare(problem, placing, faults, enabled)


# of 50 some circuits look alike where all is whole, and lack a path where something has failed
@pytest.mark.parametrize("seed", some(range(60), (*range(4), 50)))
def test_specs_with_failures_are_refuted_as_the_plain_rules_refute_them(seed: int) -> None:
    dice = random.Random(seed)
    while True:
        chance, row = some_chance(dice), dice.choice(COMPARED)
        problem = readable(replace(chance, more=row if dice.random() < 0.5 else ""))
        cells = [] if problem is None else small_cells(problem, 600)
        if problem is not None and cells and any(state.is_damaged for state in problem.states):
            break
    placing = dice.choice(cells[-4:])
    faults = PlainRules(problem, placing).every()
    for enabled in SWITCHED[:2]:
        compare(problem, placing, faults, enabled)


def test_the_cases_by_chance_have_every_rule_at_work_and_open_terminals_joined() -> None:
    dice = random.Random(3)
    total: Counter[str] = Counter()
    joined = directed = 0
    for _ in range(60):
        kit = replace(some_kit(dice), selector=dice.random() < 0.4)
        found = chosen(dice, kit)
        if found is None:
            continue
        problem, placing = found
        plain = PlainRules(problem, placing)
        faults = plain.every()
        total += compare(problem, placing, faults, SWITCHED[0])
        directed += sum(not one.undirected and bool(one.directed) for one in faults)
        terminals = plain.nodes[:, : placing.cell.terminals]
        joined += any(
            len(set(opens)) < len(opens)
            for row in terminals.tolist()
            for opens in [[n for n in row if n > 1]]
        )
        if directed and joined and all(total[rule.name] for rule in RULES):
            break
    assert all(total[rule.name] > 0 for rule in RULES), f"{total}: every rule refutes some"
    assert directed > 0, "some only for the direction of their diodes"
    assert joined > 0, "some with open terminals joined by a selector"
