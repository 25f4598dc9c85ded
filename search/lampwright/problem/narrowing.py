"""What is left of the bands where lamps are compared with each other, or with themselves in another state.

A lamp that must give at least so many times another's light gives so much more than that one's least, and
than the most that counts as off; the other gives so much less than the first one's most, which is what it
gives straight across the supply. So edges move, and others with them: each comparison is gone through again
until none moves, once for every comparison at the most.

Worked case: rear must be twice as bright with brake as without, where it is lit, at least 0.25. With brake
it gives at least 0.5; without, at a supply where straight across is 0.8, at most 0.4.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from lampwright.problem.requirements import FluxBands
from lampwright.solve.boundary import Truths
from lampwright.solve.laws import Floats
from lampwright.spec.states import LightComparison

GRANTED = 1e-5
"""Share of light by which an edge that follows from another is put further out: the judge reads tables."""

Node = tuple[int, int]


def narrowed(
    asked: FluxBands,
    comparisons: Sequence[LightComparison],
    lumens: Sequence[Floats],
    lamp_at: Sequence[int],
    off_flux: float,
) -> FluxBands:
    """The bands that comparisons leave; they themselves where there are none.

    lumens: per filament, (types,) rated. lamp_at: the lamp of every filament, whose types go together.
    off_flux: the most relative flux that counts as off.
    """
    if not comparisons:
        return asked
    low, high = [one.copy() for one in asked.low], [one.copy() for one in asked.high]
    for _ in comparisons:
        moved = False
        for one in comparisons:
            first, second = (one.first, one.first_state), (one.second, one.second_state)
            fit = _fits(
                len(lumens[one.first]), len(lumens[one.second]), lamp_at[one.first] == lamp_at[one.second]
            )
            least = np.maximum(low[second[0]][second[1]], off_flux) * lumens[one.second][:, None]
            least = one.by * np.min(np.where(fit[:, :, None], least[None], np.inf), axis=1)
            moved |= _raise(low[first[0]][first[1]], least / lumens[one.first][:, None] * (1.0 - GRANTED))
            most = np.minimum(high[first[0]][first[1]], asked.across[one.first] * (1.0 + GRANTED))
            most = most * lumens[one.first][:, None]
            most = np.max(np.where(fit[:, :, None], most[:, None], 0.0), axis=0) / one.by
            moved |= _lower(high[second[0]][second[1]], most / lumens[one.second][:, None] * (1.0 + GRANTED))
        if not moved:
            break
    return replace(
        asked, low=tuple(low), high=tuple(high), ordered=_ordered(comparisons, len(low), len(low[0]))
    )


def _fits(first: int, second: int, together: bool) -> Truths:
    """Which types of two filaments may be fitted at once, (types, types)."""
    return np.eye(first, dtype=np.bool_) if together else np.ones((first, second), np.bool_)


def _raise(edge: Floats, least: Floats) -> bool:
    """Move a low edge up, in place; whether it moved."""
    moved = bool(np.any(least > edge))
    np.maximum(edge, least, out=edge)
    return moved


def _lower(edge: Floats, most: Floats) -> bool:
    """Move a high edge down, in place; whether it moved."""
    moved = bool(np.any(most < edge))
    np.minimum(edge, most, out=edge)
    return moved


def _ordered(comparisons: Sequence[LightComparison], filaments: int, states: int) -> Truths:
    """Where a filament is brighter in one state than in another, by some chain: (filaments, s, t)."""
    below: dict[Node, set[Node]] = {}
    for one in comparisons:
        below.setdefault((one.first, one.first_state), set()).add((one.second, one.second_state))
    found = np.zeros((filaments, states, states), np.bool_)
    for start in below:
        seen, left = set[Node](), [start]
        while left:
            new = below.get(left.pop(), set()) - seen
            seen |= new
            left += new
        for filament, state in seen:
            if filament == start[0]:
                found[filament, start[1], state] = True
    return found
