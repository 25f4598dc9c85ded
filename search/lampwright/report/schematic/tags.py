"""Numbers of wires in a drawing, in rings: beside the ends of parts, and on the supply's side.

No source: our layout.
"""

import xml.etree.ElementTree as ET
from collections.abc import Mapping
from dataclasses import dataclass, field

from lampwright.report.explain.controls import SUPPLY
from lampwright.report.schematic import symbols
from lampwright.report.schematic.fan import Fan
from lampwright.report.schematic.space import FUSE_ROW, SUPPLY_RAIL, FeedRows

TAG, TAG_ROW = 14.0, 38.0
"""From a line to the middle of a ring, and from a symbol to it."""
AWAY = 15.0
"""From a fan to a ring outside it."""
FREE, RING = 18.0, 9.0
"""From a feed's line to the middle of a ring that stands beside a fuse; the ring's radius."""
MAIN_ROW = 44.0
"""From the supply rail to the main fuse."""

End = tuple[str, str]
"""A part's ref and a node; a control and a terminal, "" for its fuse; "" and a place of the supply's own."""


@dataclass(frozen=True)
class Marks:
    """The number of the wire at an end of a part, and on the supply's side."""

    leads: Mapping[End, str] = field(default_factory=dict)
    supply: Mapping[End, str] = field(default_factory=dict)


NO_MARKS = Marks()


def tag_supply(group: ET.Element, marks: Marks, x: float, top: float, bottom: float, ground: float) -> None:
    """Draw the main fuse into the supply's own line at x, and number its wires.

    top, bottom: of the battery's symbol; ground: the ground rail's height.
    """
    if not marks.supply:
        return
    main = SUPPLY_RAIL + MAIN_ROW
    half = symbols.fuse(group, x, main)
    symbols.words(group, "main fuse", x + TAG, main, "note")
    places = {
        "source": (main + half + top) / 2.0,
        "fuses": (SUPPLY_RAIL + main - half) / 2.0,
        "ground": (bottom + ground) / 2.0,
    }
    for name, y in places.items():
        _tag(group, marks, ("", name), x + TAG, y)


def tag_feed(group: ET.Element, marks: Marks, control: str, terminal: str, x: float, rows: FeedRows) -> None:
    """Number the wires above and below a contact."""
    # at the left, for words stand at the right; between the fuse and what works the contact, and below that
    _tag(group, marks, (control, ""), x - FREE, FUSE_ROW + TAG)
    tag_terminal(group, marks, (control, terminal), x, rows)


def tag_terminal(group: ET.Element, marks: Marks, end: End, x: float, rows: FeedRows) -> None:
    """Number the wire that comes down to a terminal."""
    _tag(group, marks, end, x - FREE, rows.terminal - RING)


def tag_pole(group: ET.Element, marks: Marks, control: str, pole: str, fan: Fan) -> None:
    """Number the wire at the pole of a selector, outside it."""
    _outside(group, marks, (control, pole), fan, fan.x, fan.pole)


def tag_throws(group: ET.Element, marks: Marks, control: str, fan: Fan) -> None:
    """Number the wires at the throws of a selector, outside it."""
    for name, x in fan.throws.items():
        _outside(group, marks, (control, name), fan, x, fan.far)


def _outside(group: ET.Element, marks: Marks, end: End, fan: Fan, x: float, y: float) -> None:
    control, name = end
    _tag(group, marks, (control, "" if name == SUPPLY else name), x - TAG, y + (AWAY if y > fan.y else -AWAY))


def _tag(group: ET.Element, marks: Marks, end: End, x: float, y: float) -> None:
    if end in marks.supply:
        symbols.tag(group, x, y, marks.supply[end])
