"""The symbols of a schematic, as SVG elements around a point.

Source: the shapes are those of IEC 60617 as commonly drawn (lamp, resistor, diode, make
contact, fuse, battery, earth; from memory, proportions ours). The flasher is a make contact
with its function, a square wave, beside it; selectors are in `fan`.
"""

import re
import xml.etree.ElementTree as ET
from collections.abc import Sequence

from lampwright.report.explain.controls import ControlKind
from lampwright.report.schematic.space import FONT, fit, text_width

ILLEGAL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
"""What XML 1.0 leaves out, named itself: all that it allows takes ten times as long to compile."""
THICK = "1.6"
LAMP, GLOW = 15.0, 23.0
"""Radius of the lamp's circle and of its glow."""

RESISTOR = (7.0, 17.0)
DIODE = (11.0, 10.0)
"""Half of the width and of the height."""
CONTACT = 16.0
"""Half of the height of a contact."""


def clean(text: str) -> str:
    """Replace characters that may not stand in XML."""
    return ILLEGAL.sub("\ufffd", text)


def number(value: float) -> str:
    """Write a length as short as exact to a tenth of a pixel."""
    return f"{value:.1f}".removesuffix(".0")


def add(parent: ET.Element, tag: str, **attributes: str | float) -> ET.Element:
    """Append an element; `class_` is written `class`, `_` in names `-`."""
    said = {
        name.rstrip("_").replace("_", "-"): clean(value) if isinstance(value, str) else number(value)
        for name, value in attributes.items()
    }
    return ET.SubElement(parent, tag, said)


def line(parent: ET.Element, d: str, **attributes: str | float) -> ET.Element:
    """Append a line that is not filled."""
    return add(parent, "path", d=d, fill="none", stroke="currentColor", stroke_width=THICK, **attributes)


def path(*steps: str | float) -> str:
    """Write the steps of a path."""
    return " ".join(step if isinstance(step, str) else number(step) for step in steps)


def words(parent: ET.Element, text: str, x: float, y: float, class_: str, room: float = 0.0) -> ET.Element:
    """Append a text that begins at x, on the middle height y, in a box that holds it or the room given."""
    said = clean(fit(text))
    box = (x, y - 0.55 * FONT, max(room, text_width(said)), 1.1 * FONT)
    element = add(
        parent,
        "text",
        class_=class_,
        x=x,
        y=y + 0.36 * FONT,
        fill="currentColor",
        data_box=path(*box),
    )
    element.text = said
    if class_ in ("name", "terminal"):
        element.set("font-weight", "bold")
    return element


def _ring(parent: ET.Element, x: float, y: float, r: float) -> None:
    add(parent, "circle", cx=x, cy=y, r=r, fill="none", stroke="currentColor", stroke_width=THICK)


def spot(parent: ET.Element, x: float, y: float) -> None:
    """Append the spot of a contact."""
    add(parent, "circle", cx=x, cy=y, r=2.0, fill="currentColor")


def _symbol(parent: ET.Element, x: float, y: float, wide: float, high: float) -> ET.Element:
    """Append a symbol's group, with its box."""
    box = path(x - wide, y - high, 2.0 * wide, 2.0 * high)
    return add(parent, "g", class_="symbol", data_box=box)


def tag(parent: ET.Element, x: float, y: float, number: str) -> None:
    """Append the number of a wire in a ring."""
    group = add(parent, "g", class_="tag", fill="none")
    add(group, "circle", cx=x, cy=y, r=9.0, stroke="currentColor", stroke_width=0.8)
    text = add(group, "text", x=x, y=y + 3.8, fill="currentColor", font_size=10.5, text_anchor="middle")
    text.text = clean(number)


def dot(parent: ET.Element, x: float, y: float) -> None:
    """Append the dot of a junction."""
    add(parent, "circle", class_="dot", cx=x, cy=y, r=3.4, fill="currentColor")


def filament(parent: ET.Element, x: float, y: float) -> float:
    """Append a lamp: its glow, a circle, a cross. Return half its height."""
    add(parent, "circle", class_="glow", cx=x, cy=y, r=GLOW, fill="#ffb400", opacity="0")
    symbol = _symbol(parent, x, y, LAMP, LAMP)
    _ring(symbol, x, y, LAMP)
    d = LAMP * 0.7071
    line(symbol, path("M", x - d, y - d, "L", x + d, y + d, "M", x - d, y + d, "L", x + d, y - d))
    return LAMP


def resistor(parent: ET.Element, x: float, y: float) -> float:
    """Append a resistor: a rectangle. Return half its height."""
    wide, high = RESISTOR
    symbol = _symbol(parent, x, y, wide, high)
    line(symbol, path("M", x - wide, y - high, "h", 2 * wide, "v", 2 * high, "h", -2 * wide, "Z"))
    return high


def diode(parent: ET.Element, x: float, y: float, down: bool) -> float:
    """Append a diode that conducts down or up: a triangle, a bar, a line through. Return half its height."""
    wide, high = DIODE
    tip = high if down else -high
    symbol = _symbol(parent, x, y, wide, high)
    line(symbol, path("M", x - wide, y - tip, "h", 2 * wide, "L", x, y + tip, "Z"), stroke_linejoin="round")
    line(symbol, path("M", x - wide, y + tip, "h", 2 * wide, "M", x, y - tip, "V", y + tip))
    return high


