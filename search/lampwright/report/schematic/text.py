"""A design drawn for the terminal, in box-drawing characters.

Where that is too wide, numbers stand in the drawing and what they are below it; beyond, parts are listed.

The same plan as the picture's: feeds at the top, ground at the bottom, rails level, parts in
upright lines. `⊗` is a filament, `▯` a resistor, `▼` or `▲` a diode and the way it conducts, `╱` a
contact, with its control and the positions that close it: those of one selector hang on its pole's rail. A
line that passes a rail as `─│─` does not touch it. A frame `╭╌╮` is a bulb round its filaments.

No source: our layout.
"""

import re
from collections.abc import Mapping, Sequence

from lampwright.report.explain.controls import SUPPLY, ControlFeed
from lampwright.report.layout import WIDTH
from lampwright.report.schematic.feed import said_of
from lampwright.report.schematic.layout import (
    GROUND,
    DrawnPart,
    Envelope,
    Skeleton,
    Throw,
    lay_out,
    shared_lamps,
)
from lampwright.report.schematic.space import fit, title_of, words_of
from lampwright.report.schematic.stars import positions_of, stars_of
from lampwright.report.si import SPACE
from lampwright.report.topics.parts import BOTH_WAYS, ONE_WAY, fitted
from lampwright.results.design import Design, PartRow
from lampwright.words import listed

NORTH, SOUTH, EAST, WEST = 1, 2, 4, 8
BOX = " " + "│││" + "─└┌├" + "─┘┐┤" + "─┴┬┼"
"""The character for each set of neighbours a cell is joined to, as a sum of the four directions."""

EDGE = 10
JOINT = re.compile(r"j\d+")
PLUS = ControlFeed(SUPPLY, "", "supply")
"""The way from the battery to selectors, where no part may be joined to the supply."""
SUPPLY_ROWS = ("╱", "│", "○", "│")


def schematic_text(design: Design, controls: Sequence[ControlFeed] = (), width: int = WIDTH) -> str:
    """Draw a design; without controls its terminals stand for its feeds."""
    throws = _throws(controls)
    feeds = tuple(feed for feed in controls if feed.terminal != GROUND and feed.kind != "positions")
    if any(SUPPLY in (one.from_node, one.to_node) for one in throws):
        feeds = feeds if SUPPLY in {feed.terminal for feed in feeds} else (PLUS, *feeds)
    nodes = [feed.terminal for feed in feeds] or ([] if throws else _terminals(design))
    drawn = lay_out(design.parts, nodes, throws=throws)
    lines = _Sheet(design, drawn, nodes, feeds, {}).lines()
    if max(len(line) for line in lines) > width:
        several: list[PartRow | Throw] = [*design.parts, *throws]
        numbers = {part: str(number) for number, part in enumerate(several, 1)}
        lines = _Sheet(design, drawn, nodes, feeds, numbers).lines()
        if max(len(line) for line in lines) <= width:
            lines += _legend(numbers, feeds, width)
        else:
            lines = _listed(design, feeds, throws, width)
    return "\n".join(lines).replace(SPACE, " ") + "\n"


def _throws(feeds: Sequence[ControlFeed]) -> list[Throw]:
    """List the contacts of selectors; those of one pole stand beside each other."""
    return [
        Throw(
            star=n,
            ref=star.control,
            from_node=star.pole,
            to_node=name,
            said=listed(positions_of(feeds, star.control, (star.pole, name)), "or"),
        )
        for n, star in enumerate(stars_of(feeds))
        for name in star.throws
    ]


def _terminals(design: Design) -> list[str]:
    """List the nodes of a design that are neither ground nor joints, in order of mention."""
    nodes = dict.fromkeys(node for part in design.parts for node in (part.from_node, part.to_node))
    return [node for node in nodes if node != GROUND and not JOINT.fullmatch(node)]


def _legend(numbers: Mapping[PartRow | Throw, str], feeds: Sequence[ControlFeed], width: int) -> list[str]:
    """Say what the numbers of a narrow drawing stand for, and what feeds its terminals."""
    said = _fed(feeds)
    for part, number in numbers.items():
        what = part.said if isinstance(part, Throw) else fitted(part)
        said.append(", ".join(filter(None, (f"{number}: {part.ref}", what))))
    lines = [""]
    for words in said:
        beside = f"{lines[-1]}   {words}" if lines[-1] else words
        lines = [*lines[:-1], beside] if len(beside) <= width else [*lines, words[:width]]
    return ["", *lines]


