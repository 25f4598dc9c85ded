"""Lamps that must match, or be brighter than something else, in words; as text and for the page.

No source: our layout.
"""

from collections.abc import Sequence

from lampwright.report import si
from lampwright.report.layout import bullets, paragraph
from lampwright.results.design import ComparedRow

COMPARED = "Lamps compared, each at its worst corner"


def compared_text(rows: Sequence[ComparedRow], width: int) -> str:
    """Write how lamps compare with what they are held against."""
    if not rows:
        return ""
    return "\n".join((paragraph(f"{COMPARED}:", width), *bullets(compared_words(rows), width)))


def compared_words(rows: Sequence[ComparedRow]) -> tuple[str, ...]:
    """Every comparison in words, the one with the least margin first."""
    return tuple(_words(row) for row in sorted(rows, key=lambda row: row.margin_stops))


def _words(row: ComparedRow) -> str:
    both = f"{row.lamp} and {row.than}" if row.kind == "same" else row.lamp
    margin = (
        f"missed by {si.stops(-row.margin_stops)}" if row.margin_stops < 0 else si.stops(row.margin_stops)
    )
    spare = margin if row.margin_stops < 0 else f"{margin} of margin"
    return f"{both} with {row.state}: {row.wanted}; {_found(row)}{spare}, {row.corner}"


def _found(row: ComparedRow) -> str:
    if row.ratio is None:
        return ""
    if row.kind == "same":
        return f"{100.0 * abs(row.ratio - 1.0):.2g} % apart at normal supply; "
    return f"{row.ratio:.3g} times at normal supply; "
