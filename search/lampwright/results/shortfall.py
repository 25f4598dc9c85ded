"""Why a spec has no circuit and what would help, as plain rows.

Rows as in `results.ranking`, whose Ranking holds them. Margins are stops, negative where a
requirement is missed by so much. No source: our format.
"""

from typing import Literal

from lampwright.results.design import Design, Taken
from lampwright.results.row import Row, Stops, Whole

Proof = Literal["all values", "listed values"]
ChangeKind = Literal[
    "other type", "wider band", "narrower supply", "one more part", "one more lamp", "one more joint",
    "one more wire", "insulated holder", "looser rating",
]  # fmt: skip


class RequirementRow(Row, frozen=True, kw_only=True):
    """One cell of the behaviour table: what one lamp must do in one state and phase."""

    lamp: str
    state: str
    phase: str
    wanted: str


class Conflict(Row, frozen=True, kw_only=True):
    """Requirements that no circuit within the bounds meets together, though it would without any one.

    `text` says it in words. `smallest`: no set of fewer requirements conflicts; otherwise none
    can be left out of this one. `proof` says whether it holds for all values of the parts or for
    the listed types and values; `checked` how it was found and checked.
    """

    requirements: tuple[RequirementRow, ...]
    text: str
    smallest: bool
    proof: Proof
    checked: tuple[str, ...]


class Missed(Row, frozen=True, kw_only=True):
    """One requirement that a near miss does not meet, and by how many stops at its worst corner."""

    lamp: str
    state: str
    wanted: str
    margin_stops: Stops
    corner: str


class NearMiss(Row, frozen=True, kw_only=True):
    """A circuit that fails by little: in full, with what it misses, worst first.

    `over` says which ratings it exceeds, in the order of `design.ratings`, then what else it is over; its
    `rank` counts near misses.
    """

    design: Design
    missed: tuple[Missed, ...]
    over: tuple[str, ...]

    @property
    def but_for(self) -> str:
        """Within what it does not give every lamp what is asked; nothing where it misses something."""
        if self.missed:
            return ""
        return "within its ratings" if self.design.ratings.over else "within the limits of the coupling"


class Suggestion(Row, frozen=True, kw_only=True):
    """A least change of the spec with which some circuit passes, tried out.

    `change` says it in words, `spec_text` as the lines of the spec to write; `parts` in
    `design` then meet the changed spec with `margin_stops`. `verified` says how it was tried. `row` is the
    number of the row of behaviour in whose place the lines stand, None where they change none.
    """

    kind: ChangeKind
    change: str
    spec_text: str
    margin_stops: Stops
    design: Design
    verified: str
    row: Whole | None = None


class Shortfall(Row, frozen=True, kw_only=True):
    """Why no circuit meets the spec, how near some come, and what would help.

    `looked_at` says which circuits near misses were sought among, `tried` which kinds of
    change were tried and what came of each; `conflict` is null where none was found in the work allowed.
    Where the spec leaves a choice, all this is of the one way that comes nearest, which `takes` says.
    """

    conflict: Conflict | None
    looked_at: str
    near_misses: tuple[NearMiss, ...]
    suggestions: tuple[Suggestion, ...]
    tried: tuple[str, ...]
    takes: tuple[Taken, ...] = ()


def but_for(shortfall: Shortfall) -> str:
    """Within what no circuit gives every lamp what is asked, though some near miss does beyond it."""
    return next((near.but_for for near in shortfall.near_misses if near.but_for), "")
