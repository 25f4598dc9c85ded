"""The least number of extra parts, proved before anything is listed: where the search starts.

A bound is asked for where extra parts are allowed, since without them the listing is short.
It takes work and no clock, so that another machine has the same; it is kept with the pieces of
the search, so that one that goes on need not ask again.
"""

from typing import Protocol

import msgspec

from lampwright.problem.problem import Problem
from lampwright.results.bound import Bound, BoundRule
from lampwright.searching.plan import Step

WORK = 10.0
"""Most work for a bound, in the solver's own count: about as many seconds of one core."""

NAME = "bound"


class Keeper(Protocol):
    """Keeps finished pieces."""

    def known(self, name: str) -> str | None:
        """What is kept under a name, if anything."""

    def add(self, name: str, text: str) -> None:
        """Keep a finished piece."""


def kept_bound(problem: Problem, steps: tuple[Step, ...], keeper: Keeper) -> Bound | None:
    """The bound of these steps, from the keeper if it has it; None where no extra parts are allowed."""
    known = keeper.known(NAME)
    if known is not None:
        return msgspec.json.decode(known, type=Bound)
    bound = find_bound(problem, steps)
    if bound is not None:
        keeper.add(NAME, msgspec.json.encode(bound).decode())
    return bound


def find_bound(problem: Problem, steps: tuple[Step, ...]) -> Bound | None:
    """Ask the constraint model for the extra parts of these steps; None where none are allowed."""
    most = max((step.extra_parts for step in steps), default=0)
    if most == 0:
        return None
    # the solver is imported with the first question, so that searches without one start at once
    from lampwright.prove.bound import bound_of

    found = bound_of(problem, most, WORK)
    rules = tuple(BoundRule(name=rule.name, claim=rule.claim) for rule in found.rules)
    return Bound(
        least_extra_parts=found.least_extra_parts,
        none_at_all=found.none_at_all,
        ended=found.ended,
        over=found.over,
        rules=rules,
    )


def is_ruled_out(step: Step, bound: Bound | None) -> bool:
    """Whether no circuit of a step can meet the spec."""
    return bound is not None and (bound.none_at_all or step.extra_parts < bound.least_extra_parts)
