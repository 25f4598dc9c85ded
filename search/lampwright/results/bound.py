"""How few extra parts a spec can do with, as plain rows: what the constraint model proved.

Rows as in `results.ranking`, whose Ranking holds them. No source: our format.
"""

from lampwright.results.row import Row, Whole


class BoundRule(Row, frozen=True, kw_only=True):
    """One family of conditions: its name, and what it says of every circuit that meets a spec."""

    name: str
    claim: str


class Bound(Row, frozen=True, kw_only=True):
    """A proved lower bound on extra parts, from a model that every circuit meeting the spec satisfies.

    No circuit with fewer than `least_extra_parts` extra parts meets the spec; where
    `none_at_all`, none does with as many as the spec allows either. `ended` is false where
    the model was left at its work limit: the bound is then proved all the same, but a better
    one may exist. `over` says for which parts, values and supplies it holds.
    """

    least_extra_parts: Whole
    none_at_all: bool
    ended: bool
    over: str
    rules: tuple[BoundRule, ...]
