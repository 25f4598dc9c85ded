"""A design drawn as a schematic: a picture in one self-contained SVG text.

Battery at the left, feeds at the top, ground at the bottom, nets as level rails, parts as
posts between them. A dot is a joint; a line that leaps over a rail does not touch it. All
ink is `currentColor`, so that the picture reads on paper and on any ground.

A page finds its way by classes and data: `g.part` (and `filament`, `resistor`, `diode` or
`wire`) with `data-ref`, `data-from`, `data-to`; in it `.glow` (opacity 0), `.arrow` (not
displayed; class `reversed` turns it) along `from` to `to`, and `text.amps`, empty. `g.net`
has `data-node`; `g.feed` has `data-node`, `data-label` and `data-kind`, a blade `.open` and one
`.closed` for each terminal it joins, in `data-to`. What marks a failure is hidden in parts and
feeds: `.cross`, `.cut` at the lead to ground, and `text.fault`, empty. Colours can be set as
`--schematic-glow`, `--schematic-flow` and `--schematic-fault`. Ids begin with the design's
rank. Boxes of words and symbols are in `data-box`, as x, y, width, height.

No source: our layout.
"""

import re
import xml.etree.ElementTree as ET
from collections.abc import Sequence
from dataclasses import dataclass

from lampwright.report.explain.controls import ControlFeed
from lampwright.report.schematic import symbols
from lampwright.report.schematic.feed import draw_feed, said_of
from lampwright.report.schematic.layout import (
    GROUND,
    DrawnPart,
    Envelope,
    Post,
    Rail,
    Skeleton,
    lay_out,
    shared_lamps,
)
from lampwright.report.schematic.space import (
    AMPS,
    BATTERY,
    CURRENT_ROW,
    FAULT_ROW,
    FEED_END,
    FEED_WRONG,
    FONT,
    LEFT,
    LEFT_OF_FEED,
    LEFT_OF_WIRE,
    LINE,
    MARGIN,
    NEAR,
    SUPPLY_RAIL,
    SYMBOL_HIGH,
    SYMBOL_ROW,
    TALL,
    TERMINAL,
    THIN,
    TITLED,
    WORDS,
    WRONG,
    fit,
    text_width,
    title_of,
    words_of,
)
from lampwright.report.schematic.symbols import add, clean, line, path, words
from lampwright.report.topics.parts import fitted
from lampwright.results.design import Design, PartRow

BATTERY_LINE = MARGIN + 24.0
HOP = 6.0
STYLE = """
:root.lampwright-schematic{color-scheme:light dark;color:CanvasText}
.lampwright-schematic .arrow.reversed path{transform:rotate(180deg)}
.lampwright-schematic .glow{fill:var(--schematic-glow,#ffb400)}
.lampwright-schematic .cross .stroke,.lampwright-schematic .cut{stroke:var(--schematic-fault,currentColor)}
.lampwright-schematic .fault{fill:var(--schematic-fault,currentColor);font-weight:bold}
.lampwright-schematic .arrow path,.lampwright-schematic .amps{fill:var(--schematic-flow,currentColor)}
"""


@dataclass(frozen=True)
class Schematic:
    """A picture: the text of its SVG, and its width and height in pixels."""

    svg: str
    wide: float
    high: float


def schematic(design: Design, controls: Sequence[ControlFeed], ids: bool = True) -> Schematic:
    """Draw a design below its feeds; without ids where several drawings stand on one page."""
    feeds = tuple(feed for feed in controls if feed.terminal != GROUND)
    drawn = lay_out(design.parts, [feed.terminal for feed in feeds])
    return _Picture(design, feeds, drawn).schematic(ids)


