"""The atlas against an independent trial of the same question.

Source: figures of a trial that others made with programs of their own, written down in the tracker of this
project (issue 16): 13.5 V, four lamp types that it does not name, two feeds, up to two joints, off at most
0.5 % and lit at least 25 % of rated light. It counts circuits whose lamps are told apart.
"""

from functools import cache
from itertools import permutations
from math import inf

import numpy as np
import pytest
from tests.selection import some_rows

from lampwright.atlas.bound import AtlasBound, Size, feed_renamings, problem_of
from lampwright.atlas.circuits import distinct_circuits, every_fit, least_fits
from lampwright.atlas.gather import renamed
from lampwright.atlas.showing import show
from lampwright.atlas.survey import SizeSurvey, setting_of, survey_size
from lampwright.graphs.cell import Cell, Star
from lampwright.graphs.listing import endpoints, list_blocks, open_listing
from lampwright.graphs.orbits import count_orbits

CIRCUITS = {False: (15, 123, 1419), True: (48, 528, 7668)}
"""Of 2, 3 and 4 lamps, without an always live terminal and with it."""
FUNCTIONS = {False: (6, 7, 7, 8), True: (9, 11, 11, 12)}
"""Of the 16, those that one of 2, 3, 4, 5 lamps shows."""

NEVER, AND, OR, XOR, NOR, NAND, A_NOT_B, NOT_A, ALWAYS = 0, 8, 14, 6, 1, 7, 2, 5, 15
LEAST = [  # function, always live, least lamps, diodes
    (OR, False, 2, 0),
    (A_NOT_B, False, 2, 0),
    (NOT_A, True, 2, 0),
    (NOR, True, 3, 0),
    (XOR, False, 3, 0),
    (AND, False, 5, 0),
    (NOR, True, 2, 1),
    (AND, False, 3, 1),
    (NAND, True, 3, 2),
]


@cache
def surveyed(lamps: int, always_live: bool, diodes: int = 0) -> SizeSurvey:
    return survey_size(AtlasBound(always_live=always_live), Size(lamps, diodes), 2)


def functions(found: SizeSurvey) -> set[int]:
    """The functions of two feeds that a lamp shows at normal supply, feeds told apart."""
    alone = [form[0] for form in found.normal if len(form) == 1]
    return {renamed(one, names) for one in alone for names in feed_renamings(2)}


@pytest.mark.parametrize("always_live", [False, True])
@pytest.mark.parametrize("lamps", [2, 3, 4])
def test_circuits_of_lamps_told_apart(lamps: int, always_live: bool) -> None:
    bound = AtlasBound(always_live=always_live)
    told_apart = [
        Cell(bound.terminals, joints, (Star(1),) * lamps, 0, 0) for joints in range(bound.joints + 1)
    ]
    assert sum(count_orbits(cell) for cell in told_apart) == CIRCUITS[always_live][lamps - 2]
    # the same from the listing of lamps not told apart: in how many ways can each be numbered?
    numbered = sum(len(numberings(cell)) for cell in bound.cells(Size(lamps, 0)))
    assert numbered == CIRCUITS[always_live][lamps - 2]


def numberings(cell: Cell) -> set[tuple[tuple[int, int], ...]]:
    """Every listed drawing with its lamps in every order, joints renamed to the least image."""
    found = set()
    inner = list(permutations(range(cell.terminals, cell.vertices)))
    for block in list_blocks(cell):
        for ends in endpoints(open_listing(cell), block.options).tolist():
            for order in permutations(ends):
                names = [(*range(cell.terminals), *some) for some in inner]
                images = (tuple((min(at[a], at[b]), max(at[a], at[b])) for a, b in order) for at in names)
                found.add(min(images))
    return found


@pytest.mark.parametrize("always_live", [False, True])
@pytest.mark.parametrize("lamps", [2, 3, 4, 5])
def test_functions_that_one_lamp_shows(lamps: int, always_live: bool) -> None:
    assert len(functions(surveyed(lamps, always_live))) == FUNCTIONS[always_live][lamps - 2]


def test_the_fifth_lamp_brings_and() -> None:
    for always_live in (False, True):
        new = functions(surveyed(5, always_live)) - functions(surveyed(4, always_live))
        assert new == {AND}


@pytest.mark.parametrize(("function", "always_live", "lamps", "diodes"), some_rows(LEAST, 8))
def test_the_least_lamps(function: int, always_live: bool, lamps: int, diodes: int) -> None:
    assert function in functions(surveyed(lamps, always_live, diodes))
    assert function not in functions(surveyed(lamps - 1, always_live, diodes))
    if diodes:
        assert function not in functions(surveyed(lamps, always_live, diodes - 1))


@pytest.mark.parametrize(
    ("diode_amps", "shown"), [(3.0, False), (1100.0, False), (1150.0, True), (inf, True)]
)
def test_exclusive_or_of_two_lamps_and_a_diode_melts_the_diode(diode_amps: float, shown: bool) -> None:
    # the trial says "only at 1,150 A" of a diode that it does not name; our 1N5404 would carry 1,127 A
    bound, size = AtlasBound(), Size(2, 1)
    fits, seen = every_fit(bound, size), set[int]()
    for joints, circuits in enumerate(distinct_circuits(bound, size)):
        setting = setting_of(problem_of(bound, size), joints)._replace(diode_amps=diode_amps)
        every = show(circuits.ends, fits, least_fits(circuits, fits), setting)
        seen |= set(np.unique(every.normal).tolist())
    assert (XOR in seen) == shown
