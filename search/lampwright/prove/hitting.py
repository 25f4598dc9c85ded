"""The smallest set of requirements that every circuit fails in: a minimum hitting set.

Each circuit that was looked at leaves the set of requirements it fails. A set of
requirements is met by none of them exactly if it has one requirement in common with each of these
sets. The smallest such set is found and proved by the constraint solver; of several, the one that
speaks of the fewest states and lamps, and of those the first in the order of the spec.

    >>> spoken = (("lights", "rear"), ("lights", "plate"), ("brake", "rear"))
    >>> smallest_hitting(spoken, [{0, 1}, {1, 2}])
    (1,)
    >>> smallest_hitting(spoken, [{0, 2}, {1, 2}, {0, 1}])
    (0, 1)
    >>> smallest_hitting(spoken, [{0}, set()]) is None
    True

A set with nothing in it cannot be hit: some circuit fails nothing, and there is no such set of requirements.
"""

from collections.abc import Iterable, Sequence, Set

from ortools.sat.python import cp_model

from lampwright.prove.solver import Answer, new_solver, solve

WORK = 20.0
"""Deterministic time for one question."""


class _Question:
    """Which requirements are chosen, under all that has been settled so far."""

    def __init__(self, spoken: Sequence[Sequence[str]], to_hit: Iterable[Set[int]]) -> None:
        self.model = cp_model.CpModel()
        self.chosen = [self.model.new_bool_var(f"requirement {at}") for at in range(len(spoken))]
        for some in to_hit:
            self.model.add_bool_or([self.chosen[at] for at in sorted(some)])
        self.size = sum(self.chosen)
        known = {name: self.model.new_bool_var(name) for names in spoken for name in names}
        for one, names in zip(self.chosen, spoken, strict=True):
            for name in names:
                self.model.add_implication(one, known[name])
        self.spoken = sum(known.values())

    def settle(self, objective: cp_model.LinearExprT) -> int | None:
        """The least value of an objective, which is kept to from now on; None where it is not proved."""
        self.model.minimize(objective)
        solver = new_solver(WORK)
        if solve(solver, self.model) is not Answer.BEST:
            return None
        least = round(solver.objective_value)
        self.model.add(objective == least)
        return least

    def first_beside(self, taken: Sequence[int]) -> int | None:
        """The least number that can be chosen beside those taken; it is taken from now on."""
        picked = [self.model.new_bool_var("") for _ in self.chosen]
        self.model.add_exactly_one(picked)
        for at, one in enumerate(picked):
            self.model.add_implication(one, self.chosen[at])
            if at in taken:
                self.model.add(one == 0)
        return self.settle(sum(at * one for at, one in enumerate(picked)))


def smallest_hitting(spoken: Sequence[Sequence[str]], to_hit: Iterable[Set[int]]) -> tuple[int, ...] | None:
    """The smallest set of requirements with a member in every set to hit, by number, rising.

    spoken: the states and lamps that each requirement speaks of, by name. None where one of the
    sets has no member, or the solver's work ran out before a proof.
    """
    sets = list(to_hit)
    if not all(sets):
        return None
    if not sets:
        return ()
    question = _Question(spoken, sets)
    size = question.settle(question.size)
    if size is None or question.settle(question.spoken) is None:
        return None
    taken: list[int] = []
    while len(taken) < size:
        first = question.first_beside(taken)
        if first is None:
            return None
        taken.append(first)
    return tuple(taken)
