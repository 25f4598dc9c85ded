"""A design drawn for a narrow screen: the schematic turned, so that it grows downwards alone.

Nets are upright rails, plus at the left and ground at the right; every contact and every part is a row
between two of them, its words above it. A selector is drawn as its contacts apart, each under its
control's name (the detached representation of IEC 61082-1). What has the same rows of its own may share
a place: so few rails stand beside each other. Two filaments of a bulb are framed, and leave it by one pin,
where their rows have room for that; else the second says whose bulb it is in. Classes and data are those of
the wide drawing (`svg`).

No source: our layout; the order of rails and rows is found as there.
"""

import xml.etree.ElementTree as ET
from collections.abc import Sequence
from itertools import accumulate, pairwise

from msgspec import Struct

from lampwright.report import si
from lampwright.report.explain.controls import SUPPLY, ControlFeed
from lampwright.report.schematic import symbols
from lampwright.report.schematic.arrange import descend
from lampwright.report.schematic.feed import KINDS
from lampwright.report.schematic.layout import GROUND
from lampwright.report.schematic.order import Puzzle, crossed, extents, levels, measure
from lampwright.report.schematic.space import AMPS, FONT, WRONG, fit, text_width, words_of
from lampwright.report.schematic.steps import HOP, Need, needs_of, steps
from lampwright.report.schematic.svg import STYLE, Schematic
from lampwright.report.schematic.symbols import CONTACT, DIODE, LAMP, RESISTOR, add, clean, line, path, words
from lampwright.report.topics.parts import fitted
from lampwright.results.design import Design, PartRow

WIDE = 320.0
EDGE = 18.0
"""From the edges to the outermost rails."""
TOP, ROW = 34.0, 60.0
ABOVE, BELOW = 25.0, 16.0
"""From a row's line to the middle of the words above it, and of those below it."""
GAP = 7.0
VOLTS = "13.5 V"
"""What may stand behind the name of a net."""
FUSE, FUSED = 22.0, 36.0
"""From the plus rail to the middle of a fuse, and to what follows it."""
TURN = "rotate(-90)"
PIN, PIN_OFF = 12.0, 30.0
"""From a rail to the pin of a bulb that is joined to it, and from the pin to the filaments."""
UNDER, BULB = 29.0, 16.0
"""From the lower filament of a bulb to its words below, and how much more room its rows take."""


class _Contact(Struct, frozen=True):
    """One contact: its control's feed, and the two terminals it joins."""

    feed: ControlFeed
    from_node: str
    to_node: str


class _Bulb(Struct, frozen=True):
    """Two filaments of a lamp in rows below each other: the upper row, and the node at their pin.

    x: of the symbols. pin: of the line that joins both ends at the node.
    """

    lamp: str
    row: int
    node: str
    x: float
    pin: float

    @property
    def sides(self) -> tuple[float, float]:
        """The left and the right side of its frame."""
        return min(self.x - 21.0, self.pin - 7.0), max(self.x + 21.0, self.pin + 7.0)


_Item = _Contact | PartRow


def narrow_schematic(design: Design, controls: Sequence[ControlFeed]) -> Schematic:
    """Draw a design in a column of fixed width; without ids, for it stands beside the wide drawing."""
    return _Column(design, controls).schematic()


def _contacts(feeds: Sequence[ControlFeed]) -> list[_Contact]:
    """List every contact once; the supply's own terminal needs none."""
    found: dict[tuple[str, frozenset[str]], _Contact] = {}
    for feed in feeds:
        for other in feed.joins if feed.kind != "supply" else ():
            ends = (other, feed.terminal) if other == SUPPLY else (feed.terminal, other)
            found.setdefault((feed.control, frozenset(ends)), _Contact(feed, *ends))
    return list(found.values())


def _read(contacts: Sequence[_Contact], parts: Sequence[PartRow]) -> tuple[_Item, ...]:
    """Order as one would read: each contact, the parts at its terminals, then the rest."""
    read: list[_Item] = []
    for contact in contacts:
        ends = {contact.from_node, contact.to_node} - {SUPPLY, GROUND}
        mine = [part for part in parts if part not in read and ends & {part.from_node, part.to_node}]
        read += [contact, *mine]
    return (*read, *(part for part in parts if part not in read))


def _wide(item: _Item) -> float:
    """How wide a row's symbol is, as it lies in its line."""
    if isinstance(item, _Contact):
        return 2.0 * CONTACT
    match item.kind:
        case "filament":
            return 2.0 * LAMP
        case "resistor":
            return 2.0 * RESISTOR[1]
        case "diode":
            return 2.0 * DIODE[1]
        case "wire":
            return 0.0


