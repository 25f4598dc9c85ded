"""Clauses whose literals may be known already: True and False beside the solver's variables.

A known literal costs the model nothing: a clause with a True one is not written, a False
one is left out.

    >>> model = cp_model.CpModel()
    >>> x = model.new_bool_var("x")
    >>> both(model, True, x) is x, both(model, False, x), flipped(True)
    (True, False, False)
"""

from collections.abc import Iterable
from typing import TypeAlias

import numpy as np
from ortools.sat.python import cp_model

Literal: TypeAlias = cp_model.LiteralT
Linear: TypeAlias = cp_model.BoundedLinearExpression


def flipped(literal: Literal) -> Literal:
    """The opposite."""
    return (not literal) if isinstance(literal, bool) else ~literal


def clause(model: cp_model.CpModel, literals: Iterable[Literal]) -> None:
    """At least one of these."""
    given = list(literals)
    if not any(one is True for one in given):
        model.add_bool_or([one for one in given if one is not False])


def implies(model: cp_model.CpModel, given: Iterable[Literal], then: Iterable[Literal]) -> None:
    """If all that is given holds, then at least one of these does."""
    clause(model, [*(flipped(one) for one in given), *then])


def both(model: cp_model.CpModel, a: Literal, b: Literal) -> Literal:
    """A literal that holds just when both do."""
    if a is True or b is False:
        return b
    if b is True or a is False:
        return a
    name = model.new_bool_var("")
    model.add_implication(name, a)
    model.add_implication(name, b)
    implies(model, (a, b), (name,))
    return name


def any_of(model: cp_model.CpModel, literals: Iterable[Literal]) -> Literal:
    """A literal that holds just when at least one of these does."""
    given = [one for one in literals if one is not False]
    if any(one is True for one in given):
        return True
    if len(given) < 2:
        return given[0] if given else False
    name = model.new_bool_var("")
    model.add_bool_or([*given, ~name])
    for one in given:
        model.add_implication(one, name)
    return name


def given(model: cp_model.CpModel, literals: Iterable[Literal], relation: Linear | bool | np.bool_) -> None:
    """If all of these hold, so does a linear relation."""
    conditions = [one for one in literals if one is not True]
    if any(one is False for one in conditions):
        return
    if isinstance(relation, bool | np.bool_):
        if not relation:
            clause(model, [flipped(one) for one in conditions])
        return
    model.add(relation).only_enforce_if(conditions)
