"""Circuits that meet the spec in some fillings of their lamps and miss it in others, as plain rows.

The same rules hold as in `results.ranking`: every class is one object of the file, the field names are
the file's, and rows know nothing of how they were found. Margins are stops. No source: our format.
"""

from lampwright.results.design import PartRow
from lampwright.results.row import Row, Stops, Whole


class HingeCase(Row, frozen=True, kw_only=True):
    """What the lamps are taken to hold, type by type, and what the judge then says."""

    assumes: tuple[str, ...]
    margin_stops: Stops
    meets: bool


class HingeDesign(Row, frozen=True, kw_only=True):
    """A circuit that meets the spec in some fillings of its lamps and misses it in others."""

    text: str
    extra_parts: Whole
    wires: Whole
    joints: Whole
    conductors: Whole
    parts: tuple[PartRow, ...]
    cases: tuple[HingeCase, ...]


class Hinges(Row, frozen=True, kw_only=True):
    """Circuits that hang on a filling: how many with the fewest extra parts, and the best of them."""

    text: str
    circuits: Whole
    extra_parts: Whole
    designs: tuple[HingeDesign, ...]