def _fused(item: _Item) -> float:
    """How much of a row's line a fuse takes, from the plus rail on."""
    return FUSED if isinstance(item, _Contact) and item.from_node == SUPPLY else 0.0


class _Column:
    """One drawing: the places of its rails, and its rows from top to bottom."""

    def __init__(self, design: Design, controls: Sequence[ControlFeed]) -> None:
        """Order rails and rows, and give them their places."""
        self.design = design
        items = _read(_contacts(controls), design.parts)
        ends = [node for item in items for node in (item.from_node, item.to_node)]
        inner = [node for node in dict.fromkeys(ends) if node not in (SUPPLY, GROUND)]
        self.nodes = [SUPPLY, *inner, GROUND]
        number = {node: place for place, node in enumerate(self.nodes)}
        lamps = list(dict.fromkeys(item.lamp for item in items if isinstance(item, PartRow) and item.lamp))
        self.puzzle = Puzzle(
            fixed=1,
            nets=len(self.nodes) - 1,
            items=tuple((number[item.from_node], number[item.to_node]) for item in items),
            groups=tuple(
                lamps.index(item.lamp) if isinstance(item, PartRow) and item.lamp else None for item in items
            ),
            alone=True,
        )
        found = descend(self.puzzle)
        columns = [(item,) for column in found.columns for item in column]
        order = measure(self.puzzle, found.tracks, columns)
        self.rows = [items[column[0]] for column in columns]
        self.spans = extents(self.puzzle, columns)
        heights = levels(self.puzzle, order)
        # plus begins above all rows, so no other rail may have its place
        if 0 in heights[1:]:
            heights = [0, *(height + 1 for height in heights[1:])]
        over: dict[int, list[int]] = {}
        for row, net in crossed(self.puzzle, order.tracks, columns):
            over.setdefault(row, []).append(net)
        needs: list[Need] = []
        for row, item in enumerate(self.rows):
            between = [heights[number[node]] for node in (item.from_node, item.to_node)]
            leaps = [heights[net] for net in over.get(row, ())]
            needs += needs_of(between, leaps, _wide(item), _fused(item))
        edges = [*accumulate(steps(needs, heights[-1], WIDE - 2.0 * EDGE), initial=EDGE)]
        self.places = {node: edges[heights[net]] for net, node in enumerate(self.nodes)}
        self.hops = {row: [self.places[self.nodes[net]] for net in nets] for row, nets in over.items()}
        self.bulbs = list(filter(None, map(self._bulb_at, range(len(self.rows) - 1))))
        for bulb in self.bulbs:
            net = number[bulb.node]
            first, last = self.spans[net] or (0, 0)
            # the lower filament ends at the pin, and not at the rail
            self.spans[net] = (first, bulb.row if last == bulb.row + 1 else last)
        self.high = self._y(len(self.rows)) - ROW + 34.0

    def _y(self, row: int) -> float:
        """The height of a row's line; the battery's is above the first."""
        return TOP + ROW * (row + 1) + BULB * sum(bulb.row + 1 < row for bulb in self.bulbs)

    def _bulb_at(self, row: int) -> _Bulb | None:
        """Join the filaments of two rows in one bulb, if they have an end in common at one side."""
        upper, lower = self.rows[row : row + 2]
        if isinstance(upper, _Contact) or isinstance(lower, _Contact):
            return None
        own = [part for part in self.design.parts if part.kind == "filament" and part.lamp == upper.lamp]
        if upper.lamp is None or upper not in own or lower not in own or len(own) != 2:
            return None
        for side, way in ((1, 1.0), (0, -1.0)):
            ends = [self._ends(one)[side] for one in (upper, lower)]
            nodes = [{one.from_node, one.to_node} for one in (upper, lower)]
            shared = [node for node in nodes[0] & nodes[1] if ends == [self.places[node]] * 2]
            passed = [x for one in (row, row + 1) for x in self.hops.get(one, ())]
            far = [self._ends(one)[1 - side] for one in (upper, lower)]
            pin = ends[0] - way * PIN
            room = [way * (pin - x) for x in (*passed, *far)]
            if shared and all(one > PIN_OFF + 24.0 for one in room):
                return _Bulb(upper.lamp, row, shared[0], pin - way * PIN_OFF, pin)
        return None

    def _bulb_of(self, row: int) -> _Bulb | None:
        """The bulb that a row is in, if it is framed."""
        return next((bulb for bulb in self.bulbs if row in (bulb.row, bulb.row + 1)), None)

    def schematic(self) -> Schematic:
        """Draw everything, and write it out."""
        root = ET.Element(
            "svg",
            {
                "xmlns": "http://www.w3.org/2000/svg",
                "class": "lampwright-schematic",
                "viewBox": path(0.0, 0.0, WIDE, self.high),
                "width": symbols.number(WIDE),
                "height": symbols.number(self.high),
                "role": "img",
                "aria-label": clean(f"Schematic of design {self.design.rank}"),
                "font-family": "Liberation Sans, Arial, Helvetica, sans-serif",
                "font-size": symbols.number(FONT),
                "stroke-linecap": "round",
            },
        )
        add(root, "style").text = STYLE
        for bulb in self.bulbs:
            self._frame(root, bulb)
        self._supply(root)
        for net, node in enumerate(self.nodes[1:-1], 1):
            self._net(root, net, node)
        for row, item in enumerate(self.rows):
            if isinstance(item, _Contact):
                self._contact(root, row, item)
            else:
                self._part(root, row, item)
        return Schematic(ET.tostring(root, encoding="unicode"), WIDE, self.high)

    def _last(self, node: str) -> float:
        """The lowest row that a rail reaches."""
        span = self.spans[self.nodes.index(node)]
        return TOP if span is None else self._y(span[1])

    def _supply(self, root: ET.Element) -> None:
        """Draw the battery between plus and ground, and these two rails."""
        group = add(root, "g", class_="supply")
        left, right, middle = EDGE, WIDE - EDGE, WIDE / 2.0
        half = symbols.battery(add(group, "g", transform=f"translate({middle} {TOP}) {TURN}"), 0.0, 0.0)
        line(group, path("M", middle - half, TOP, "H", left))
        line(group, path("M", middle + half, TOP, "H", right))
        line(group, path("M", left, TOP, "V", self._last(SUPPLY)), class_="rail")
        words(group, "+", middle - 32.0, TOP - 12.0, "sign")
        words(group, self.design.source, left + 5.0, TOP - 12.0, "note")
        net = add(root, "g", class_="net", data_node=GROUND)
        line(net, path("M", right, TOP, "V", self._last(GROUND)), class_="rail")
        words(net, f"{GROUND} ground", right - 5.0, TOP - 12.0, "terminal").set("text-anchor", "end")
        self._dots(net, GROUND)
        if any(SUPPLY in (part.from_node, part.to_node) for part in self.design.parts):
            add(root, "g", class_="net", data_node=SUPPLY)

    def _net(self, root: ET.Element, net: int, node: str) -> None:
        """Draw a rail, its dots and its name, beside its first row."""
        group = add(root, "g", class_="net", data_node=node)
        span, x = self.spans[net], self.places[node]
        if span is None:
            return
        y = self._y(span[0])
        if span[0] < span[1]:
            line(group, path("M", x, y, "V", self._y(span[1])), class_="rail")
        self._dots(group, node)
        room = text_width(f"{fit(node)} {VOLTS}")
        item = self.rows[span[0]]
        other = item.to_node if item.from_node == node else item.from_node
        if self.places[other] < x and x + GAP + room < WIDE:
            words(group, node, x + GAP, y, "terminal")
        else:
            aside = 0.0 if self.places[other] > x and room + GAP < x else BELOW
            words(group, node, x - GAP, y + aside, "terminal").set("text-anchor", "end")

    def _frame(self, root: ET.Element, bulb: _Bulb) -> None:
        """Draw the bulb round its filaments."""
        (left, right), top = bulb.sides, self._y(bulb.row) - LAMP - 3.0
        high = self._y(bulb.row + 1) + LAMP + 3.0 - top
        group = add(root, "g", class_="envelope", data_lamp=bulb.lamp)
        rect = add(group, "rect", x=left, y=top, width=right - left, height=high, rx=16.0, fill="none")
        for name, said in (("stroke", "currentColor"), ("stroke-width", "1.2"), ("stroke-dasharray", "6 5")):
            rect.set(name, said)

    def _dots(self, group: ET.Element, node: str) -> None:
        """Draw a dot wherever three lines meet on a rail."""
        span = self.spans[self.nodes.index(node)]
        for row, item in enumerate(self.rows):
            bulb = self._bulb_of(row)
            if bulb and bulb.row + 1 == row and bulb.node == node:
                continue
            if span and node in (item.from_node, item.to_node):
                above = row > span[0] or node in (SUPPLY, GROUND)
                if above + (row < span[1]) == 2:
                    symbols.dot(group, self.places[node], self._y(row))

    def _contact(self, root: ET.Element, row: int, item: _Contact) -> None:
        """Draw a contact between two terminals, with its fuse if the supply is one of them."""
        feed, y = item.feed, self._y(row)
        group = add(root, "g", class_=f"feed {feed.kind}")
        for name, said in (("node", feed.terminal), ("label", feed.control), ("kind", feed.kind)):
            group.set(f"data-{name}", clean(said))
        left, right = self._ends(item)
        fused = _fused(item)
        middle = self._middle(row, left + fused, right)
        way = item.from_node if item.to_node == feed.terminal else item.to_node
        symbol = add(group, "g", transform=f"translate({symbols.number(middle)} {symbols.number(y)}) {TURN}")
        symbols.contact(symbol, 0.0, 0.0, "switch" if feed.kind == "positions" else feed.kind)
        for blade in symbol.iter("path"):
            if "closed" in blade.get("class", ""):
                blade.set("data-to", way)
        start = left
        if fused:
            fuse = add(group, "g", class_="fused", data_fuse=clean(feed.terminal))
            at = f"translate({symbols.number(left + FUSE)} {symbols.number(y)}) {TURN}"
            half = symbols.fuse(add(fuse, "g", transform=at), 0.0, 0.0)
            symbols.cross(fuse, left + FUSE, y, 9.0)
            line(group, path("M", left, y, "H", left + FUSE - half), class_="drop")
            start = left + FUSE + half
        line(group, self._level(row, start, middle - 14.0), class_="drop")
        line(group, self._level(row, middle + 14.0, right), class_="drop")
        told = [KINDS[feed.kind] + (" to ground" if way == GROUND else "")]
        told += [si.amps(feed.fuse)] if feed.fuse is not None and fused else []
        self._words(group, row, (feed.control, " ".join(told)), ())
        words(group, "", left + 4.0, y + BELOW, "fault", room=text_width("bridged"))

    def _part(self, root: ET.Element, row: int, part: PartRow) -> None:
        """Draw a part: leads, symbol, words, arrow, the slots for its amps and for what is wrong."""
        group = add(root, "g", class_=f"part {part.kind}", data_lamp=clean(part.lamp or ""))
        for name, said in (("ref", part.ref), ("kind", part.kind), ("from", part.from_node)):
            group.set(f"data-{name}", clean(said))
        group.set("data-to", clean(part.to_node))
        add(group, "title").text = clean(f"{part.ref}: {fitted(part)}, {part.from_node} to {part.to_node}")
        left, right = self._ends(part)
        forward = self.places[part.from_node] <= self.places[part.to_node]
        y, middle = self._y(row), self._middle(row, left, right)
        at = f"translate({symbols.number(middle)} {symbols.number(y)}) {TURN}"
        half = self._symbol(add(group, "g", transform=at), part, forward)
        bulb = self._bulb_of(row)
        for end, near in ((left, middle - half), (right, middle + half)):
            if bulb and bulb.row + 1 == row and end == self.places[bulb.node]:
                line(group, path("M", near, y, "H", bulb.pin, "V", self._y(bulb.row)), class_="lead")
                symbols.dot(group, bulb.pin, self._y(bulb.row))
            else:
                line(group, self._level(row, *sorted((end, near))), class_="lead")
        turned = symbols.number(-90.0 if forward else 90.0)
        place = (left + middle - half) / 2.0
        if bulb and bulb.pin < middle:
            place = (middle + half + right) / 2.0
        arrow = add(
            group,
            "g",
            class_="arrow",
            transform=f"translate({symbols.number(place)} {symbols.number(y)}) rotate({turned})",
            display="none",
        )
        add(arrow, "path", d="M -5.5 -6 L 5.5 -6 L 0 7 Z", fill="currentColor")
        self._words(group, row, self._said(row, part), (("amps", AMPS),))
        if part.kind != "wire":
            symbols.cross(group, middle, y, 12.0)
            symbols.cut(group, (right + middle + half) / 2.0 if bulb else right - 12.0, y)
            room = text_width(WRONG)
            one, two = bulb.sides if bulb else (middle - 14.0, middle + 14.0)
            aside = two + 4.0 if two + 4.0 + room < WIDE else one - 4.0 - room
            words(group, "", aside, y + BELOW, "fault", room=room)

    def _said(self, row: int, part: PartRow) -> tuple[str, ...]:
        """Say what a part is; of the second filament of a bulb its name alone, or whose bulb it is in."""
        before = [one for one in self.rows[:row] if isinstance(one, PartRow) and one.kind == "filament"]
        first = next((one.ref for one in before if part.kind == "filament" and one.lamp == part.lamp), None)
        if first is None or part.lamp is None:
            return words_of(part, enveloped=False)
        return (part.ref,) if self._bulb_of(row) else (part.ref, f"same bulb as {first}")

    def _symbol(self, turned: ET.Element, part: PartRow, forward: bool) -> float:
        """Draw the symbol of a part around the origin of a turned group; return half its length."""
        match part.kind:
            case "filament":
                return symbols.filament(turned, 0.0, 0.0)
            case "resistor":
                return symbols.resistor(turned, 0.0, 0.0)
            case "diode":
                return symbols.diode(turned, 0.0, 0.0, forward)
            case "wire":
                return 0.0

    def _words(
        self, group: ET.Element, row: int, said: Sequence[str], slots: Sequence[tuple[str, str]]
    ) -> None:
        """Write words above a row's line, then slots as wide as their longest text."""
        left, _ = self._ends(self.rows[row])
        left_over = WIDE - 4.0 - sum(text_width(longest) + GAP for _, longest in slots)
        told = [fit(word) for word in said]
        if sum(text_width(word) + GAP for word in told) > left_over:
            told = [fit(word, left_over / len(told) - GAP) for word in told]
        wide = [text_width(word) for word in (*told, *(longest for _, longest in slots))]
        bulb = self._bulb_of(row)
        x, y = self._clear(row, wide, left + 5.0), self._y(row) - ABOVE
        if bulb and row == bulb.row + 1:
            most = WIDE - sum(wide) - GAP * len(wide)
            x, y = max(2.0, min(bulb.sides[0], most)), self._y(row) + UNDER
        for at, word in enumerate(told):
            words(group, word, x, y, "note" if at else "name")
            x += text_width(word) + GAP
        for class_, longest in slots:
            words(group, "", x, y, class_, room=text_width(longest))
            x += text_width(longest) + GAP

    def _clear(self, row: int, wide: Sequence[float], wanted: float) -> float:
        """Where words of these widths begin above a row's line, so that the fewest rails run through them."""
        rails = [
            self.places[node]
            for node, span in zip(self.nodes, self.spans, strict=True)
            if span and span[1] >= row and (span[0] < row or node in (SUPPLY, GROUND))
        ]
        most = max(2.0, WIDE - sum(wide) - GAP * len(wide))
        behind = [sum(wide[:at]) + GAP * at for at in range(len(wide) + 1)]
        gaps = [rail + GAP / 2.0 - away for rail in rails for away in behind]

        def order(x: float) -> tuple[int, float]:
            starts = [x + away for away in behind[:-1]]
            words = zip(starts, wide, strict=True)
            return sum(at - 1.0 < rail < at + size + 1.0 for at, size in words for rail in rails), abs(
                x - wanted
            )

        return min((min(wanted, most), *(x for x in gaps if 2.0 <= x <= most)), key=order)

    def _ends(self, item: _Item) -> tuple[float, float]:
        """The left and the right end of a row's line."""
        places = self.places[item.from_node], self.places[item.to_node]
        return min(places), max(places)

    def _middle(self, row: int, left: float, right: float) -> float:
        """Where a symbol stands: in the middle of the widest stretch between the leaps over crossed rails."""
        bulb = self._bulb_of(row)
        if bulb:
            return bulb.x
        edges = [left, *sorted(x for x in self.hops.get(row, ()) if left < x < right), right]
        stretches = [(one + HOP * (one != left), two - HOP * (two != right)) for one, two in pairwise(edges)]
        one, two = max(stretches, key=lambda pair: (round(pair[1] - pair[0], 3), pair[0]))
        return (one + two) / 2.0

    def _level(self, row: int, left: float, right: float) -> str:
        """Write the path of a level line that leaps over rails."""
        y = self._y(row)
        steps: list[str | float] = ["M", left, y]
        for x in sorted(
            x for x in self.hops.get(row, ()) if left <= x - HOP + 0.1 and x + HOP - 0.1 <= right
        ):
            steps += ["H", x - HOP, "A", HOP, HOP, "0 0 1", x + HOP, y]
        return path(*steps, "H", right)
