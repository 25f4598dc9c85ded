"""How far things stand apart in a drawing, in pixels, and how wide its words may be.

Words are measured without a font: each character is given the width of the widest common
sans-serif fonts, so that a text is never longer than its box.

No source: our layout; the widths of characters are those of a broad sans-serif, rounded up.
"""

import unicodedata
from itertools import accumulate

from msgspec import Struct

from lampwright.report import si
from lampwright.report.schematic.layout import Throw
from lampwright.results.design import PartRow

FONT = 13.0
LINE = 16.0
LONGEST = 170.0

MARGIN = 16.0
BATTERY = 114.0
"""Width of the battery's column, left of all posts."""

SUPPLY_RAIL = 28.0
"""The supply rail's height."""

FUSE_ROW, RATING_ROW, BLOWN_ROW = 56.0, 49.0, 65.0
"""Middle of a fuse, of its rating, and of what is wrong with the feed."""


class FeedRows(Struct, frozen=True):
    """Heights of the feeds' zone: middle of the contacts, the terminals, the zone's end."""

    contact: float
    terminal: float
    end: float


PLAIN, WITH_FANS = FeedRows(96.0, 132.0, 142.0), FeedRows(130.0, 182.0, 198.0)
"""Without selectors above the terminals, and with them."""

THIN = 34.0
TALL = 130.0
TITLED = 24.0
FAULT_ROW, CURRENT_ROW, SYMBOL_ROW, SYMBOL_HIGH = 17.0, 34.0, 75.0, 48.0
"""In a gap with symbols, from its top: the middle of what is wrong, of arrow and symbol; its height."""

LEFT, LEFT_OF_WIRE, LEFT_OF_FEED = 30.0, 16.0, 44.0
WORDS, NEAR = 27.0, 11.0
"""From a post's line to the words beside a symbol, and beside the bare line."""

AMPS = "−0.88 A"
"""The longest current there is room for."""

WRONG = "no ground"
"""The longest word there is room for beside a part that has failed."""

FEED_WRONG = "bridged"
"""The longest word there is room for beside a feed that has."""


def text_width(text: str, size: float = FONT) -> float:
    """Tell how wide a text may be at most [px]."""
    return size * sum(_em(character) for character in text)


def fit(text: str, most: float = LONGEST) -> str:
    """Cut a text that is longer than allowed, and say so by three dots."""
    if text_width(text) <= most:
        return text
    room = most - text_width("…")
    widths = accumulate(text_width(character) for character in text)
    return text[: sum(1 for width in widths if width <= room)] + "…"


def words_of(part: PartRow | Throw, enveloped: bool) -> tuple[str, ...]:
    """Say what stands beside a part: its name, its type or value; an envelope's title says the type."""
    if isinstance(part, Throw):
        return tuple(fit(word) for word in (part.ref, part.said) if word)
    words: list[str] = [part.ref]
    if part.kind == "filament":
        if not enveloped:
            words += [word for word in (part.lamp if part.lamp != part.ref else None, part.type) if word]
    elif part.kind == "wire":
        words.append("wire")
    else:
        words += [part.type] if part.type else []
        words += [si.ohms(part.ohms)] if part.ohms is not None else []
        words += [si.watts(part.watts)] if part.watts is not None else []
    return tuple(fit(word) for word in words[:3])


def title_of(lamp: str, kind: str | None) -> str:
    """Say what stands in an envelope: the lamp and its type."""
    return fit(f"{lamp} {kind}" if kind else lamp)


def _em(character: str) -> float:
    """Tell how wide a character is at most, as a share of the size of the letters."""
    if unicodedata.combining(character):
        return 0.0
    if unicodedata.east_asian_width(character) in ("W", "F"):
        return 1.05
    if character in "MWmw@%—…ЖШЩЮмжшщюфΩΦΨ" or unicodedata.category(character) == "So":
        return 1.12
    if character in "iljI.,:;'|![]()/ \u00a0":
        return 0.42
    return 0.88 if character.isupper() or character in "+<>=~^#±×÷−&" else 0.72
