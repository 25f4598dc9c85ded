"""What an answer hangs on that the catalogue does not know for sure, as plain rows.

The same rules hold as in `results.ranking`: every class is one object of the file, the field names are
the file's, and rows know nothing of how they were found. Margins are stops. No source: our format.
"""

from typing import Literal

from lampwright.results.row import Row, Stops

Figure = Literal["filling", "rated lumens", "rated watts", "heat through gas"]
"""What the catalogue may not know for sure."""


class TypeNote(Row, frozen=True, kw_only=True):
    """A type that a design uses: what its bulb may hold, and how far its row is to be trusted."""

    type: str
    filling: str
    filling_confidence: str
    confidence: str
    source: str


class DoubtCase(Row, frozen=True, kw_only=True):
    """A figure taken to be so, and what the judge then says of the circuit."""

    value: str
    margin_stops: Stops
    meets: bool


class Doubt(Row, frozen=True, kw_only=True):
    """A figure of the catalogue that is not certain, and how the margin hangs on it.

    `of` is the type, or what kind of lamp; `span` how far the figure may be off. `turns` says that
    the circuit meets the spec in some of the cases and misses it in others.
    """

    figure: Figure
    of: str
    span: str
    confidence: str
    cases: tuple[DoubtCase, ...]
    cost_stops: Stops
    turns: bool
