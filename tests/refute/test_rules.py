"""The rules are sound: switching one off changes the funnel and never the designs.

Two plausible rules that are false serve as negative controls: they refuse a design that
the judge accepts, so a rule of their kind would be caught here.
"""

from pathlib import Path

import numpy as np
import pytest

from lampwright.app.answering import found_only
from lampwright.judge.judge import Judge
from lampwright.network.netlist import Netlist
from lampwright.problem.problem import Choice, Problem, prepare
from lampwright.problem.reading import read_problem
from lampwright.progress.bar import quiet
from lampwright.refute.rules import RULES
from lampwright.results.design import Design
from lampwright.results.ranking import Ranking
from lampwright.searching.options import SearchOptions
from lampwright.searching.search import find_circuits
from lampwright.searching.ways import WaySearches
from lampwright.spec.load import parse_spec

SPECS = Path(__file__).parents[2] / "specs"
ON = (True,) * len(RULES)
NAMES = [rule.name for rule in RULES]
CASES = {
    "sidecar_side_lamp": 1,
    "classroom_three_lamps": 0,
    "one_filament_stop_tail": 1,
    "no_such_circuit": 0,
}
DARK = """
lampwright = 1
title = "Full from a weak supply, and a dead lamp that must not even glow"
[supply]
system = 12
volts = [9.0, 13.5, 14.4]
[controls.left_tail]
kind = "switch"
feed = "58L"
[controls.right_tail]
kind = "switch"
feed = "58R"
[lamps.left]
choose = ["R5W", "P21W"]
[lamps.right]
choose = ["R5W", "P21W"]
[lamps.telltale]
choose = ["W2.3W", "W3W"]
[[behaviour]]
when = { left_tail = "on", right_tail = "off" }
show = { left = "full", right = "dark", telltale = "full" }
[[behaviour]]
when = { left_tail = "off", right_tail = "on" }
show = { left = "dark", right = "full", telltale = "full" }
[[behaviour]]
when = { left_tail = "on", right_tail = "on" }
show = { left = "full", right = "full", telltale = "dark" }
"""


def searched(name: str, enabled: tuple[bool, ...]) -> Ranking:
    options = SearchOptions(extra_parts=CASES[name])
    return ranking(read_problem(SPECS / f"{name}.toml"), options, enabled)


def ranking(problem: Problem, options: SearchOptions, enabled: tuple[bool, ...]) -> Ranking:
    return found_only(WaySearches(problem, (find_circuits(problem, options, quiet(), enabled),)), 0.0)


def test_words_that_hang_on_lamp_and_supply_lose_no_design() -> None:
    problem = prepare(parse_spec(DARK, "dark"))
    every = (ON, (False,) * len(RULES))
    with_rules, without = (ranking(problem, SearchOptions(), on) for on in every)
    assert with_rules.designs == without.designs, "a rule refused a circuit that meets the spec"
    assert sum(refused(with_rules)) > 0, "the rules refuse some"
    best = with_rules.designs[0]
    assert [part.type for part in best.parts[:2]] == ["P21W", "P21W"], "a small one would glow"
    dead = next(row for row in best.states if row.state == "left_tail on").lamps[1]
    assert (dead.level, dead.wanted, dead.meets) == ("dark", "dark", True), "it reads as it was asked"


def refused(ranking: Ranking) -> list[int]:
    return [stage.entered - stage.left for stage in ranking.search.stages if stage.name in NAMES]


@pytest.mark.parametrize("name", CASES)
def test_without_any_rule_the_designs_are_the_same(name: str) -> None:
    with_rules, without = searched(name, ON), searched(name, (False,) * len(RULES))
    assert with_rules.designs == without.designs, "a rule refused a circuit that meets the spec"
    assert with_rules.verdict.kind == without.verdict.kind, "the verdict is the designs'"
    assert sum(refused(without)) == 0, "a rule that is off refuses nothing"


@pytest.mark.parametrize("at", range(len(RULES)), ids=NAMES)
def test_one_rule_off_changes_the_funnel_and_not_the_designs(at: int) -> None:
    enabled = tuple(number != at for number in range(len(RULES)))
    with_rules, without = searched("sidecar_side_lamp", ON), searched("sidecar_side_lamp", enabled)
    assert refused(without)[at] == 0, "the rule that is off refuses nothing"
    assert refused(with_rules)[at] > 0, "the rule does something on this spec"
    assert with_rules.designs == without.designs, "the rule refused a circuit that meets the spec"


def test_every_rule_says_what_it_claims_and_why() -> None:
    for rule in RULES:
        assert all((rule.name, rule.claim, rule.reason)), f"{rule.name} has a claim and a reason"
    assert len(set(NAMES)) == len(NAMES), "each rule has its own name"


def sidecar() -> tuple[Problem, Design, list[list[float]]]:
    """The shipped design: lamps' relative flux per state, by the judge."""
    ranking = searched("sidecar_side_lamp", ON)
    problem = read_problem(SPECS / "sidecar_side_lamp.toml")
    design = ranking.designs[0]
    return problem, design, [[lamp.flux for lamp in row.lamps] for row in design.states]


def live_feeds(problem: Problem) -> list[set[str]]:
    return [{contact.b for contact in state.contacts} for state in problem.states]


def test_negative_control_one_more_live_feed_never_dims_a_lamp_is_false() -> None:
    problem, design, flux = sidecar()
    live = live_feeds(problem)
    dimmed = [
        (s, t, lamp)
        for s in range(len(live))
        for t in range(len(live))
        for lamp in range(len(flux[0]))
        if live[s] < live[t] and flux[t][lamp] < 0.5 * flux[s][lamp] and flux[s][lamp] > 0.25
    ]
    assert dimmed, "the false rule would refuse the shipped design"
    assert design.margin_stops > 0, "which meets its spec"


def test_negative_control_on_a_conducting_path_so_not_off_is_false() -> None:
    problem, design, _ = sidecar()
    judge = Judge(problem)
    netlist = Netlist((0, 1, 2, 3), 0, np.array([[0, 3], [0, 1], [3, 1], [3, 2]], np.int8), 0, 0)
    judgement = judge.judge(netlist, Choice((0, 0, 0)))
    assert judgement.met, "the sidecar circuit meets its spec"
    brake_only = next(at for at, state in enumerate(problem.states) if state.name == "brake on")
    front = problem.layout.filaments.index("front")
    # the front filament carries the side lamp's current to ground, and is asked to be off
    assert abs(judgement.verdicts.amps[brake_only, front]) > 0.1, "it conducts"
    assert problem.states[brake_only].words[front] == "off", "and it is off"
    assert design.margin_stops > 0, "the false rule would refuse this design"
