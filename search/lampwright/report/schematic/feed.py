"""The feeds of a drawing: what stands above each terminal, in words and as symbols.

A contact hangs on the supply rail by its fuse. A selector stands once above all the terminals that
share its pole, or with its pole at the terminal it joins to the supply or to ground.

No source: our layout.
"""

import xml.etree.ElementTree as ET
from collections.abc import Mapping
from dataclasses import replace

from lampwright.report import si
from lampwright.report.explain.controls import SUPPLY, ControlFeed, Controls
from lampwright.report.schematic import symbols
from lampwright.report.schematic.fan import Fan, draw_fan, draw_ground, turn_of
from lampwright.report.schematic.layout import GROUND
from lampwright.report.schematic.space import (
    BLOWN_ROW,
    FEED_WRONG,
    FUSE_ROW,
    RATING_ROW,
    SUPPLY_RAIL,
    FeedRows,
    text_width,
)
from lampwright.report.schematic.stars import Selector
from lampwright.report.schematic.symbols import add, clean, line, path, words
from lampwright.results.design import Design
from lampwright.words import listed

KINDS = {"switch": "switch", "flasher": "flasher", "positions": "selector", "supply": "always live"}
ASIDE = 12.0
NAME_OFF, KIND_OFF = 46.0, 31.0
"""From the middle of a fan to its name and its kind, turned over where that is below."""


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
    ways = sorted(feed.joins, key=lambda name: (name != SUPPLY, name != GROUND))
    return f"{kind} to {listed(['+' if name == SUPPLY else name for name in ways], 'or')}"


def draw_feed(group: ET.Element, x: float, feed: ControlFeed, rows: FeedRows) -> None:
    """Draw fuse, contact and terminal, with their words."""
    _fuse(group, x, feed.terminal, feed.fuse, rows.contact - 14.0)
    _fault(group, x, BLOWN_ROW)
    upper = symbols.contact(group, x, rows.contact, feed.kind)
    radius = symbols.terminal(group, x, rows.terminal)
    line(group, path("M", x, rows.contact + upper - 2.0, "V", rows.terminal - radius))
    words(group, feed.control, x + ASIDE, rows.contact - 8.0, "name")
    words(group, said_of(feed), x + ASIDE, rows.contact + 8.0, "note")
    words(group, feed.terminal, x + ASIDE, rows.terminal, "terminal")


def draw_selector(group: ET.Element, fan: Fan, star: Selector, rows: FeedRows) -> None:
    """Draw a selector: fuse or sign for ground, fan, words, and the terminal if that is its pole."""
    for name, x, y in ((star.pole, fan.x, fan.pole), *((to, at, fan.far) for to, at in fan.throws.items())):
        if name == SUPPLY and not fan.down:
            _fuse(group, x, star.pole, star.fuse, y)
        elif name == GROUND:
            draw_ground(group, x, y)
    draw_fan(group, fan, star)
    if fan.down:
        _beside_pole(group, fan, star)
        return
    _fault(group, max(fan.throws.values()), BLOWN_ROW)
    aside = fan.x + fan.half + ASIDE
    words(group, star.control, aside, fan.y - 8.0, "name")
    words(group, KINDS["positions"], aside, fan.y + 8.0, "note")
    radius = symbols.terminal(group, fan.x, rows.terminal)
    line(group, path("M", fan.x, fan.pole, "V", rows.terminal - radius))
    words(group, star.pole, fan.x + ASIDE, rows.terminal, "terminal")


def draw_inner(group: ET.Element, fan: Fan, star: Selector) -> None:
    """Draw a selector between terminals: the fan and its words."""
    draw_fan(group, fan, star)
    _beside_pole(group, fan, star)


def _beside_pole(group: ET.Element, fan: Fan, star: Selector) -> None:
    """Write a selector's name and kind beside the way to its pole."""
    # a page looks for a slot in every feed; what is wrong is said at the terminals
    add(group, "text", class_="fault", display="none")
    name, kind = (-NAME_OFF, -KIND_OFF) if fan.down else (KIND_OFF, NAME_OFF)
    words(group, star.control, fan.x + ASIDE, fan.y + name, "name")
    words(group, KINDS["positions"], fan.x + ASIDE, fan.y + kind, "note")


def draw_throw(
    group: ET.Element, fan: Fan, star: Selector, name: str, ends: Mapping[str, float], rows: FeedRows
) -> None:
    """Draw what is below a throw: its wire, turned to its post's line, and its terminal.

    The fuse above the pole is told of as that of the first throw's terminal.
    """
    if star.pole == SUPPLY and name == star.throws[0]:
        _fuse(group, fan.x, name, star.fuse, fan.pole)
    at, x = fan.throws[name], ends[name]
    radius = symbols.terminal(group, x, rows.terminal)
    turn = turn_of(fan, ends, name)
    bent = () if turn is None else ("V", turn, "H", x)
    line(group, path("M", at, fan.far, *bent, "V", rows.terminal - radius))
    words(group, name, x + ASIDE, rows.terminal, "terminal")
    _fault(group, x, rows.end)


def _fuse(group: ET.Element, x: float, terminal: str, amps: float | None, below: float) -> None:
    """Draw a fuse between the supply rail and what is below it, with its rating if known."""
    fused = add(group, "g", class_="fused", data_fuse=clean(terminal))
    half = symbols.fuse(fused, x, FUSE_ROW)
    symbols.cross(fused, x, FUSE_ROW, 9.0)
    line(group, path("M", x, SUPPLY_RAIL, "V", FUSE_ROW - half))
    line(group, path("M", x, FUSE_ROW + half, "V", below))
    if amps is not None:
        words(group, si.amps(amps), x + ASIDE, RATING_ROW, "note rating")


def _fault(group: ET.Element, x: float, y: float) -> None:
    """Leave room for what is wrong with a feed."""
    words(parent=group, text="", x=x + ASIDE, y=y, class_="fault", room=text_width(FEED_WRONG))
