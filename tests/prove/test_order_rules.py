"""Rules of order: each satisfiable, violated (and not without the rule), not too strong.

Vertices of a placing: feeds first, ground next, then joints. With feeds A and B ground is 2.
"""

from collections.abc import Sequence

from ortools.sat.python import cp_model
from tests.prove.formulations import formulations, passes, placed, study_of

from lampwright.prove.formulation import ModelRule
from lampwright.prove.logic import Literal, flipped
from lampwright.prove.order_rules import across, descending, glowing, monotone, ordered, same_net
from lampwright.prove.solver import Answer, new_solver, solve

DIODE = 'diodes = { most = 1, choose = ["1N5404"] }'
A_ALONE, B_ALONE, BOTH = 'a = "on", b = "off"', 'a = "off", b = "on"', 'a = "on", b = "on"'
FEEDS = ("A", "B")


def holds(model: cp_model.CpModel, literals: Sequence[Literal]) -> bool:
    model.clear_assumptions()
    model.add_assumptions(list(literals))
    return solve(new_solver(9.0), model) is Answer.BEST


def test_ordered() -> None:
    problem = study_of([('a = "on"', 'a = "lit"')], joints=3)
    formulation = next(formulations(problem, [ordered]))
    # one joint above the next, and that above a third, which is not under the first
    n, m, k = formulation.scenes[0].free
    up, down = formulation.above(0, n, m), formulation.above(0, m, k)
    assert holds(formulation.model, [up, down, formulation.above(0, n, k)]), "a chain"
    assert not holds(formulation.model, [up, down, flipped(formulation.above(0, n, k))]), "a chain has ends"
    assert not holds(formulation.model, [up, formulation.above(0, m, n)]), "not both ways"
    level = [flipped(formulation.above(0, n, m)), flipped(formulation.above(0, m, n))]
    assert holds(formulation.model, level), "two nodes may be level"


def test_descending() -> None:
    problem = study_of([('a = "on"', 'a = "lit"')], ("a", "b"), extras=DIODE)
    rules: list[ModelRule] = [ordered, glowing, descending]
    assert passes(problem, placed([(0, 2), (1, 2)], 2), rules), "in series"
    assert not passes(problem, placed([(0, 2), (0, 1)], 2), rules), "a dead end carries nothing"
    assert passes(problem, placed([(0, 2), (0, 1)], 2), rules[:2]), "which this rule alone says"
    assert passes(problem, placed([(0, 2), (0, 1), (2, 1)], 2, diodes=1), rules), "a diode forward"
    assert not passes(problem, placed([(0, 2), (0, 1), (1, 2)], 2, diodes=1), rules), "a diode backward"
    assert passes(problem, placed([(0, 1), (0, 2)], 2), rules), "what need not glow may lie anywhere"


def test_glowing() -> None:
    lit = study_of([(BOTH, 'a = "lit"')], feeds=FEEDS)
    assert passes(lit, placed([(0, 2)], 3), [glowing]), "from live to ground"
    assert not passes(lit, placed([(0, 1)], 3), [glowing]), "both ends are live"
    off = study_of([(BOTH, 'a = "off"')], feeds=FEEDS)
    assert passes(off, placed([(0, 1)], 3), [glowing]), "what is off may lie between live ends"


def test_across() -> None:
    lit, off = (study_of([(A_ALONE, f'a = "{word}"')], feeds=FEEDS) for word in ("lit", "off"))
    assert passes(lit, placed([(0, 2)], 3), [across]), "it burns straight across"
    assert not passes(off, placed([(0, 2)], 3), [across]), "and cannot be off"
    assert passes(off, placed([(0, 1)], 3), [across]), "an open end says nothing"
    # 0.9 of rated flux: at 11.8 V a 12 V lamp of 13.5 V test voltage gives about 0.6
    more = "[levels]\nlit = 0.9\nfull = 0.9"
    bright, full = (
        study_of([(A_ALONE, f'a = "{word}"')], feeds=FEEDS, more=more) for word in ("lit", "full")
    )
    assert not passes(bright, placed([(0, 2)], 3), [across]), "nor brighter than the low supply makes it"
    assert passes(full, placed([(0, 2)], 3), [across]), "it is as full as that supply makes it"
    dark = study_of([(A_ALONE, 'a = "dark"')], feeds=FEEDS)
    assert not passes(dark, placed([(0, 2)], 3), [across]), "and cannot be dark"


def test_across_by_type() -> None:
    text = '"P21W", "T4W"'
    rows = [(A_ALONE, 'a = "lit"')]
    for least, said in ((0.5, True), (0.9, False)):
        problem = study_of(rows, feeds=FEEDS, types=text, more=f"[levels]\nlit = {least}\nfull = 0.9")
        assert passes(problem, placed([(0, 2)], 3), [across]) is said, "some type must do"


def test_monotone() -> None:
    falls = study_of([(A_ALONE, 'a = "lit"'), (BOTH, 'a = "off"')], ("a", "b"), FEEDS)
    assert not passes(falls, placed([(3, 2), (0, 3)], 3), [monotone]), "an end grounded: it cannot fall"
    assert passes(falls, placed([(0, 3), (3, 2)], 3), [monotone]), "an end live: it may fall"
    rises = study_of([(A_ALONE, 'a = "off"'), (BOTH, 'a = "lit"')], ("a", "b"), FEEDS)
    assert not passes(rises, placed([(0, 3), (3, 2)], 3), [monotone]), "an end live: it cannot rise"
    assert passes(rises, placed([(3, 2), (0, 3)], 3), [monotone]), "an end grounded: it may rise"


def test_same_net() -> None:
    problem = study_of([(A_ALONE, 'a = "lit"'), (BOTH, 'a = "off"')], ("a", "b"), FEEDS)
    rules: list[ModelRule] = [ordered, glowing, descending, same_net]
    assert not passes(problem, placed([(0, 2), (0, 2)], 3), rules), "nothing hangs on B"
    assert passes(problem, placed([(0, 2), (0, 2)], 3), rules[:3]), "which this rule alone says"
    assert passes(problem, placed([(0, 1), (1, 2)], 3), rules), "current runs at B"
    alike = study_of([(A_ALONE, 'a = "lit"'), (BOTH, 'a = "full"')], ("a", "b"), FEEDS)
    assert passes(alike, placed([(0, 2), (0, 2)], 3), rules), "bands that overlap need no difference"


def test_same_net_counts_a_current_in_either_state() -> None:
    # b alone feels B, through a joint between the lamps
    problem = study_of([(A_ALONE, 'a = "lit"'), (BOTH, 'a = "off"')], ("a", "b", "c"), FEEDS)
    circuit = placed([(0, 3), (3, 1), (3, 2)], 3)
    assert passes(problem, circuit, [ordered, glowing, descending, same_net]), "B feeds the joint"