def _fed(feeds: Sequence[ControlFeed]) -> list[str]:
    """Say what feeds each terminal."""
    return [f"{feed.terminal}: {feed.control}, {said_of(feed)}" for feed in feeds if feed is not PLUS]


def _listed(design: Design, feeds: Sequence[ControlFeed], throws: Sequence[Throw], width: int) -> list[str]:
    """List what feeds terminals, then the parts between their nodes, a line each, and what is one bulb."""
    ways = [ONE_WAY if part.kind == "diode" else BOTH_WAYS for part in design.parts]
    said = [f"{part.ref}, {fitted(part)}" for part in design.parts]
    left = max((len(fit(part.from_node)) for part in design.parts), default=0)
    middle = min(max((len(words) for words in said), default=0), max(8, width - 2 * left - 8))
    lines = [
        f"{fit(part.from_node):>{left}} {way} {words[:middle]:<{middle}} {way} {fit(part.to_node)}"
        for part, way, words in zip(design.parts, ways, said, strict=True)
    ]
    lamps = {
        lamp: [part.ref for part in design.parts if part.lamp == lamp] for lamp in shared_lamps(design.parts)
    }
    fed = [*_fed(feeds), *(f"{one.from_node} to {one.to_node}: {one.ref}, {one.said}" for one in throws)]
    bulbs = [f"{lamp}: one bulb of {listed(refs)}" for lamp, refs in lamps.items()]
    return [line[:width].rstrip() for line in (*fed, *lines, *bulbs)] or ["no parts"]


