"""The feeds of a drawing: what stands behind each terminal, in words and as symbols.

A contact hangs on the supply rail by its fuse. One that joins its terminal to ground, or to
another terminal, has a fixed contact for each, with the sign of where it leads: ground's
bars or a ring; it hangs on the supply only if it joins that too.

No source: our layout.
"""

import xml.etree.ElementTree as ET
from dataclasses import replace

from lampwright.report import si
from lampwright.report.explain.controls import SUPPLY, ControlFeed, Controls
from lampwright.report.schematic import symbols
from lampwright.report.schematic.layout import GROUND
from lampwright.report.schematic.space import (
    BLOWN_ROW,
    CONTACT,
    FEED_WRONG,
    FUSE,
    RATING_ROW,
    SUPPLY_RAIL,
    TERMINAL,
    text_width,
)
from lampwright.report.schematic.symbols import add, line, path, words
from lampwright.results.design import Design
from lampwright.words import listed

KINDS = {"switch": "switch", "flasher": "flasher", "positions": "selector", "supply": "always live"}
ASIDE = 12.0
FUSE_ROW = SUPPLY_RAIL + FUSE - 18.0


def feeds_of(design: Design, controls: Controls) -> tuple[ControlFeed, ...]:
    """What stands behind the feeds of a drawing; the supply's terminal first where it may be used.

    A fuse has its rating where the wiring of the design is known.
    """
    fuses = {row.feed: row.fuse_amps for row in design.wiring.fuses} if design.wiring else {}
    is_used = any(SUPPLY in (part.from_node, part.to_node) for part in design.parts)
    supply = (ControlFeed(SUPPLY, "supply", "supply"),) if is_used else ()
    return tuple(replace(feed, fuse=fuses.get(feed.terminal)) for feed in (*supply, *controls.feeds))


def said_of(feed: ControlFeed) -> str:
    """Say what kind of contact it is, and where it leads if not to the supply alone.

    >>> ways = (("31", "30"), ("31",), ("B",))
    >>> [said_of(ControlFeed("A", "reverse", "positions", joins)) for joins in ways]
    ['selector to + or 31', 'selector to ground', 'selector to B']
    """
    kind = KINDS[feed.kind]
    if feed.joins == (SUPPLY,):
        return kind
    if feed.joins == (GROUND,):
        return f"{kind} to ground"
    return f"{kind} to {listed(['+' if name == SUPPLY else name for name in _ways(feed)], 'or')}"


def draw_feed(group: ET.Element, x: float, feed: ControlFeed) -> None:
    """Draw fuse, contact and terminal, with their words."""
    if feed.is_supplied:
        fused = add(group, "g", class_="fused", data_fuse=feed.terminal)
        half = symbols.fuse(fused, x, FUSE_ROW)
        symbols.cross(fused, x, FUSE_ROW, 9.0)
        line(group, path("M", x, SUPPLY_RAIL, "V", FUSE_ROW - half))
        line(group, path("M", x, FUSE_ROW + half, "V", CONTACT - 14.0))
    if feed.fuse is not None:
        words(group, si.amps(feed.fuse), x + ASIDE, SUPPLY_RAIL + RATING_ROW, "note rating")
    words(
        parent=group,
        text="",
        x=x + ASIDE,
        y=SUPPLY_RAIL + BLOWN_ROW,
        class_="fault",
        room=text_width(FEED_WRONG),
    )
    upper = symbols.contact(group, x, CONTACT, feed.kind, _ways(feed))
    radius = symbols.terminal(group, x, TERMINAL)
    line(group, path("M", x, CONTACT + upper - 2.0, "V", TERMINAL - radius))
    words(group, feed.control, x + ASIDE, CONTACT - 8.0, "name")
    words(group, said_of(feed), x + ASIDE, CONTACT + 8.0, "note")
    words(group, feed.terminal, x + ASIDE, TERMINAL, "terminal")


def _ways(feed: ControlFeed) -> tuple[str, ...]:
    """Where its contacts lead: the supply first, then ground."""
    return tuple(sorted(feed.joins, key=lambda name: (name != SUPPLY, name != GROUND)))
