"""A design drawn as a schematic: a picture in one self-contained SVG text.

Battery at the left, feeds at the top, ground at the bottom, nets as level rails, parts as
posts between them. A dot is a joint; a line that leaps over a rail does not touch it. All
ink is `currentColor`, so that the picture reads on paper and on any ground.

A page finds its way by classes and data: `g.part` (and `filament`, `resistor`, `diode` or
`wire`) with `data-ref`, `data-from`, `data-to`; in it `.glow` (opacity 0), `.arrow` (not
displayed; class `reversed` turns it) along `from` to `to`, and `text.amps`, empty. `g.net`
has `data-node`; `g.feed` has `data-node`, `data-label` and `data-kind`, a blade `.open` and one
`.closed` for each terminal it joins, in `data-to`. Of a selector, the `g.feed` with its pole in
`data-node` has the blades, no `.open` if it never is open; each terminal below has a `g.feed` without.
What marks a failure is hidden in parts and feeds: `.cross`, `.cut` at the lead to ground, `g.jumper` round
a shorted part, and `text.fault`, empty. For every two terminals above the parts, `g.jumper` with `data-one`
and `data-other` bridges them. Colours can be set as
`--schematic-glow`, `--schematic-flow` and `--schematic-fault`. Ids begin with the design's
rank. Boxes of words and symbols are in `data-box`, as x, y, width, height.

No source: our layout.
"""

import re
import xml.etree.ElementTree as ET
from collections.abc import Mapping, Sequence
from itertools import combinations

from msgspec import Struct

from lampwright.report.explain.controls import SUPPLY, ControlFeed, ControlKind
from lampwright.report.schematic import symbols
from lampwright.report.schematic.feed import (
    draw_feed,
    draw_inner,
    draw_selector,
    draw_throw,
    said_of,
)
from lampwright.report.schematic.layout import (
    GROUND,
    DrawnPart,
    Envelope,
    Post,
    Rail,
    Throw,
)
from lampwright.report.schematic.plan import HOP, Measured
from lampwright.report.schematic.space import (
    AMPS,
    CURRENT_ROW,
    FAULT_ROW,
    FONT,
    LINE,
    MARGIN,
    NEAR,
    PLAIN,
    SUPPLY_RAIL,
    SYMBOL_HIGH,
    SYMBOL_ROW,
    TITLED,
    WORDS,
    WRONG,
    text_width,
    title_of,
)
from lampwright.report.schematic.stars import Selector
from lampwright.report.schematic.symbols import add, clean, line, path, words
from lampwright.report.schematic.tags import (
    NO_MARKS,
    TAG,
    TAG_ROW,
    Marks,
    tag_feed,
    tag_pole,
    tag_supply,
    tag_terminal,
    tag_throws,
)
from lampwright.report.topics.parts import fitted
from lampwright.results.design import Design, PartRow

PIN_BELOW, PIN_ABOVE = 28.0, 49.5
"""From the middle of a bulb to where its filaments are joined to their pin; above, over the arrows."""
BATTERY_LINE = MARGIN + 24.0
STYLE = """
:root.lampwright-schematic{color-scheme:light dark;color:CanvasText}
.lampwright-schematic .arrow.reversed path{transform:rotate(180deg)}
.lampwright-schematic .glow{fill:var(--schematic-glow,#ffb400)}
.lampwright-schematic .cross .stroke,.lampwright-schematic .cut{stroke:var(--schematic-fault,currentColor)}
.lampwright-schematic .jumper path{stroke:var(--schematic-fault,currentColor)}
.lampwright-schematic .jumper circle{fill:var(--schematic-fault,currentColor)}
.lampwright-schematic .fault{fill:var(--schematic-fault,currentColor);font-weight:bold}
.lampwright-schematic .arrow path,.lampwright-schematic .amps{fill:var(--schematic-flow,currentColor)}
"""


class Schematic(Struct, frozen=True):
    """A picture: the text of its SVG, and its width and height in pixels."""

    svg: str
    wide: float
    high: float


def schematic(
    design: Design, controls: Sequence[ControlFeed], ids: bool = True, marks: Marks = NO_MARKS
) -> Schematic:
    """Draw a design below its feeds; without ids where several drawings stand on one page.

    marks: the numbers of wires.
    """
    feeds = tuple(feed for feed in controls if feed.terminal != GROUND)
    picture = _Picture(design, feeds)
    picture.marks = marks
    return picture.schematic(ids)


