"""What a spec asks, one requirement at a time.

A requirement is one cell of the behaviour table spread over all states, a filament in a state
of which something is asked, or one pair of lamps that must match in a state. They are
numbered state by state, filaments in order, the pairs that must match after all of them.
"""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from lampwright.judge.judge import is_asked
from lampwright.problem.problem import Problem
from lampwright.solve.laws import Ints

WORD = 62
"""Requirements to a word of a mask."""

MOST_LOCAL = 60
"""Requirements that one state may have for all its failures to fit into one word."""


@dataclass(frozen=True)
class Cell:
    """One requirement: a filament in a state, or, with a partner, two filaments that must match."""

    state: int
    filament: int
    partner: int | None = None


class Numbered(NamedTuple):
    """The requirements as the survey reads them.

    cell: (states, filaments) the number of each, -1 where nothing is asked. same_from:
    (states + 1,) the pairs that must match, by state; pair p has number first_same + p.
    """

    cell: Ints
    same_from: Ints
    first_same: int


def cells_of(problem: Problem) -> tuple[Cell, ...]:
    """Every requirement of a spec, by its number."""
    asked = np.argwhere(is_asked(problem.demands))
    demands = problem.demands
    pairs = zip(demands.same_state, demands.same_first, demands.same_second, strict=True)
    return (
        *(Cell(int(state), int(filament)) for state, filament in asked),
        *(Cell(int(state), int(first), int(second)) for state, first, second in pairs),
    )


def numbered(problem: Problem) -> Numbered:
    """The numbers of a spec's requirements as arrays."""
    asked = is_asked(problem.demands)
    cell = np.where(asked, np.cumsum(asked).reshape(asked.shape) - 1, -1).astype(np.int64)
    same_from = np.searchsorted(problem.demands.same_state, np.arange(len(problem.states) + 1)).astype(
        np.int64
    )
    return Numbered(cell, same_from, int(asked.sum()))


def is_countable(problem: Problem) -> bool:
    """Whether the failures of any one state fit into one word."""
    pairs = np.diff(numbered(problem).same_from)
    return int(pairs.max(initial=0)) + len(problem.layout.filaments) <= MOST_LOCAL
