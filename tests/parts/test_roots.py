"""The root finder of rising laws, against functions whose inverse is known."""

from collections.abc import Callable

import numpy as np
import pytest

from lampwright.parts.roots import Tangent, root_of_rising
from lampwright.parts.tables import Floats

GRID = np.linspace(-3.0, 3.0, 7)
Law = Callable[[Floats], Floats]


def root(law: Law, slope: Law, target: Floats, grid: Floats) -> Floats:
    """The root of a law and its derivative that are given apart."""
    return root_of_rising(lambda x: Tangent(law(x), slope(x)), target, grid, law(grid))


def test_finds_known_inverses() -> None:
    target = np.linspace(-2.9, 2.9, 59).reshape(1, 59)
    cube = root(lambda x: x**3 + x, lambda x: 3.0 * x**2 + 1.0, target**3 + target, GRID)
    assert cube.shape == target.shape
    assert np.abs(cube - target).max() < 1e-12
    up = root(np.exp, np.exp, np.exp(target), GRID)
    assert np.abs(up - target).max() < 1e-12


def test_a_law_newton_alone_would_leave_is_still_solved() -> None:
    # arctan: unguarded Newton runs away from starts beyond 1.39
    steep = root(
        lambda x: np.arctan(40.0 * (x - 0.3)),
        lambda x: 40.0 / (1.0 + 1600.0 * (x - 0.3) ** 2),
        np.array([0.0]),
        np.array([-3.0, 3.0]),
    )
    assert abs(steep[0] - 0.3) < 1e-12


def test_outside_is_an_error_not_an_answer() -> None:
    for wrong in (5.0, -5.0, np.nan):
        with pytest.raises(ArithmeticError, match="outside"):
            root(lambda x: x, np.ones_like, np.array([wrong]), GRID)


def test_a_useless_slope_falls_back_to_halving() -> None:
    found = root(lambda x: x**3, lambda x: np.full_like(x, np.nan), np.array([0.5]), GRID)
    assert abs(found[0] - 0.5 ** (1.0 / 3.0)) < 2e-9, "stops at steps of 1e-9"


def test_running_out_of_steps_is_an_error() -> None:
    # from 1e30 to 1 by halving takes 100 steps
    with pytest.raises(ArithmeticError, match="no root within"):
        root(lambda x: x**3, lambda x: np.full_like(x, np.nan), np.array([0.5]), np.array([0.0, 1e30]))
