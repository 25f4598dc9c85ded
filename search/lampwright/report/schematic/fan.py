"""Selectors as symbols: a pole, throws beside each other, a blade that reaches one or several of them.

Every throw has a hidden blade `closed` with its terminal in `data-to`; the blade `open` points to the
place at which the pole reaches none, or away from a single throw. Wires lead from the throws, which
stand close, to the posts, which may stand apart: the outermost turns first, so that none cross.

Source: change-over and rotary switches of IEC 60617 as commonly drawn (from memory).
"""

import xml.etree.ElementTree as ET
from collections.abc import Mapping, Sequence
from itertools import pairwise

from msgspec import Struct

from lampwright.report.schematic import symbols
from lampwright.report.schematic.stars import Selector
from lampwright.report.schematic.symbols import add, line, path

APART = 22.0
"""From throw to throw."""
HIGH = 18.0
"""From the middle of a fan to its pole, and to its throws."""
BESIDE = 36.0
"""Left of the outermost throw: what works the selector, or the sign for ground."""
TURN = 8.0
"""From the throws to the first turn of their wires, and from turn to turn."""
MOST_TURNED = 24.0
"""From the throws to the last turn."""
AWAY = 13.0
"""How far from a single throw its open blade points."""


class Fan(Struct, frozen=True):
    """Where a fan stands: its pole and throws [px]; blank: the place that leads nowhere, if any."""

    x: float
    y: float
    down: bool
    throws: Mapping[str, float]
    blank: float | None

    @property
    def pole(self) -> float:
        """The pole's height."""
        return self.y - HIGH if self.down else self.y + HIGH

    @property
    def far(self) -> float:
        """The throws' height."""
        return self.y + HIGH if self.down else self.y - HIGH

    @property
    def half(self) -> float:
        """From the pole's line to the outermost throw."""
        return max(abs(at - self.x) for at in self._places())

    def _places(self) -> list[float]:
        return [*self.throws.values(), *([] if self.blank is None else [self.blank])]


def fan_at(star: Selector, y: float, down: bool, lines: Mapping[str, float]) -> Fan:
    """Set a fan in the middle of its throws' lines, from left to right, or round its pole's one.

    The throws stand on their lines where these are near enough, else close together.
    """
    order: list[str | None] = list(lines)
    blank = _rest(star, list(lines)) if star.rest is not None and len(lines) > 1 else None
    xs = list(lines.values())
    x = (xs[0] + xs[-1]) / 2.0
    gaps = [right - left for left, right in pairwise(xs)]
    if gaps and min(gaps) > APART + 4.0 and max(gaps) < 2.2 * APART:
        around = [xs[0] - APART, *xs, xs[-1] + APART]
        beyond = None if blank is None else (around[blank] + around[blank + 1]) / 2.0
        if blank in (0, len(xs)):
            beyond = around[0] if blank == 0 else around[-1]
        return Fan(x, y, down, lines, beyond)
    if blank is not None:
        order.insert(blank, None)
    places = {name: x + APART * (at - (len(order) - 1) / 2.0) for at, name in enumerate(order)}
    return Fan(x, y, down, {name: places[name] for name in lines}, places.get(None))


def half_of(star: Selector, count: int) -> float:
    """From the pole's line of a fan of so many throws to the outermost place."""
    return APART * (count - 1 + (star.rest is not None and count > 1)) / 2.0


def _rest(star: Selector, throws: Sequence[str]) -> int:
    """Tell before which throw from the left the open place stands: between its neighbours by position."""
    rest = star.rest or 0
    before, after = {*star.throws[:rest]}, {*star.throws[rest:]}
    if not before & {*throws}:
        return 0 if throws[0] == min(throws, key=star.throws.index) else len(throws)
    for at in range(1, len(throws)):
        one, two = throws[at - 1], throws[at]
        if (one in before and two in after) or (one in after and two in before):
            return at
    return len(throws) if throws[-1] == max(throws, key=star.throws.index) else 0


def draw_fan(parent: ET.Element, fan: Fan, star: Selector) -> None:
    """Draw pole, throws, blades and what works them."""
    box = (fan.x - fan.half - 26.0, fan.y - HIGH, 2.0 * fan.half + 28.0, 2.0 * HIGH)
    symbol = add(parent, "g", class_="symbol", data_box=path(*box))
    symbols.spot(symbol, fan.x, fan.pole)
    if fan.blank is not None:
        symbols.spot(symbol, fan.blank, fan.far)
    tip = fan.x - AWAY, fan.far + (3.0 if fan.far < fan.pole else -3.0)
    if fan.blank is not None:
        tip = fan.blank, fan.far
    if star.rest is not None:
        line(symbol, path("M", fan.x, fan.pole, "L", *tip), class_="blade open")
    for name, at in fan.throws.items():
        symbols.spot(symbol, at, fan.far)
        shown = {} if star.rest is None and name in star.start else {"display": "none"}
        line(
            symbol,
            path("M", fan.x, fan.pole, "L", at, fan.far),
            class_="blade closed",
            data_to=name,
            **shown,
        )
    left = fan.x - fan.half - 24.0
    line(symbol, path("M", fan.x - 2.0, fan.y, "H", left), stroke_dasharray="2.5 3.5")
    line(symbol, path("M", left, fan.y - 5.0, "v", 10.0))


def turn_of(fan: Fan, ends: Mapping[str, float], name: str) -> float | None:
    """Give the height at which a throw's wire turns to its post, if it does; ends: the posts' lines."""
    side = ends[name] - fan.throws[name]
    if side == 0.0:
        return None
    leaving = [one for one in fan.throws if (ends[one] - fan.throws[one]) * side > 0.0]
    step = min(TURN, MOST_TURNED / len(leaving)) * (1.0 if fan.down else -1.0)
    before = [one for one in leaving if (ends[one] - ends[name]) * side > 0.0]
    return fan.far + step * (len(before) + 1)


def draw_ground(parent: ET.Element, x: float, y: float) -> None:
    """Draw the way from a contact's upper spot to the sign for ground at its left."""
    line(parent, path("M", x, y, "V", y - 28.0, "H", x - 20.0))
    symbols.earth(parent, x - 20.0, y - 28.0)
