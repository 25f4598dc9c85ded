"""Lamps that must be equally bright and are asked for light that no types on offer can match.

The other way: light of both lamps in small steps over what is asked of each, with the rated lumens of the
catalogue, and the ratio of each two compared with what `[[same]]` allows.
"""

import random
from itertools import product

import numpy as np
import pytest
from tests.selection import examples

from lampwright.errors import FilePlace
from lampwright.parts.catalogue import lamp_type
from lampwright.parts.filament import relative_flux_of
from lampwright.problem.reaching import unlike_findings
from lampwright.spec.load import parse_spec

SPEC = """
lampwright = 1
title = "Equally bright"
[supply]
system = 12
volts = [11.8, 13.5, 14.4]
[controls.lights]
kind = "switch"
feed = "58"
[lamps.left]
choose = ["{left}"]
[lamps.right]
choose = ["{right}"]
[[behaviour]]
when = {{ lights = "on" }}
show = {{ left = "{word}", right = "{other}" }}
[[same]]
lamps = ["left", "right"]
when = {{ lights = "on" }}
within = {within}
"""
BANDS = {"off": (0.0, 0.005), "dim": (0.01, 0.15), "lit": (0.25, np.inf)}
TYPES = ("P21W", "R5W", "R10W", "W3W", "T4W")


def steps(kind: str, word: str, volts: float) -> np.ndarray:
    """Lumens that a lamp may give at a supply [V], in small steps up to what it gives straight across."""
    (low, high), known = BANDS[word], lamp_type(kind, 12)
    lamp = known.filaments[0]
    # whatever the bulb may hold
    lamps = [lamp_type(kind, 12, filling).filaments[0] for filling in known.fillings]
    most = min(high, max(float(relative_flux_of(one, volts)) for one in lamps))
    return np.geomspace(max(low, 1e-6), most, 4000) * lamp.lumens


def can_match(left: str, right: str, word: str, other: str, within: float) -> bool:
    if word == other == "off":
        return True
    for volts in (11.8, 13.5, 14.4):
        one, two = steps(left, word, volts), steps(right, other, volts)
        ratio = one[:, None] / two[None, :]
        if not np.any((ratio >= 1 - within) & (ratio <= 1 + within)):
            return False
    return True


def test_found_exactly_where_no_steps_match() -> None:
    dice, seen = random.Random(5), {True: 0, False: 0}
    cases = list(product(TYPES, TYPES, BANDS, BANDS, (0.05, 0.5)))
    for left, right, word, other, within in dice.sample(cases, examples(30, len(cases))):
        text = SPEC.format(left=left, right=right, word=word, other=other, within=within)
        found = list(unlike_findings(parse_spec(text, "equal"), FilePlace("equal.toml")))
        matched = can_match(left, right, word, other, within)
        assert bool(found) == (not matched), text
        seen[matched] += 1
    assert min(seen.values()) > 5, f"both kinds are met: {seen}"


def test_what_is_said() -> None:
    text = SPEC.format(left="R5W", right="R5W", word="lit", other="off", within=0.1)
    (finding,) = unlike_findings(parse_spec(text, "equal"), FilePlace("equal.toml"))
    assert str(finding) == (
        'equal.toml: same 1: lamps: left is asked "lit" and right "off" with lights on: no types on offer'
        " then give equal light, within 0.1; ask them alike, or narrow the when of one row"
    )


@pytest.mark.parametrize(("right", "refused"), [("P21W", False), ("R5W", True)])
def test_unlike_words_may_match_where_types_differ(right: str, *, refused: bool) -> None:
    text = SPEC.format(left="R5W", right=right, word="lit", other="dim", within=0.1)
    assert bool(list(unlike_findings(parse_spec(text, "equal"), FilePlace("equal.toml")))) == refused
