"""Lamps that take one type: the choices of types, against every combination written out."""

from itertools import product

import pytest

from lampwright.errors import InputError
from lampwright.problem.problem import choice_of, fit_of, prepare
from lampwright.spec.load import parse_spec

SPEC = """
lampwright = 1
title = "Two alike"
alike = [["left", "right"]]
[supply]
system = 12
volts = [11.8, 13.5, 14.4]
[controls.lights]
kind = "switch"
feed = "58"
[lamps.left]
choose = ["R5W", "P21W", "W3W"]
[lamps.middle]
choose = ["P21W", "R5W"]
[lamps.right]
choose = ["P21W", "R5W"]
[[behaviour]]
when = { lights = "on" }
show = { left = "lit" }
"""


def test_the_choices_are_those_with_one_type() -> None:
    problem = prepare(parse_spec(SPEC, "two"))
    offered = problem.part_options.lamp_types
    fit = fit_of(problem, 0, 0)
    found = {
        tuple(types[digit] for types, digit in zip(offered, choice_of(n, fit).digits, strict=True))
        for n in range(len(fit.digits))
    }
    every = product(("R5W", "P21W", "W3W"), ("P21W", "R5W"), ("P21W", "R5W"))
    assert found == {one for one in every if one[0] == one[2]}


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('"right"]]', '"rihgt"]]', "is no lamp of this spec"),
        ('"right"]]', '"right"], ["middle", "left"]]', "is in group 1 already"),
        (
            'choose = ["R5W", "P21W", "W3W"]',
            'choose = ["W3W"]',
            "no type is offered to all of left and right",
        ),
    ],
)
def test_groups_that_cannot_be(old: str, new: str, says: str) -> None:
    with pytest.raises(InputError, match=says):
        parse_spec(SPEC.replace(old, new, 1), "two")
