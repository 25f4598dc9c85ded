"""The table `[levels]` of the format: what the words for a lamp stand for.

Apart from `fields.py` only for length. Left out, the words stand for the bands in `levels`.
No source: our format; where a glow is first seen is in `model`.
"""

from math import inf

from lampwright.spec.levels import MOST_DARK_KELVIN
from lampwright.spec.shapes import Either, Field, ListOf, Number, Table

_BAND = ListOf(Number(0.0, inf), 2, 2, rising=True)


def _level(key: str, number: str, doc: str) -> Field:
    """Return the field of a level that may be given by one number: its only edge."""
    want = f"write {number}, or a pair of rising numbers"
    return Field(key, Either(Number(0.0, 100.0, above=True), _BAND), doc, want)


_BANDS = Table(
    (
        Field(
            "dark",
            Number(300.0, MOST_DARK_KELVIN),
            "Temperature [K] of a filament that must not even glow: at most (798).",
            f"write one number of kelvin from 300 to {MOST_DARK_KELVIN:g}",
        ),
        _level(
            "off",
            "one number above 0, the most flux",
            "Relative flux of a lamp that is off: at most (0.005).",
        ),
        Field("dim", _BAND, "Relative flux of a dim lamp ([0.01, 0.15]).", "write a pair as [0.01, 0.15]"),
        _level("lit", "one number above 0, the least flux", "Relative flux of a lit lamp: at least (0.25)."),
        _level(
            "full",
            "one number above 0, the least share of full light",
            "Flux of a full lamp: at least so much (0.60) of what it gives straight across the supply,"
            " or of rated flux where that is less.",
        ),
    )
)

LEVELS = Field(
    "levels",
    _BANDS,
    "Bands of flux relative to rated flux; of dark, kelvin.",
    "write lit = 0.25 in it, or leave it out",
)
