"""Where everything stands in a drawing, in pixels, and how wide its words may be.

Words are measured without a font: each character is given the width of the widest common
sans-serif fonts, so that a text is never longer than its box. Each post has a zone of its
own, as wide as its symbol and its words; each gap with symbols has rows for the current, the
symbol and the names of nets. Nothing of one zone or row reaches into another.

No source: our layout; the widths of characters are those of a broad sans-serif, rounded up.
"""

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

from lampwright.report import si
from lampwright.report.schematic.layout import Envelope, Placed, Plan
from lampwright.results.design import PartRow

FONT = 13.0
LINE = 16.0
LONGEST = 170.0

MARGIN = 16.0
BATTERY = 114.0
"""Width of the battery's column, left of all posts."""

SUPPLY = 28.0
"""The supply rail's height."""

FUSE, CONTACT, TERMINAL, FEED_END = 46.0, 96.0, 132.0, 142.0
"""Middle of the fuse, middle of the contact, the terminal, the end of the feeds' zone."""

RATING_ROW, BLOWN_ROW = 21.0, 37.0
"""From the supply rail: the middle of a fuse's rating, and of what is wrong with the feed."""

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


@dataclass(frozen=True)
class Zone:
    """The strip of one post: its left and right edges, its line, and where a loop comes back."""

    left: float
    line: float
    right: float
    back: float


@dataclass(frozen=True)
class Space:
    """The places of a drawing: zones of posts, heights of levels, which gaps have a title row."""

    zones: tuple[Zone, ...]
    levels: tuple[float, ...]
    titled: tuple[int, ...]
    width: float
    height: float


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


def words_of(part: PartRow, enveloped: bool) -> tuple[str, ...]:
    """Say what stands beside a part: its name, its type or value; an envelope's title says the type."""
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


def space(drawn: Plan, feed_words: Sequence[Sequence[str]]) -> Space:
    """Measure a plan out; the words of each feed stand beside its contact and its terminal."""
    titled = tuple(sorted({envelope.upper for envelope in drawn.envelopes}))
    heights = [FEED_END + THIN - 6.0]
    for gap in range(drawn.ground):
        tall = TALL + TITLED * (gap in titled)
        heights.append(heights[-1] + (tall if gap in drawn.gaps else THIN))
    zones: list[Zone] = []
    edge = MARGIN + BATTERY
    for place in range(len(drawn.posts)):
        zones.append(_zone(drawn, place, feed_words, edge))
        edge = zones[-1].right
    return Space(tuple(zones), tuple(heights), titled, edge + MARGIN, heights[-1] + 34.0)


def symbol_at(place: Space, placed: Placed) -> float:
    """Tell the height of the middle of a part's symbol."""
    return place.levels[placed.gap] + SYMBOL_ROW + TITLED * (placed.gap in place.titled)


def current_at(place: Space, placed: Placed) -> float:
    """Tell the height of the middle of a part's arrow."""
    return place.levels[placed.gap] + CURRENT_ROW + TITLED * (placed.gap in place.titled)


def fault_at(place: Space, placed: Placed) -> float:
    """Tell the height of the middle of what is wrong with a part."""
    return place.levels[placed.gap] + FAULT_ROW + TITLED * (placed.gap in place.titled)


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


def _zone(drawn: Plan, place: int, feed_words: Sequence[Sequence[str]], edge: float) -> Zone:
    """Measure the strip of one post."""
    post = drawn.posts[place]
    left = 0.0
    right = 8.0
    if post.feed is not None:
        left = LEFT_OF_FEED
        right = max([right, *(16.0 + text_width(word) for word in (*feed_words[post.feed], FEED_WRONG))])
    for placed in post.parts:
        left = max(left, LEFT_OF_WIRE if placed.part.kind == "wire" else LEFT)
        right = max(right, _words_room(placed.part, drawn.envelopes))
    for one in drawn.envelopes:
        if one.first == place:
            right = max(right, NEAR + text_width(title_of(one.lamp, one.type)))
    for rail in drawn.rails:
        if rail.first == place and not rail.fed:
            right = max(right, NEAR + text_width(fit(rail.node)))
    line = edge + left
    back = line + right + 6.0
    loops = any(placed.is_loop for placed in post.parts)
    return Zone(edge, line, (back + 8.0) if loops else line + right + 8.0, back)


def _words_room(part: PartRow, envelopes: Sequence[Envelope]) -> float:
    """Tell how much room the words beside a part need, from its line."""
    enveloped = part.kind == "filament" and part.lamp in [one.lamp for one in envelopes]
    said = max(text_width(word) for word in words_of(part, enveloped))
    aside = NEAR if part.kind == "wire" else WORDS
    least = AMPS if part.kind == "wire" else WRONG
    return max(NEAR + text_width(least), aside + said)
