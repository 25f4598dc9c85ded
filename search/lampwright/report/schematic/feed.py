"""The feeds of a drawing: what stands behind each terminal, in words and as symbols.

A contact hangs on the supply rail by its fuse. One that joins its terminal to ground, or to
another terminal, has a fixed contact for each, with the sign of where it leads: ground's
bars or a ring; it hangs on the supply only if it joins that too.

No source: our layout.
"""

import xml.etree.ElementTree as ET
from dataclasses import dataclass

from lampwright.report import si
from lampwright.report.schematic import symbols
from lampwright.report.schematic.layout import GROUND
from lampwright.report.schematic.space import (
    BLOWN_ROW,
    CONTACT,
    FEED_WRONG,
    FUSE,
    RATING_ROW,
    SUPPLY,
    TERMINAL,
    text_width,
)
from lampwright.report.schematic.symbols import FeedKind, add, line, path, words
from lampwright.words import listed

BATTERY = "30"
KINDS = {"switch": "switch", "flasher": "flasher", "positions": "selector", "supply": "always live"}
ASIDE = 12.0
FUSE_ROW = SUPPLY + FUSE - 18.0


@dataclass(frozen=True)
class Feed:
    """What stands behind a feed: the terminal it ends at, the control's name and kind.

    joins: the terminals its contacts join it to, in any position; `30` is the supply. fuse:
    the rating of its fuse [A], if known.
    """

    terminal: str
    label: str
    kind: FeedKind
    joins: tuple[str, ...] = (BATTERY,)
    fuse: float | None = None

    @property
    def is_supplied(self) -> bool:
        """Whether its contacts ever join it to the supply."""
        return BATTERY in self.joins


def said_of(feed: Feed) -> str:
    """Say what kind of contact it is, and where it leads if not to the supply alone.

    >>> [said_of(Feed("A", "reverse", "positions", joins)) for joins in (("31", "30"), ("31",), ("B",))]
    ['selector to + or 31', 'selector to ground', 'selector to B']
    """
    kind = KINDS[feed.kind]
    if feed.joins == (BATTERY,):
        return kind
    if feed.joins == (GROUND,):
        return f"{kind} to ground"
    return f"{kind} to {listed(['+' if name == BATTERY else name for name in _ways(feed)], 'or')}"


def draw_feed(group: ET.Element, x: float, feed: Feed) -> None:
    """Draw fuse, contact and terminal, with their words."""
    if feed.is_supplied:
        fused = add(group, "g", class_="fused", data_fuse=feed.terminal)
        half = symbols.fuse(fused, x, FUSE_ROW)
        symbols.cross(fused, x, FUSE_ROW, 9.0)
        line(group, path("M", x, SUPPLY, "V", FUSE_ROW - half))
        line(group, path("M", x, FUSE_ROW + half, "V", CONTACT - 14.0))
    if feed.fuse is not None:
        words(group, si.amps(feed.fuse), x + ASIDE, SUPPLY + RATING_ROW, "note rating")
    words(
        parent=group, text="", x=x + ASIDE, y=SUPPLY + BLOWN_ROW, class_="fault", room=text_width(FEED_WRONG)
    )
    upper = symbols.contact(group, x, CONTACT, feed.kind, _ways(feed))
    radius = symbols.terminal(group, x, TERMINAL)
    line(group, path("M", x, CONTACT + upper - 2.0, "V", TERMINAL - radius))
    words(group, feed.label, x + ASIDE, CONTACT - 8.0, "name")
    words(group, said_of(feed), x + ASIDE, CONTACT + 8.0, "note")
    words(group, feed.terminal, x + ASIDE, TERMINAL, "terminal")


def _ways(feed: Feed) -> tuple[str, ...]:
    """Where its contacts lead: the supply first, then ground."""
    return tuple(sorted(feed.joins, key=lambda name: (name != BATTERY, name != GROUND)))
