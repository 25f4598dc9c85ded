"""What the eye sees: the same at every supply and whatever bulbs hold, or else unsure; safe or not.

Source: the supplies are bent here so that one of them makes the difference; a lamp at no volts is dark.
"""

from dataclasses import replace

import pytest
from tests.worksheets import case_for

from lampwright.app.observing import Observer
from lampwright.judge.design_rows import part_of
from lampwright.network.circuit_file import ordered_circuit
from lampwright.problem.problem import layout_of
from lampwright.teaching.lights import Seen

NAME = "lesson_1_two_in_a_row"


def seen_at(volts: tuple[float, float, float], most_amps: float = 1.0) -> Seen:
    """The two lamps in a row at other supplies, and with another limit to what the switch carries."""
    case = case_for(NAME)
    controls = tuple(replace(one, most_amps=most_amps) for one in case.spec.controls)
    spec = replace(case.spec, supply=replace(case.spec.supply, volts=volts), controls=controls)
    circuit = ordered_circuit([part_of(row) for row in case.design.parts], layout_of(spec))
    found = Observer(spec, circuit)(case.design.parts)
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("volts", "light"),
    [
        ((5.8, 6.0, 6.2), "burns"),
        ((0.1, 6.0, 6.2), "unsure"),
        ((5.8, 0.1, 6.2), "unsure"),
        ((0.1, 0.2, 6.2), "unsure"),
        ((0.1, 0.2, 0.3), "dark"),
    ],
)
def test_a_lamp_that_is_not_the_same_at_every_supply_is_unsure(
    volts: tuple[float, float, float], light: str
) -> None:
    off, on = seen_at(volts).lights
    assert off == ("dark", "dark")
    assert on == (light, "dark")


def test_what_carries_more_than_it_may_is_not_safe() -> None:
    assert seen_at((5.8, 6.0, 6.2)).is_safe
    # the small lamp takes some 60 mA
    assert not seen_at((5.8, 6.0, 6.2), most_amps=0.03).is_safe


def test_a_lamp_that_has_failed_is_dark_and_what_it_carried_as_well() -> None:
    for lights in seen_at((5.8, 6.0, 6.2)).failed:
        assert lights == (("dark", "dark"), ("dark", "dark"))