class _Picture(Measured):
    """One picture being drawn."""

    marks: Marks = NO_MARKS

    def schematic(self, ids: bool) -> Schematic:
        """Draw everything, and write it out."""
        root = self._root()
        for envelope in self.drawn.envelopes:
            self._envelope(root, envelope)
        self._supply(root)
        for rail in self.drawn.rails:
            self._net(root, rail)
        for place, post in enumerate(self.drawn.posts):
            drop = None if post.feed is None else self.drops[post.feed]
            if drop is not None and drop.feed is not None:
                self._feed(root, place, drop.feed)
            for placed in post.parts:
                if not isinstance(placed.part, Throw):
                    self._part(root, place, post, placed, placed.part)
        for star, posts in self._tops().items():
            self._selector(root, star, posts)
        for inner, fan in self.fans:
            star = self.stars[inner.star]
            side = "below" if inner.down else "above"
            group = self._feed_group(root, star.control, star.pole, side=side)
            draw_inner(group, fan, star)
            tag_pole(group, self.marks, star.control, star.pole, fan)
            tag_throws(group, self.marks, star.control, fan)
        self._jumpers(root)
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
            if post.feed is not None and self.drops[post.feed].feed is not None
        ]
        tops = [(star, self.top_at(star, posts)) for star, posts in self._tops().items()]
        fed += [fan.throws.get(SUPPLY, fan.x) for star, fan in tops if star.is_supplied]
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
        words(group, self.design.source, x + 20.0, middle, "note")
        tag_supply(group, self.marks, x, middle - half, middle + half, ground)
        symbols.earth(group, x, ground)

    def _feed(self, root: ET.Element, place: int, feed: ControlFeed) -> None:
        """Draw a fuse, a contact and a terminal."""
        group = self._feed_group(root, feed.control, feed.terminal, feed.kind)
        add(group, "title").text = clean(f"{feed.control}: {said_of(feed)}, feeds {feed.terminal}")
        draw_feed(group, self.lines[place], feed, self.rows)
        tag_feed(group, self.marks, feed.control, feed.terminal, self.lines[place], self.rows)

    def _feed_group(
        self, root: ET.Element, control: str, node: str, kind: ControlKind = "positions", side: str = ""
    ) -> ET.Element:
        """Begin the group of what stands above a terminal, or of a selector by its pole."""
        return add(
            root,
            "g",
            class_=f"feed {kind}",
            id=self._id("feed", "-".join(filter(None, (control, node, side)))),
            data_node=node,
            data_label=control,
            data_kind=kind,
        )

    def _selector(self, root: ET.Element, star: Selector, posts: Mapping[str, int]) -> None:
        """Draw a selector that stands above its terminals, and the way to each of them."""
        fan = self.top_at(star, posts)
        group = self._feed_group(root, star.control, star.pole)
        draw_selector(group, fan, star, self.rows)
        tag_pole(group, self.marks, star.control, star.pole, fan)
        if not fan.down:
            tag_throws(group, self.marks, star.control, fan)
        ends = {name: self.lines[place] for name, place in posts.items()}
        for name in posts if fan.down else ():
            group = self._feed_group(root, star.control, name)
            draw_throw(group, fan, star, name, ends, self.rows)
            tag_terminal(group, self.marks, (star.control, name), ends[name], self.rows)

    def _jumpers(self, root: ET.Element) -> None:
        """Draw what bridges two terminals, hidden, for every two; it leaps over those between."""
        y = self.rows.end + (6.0 if self.rows is PLAIN else 13.0)
        at: dict[str, float] = {}
        for place, post in enumerate(self.drawn.posts):
            if post.feed is not None:
                at.setdefault(self.drops[post.feed].terminal, self.lines[place])
        lines = [self.lines[place] for place, post in enumerate(self.drawn.posts) if post.feed is not None]
        for (one, x), (other, x2) in combinations(sorted(at.items(), key=lambda pair: pair[1]), 2):
            steps: list[str | float] = ["M", x, y]
            for over in (between for between in lines if x < between < x2):
                steps += ["H", over - HOP, "A", HOP, HOP, "0 0 1", over + HOP, y]
            symbols.jumper(root, path(*steps, "H", x2), ((x, y), (x2, y)), data_one=one, data_other=other)

    def _net(self, root: ET.Element, rail: Rail) -> None:
        """Draw a rail, its dots, its drops and its name."""
        group = add(root, "g", class_="net", id=self._id("net", rail.node), data_node=rail.node)
        y = self.levels[rail.level]
        joined = self.joints[rail.node]
        ends = [x for x, _ in joined]
        if rail.node == GROUND:
            ends.append(BATTERY_LINE)
        if ends and min(ends) < max(ends):
            line(group, path("M", min(ends), y, "H", max(ends)), class_="rail")
        for x, branches in joined:
            meets = branches + (min(ends) < x) + (x < max(ends))
            if meets > 2 or (min(ends) == max(ends) and not rail.fed):
                symbols.dot(group, x, y)
        for place, post in enumerate(self.drawn.posts):
            if self.is_used(rail) and post.feed is not None and self.drops[post.feed].terminal == rail.node:
                x = self.lines[place]
                hops = [level for level in post.hops if level < post.drop]
                line(group, self.upright(x, self.rows.terminal + 4.0, y, hops), class_="drop")
        self._throws(group, rail)
        if rail.node == GROUND:
            symbols.dot(group, BATTERY_LINE, y)
            words(group, f"{GROUND} ground", BATTERY_LINE + 18.0, y + 16.0, "terminal")
        elif not rail.fed:
            words(group, rail.node, min(ends) + NEAR, y - 10.0, "terminal")

    def _throws(self, group: ET.Element, rail: Rail) -> None:
        """Draw what leads from a rail to the selectors between terminals."""
        for fan, placed in self.fans:
            star = self.stars[fan.star]
            ends = {one.part.to_node: self.lines[at] for at, one in zip(fan.posts, fan.throws, strict=True)}
            if star.pole == rail.node:
                line(group, self.to_pole(placed, rail), class_="drop")
            for at, one in zip(fan.posts, fan.throws, strict=True):
                if one.part.to_node == rail.node:
                    line(group, self.to_throw(placed, rail, self.drawn.posts[at], ends), class_="drop")

    def _part(self, root: ET.Element, place: int, post: Post, placed: DrawnPart, part: PartRow) -> None:
        """Draw a part: leads, symbol, words, arrow, the slot for its amps."""
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
        x, y = self.lines[place], self.row(placed, SYMBOL_ROW)
        down = placed.gap == placed.top if placed.is_loop else placed.down
        half = self._symbol(group, part, x, y, down)
        self._leads(group, place, post, placed, half)
        for node, at in ((part.from_node, -TAG_ROW), (part.to_node, TAG_ROW)):
            if (part.ref, node) in self.marks.leads:
                symbols.tag(group, x - TAG, y + (at if down else -at), self.marks.leads[part.ref, node])
        symbols.arrow(group, x, self.row(placed, CURRENT_ROW), down)
        words(
            parent=group,
            text="",
            x=x + NEAR,
            y=self.row(placed, CURRENT_ROW),
            class_="amps",
            room=text_width(AMPS),
        )
        if part.kind != "wire":
            self._failed(group, part, x, y, self.row(placed, FAULT_ROW))
        said = self.words_beside(part)
        first = y - LINE * (len(said) - 1) / 2.0
        for row, word in enumerate(said):
            aside = WORDS if part.kind != "wire" else NEAR
            words(group, word, x + aside, first + LINE * row, "note" if row else "name")

    def _failed(self, group: ET.Element, part: PartRow, x: float, y: float, above: float) -> None:
        """Draw what marks a part that has failed, hidden: a cross, a cut to ground, the slot for a word."""
        symbols.cross(group, x, y, 12.0)
        round_it = path("M", x, y - 27.0, "H", x - 23.0, "V", y + 27.0, "H", x)
        symbols.jumper(group, round_it, ((x, y - 27.0), (x, y + 27.0)))
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
        x, y, heights = self.lines[place], self.row(placed, SYMBOL_ROW), self.levels
        if placed.is_loop:
            rail = heights[placed.top]
            below = placed.gap == placed.top
            far = y + SYMBOL_HIGH / 2.0 + 4.0 if below else self.row(placed, FAULT_ROW) - LINE / 2.0 - 4.0
            near = y - half if below else y + half
            away = y + half if below else y - half
            line(group, path("M", x, rail, "V", near), class_="lead")
            line(group, path("M", x, away, "V", far, "H", self.backs[place], "V", rail), class_="lead")
            return
        over = [level for level in post.hops if placed.top < level <= placed.gap]
        under = [level for level in post.hops if placed.gap < level < placed.bottom]
        for level, end, hops in ((placed.top, y - half, over), (placed.bottom, y + half, under)):
            pin = self.inside(place, placed, level)
            if pin is None:
                top, bottom = sorted((heights[level], end))
                line(group, self.upright(x, top, bottom, hops), class_="lead")
                continue
            at = y - PIN_ABOVE if level == placed.top else y + PIN_BELOW
            line(group, path("M", x, end, "V", at, "H", pin), class_="lead")
            symbols.dot(group, pin, at)

    def _envelope(self, root: ET.Element, envelope: Envelope) -> None:
        """Draw the bulb round the filaments of one lamp, and its name."""
        line_at = self.lines[envelope.first]
        top = self.levels[envelope.upper] + 6.0
        own = [
            placed for post in self.drawn.posts for placed in post.parts if placed.part.lamp == envelope.lamp
        ]
        bottom = max(self.row(placed, SYMBOL_ROW) for placed in own) + SYMBOL_HIGH / 2.0 + 9.0
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
