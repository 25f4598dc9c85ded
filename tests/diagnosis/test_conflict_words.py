"""What lamps must do together is said by lamp or by setting, in the words of a builder."""

from collections.abc import Iterable

import pytest

from lampwright.diagnosis.conflict_words import requirement_rows, wishes
from lampwright.problem.problem import Problem, prepare
from lampwright.problem.requirements import Requirement
from lampwright.spec.load import parse_spec

SPEC = """
lampwright = 1
title = "T"
supply = { system = 12, volts = [11.8, 13.5, 14.4], always_live = true }
controls.turn = { kind = "flasher", feed = "L" }
controls.warn = { kind = "flasher", feed = "R" }
controls.brake = { kind = "switch", feed = "54" }
lamps.a = { choose = ["R5W"] }
lamps.b = { choose = ["R5W"] }
behaviour = [
  { when = { turn = "off", warn = "off", brake = "on" }, show = { a = "off", b = "lit" } },
  { when = { turn = "on", warn = "off", brake = "off" }, show = { a = "flash", b = "lit/dim" } },
  { when = { turn = "on", warn = "on", brake = "on" }, show = { b = "full" } },
  { when = { turn = "off", warn = "off", brake = "off" }, show = { a = "off" } },
]
same = [{ lamps = ["a", "b"], when = { turn = "on", warn = "off", brake = "off" }, within = 0.1 }]
"""
SAID = {
    (("a", "brake on"),): "`a` off with brake on",
    (("a", "brake on"), ("b", "brake on")): "`a` off and `b` lit with brake on",
    (("a", "brake on"), ("a", "all off")): "`a` off with brake on and with everything off",
    (("a", "turn on (closed)"), ("a", "turn on (open)")): "`a` flashing with turn on",
    (
        ("a", "turn on (open)"),
        ("b", "brake on"),
    ): "with turn on (contact open), `a` off; with brake on, `b` lit",
    (("b", "turn on (open)"),): "`b` dim with turn on (contact open)",
    (("b", "turn on, warn on, brake on (turn open, warn closed)"),): "`b` fully lit with turn on, warn on,"
    " brake on (turn open, warn closed)",
    (
        ("a = b", "turn on (closed)"),
        ("a = b", "turn on (open)"),
    ): "`a` and `b` alike within 10 % with turn on",
}


@pytest.fixture(scope="module")
def problem() -> Problem:
    """What the words are about; no circuit could meet it, and reading it as a file would say so."""
    return prepare(parse_spec(SPEC, "s"))


def chosen(problem: Problem, cells: Iterable[tuple[str, str]]) -> tuple[Requirement, ...]:
    """The requirements of these cells: the lamp, or the two, and the state in full."""
    by_cell = {
        (row.lamp, problem.states[one.state].full_name): one
        for one in problem.requirements
        for row in requirement_rows(problem, [one])
    }
    return tuple(by_cell[cell] for cell in cells)


@pytest.mark.parametrize("cells", SAID)
def test_said_as_a_builder_would(problem: Problem, cells: tuple[tuple[str, str], ...]) -> None:
    assert wishes(problem, chosen(problem, cells)) == SAID[cells]
