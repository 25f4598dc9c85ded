"""What a search will do before it does it: too many nodes are refused, steps rise."""

from pathlib import Path

import pytest

from lampwright.errors import InputError
from lampwright.judge.judge import Judge
from lampwright.problem.problem import prepare
from lampwright.searching.plan import plan_steps
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
