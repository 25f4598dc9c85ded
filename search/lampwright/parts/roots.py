"""Where a rising law takes a given value, for a whole array at once.

Each target is first put between two neighbours of a grid; Newton steps are then taken,
halving instead where a step would leave the bracket, so the worst case is bisection.
The count of steps is bounded and running out of them is an error, never an answer.

Source: Newton with bisection as a guard, textbook method (common practice).
"""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from lampwright.parts.tables import Floats

MOST_STEPS = 80
STEP = 1e-9  # Newton squares the error: after a step this small only rounding is left


class Tangent(NamedTuple):
    """A law's values and its derivative there, of one shape; together they share most of their work."""

    value: Floats
    slope: Floats


def root_of_rising(law: Callable[[Floats], Tangent], target: Floats, grid: Floats, known: Floats) -> Floats:
    """The x at which a law has the value target, element by element.

    law: a strictly rising function of x (dimensionless). grid: (n,), rising. known: (n,), the law's values
    there. target: any shape, within known[0] .. known[-1].
    Returns x, the shape of target, to rounding of the law. Raises ArithmeticError if
    a target lies outside or the steps run out.
    """
    if np.any(target < known[0]) or np.any(target > known[-1]) or np.any(np.isnan(target)):
        raise ArithmeticError(f"target outside the law's range {known[0]:.6g} .. {known[-1]:.6g}")
    cell = np.clip(np.searchsorted(known, target), 1, grid.size - 1)
    low, high = grid[cell - 1], grid[cell]
    x = np.asarray(np.interp(target, known, grid), dtype=np.float64)
    for _ in range(MOST_STEPS):
        value, slope = law(x)
        miss = value - target
        low, high = np.where(miss < 0.0, x, low), np.where(miss > 0.0, x, high)
        step = x - miss / slope
        step = np.where((step >= low) & (step <= high), step, 0.5 * (low + high))
        moved = np.max(np.abs(step - x), initial=0.0)
        x = step
        if moved <= STEP:
            return x
    raise ArithmeticError(f"no root within {MOST_STEPS} steps")