class _Picture:
    """One picture being drawn.

    Each post has a strip of its own, as wide as its symbol and its words; each gap with symbols
    has rows for the current, the symbol and the names of nets. Nothing of one strip or row reaches into
    another.
    """

    def __init__(self, design: Design, feeds: Sequence[ControlFeed], drawn: Skeleton) -> None:
        """Measure out: each post's line, its right edge, where a loop comes back; the heights of levels."""
        self.design = design
        self.feeds = feeds
        self.drawn = drawn
        self.lamps = shared_lamps(design.parts)
        self.prefix = f"d{design.rank}"
        self.titled = {envelope.upper for envelope in drawn.envelopes}
        self.levels = [FEED_END + THIN - 6.0]
        for gap in range(drawn.ground):
            tall = TALL + TITLED * (gap in self.titled)
            self.levels.append(self.levels[-1] + (tall if gap in drawn.gaps else THIN))
        self.lines: list[float] = []
        self.backs: list[float] = []
        self.rights: list[float] = []
        edge = MARGIN + BATTERY
        for place, post in enumerate(drawn.posts):
            left, right = self._room(place, post)
            self.lines.append(edge + left)
            self.backs.append(edge + left + right + 6.0)
            edge = self.lines[-1] + right + 8.0
            if any(placed.is_loop for placed in post.parts):
                edge = self.backs[-1] + 8.0
            self.rights.append(edge)
        self.width = edge + MARGIN
        self.height = self.levels[-1] + 34.0

    def _room(self, place: int, post: Post) -> tuple[float, float]:
        """Tell how much room a post needs left and right of its line."""
        left, right = 0.0, [8.0]
        if post.feed is not None:
            left = LEFT_OF_FEED
            feed = self.feeds[post.feed]
            words = [fit(word) for word in (feed.control, said_of(feed), feed.terminal)]
            right += [16.0 + text_width(word) for word in (*words, FEED_WRONG)]
        for placed in post.parts:
            is_wire = placed.part.kind == "wire"
            left = max(left, LEFT_OF_WIRE if is_wire else LEFT)
            right.append(NEAR + text_width(AMPS if is_wire else WRONG))
            right += [(NEAR if is_wire else WORDS) + text_width(word) for word in self._words(placed.part)]
        envelopes = [title_of(one.lamp, one.type) for one in self.drawn.envelopes if one.first == place]
        rails = [fit(rail.node) for rail in self.drawn.rails if rail.first == place and not rail.fed]
        right += [NEAR + text_width(word) for word in (*envelopes, *rails)]
        return left, max(right)

    def _words(self, part: PartRow) -> tuple[str, ...]:
        return words_of(part, part.kind == "filament" and part.lamp in self.lamps)

    def _row(self, placed: DrawnPart, row: float) -> float:
        """The height of a row of the gap a part stands in: of its symbol, its arrow, or what is wrong."""
        return self.levels[placed.gap] + row + TITLED * (placed.gap in self.titled)

    def schematic(self, ids: bool) -> Schematic:
        """Draw everything, and write it out."""
        root = self._root()
        for envelope in self.drawn.envelopes:
            self._envelope(root, envelope)
        self._supply(root)
        for rail in self.drawn.rails:
            self._net(root, rail)
        for place, post in enumerate(self.drawn.posts):
            if post.feed is not None:
                self._feed(root, place, self.feeds[post.feed])
            for placed in post.parts:
                self._part(root, place, post, placed)
        for element in root.iter() if not ids else ():
            for name in ("id", "aria-labelledby"):
                element.attrib.pop(name, None)
        ET.indent(root, " ")
        text = ET.tostring(root, encoding="unicode") + "\n"
        return Schematic(text, round(self.width, 1), round(self.height, 1))

    def _root(self) -> ET.Element:
        """Begin the picture: size, title, description, style."""
        wide, high = symbols.number(self.width), symbols.number(self.height)
        root = ET.Element(
            "svg",
            {
                "xmlns": "http://www.w3.org/2000/svg",
                "class": "lampwright-schematic",
                "viewBox": f"0 0 {wide} {high}",
                "width": wide,
                "height": high,
                "role": "img",
                "aria-labelledby": f"{self.prefix}-title {self.prefix}-desc",
                "font-family": "Liberation Sans, Arial, Helvetica, sans-serif",
                "font-size": symbols.number(FONT),
                "stroke-linecap": "round",
            },
        )
        add(root, "title", id=f"{self.prefix}-title").text = f"Schematic of design {self.design.rank}"
        add(root, "desc", id=f"{self.prefix}-desc").text = clean(self._description())
        add(root, "style").text = STYLE
        return root

    def _description(self) -> str:
        """Say in words what the picture shows."""
        fed = [f"{feed.terminal} from {feed.control} ({said_of(feed)})" for feed in self.feeds]
        parts = [
            f"{part.ref}, {fitted(part)}, from {part.from_node} to {part.to_node}"
            for part in self.design.parts
        ]
        return "; ".join((*fed, *parts, f"{GROUND} is ground")).replace("\u00a0", " ") + "."

    def _id(self, kind: str, name: str) -> str:
        """Make an id of letters, digits and marks; other characters are written as their number."""
        plain = re.sub(r"[^A-Za-z0-9-]", lambda found: f"_{ord(found[0]):x}_", name)
        return f"{self.prefix}-{kind}-{plain}"

    def _supply(self, root: ET.Element) -> None:
        """Draw battery, supply rail and the ground sign."""
        fed = [
            self.lines[place]
            for place, post in enumerate(self.drawn.posts)
            if post.feed is not None and self.feeds[post.feed].is_supplied
        ]
        ground = self.levels[self.drawn.ground]
        middle = (SUPPLY_RAIL + ground) / 2.0
        x = BATTERY_LINE
        group = add(root, "g", class_="supply")
        half = symbols.battery(group, x, middle)
        line(group, path("M", x, middle - half, "V", SUPPLY_RAIL, "H", max(fed, default=x)))
        line(group, path("M", x, middle + half, "V", ground))
        for at in sorted(fed)[:-1]:
            symbols.dot(group, at, SUPPLY_RAIL)
        words(group, "+", x + 14.0, middle - 22.0, "sign")
        words(group, "battery", x + 20.0, middle, "note")
        symbols.earth(group, x, ground)

    def _feed(self, root: ET.Element, place: int, feed: ControlFeed) -> None:
        """Draw a fuse, a contact and a terminal."""
        group = add(
            root,
            "g",
            class_=f"feed {feed.kind}",
            id=self._id("feed", f"{feed.control}-{feed.terminal}"),
            data_node=feed.terminal,
            data_label=feed.control,
            data_kind=feed.kind,
        )
        add(group, "title").text = clean(f"{feed.control}: {said_of(feed)}, feeds {feed.terminal}")
        draw_feed(group, self.lines[place], feed)

    def _net(self, root: ET.Element, rail: Rail) -> None:
        """Draw a rail, its dots, its drops and its name."""
        group = add(root, "g", class_="net", id=self._id("net", rail.node), data_node=rail.node)
        y = self.levels[rail.level]
        joined = self._joined(rail)
        ends = [x for x, _ in joined]
        if rail.node == GROUND:
            ends.append(BATTERY_LINE)
        if ends and min(ends) < max(ends):
            line(group, path("M", min(ends), y, "H", max(ends)), class_="rail")
        for x, branches in joined:
            meets = branches + (min(ends) < x) + (x < max(ends))
            if meets > 2 or (min(ends) == max(ends) and not rail.fed):
                symbols.dot(group, x, y)
        used = any(rail.node in (part.from_node, part.to_node) for part in self.design.parts)
        for place, post in enumerate(self.drawn.posts):
            if used and post.feed is not None and self.feeds[post.feed].terminal == rail.node:
                x = self.lines[place]
                hops = [level for level in post.hops if level < post.drop]
                line(group, self._upright(x, TERMINAL + 4.0, y, hops), class_="drop")
        if rail.node == GROUND:
            symbols.dot(group, BATTERY_LINE, y)
            words(group, f"{GROUND} ground", BATTERY_LINE + 18.0, y + 16.0, "terminal")
        elif not rail.fed:
            words(group, rail.node, min(ends) + NEAR, y - 10.0, "terminal")

    def _joined(self, rail: Rail) -> list[tuple[float, int]]:
        """List where posts meet a rail, and how many branches leave it up or down there."""
        found: list[tuple[float, int]] = []
        for place, post in enumerate(self.drawn.posts):
            branches = 0
            if post.feed is not None and self.feeds[post.feed].terminal == rail.node:
                branches += 1
            for placed in post.parts:
                branches += placed.meets(rail.node)
                if placed.is_loop and placed.part.from_node == rail.node:
                    found.append((self.backs[place], 1))
            if branches:
                found.append((self.lines[place], branches))
        return sorted(found)

    def _upright(self, x: float, top: float, bottom: float, hops: Sequence[int]) -> str:
        """Write the path of an upright line that leaps over rails."""
        steps: list[str | float] = ["M", x, top]
        for y in sorted(self.levels[level] for level in hops):
            steps += ["V", y - HOP, "A", HOP, HOP, "0 0 1", x, y + HOP]
        return path(*steps, "V", bottom)

    def _part(self, root: ET.Element, place: int, post: Post, placed: DrawnPart) -> None:
        """Draw a part: leads, symbol, words, arrow, the slot for its amps."""
        part = placed.part
        group = add(
            root,
            "g",
            class_=f"part {part.kind}",
            id=self._id("part", part.ref),
            data_ref=part.ref,
            data_kind=part.kind,
            data_from=part.from_node,
            data_to=part.to_node,
        )
        if part.lamp is not None:
            group.set("data-lamp", clean(part.lamp))
        add(group, "title").text = clean(f"{part.ref}: {fitted(part)}, {part.from_node} to {part.to_node}")
        x, y = self.lines[place], self._row(placed, SYMBOL_ROW)
        down = placed.gap == placed.top if placed.is_loop else placed.down
        half = self._symbol(group, part, x, y, down)
        self._leads(group, place, post, placed, half)
        symbols.arrow(group, x, self._row(placed, CURRENT_ROW), down)
        words(
            parent=group,
            text="",
            x=x + NEAR,
            y=self._row(placed, CURRENT_ROW),
            class_="amps",
            room=text_width(AMPS),
        )
        if part.kind != "wire":
            self._failed(group, part, x, y, self._row(placed, FAULT_ROW))
        said = self._words(part)
        first = y - LINE * (len(said) - 1) / 2.0
        for row, word in enumerate(said):
            aside = WORDS if part.kind != "wire" else NEAR
            words(group, word, x + aside, first + LINE * row, "note" if row else "name")

    def _failed(self, group: ET.Element, part: PartRow, x: float, y: float, above: float) -> None:
        """Draw what marks a part that has failed, hidden: a cross, a cut to ground, the slot for a word."""
        symbols.cross(group, x, y, 12.0)
        if GROUND in (part.from_node, part.to_node):
            symbols.cut(group, x, y + 24.0)
        words(parent=group, text="", x=x + NEAR, y=above, class_="fault", room=text_width(WRONG))

    def _symbol(self, group: ET.Element, part: PartRow, x: float, y: float, down: bool) -> float:
        """Draw the symbol of a part; return half its height."""
        match part.kind:
            case "filament":
                return symbols.filament(group, x, y)
            case "resistor":
                return symbols.resistor(group, x, y)
            case "diode":
                return symbols.diode(group, x, y, down)
            case "wire":
                return 0.0

    def _leads(self, group: ET.Element, place: int, post: Post, placed: DrawnPart, half: float) -> None:
        """Draw the leads of a part to its rails; of a loop, round and back to the same rail."""
        x, y, heights = self.lines[place], self._row(placed, SYMBOL_ROW), self.levels
        if placed.is_loop:
            rail = heights[placed.top]
            below = placed.gap == placed.top
            far = y + SYMBOL_HIGH / 2.0 + 4.0 if below else self._row(placed, FAULT_ROW) - LINE / 2.0 - 4.0
            near = y - half if below else y + half
            away = y + half if below else y - half
            line(group, path("M", x, rail, "V", near), class_="lead")
            line(group, path("M", x, away, "V", far, "H", self.backs[place], "V", rail), class_="lead")
            return
        over = [level for level in post.hops if placed.top < level <= placed.gap]
        under = [level for level in post.hops if placed.gap < level < placed.bottom]
        line(group, self._upright(x, heights[placed.top], y - half, over), class_="lead")
        line(group, self._upright(x, y + half, heights[placed.bottom], under), class_="lead")

    def _envelope(self, root: ET.Element, envelope: Envelope) -> None:
        """Draw the bulb round the filaments of one lamp, and its name."""
        line_at = self.lines[envelope.first]
        top = self.levels[envelope.upper] + 6.0
        own = [
            placed for post in self.drawn.posts for placed in post.parts if placed.part.lamp == envelope.lamp
        ]
        bottom = max(self._row(placed, SYMBOL_ROW) for placed in own) + SYMBOL_HIGH / 2.0 + 9.0
        left, right = line_at - 27.0, self.rights[envelope.last] - 3.0
        group = add(root, "g", class_="envelope", data_lamp=envelope.lamp)
        add(
            group,
            "rect",
            x=left,
            y=top,
            width=right - left,
            height=bottom - top,
            rx=14.0,
            fill="none",
            stroke="currentColor",
            stroke_width="1.2",
            stroke_dasharray="6 5",
        )
        title = title_of(envelope.lamp, envelope.type)
        words(group, title, line_at + NEAR, top + TITLED / 2.0 + 2.0, "name")