def fuse(parent: ET.Element, x: float, y: float) -> float:
    """Append a fuse: a rectangle with a line through. Return half its height."""
    symbol = _symbol(parent, x, y, 5.0, 12.0)
    line(symbol, path("M", x - 5, y - 12, "h", 10.0, "v", 24.0, "h", -10.0, "Z", "M", x, y - 12, "v", 24.0))
    return 12.0


def contact(parent: ET.Element, x: float, y: float, kind: ControlKind) -> float:
    """Append what joins a feed to the supply, open, and its closed blade, hidden. Return half the height."""
    if kind == "supply":
        line(parent, path("M", x, y - 14, "v", 28.0))
        return CONTACT
    symbol = add(parent, "g", class_="symbol", data_box=path(x - 38, y - CONTACT, 46.0, 2.0 * CONTACT))
    spot(symbol, x, y + 14)
    spot(symbol, x, y - 14)
    line(symbol, path("M", x, y + 14, "L", x - 13, y - 11), class_="blade open")
    closed = path("M", x, y + 14, "L", x, y - 14, "M", x - 7, y, "H", x)
    line(symbol, closed, class_="blade closed", display="none", data_to="30")
    line(symbol, path("M", x - 7, y, "H", x - 20), stroke_dasharray="2.5 3.5")
    _mark(symbol, x, y, kind)
    return CONTACT


def _mark(symbol: ET.Element, x: float, y: float, kind: ControlKind) -> None:
    """Append what works a contact: a flasher's square wave, or a handle."""
    if kind == "flasher":
        line(symbol, path("M", x - 38, y - 8, "h", 18.0, "v", 16.0, "h", -18.0, "Z"))
        line(
            symbol,
            path("M", x - 35, y + 4, "h", 3.0, "v", -8.0, "h", 4.0, "v", 8.0, "h", 4.0, "v", -8.0, "h", 2.0),
        )
    else:
        line(symbol, path("M", x - 20, y - 6, "v", 12.0))


def cross(parent: ET.Element, x: float, y: float, size: float) -> None:
    """Append the cross through what has failed, hidden."""
    d = path(
        "M", x - size, y - size, "l", 2 * size, 2 * size, "M", x - size, y + size, "l", 2 * size, -2 * size
    )
    crossed = add(parent, "g", class_="cross", display="none")
    for class_, wide in (("around", "7"), ("stroke", "3.4")):
        stroke = "Canvas" if class_ == "around" else "currentColor"
        add(crossed, "path", class_=class_, d=d, fill="none", stroke=stroke, stroke_width=wide)


def cut(parent: ET.Element, x: float, y: float) -> None:
    """Append the mark of a lead that is cut, hidden."""
    d = path("M", x - 6, y - 4, "l", 12.0, 8.0, "M", x - 6, y + 4, "l", 12.0, -8.0)
    add(
        parent,
        "path",
        class_="cut",
        d=d,
        fill="none",
        stroke="currentColor",
        stroke_width="2.6",
        display="none",
    )


def jumper(parent: ET.Element, d: str, ends: Sequence[tuple[float, float]], **data: str) -> None:
    """Append the wire that bridges what should not be joined, hidden: thick, a dot at each end."""
    group = add(parent, "g", class_="jumper", display="none", **data)
    add(group, "path", d=d, fill="none", stroke="currentColor", stroke_width="3.2", stroke_dasharray="7 4")
    for x, y in ends:
        add(group, "circle", cx=x, cy=y, r=4.4, fill="currentColor")


def terminal(parent: ET.Element, x: float, y: float) -> float:
    """Append a terminal: a small circle. Return its radius."""
    symbol = _symbol(parent, x, y, 4.0, 4.0)
    _ring(symbol, x, y, 4.0)
    return 4.0


def battery(parent: ET.Element, x: float, y: float) -> float:
    """Append a battery of two cells, plus upwards. Return half its height."""
    symbol = _symbol(parent, x, y, 14.0, 13.0)
    for top in (y - 12.0, y + 4.0):
        line(symbol, path("M", x - 14, top, "h", 28.0))
        add(symbol, "path", d=path("M", x - 7, top + 8, "h", 14.0), stroke="currentColor", stroke_width="3.2")
    line(symbol, path("M", x, y - 4, "v", 8.0), stroke_dasharray="1 3.5")
    return 12.0


def earth(parent: ET.Element, x: float, y: float) -> None:
    """Append the sign for ground below a point."""
    symbol = _symbol(parent, x, y + 15.0, 12.0, 5.0)
    line(parent, path("M", x, y, "v", 10.0))
    line(
        symbol,
        path("M", x - 12, y + 10, "h", 24.0, "M", x - 8, y + 15, "h", 16.0, "M", x - 4, y + 20, "h", 8.0),
    )


def arrow(parent: ET.Element, x: float, y: float, down: bool) -> None:
    """Append the arrow of a current, hidden, from a part's `from` to its `to`; and the slot for its amps."""
    turn = f"translate({number(x)} {number(y)})" + ("" if down else " rotate(180)")
    group = add(parent, "g", class_="arrow", transform=turn, display="none")
    add(group, "path", d="M -5.5 -6 L 5.5 -6 L 0 7 Z", fill="currentColor")
