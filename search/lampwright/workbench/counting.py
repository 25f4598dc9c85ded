"""How many circuits the spec on the desk has, and about how long they take: told as soon as it is known."""

from dataclasses import dataclass

from lampwright.errors import LampwrightError
from lampwright.searching.options import BUDGET
from lampwright.spec.model import Spec

PATIENCE = 0.6
"""Seconds that samples may take to say how long a search will be."""


@dataclass(frozen=True)
class Counted:
    """The circuits of a spec. seconds: about how long one process takes, None while that is not known.

    wrong: why they cannot be searched.
    """

    circuits: int = 0
    seconds: float | None = None
    wrong: str = ""

    @property
    def is_too_many(self) -> bool:
        """Whether a search would be refused for its size, but for what a bound saves."""
        return self.circuits > BUDGET


def counted_circuits(spec: Spec) -> Counted:
    """Count the circuits of a spec without listing them."""
    # the first paint waits for none of this
    from lampwright.judge.judge import Judge
    from lampwright.problem.problem import helper_problems, prepare
    from lampwright.searching.plan import plan_steps

    try:
        steps = [plan_steps(Judge(one), None) for one in helper_problems(prepare(spec))]
    except LampwrightError as error:
        return Counted(wrong=str(error))
    return Counted(sum(step.circuits for some in steps for step in some))


def counted_seconds(spec: Spec, counted: Counted) -> Counted:
    """The same with about how long a search takes."""
    if counted.wrong or not counted.circuits:
        return counted
    from lampwright.judge.judge import Judge
    from lampwright.problem.problem import helper_problems, prepare
    from lampwright.searching.estimate import about_time
    from lampwright.searching.plan import plan_steps

    problems = helper_problems(prepare(spec))
    seconds = sum(
        about_time(one, plan_steps(Judge(one), None), PATIENCE / len(problems)).in_ways(1) for one in problems
    )
    return Counted(counted.circuits, seconds)
