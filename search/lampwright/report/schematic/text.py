"""A design drawn for the terminal, in box-drawing characters.

Where that is too wide, numbers stand in the drawing and what they are below it; beyond, parts are listed.

The same plan as the picture's: feeds at the top, ground at the bottom, rails level, parts in
upright lines. `⊗` is a filament, `▯` a resistor, `▼` or `▲` a diode and the way it conducts, `╱` a
contact, with its control and the positions that close it: those of one selector hang on its pole's rail. A
line that passes a rail as `─│─` does not touch it.

No source: our layout.
"""

import re
from collections.abc import Mapping, Sequence

from lampwright.report.explain.controls import SUPPLY, ControlFeed
from lampwright.report.layout import WIDTH
from lampwright.report.schematic.feed import said_of
from lampwright.report.schematic.layout import GROUND, DrawnPart, Skeleton, Throw, lay_out
from lampwright.report.schematic.space import fit, words_of
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
    lines = _Sheet(drawn, nodes, feeds, {}).lines()
    if max(len(line) for line in lines) > width:
        several: list[PartRow | Throw] = [*design.parts, *throws]
        numbers = {part: str(number) for number, part in enumerate(several, 1)}
        lines = _Sheet(drawn, nodes, feeds, numbers).lines()
        if max(len(line) for line in lines) <= width:
            lines += _legend(numbers, feeds, width)
        else:
            lines = _listed(design, width)
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
    said = [f"{feed.terminal}: {feed.control}, {said_of(feed)}" for feed in feeds if feed is not PLUS]
    for part, number in numbers.items():
        what = part.said if isinstance(part, Throw) else fitted(part)
        said.append(", ".join(filter(None, (f"{number}: {part.ref}", what))))
    lines = [""]
    for words in said:
        beside = f"{lines[-1]}   {words}" if lines[-1] else words
        lines = [*lines[:-1], beside] if len(beside) <= width else [*lines, words[:width]]
    return ["", *lines]


def _listed(design: Design, width: int) -> list[str]:
    """List the parts between their nodes, a line each, those at one node together."""
    ways = [ONE_WAY if part.kind == "diode" else BOTH_WAYS for part in design.parts]
    said = [f"{part.ref}, {fitted(part)}" for part in design.parts]
    left = max((len(fit(part.from_node)) for part in design.parts), default=0)
    middle = min(max((len(words) for words in said), default=0), max(8, width - 2 * left - 8))
    lines = [
        f"{fit(part.from_node):>{left}} {way} {words[:middle]:<{middle}} {way} {fit(part.to_node)}"
        for part, way, words in zip(design.parts, ways, said, strict=True)
    ]
    return [line[:width].rstrip() for line in lines] or ["no parts"]


class _Sheet:
    """A sheet of characters being drawn on."""

    def __init__(
        self,
        drawn: Skeleton,
        nodes: Sequence[str],
        feeds: Sequence[ControlFeed],
        numbers: Mapping[PartRow | Throw, str],
    ) -> None:
        """Measure the plan out; with numbers, these stand in place of words."""
        self.numbers = numbers
        self.drawn = drawn
        self.nodes = nodes
        self.feeds = feeds
        self.links: dict[int, dict[int, int]] = {}
        self.marks: dict[int, dict[int, str]] = {}
        self.at: list[int] = []
        self.backs: list[int] = []
        self._measure()
        self.levels = [len(SUPPLY_ROWS) + 1 if feeds else 2]
        for gap in range(drawn.ground):
            self.levels.append(self.levels[-1] + self._rows(gap))

    def lines(self) -> list[str]:
        """Draw everything and read the sheet off."""
        self._rails()
        for place, post in enumerate(self.drawn.posts):
            if post.feed is not None:
                self._feed(self.at[place], post.feed, post.drop)
            for placed in post.parts:
                self._part(self.at[place], self.backs[place], placed)
        return [self._row(row) for row in range(self.levels[self.drawn.ground] + 1)]

    def _row(self, row: int) -> str:
        """Read one row: marks before lines."""
        links, marks = self.links.get(row, {}), self.marks.get(row, {})
        last = max([*links, *marks], default=-1)
        return "".join(marks.get(at) or BOX[links.get(at, 0)] for at in range(last + 1)).rstrip()

    def _rows(self, gap: int) -> int:
        """Tell how many rows a gap needs: a bare one, a part's words, one for the names of nets."""
        parts = [placed.part for post in self.drawn.posts for placed in post.parts if placed.gap == gap]
        return 3 + max(len(self._words(part)) for part in parts) if parts else 2

    def _words(self, part: PartRow | Throw) -> tuple[str, ...]:
        """Say what stands beside a part."""
        return (self.numbers[part],) if self.numbers else words_of(part, False)

    def _measure(self) -> None:
        """Give each post as many characters as its words need: its line, and where a loop comes back."""
        edge = EDGE + 1
        for place, post in enumerate(self.drawn.posts):
            said = [word for placed in post.parts for word in self._words(placed.part)]
            said += [rail.node for rail in self.drawn.rails if rail.first == place and not rail.fed]
            if post.feed is not None:
                said += self._feed_words(post.feed)
            back = edge + 3 + max((len(fit(word)) for word in said), default=0)
            self.at.append(edge)
            self.backs.append(back)
            edge = back + (3 if any(placed.is_loop for placed in post.parts) else 1)

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
        """Draw the rails, cut where posts pass over them, and name those no feed names."""
        for rail in self.drawn.rails:
            row = self.levels[rail.level]
            ends: list[int] = []
            for at, back, post in zip(self.at, self.backs, self.drawn.posts, strict=True):
                if post.feed is not None and self.nodes[post.feed] == rail.node:
                    ends.append(at)
                for placed in post.parts:
                    if placed.meets(rail.node):
                        ends += [at, back] if placed.is_loop else [at]
            if rail.node == GROUND:
                self._say(row, 0, "31 ground")
                ends.append(EDGE)
            elif not rail.fed:
                self._say(row - 1, min(ends) + 2, fit(rail.node))
            if ends:
                self._across(row, min(ends), max(ends))
        for at, post in zip(self.at, self.drawn.posts, strict=True):
            for level in post.hops:
                self.links[self.levels[level]][at] = 0

    def _feed(self, at: int, feed: int, drop: int) -> None:
        """Draw the contact and the terminal of a feed, and its drop to a level."""
        said = self._feed_words(feed)
        if self.feeds:
            if self.feeds[feed].is_supplied:
                self._say(0, 0, "battery +")
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

    def _part(self, at: int, back: int, placed: DrawnPart) -> None:
        """Draw a part in its line, or as a loop beside its rail."""
        rows = self.levels
        middle = rows[placed.gap] + 2
        if placed.is_loop:
            rail = rows[placed.top]
            far = rows[placed.gap + 1] - 1 if placed.gap == placed.top else rows[placed.gap] + 1
            for side in (at, back):
                self._upright(side, min(rail, far), max(rail, far))
            self._across(far, at, back)
        else:
            self._upright(at, rows[placed.top], rows[placed.bottom])
        said = self._words(placed.part)
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
