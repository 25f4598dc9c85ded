"""What a search will do before it does it: too many nodes are refused, steps rise."""

from math import prod
from pathlib import Path

import pytest

from lampwright.errors import InputError
from lampwright.judge.judge import Judge
from lampwright.problem.problem import choices_of, fit_of, prepare
from lampwright.searching.plan import check_budget, most_choices, plan_steps
from lampwright.spec.load import parse_spec

SPECS = Path(__file__).parents[2] / "specs"
MORE = '\n[controls.extra]\nkind = "switch"\nfeed = "54g"\n'


def test_more_nodes_than_can_be_counted_are_refused() -> None:
    text = (SPECS / "trailer_feed_telltale.toml").read_text(encoding="utf-8")
    crowded = prepare(parse_spec(text.replace("joints = 1", "joints = 4") + MORE, "own"))
    with pytest.raises(
        InputError, match=r"own\.toml: search: 4 terminals and 4 joints are 8 nodes.*keep to 7"
    ):
        plan_steps(Judge(crowded), None)


def test_steps_rise_by_one_part_and_leave_out_shorts() -> None:
    text = (SPECS / "sidecar_side_lamp.toml").read_text(encoding="utf-8")
    problem = prepare(parse_spec(text, "own"))
    steps = plan_steps(Judge(problem), None)
    assert [step.extra_parts for step in steps] == [0, 1, 2], "no part, then one, then both"
    assert [step.circuits for step in steps] == [1269, 37701, 256530], "as the shipped result counts them"
    ground = problem.layout.terminals.index("31")
    for step in steps:
        for placing in step.orbits:
            mates = [block for block in placing.partition if block == placing.partition[ground]]
            assert len(mates) == 1, "no wire joins a feed to ground"


MANY = """
lampwright = 1
title = "More choices than can be made"
[supply]
system = 12
volts = [11.8, 13.5, 14.4]
[controls.lights]
kind = "switch"
feed = "58"
[lamps.one]
choose = ["R5W", "P21W", "W3W"]
[lamps.two]
choose = ["R5W", "P21W", "W3W"]
[extras]
resistors = { most = 6, series = "E24", ohms = [1.0, 1000000.0] }
[search]
joints = 0
[[behaviour]]
when = { lights = "on" }
show = { one = "lit" }
"""


def test_choices_are_counted_without_being_made() -> None:
    """145 values of E24 (IEC 60063: 24 for each of six decades, and the end) in six places."""
    judge = Judge(prepare(parse_spec(MANY, "many")))
    steps = plan_steps(judge, None)
    options = judge.problem.part_options
    assert len(options.ohms) == 145
    assert most_choices(judge, steps) == len(fit_of(judge.problem, 0, 0).digits) * 145**6
    for resistors in (0, 1, 2):
        assert choices_of(judge.problem, 0, resistors) == len(fit_of(judge.problem, 0, resistors).digits)
    with pytest.raises(InputError, match="choices of types and values, more than 1,000,000"):
        check_budget("many.toml", steps, most_choices(judge, steps), 10**12)


def test_more_lamps_than_choices_can_be_made_of_are_counted() -> None:
    """Ten of them with nine types each; where all must be alike, nine choices are left."""
    types = '["R5W", "P21W", "W3W", "W5W", "R10W", "W2.3W", "W16W", "H21W", "T4W"]'
    lamps = "".join(f"[lamps.l{n}]\nchoose = {types}\n" for n in range(10))
    text = MANY.replace("resistors = {", "# ").replace("[extras]", f"{lamps}[extras]")
    judge = Judge(prepare(parse_spec(text.replace("[extras]\n", ""), "many")))
    offered = [len(types) for types in judge.problem.part_options.lamp_types]
    assert choices_of(judge.problem, 0, 0) == prod(offered) >= 9 * 9**10
    names = ", ".join(f'"l{n}"' for n in range(10))
    alike = text.replace("[extras]\n", "").replace("[supply]", f"alike = [[{names}]]\n[supply]")
    made = fit_of(prepare(parse_spec(alike, "alike")), 0, 0).digits
    assert 9 * 9 <= len(made) <= 9 * 2 * 9 * 2, "two fillings of some types"
