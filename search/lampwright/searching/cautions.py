"""Sentences that every report carries."""

from lampwright.problem.problem import Problem
from lampwright.spec.states import uncovered

CAUTIONS = (
    "Put a fuse in every feed, close to the battery, no larger than its wire carries.",
    "Disconnect the battery, negative first, before any work.",
    "Lamps and dropping resistors get hot: keep them off plastic, wiring and skin.",
    "A lamp dimmed or fed through another lamp may fall under its legal minimum of light.",
    "Flashing, position and side-marker lamps are regulated: follow the local code, and have a road"
    " vehicle inspected by someone qualified before it is used.",
)


def unconstrained(problem: Problem) -> tuple[str, ...]:
    """The settings that no row of the spec speaks of."""
    return uncovered(problem.spec)