class _Sheet:
    """A sheet of characters being drawn on."""

    def __init__(
        self,
        design: Design,
        drawn: Skeleton,
        nodes: Sequence[str],
        feeds: Sequence[ControlFeed],
        numbers: Mapping[PartRow | Throw, str],
    ) -> None:
        """Measure the plan out; with numbers, these stand in place of words."""
        self.source = design.source
        self.numbers = numbers
        self.drawn = drawn
        self.nodes = nodes
        self.feeds = feeds
        self.links: dict[int, dict[int, int]] = {}
        self.marks: dict[int, dict[int, str]] = {}
        self.frames: dict[int, dict[int, str]] = {}
        self.at: list[int] = []
        self.backs: list[int] = []
        self.rights: list[int] = []
        self._measure()
        self.levels = [len(SUPPLY_ROWS) + 1 if feeds else 2]
        for gap in range(drawn.ground):
            self.levels.append(self.levels[-1] + self._rows(gap))

    def lines(self) -> list[str]:
        """Draw everything and read the sheet off."""
        self._rails()
        for one in self.drawn.envelopes:
            self._frame(one)
        for place, post in enumerate(self.drawn.posts):
            if post.feed is not None:
                self._feed(self.at[place], post.feed, post.drop)
            for placed in post.parts:
                self._part(place, placed)
        return [self._row(row) for row in range(self.levels[self.drawn.ground] + 1)]

    def _row(self, row: int) -> str:
        """Read one row: marks before lines, and lines before the frames that they pass."""
        lines = {at: BOX[ways] for at, ways in self.links.get(row, {}).items() if ways}
        shown = {**self.frames.get(row, {}), **lines, **self.marks.get(row, {})}
        return "".join(shown.get(at, " ") for at in range(max(shown, default=-1) + 1)).rstrip()

    def _rows(self, gap: int) -> int:
        """Tell how many rows a gap needs: a bare one, a part with its bulb, a bare one."""
        parts = [placed for post in self.drawn.posts for placed in post.parts if placed.gap == gap]
        return 3 + max(map(self._height, parts)) if parts else 2

    def _height(self, placed: DrawnPart) -> int:
        """Tell how many rows a part needs: its words, of its bulb what is above and the lower end, or pin."""
        bulb = self._bulb(placed)
        ends = 0 if bulb is None else self._above(bulb) + (bulb.lower == placed.gap)
        return len(self._words(placed.part)) + ends

    def _middle(self, placed: DrawnPart) -> int:
        """The row of a part's symbol."""
        bulb = self._bulb(placed)
        return self.levels[placed.gap] + 2 + (0 if bulb is None else self._above(bulb))

    def _above(self, bulb: Envelope) -> int:
        """Tell how many rows a bulb has above its filaments: for a pin, or for loops that close above it."""
        return (bulb.pin == "above") + self._is_below_loops(bulb)

    def _is_below_loops(self, bulb: Envelope) -> bool:
        """Whether a filament of a bulb is a loop above its rail, which closes outside the frame."""
        return any(one.is_loop and bulb.upper == one.gap < one.top for one in self._filaments(bulb))

    def _filaments(self, bulb: Envelope) -> list[DrawnPart]:
        """List what stands in a frame."""
        return [one for post in self.drawn.posts for one in post.parts if self._bulb(one) is bulb]

    def _bulb(self, placed: DrawnPart) -> Envelope | None:
        """Find the frame that a filament stands in."""
        if placed.part.kind != "filament":
            return None
        return next((one for one in self.drawn.envelopes if one.lamp == placed.part.lamp), None)

    def _words(self, part: PartRow | Throw) -> tuple[str, ...]:
        """Say what stands beside a part; of a filament in a frame that names its lamp its own name alone."""
        in_frame = part.kind == "filament" and any(one.lamp == part.lamp for one in self.drawn.envelopes)
        return (self.numbers[part],) if self.numbers else words_of(part, in_frame)

    def _measure(self) -> None:
        """Give each post as many characters as its words need: its line, and where a loop comes back."""
        edge = EDGE + 1
        for place, post in enumerate(self.drawn.posts):
            first = [one for one in self.drawn.envelopes if one.first == place]
            edge += 2 * bool(first)
            said = [word for placed in post.parts for word in self._words(placed.part)]
            said += [rail.node for rail in self.drawn.rails if rail.first == place and not rail.fed]
            if post.feed is not None:
                said += self._feed_words(post.feed)
            said += [] if self.numbers else [title_of(one.lamp, one.type) for one in first]
            back = edge + 3 + max((len(fit(word)) for word in said), default=0)
            self.at.append(edge)
            self.backs.append(back)
            self.rights.append(back + (2 if any(placed.is_loop for placed in post.parts) else 0))
            edge = self.rights[-1] + 1 + 2 * any(one.last == place for one in self.drawn.envelopes)

    def _feed_words(self, feed: int) -> list[str]:
        """Say what stands beside a feed."""
        known = []
        if self.feeds:
            fed = self.feeds[feed]
            known = ["", ""] if fed is PLUS or self.numbers else [fed.control, said_of(fed)]
        return [fit(word) for word in (*known, self.nodes[feed])]

    def _say(self, row: int, at: int, text: str) -> None:
        """Write a text."""
        for offset, character in enumerate(text):
            self.marks.setdefault(row, {})[at + offset] = character

    def _join(self, row: int, at: int, ways: int) -> None:
        """Join a cell to its neighbours."""
        cells = self.links.setdefault(row, {})
        cells[at] = cells.get(at, 0) | ways

    def _across(self, row: int, first: int, last: int) -> None:
        """Draw a level line."""
        for at in range(first, last):
            self._join(row, at, EAST)
            self._join(row, at + 1, WEST)

    def _upright(self, at: int, top: int, bottom: int) -> None:
        """Draw an upright line; a rail it passes is cut where it passes."""
        for row in range(top, bottom):
            self._join(row, at, SOUTH)
            self._join(row + 1, at, NORTH)

    def _rails(self) -> None:
        """Draw the rails, cut where posts pass over them, with the names in them that no feed has."""
        for rail in self.drawn.rails:
            row = self.levels[rail.level]
            ends: list[int] = []
            for place, post in enumerate(self.drawn.posts):
                at, back = self.at[place], self.backs[place]
                if post.feed is not None and self.nodes[post.feed] == rail.node:
                    ends.append(at)
                for placed in post.parts:
                    if placed.meets(rail.node) and self._pin(place, placed, rail.level) is None:
                        ends += [at, back] if placed.is_loop else [at]
            if rail.node == GROUND:
                self._say(row, 0, "31 ground")
                ends.append(EDGE)
            if ends:
                self._across(row, min(ends), max(ends))
            if ends and not rail.fed and rail.node != GROUND:
                self._say(row, min(ends) + 1, f" {fit(rail.node)} ")
                if min(ends) == max(ends):
                    self._say(row, min(ends), "•" if JOINT.fullmatch(rail.node) else "○")
        for place in range(len(self.at)):
            for level in self._passed(place):
                self.links[self.levels[level]][self.at[place]] = 0

    def _passed(self, place: int) -> list[int]:
        """List the levels of the rails that a post passes; a line that ends in a bulb passes none beyond."""
        post = self.drawn.posts[place]
        spared: set[int] = set()
        for placed in post.parts:
            if self._pin(place, placed, placed.bottom) is not None:
                spared.update(range(placed.gap + 1, placed.bottom))
            if self._pin(place, placed, placed.top) is not None:
                spared.update(range(placed.top + 1, placed.gap + 1))
        return [level for level in post.hops if level not in spared]

    def _pin(self, place: int, placed: DrawnPart, level: int) -> int | None:
        """Give the line of the pin that a filament's end at a level is joined to in its bulb, if it is."""
        bulb = self._bulb(placed)
        return self.at[bulb.first] if bulb and bulb.is_inside(place, placed, level) else None

    def _frame(self, bulb: Envelope) -> None:
        """Draw a bulb round its filaments, and its name."""
        height = max(self._height(one) for one in self._filaments(bulb) if one.gap == bulb.lower)
        top = self.levels[bulb.upper] + 1 + self._is_below_loops(bulb)
        bottom = self.levels[bulb.lower] + 1 + height
        left, right = self.at[bulb.first] - 2, self.rights[bulb.last]
        for row, (one, other) in ((top, "╭╮"), (bottom, "╰╯")):
            self.frames.setdefault(row, {}).update(dict.fromkeys(range(left, right), "╌"))
            self.frames[row].update({left: one, right: other})
        for row in range(top + 1, bottom):
            self.frames.setdefault(row, {}).update({left: "╎", right: "╎"})
        if not self.numbers:
            self._say(top, self.at[bulb.first] + 1, f" {title_of(bulb.lamp, bulb.type)} ")

    def _feed(self, at: int, feed: int, drop: int) -> None:
        """Draw the contact and the terminal of a feed, and its drop to a level."""
        said = self._feed_words(feed)
        if self.feeds:
            if self.feeds[feed].is_supplied:
                self._say(0, 0, f"{self.source} +")
                self._across(0, EDGE, at)
                self._join(0, at, SOUTH)
            for row, (mark, word) in enumerate(zip(SUPPLY_ROWS, [*said, ""], strict=True), 1):
                live = self.feeds[feed].kind == "supply"
                self._say(row, at, "│" if live and mark == "╱" else mark)
                self._say(row, at + 2, word)
            top = len(SUPPLY_ROWS)
        else:
            self._say(0, at, "○ " + said[0])
            top = 0
        self._upright(at, top, self.levels[drop])

    def _part(self, place: int, placed: DrawnPart) -> None:
        """Draw a part in its line, or as a loop beside its rail."""
        rows, at, back = self.levels, self.at[place], self.backs[place]
        middle, said = self._middle(placed), self._words(placed.part)
        if placed.is_loop:
            rail = rows[placed.top]
            far = rows[placed.gap + 1] - 1 if placed.gap == placed.top else rows[placed.gap] + 1
            for side in (at, back):
                self._upright(side, min(rail, far), max(rail, far))
            self._across(far, at, back)
        else:
            ends = [rows[placed.top], rows[placed.bottom]]
            for end, level in enumerate((placed.top, placed.bottom)):
                pin = self._pin(place, placed, level)
                if pin is not None:
                    ends[end] = middle + len(said) if end else middle - 1
                    self._across(ends[end], pin, at)
            self._upright(at, *ends)
        for row, word in enumerate(said):
            self._say(middle + row, at + 2, word)
        self._say(middle, at, self._mark(placed))

    def _mark(self, placed: DrawnPart) -> str:
        """Give the character of a part."""
        match placed.part.kind:
            case "filament":
                return "⊗"
            case "resistor":
                return "▯"
            case "diode":
                return "▼" if placed.down else "▲"
            case "wire":
                return "│"
            case "throw":
                return "╱"
