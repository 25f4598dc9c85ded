"""A drawing read as an electrician reads it: from its strokes, circles and words, and where they stand.

Nothing is asked of classes, data or ids, nor of the layout. Strokes that meet end to end are joined, one
that ends on another is joined to it and bears a dot, two that cross are joined only by a dot, and a leap
joins its ends. A symbol is told by its shape: a circle with a cross is a lamp, a box a resistor, a box with a
line through it a fuse, a triangle with a bar a diode, bars that get shorter are ground, a ring is a
terminal, and a stroke from spot to spot that the page may show is a contact that can close.

Source: the shapes of IEC 60617 as commonly drawn.
"""

import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import combinations, pairwise
from math import dist, hypot

SVG = "{http://www.w3.org/2000/svg}"
NEAR = 0.16
"""Places are written to a tenth of a pixel; ends of one stroke may be off by rounding both."""

Point = tuple[float, float]
Piece = tuple[float, float, float, float]


@dataclass(frozen=True)
class Symbol:
    """A part's symbol: its kind, its words, and the points where conductors leave it."""

    kind: str
    says: tuple[str, ...]
    pins: tuple[Point, ...]


@dataclass
class Strokes:
    """What is inked: conductors, hidden strokes from spot to spot, circles by size, words."""

    pieces: list[Piece] = field(default_factory=list)
    leaps: list[Piece] = field(default_factory=list)
    shapes: list[tuple[Piece, ...]] = field(default_factory=list)
    hidden: list[Piece] = field(default_factory=list)
    lamps: list[Point] = field(default_factory=list)
    rings: list[Point] = field(default_factory=list)
    spots: list[Point] = field(default_factory=list)
    dots: list[Point] = field(default_factory=list)
    words: list[tuple[float, float, str]] = field(default_factory=list)


@dataclass(frozen=True)
class Drawn:
    """The net list of a drawing; a net is a number.

    parts: each name with its nets, from the upper pin of a symbol to the lower one (a diode's: the way it
    conducts). contacts: the control whose it is, and the nets it joins. named: what stands at terminals.
    """

    parts: dict[str, tuple[int, ...]]
    diodes: frozenset[str]
    contacts: tuple[tuple[str, int, int], ...]
    named: tuple[tuple[str, int], ...]
    supply: int
    ground: int


def on(piece: Piece, x: float, y: float, near: float = NEAR) -> bool:
    """Whether a point lies on a piece, up to rounding."""
    ax, ay, bx, by = piece
    long = hypot(bx - ax, by - ay)
    if long < NEAR:
        return hypot(x - ax, y - ay) < near
    along = ((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / long
    aside = abs((x - ax) * (by - ay) - (y - ay) * (bx - ax)) / long
    return -near < along < long + near and aside < near


def ends(piece: Piece) -> tuple[Point, Point]:
    return piece[:2], piece[2:]


def subpaths(d: str) -> Iterator[tuple[list[Piece], list[Piece], bool]]:
    """Take a path apart: the straight pieces and the leaps of each stroke, and whether it is closed."""
    x = y = x0 = y0 = 0.0
    pieces: list[Piece] = []
    leaps: list[Piece] = []
    closed = False
    for step in re.findall(r"[MLHVhvlAZ][^MLHVhvlAZ]*", d):
        said = [float(word) for word in step[1:].split()]
        if step[0] == "M":
            if pieces or leaps:
                yield pieces, leaps, closed
            pieces, leaps, closed = [], [], False
            x, y = x0, y0 = said[0], said[1]
            continue
        before = (x, y)
        match step[0]:
            case "L" | "A":
                x, y = said[-2:]
            case "l":
                x, y = x + said[0], y + said[1]
            case "H":
                x = said[0]
            case "h":
                x += said[0]
            case "V":
                y = said[0]
            case "v":
                y += said[0]
            case "Z":
                x, y, closed = x0, y0, True
        (leaps if step[0] == "A" else pieces).append((*before, x, y))
    if pieces or leaps:
        yield pieces, leaps, closed


def strokes_of(root: ET.Element) -> Strokes:
    """Gather what is inked, and what may be shown."""
    found = Strokes()
    _gather(root, found, hidden=False)
    return found


def _gather(element: ET.Element, found: Strokes, hidden: bool) -> None:
    hidden = hidden or element.get("display") == "none" or element.get("opacity") == "0"
    if element.get("transform") is not None:
        return  # arrows of current alone are turned
    if element.tag == f"{SVG}text" and element.text:
        said = (float(element.get("x", "nan")), float(element.get("y", "nan")) - 5.0, element.text)
        found.words.append(said)
    if element.tag == f"{SVG}circle" and not hidden:
        _circle(element, found)
    if element.tag == f"{SVG}path" and not element.get("stroke-dasharray"):
        for pieces, leaps, closed in subpaths(element.get("d", "")):
            if hidden:
                found.hidden += pieces if element.get("stroke-width") == "1.6" else []
            elif closed:
                found.shapes.append(tuple(pieces))
            else:
                found.pieces += pieces
                found.leaps += leaps
    for child in element:
        _gather(child, found, hidden)


def _circle(element: ET.Element, found: Strokes) -> None:
    x, y, r = (float(element.get(name, "nan")) for name in ("cx", "cy", "r"))
    kinds = {15.0: found.lamps, 4.0: found.rings, 2.0: found.spots, 3.4: found.dots}
    kinds[r].append((x, y))


def box_of(shape: Sequence[Piece]) -> Piece:
    """The least box round a shape."""
    across = [x for piece in shape for x in piece[::2]]
    down = [y for piece in shape for y in piece[1::2]]
    return min(across), min(down), max(across), max(down)


def _inside(piece: Piece, box: Piece) -> bool:
    return all(
        box[0] - NEAR <= x <= box[2] + NEAR and box[1] - NEAR <= y <= box[3] + NEAR for x, y in ends(piece)
    )


class _Reader:
    """One drawing being read."""

    def __init__(self, root: ET.Element) -> None:
        self.ink = strokes_of(root)
        self.symbols: list[Symbol] = []
        self.fuses: list[tuple[Point, Point]] = []
        self.blades = [piece for piece in self.ink.pieces if self._is_blade(piece)]
        self.ink.pieces = [piece for piece in self.ink.pieces if piece not in self.blades]
        self._lamps()
        self._shapes()
        self.ground_bars = self._bars()
        self.net = self._join()

    def read(self, controls: Sequence[str]) -> Drawn:
        """Name what is joined to what."""
        parts: dict[str, tuple[int, ...]] = {}
        for symbol in self.symbols:
            assert symbol.says, f"a {symbol.kind} at {symbol.pins} has no name"
            assert symbol.says[0] not in parts, f"{symbol.says[0]} is drawn twice"
            parts[symbol.says[0]] = tuple(self.at(pin) for pin in symbol.pins)
        contacts = []
        for one, two in map(ends, (*self.ink.hidden, *self.blades)):
            if self._is_blade((*one, *two)) and min(self.at(one), self.at(two)) >= 0:
                contacts.append((self._control(one, controls), self.at(one), self.at(two)))
        named = []
        for ring in self.ink.rings:
            beside = self._beside(ring)
            assert beside, f"the terminal at {ring} has no name"
            named.append((beside[0], self.at(ring)))
        for x, y, said in self.ink.words:
            # the name of a rail stands over its left end
            below = (x - 11.0, y + 10.3)
            tips = [piece[:2] for piece in self.ink.pieces if abs(piece[1] - piece[3]) < NEAR]
            if any(dist(below, tip) < 0.6 for tip in (*tips, *self.ink.dots)):
                named.append((said, self.at(below, 0.6)))
        plus = next((x, y) for x, y, said in self.ink.words if said == "+")
        plate = min(
            (piece for piece in self.ink.pieces if abs(piece[2] - piece[0] - 28.0) < NEAR),
            key=lambda piece: dist(plus, ((piece[0] + piece[2]) / 2, piece[1])),
        )
        ground = self.at(self.ground_bars[0][:2])
        supply = self.at(((plate[0] + plate[2]) / 2, plate[1]))
        diodes = frozenset(symbol.says[0] for symbol in self.symbols if symbol.kind == "diode")
        return Drawn(parts, diodes, tuple(contacts), tuple(named), supply, ground)

    def _is_blade(self, piece: Piece) -> bool:
        """Whether a stroke leads from spot to spot."""
        return all(any(dist(end, spot) < NEAR for spot in self.ink.spots) for end in ends(piece))

    def at(self, point: Point, near: float = NEAR) -> int:
        """The net at a point; a point that no stroke meets is a net of its own."""
        for place, piece in enumerate(self.ink.pieces):
            if on(piece, *point, near):
                return self.net[place]
        for ring in self.ink.rings:
            if dist(ring, point) < NEAR:
                return next(
                    (
                        self.net[place]
                        for place, piece in enumerate(self.ink.pieces)
                        if any(abs(dist(end, ring) - 4.0) < NEAR for end in ends(piece))
                    ),
                    -1 - hash(point) % 100_000,
                )
        return -1 - hash(point) % 100_000

    def _control(self, at: Point, controls: Sequence[str]) -> str:
        near = [(dist(at, (x, y)), said) for x, y, said in self.ink.words if said in controls]
        return min(near)[1]

    def _beside(self, at: Point, high: float = 6.0) -> tuple[str, ...]:
        """The words right of a point, from the top; of those equally high the nearest."""
        near = [
            (y, x, said) for x, y, said in self.ink.words if 0.0 < x - at[0] < 40.0 and abs(y - at[1]) < high
        ]
        least = min((x for _, x, _ in near), default=0.0)
        return tuple(said for _, x, said in sorted(near) if x < least + 1.0)

    def _lamps(self) -> None:
        """Take out every circle with its cross."""
        for x, y in self.ink.lamps:
            inside = [p for p in self.ink.pieces if all(dist((x, y), end) < 15.0 + NEAR for end in ends(p))]
            assert len(inside) == 2, "a lamp is a circle with a cross"
            self.ink.pieces = [piece for piece in self.ink.pieces if piece not in inside]
            pins = ((x, y - 15.0), (x, y + 15.0))
            self.symbols.append(Symbol("lamp", self._beside((x, y), 30.0), pins))

    def _shapes(self) -> None:
        """Take out boxes and triangles with what is in them."""
        for shape in self.ink.shapes:
            box = box_of(shape)
            middle, high = (box[0] + box[2]) / 2.0, box[3] - box[1]
            inside = [piece for piece in self.ink.pieces if _inside(piece, box)]
            self.ink.pieces = [piece for piece in self.ink.pieces if piece not in inside]
            upper, lower = (middle, box[1]), (middle, box[3])
            says = self._beside((middle, (box[1] + box[3]) / 2.0), 30.0)
            if len(shape) == 3:
                tip = next(piece[2:] for piece in shape if abs(piece[0] - piece[2]) > NEAR)
                flat = next(piece for piece in shape if abs(piece[1] - piece[3]) < NEAR)
                tip = next(end for piece in shape for end in ends(piece) if abs(end[1] - flat[1]) > 1.0)
                pins = (upper, lower) if tip[1] > flat[1] else (lower, upper)
                self.symbols.append(Symbol("diode", says, pins))
            elif abs(high - 24.0) < NEAR:
                assert len(inside) == 1, "a fuse is a box with a line through it"
                self.fuses.append((upper, lower))
            elif abs(high - 34.0) < NEAR:
                self.symbols.append(Symbol("resistor", says, (upper, lower)))

    def _bars(self) -> list[Piece]:
        """Find the widest bar of every sign of ground: two shorter ones stand over or under its middle."""
        level = [piece for piece in self.ink.pieces if abs(piece[1] - piece[3]) < NEAR]
        found = []
        for bar in level:
            near = [
                other
                for other in level
                if abs(bar[0] + bar[2] - other[0] - other[2]) < NEAR and 1.0 < abs(other[1] - bar[1]) < 11.0
            ]
            wide = abs(bar[2] - bar[0])
            if wide < 25.0 and len(near) == 2 and all(abs(o[2] - o[0]) < wide - 1.0 for o in near):
                found.append(bar)
                self.ink.pieces = [piece for piece in self.ink.pieces if piece not in near]
        return found

    def _join(self) -> list[int]:
        """Number the pieces by what they are joined to."""
        pieces = self.ink.pieces
        net = list(range(len(pieces)))

        def join(one: int, two: int) -> None:
            low, high = sorted((net[one], net[two]))
            for place, known in enumerate(net):
                if known == high:
                    net[place] = low

        for one, two in combinations(range(len(pieces)), 2):
            if self._meet(pieces[one], pieces[two]):
                join(one, two)
        links = [ends(leap) for leap in self.ink.leaps] + self.fuses
        links += [(one[:2], two[:2]) for one, two in pairwise(self.ground_bars)]
        for ring in self.ink.rings:
            at = [end for p in pieces for end in ends(p) if abs(dist(end, ring) - 4.0) < NEAR]
            links += pairwise(at)
        for upper, lower in links:
            met = [
                next((place for place, piece in enumerate(pieces) if on(piece, *end)), -1)
                for end in (upper, lower)
            ]
            assert min(met) >= 0, f"nothing leads on from {upper} or {lower}"
            join(*met)
        return net

    def _meet(self, one: Piece, two: Piece) -> bool:
        """Whether two pieces are joined: an end on the other, or a dot where they cross."""
        if any(on(two, *end) for end in ends(one)) or any(on(one, *end) for end in ends(two)):
            self._expect_dot(one, two)
            return True
        return any(on(one, *dot) and on(two, *dot) for dot in self.ink.dots)

    def _expect_dot(self, one: Piece, two: Piece) -> None:
        """Where an end meets the inside of another stroke, three ways part, and a dot says so."""
        for line, other in ((one, two), (two, one)):
            for end in ends(line):
                within = on(other, *end) and all(dist(end, tip) > 0.5 for tip in ends(other))
                marked = any(dist(end, dot) < NEAR for dot in (*self.ink.dots, *self.ink.spots))
                plain = self._is_plate(other) or any(other == bar for bar in self.ground_bars)
                assert not within or marked or plain, f"{line} meets {other} without a dot"

    def _is_plate(self, piece: Piece) -> bool:
        """Whether a piece is a plate of the battery, or the bar of a contact's handle."""
        return abs(piece[1] - piece[3]) < NEAR and abs(piece[2] - piece[0]) < 29.0


def read(svg: str, controls: Sequence[str]) -> Drawn:
    """Read the net list of a drawing; controls: the names that may stand beside contacts."""
    return _Reader(ET.fromstring(svg)).read(controls)


Signature = tuple[tuple[str, ...], ...]


def told_of(drawn: Drawn) -> dict[int, Signature]:
    """Say of every net what hangs on it: a part's name, a diode's with the pin, a terminal's name."""
    told: dict[int, list[tuple[str, ...]]] = {}
    for ref, pins in drawn.parts.items():
        for place, pin in enumerate(pins):
            way = str(place) if ref in drawn.diodes else ""
            told.setdefault(pin, []).append(("part", ref, way))
    for name, net in {*drawn.named, ("30", drawn.supply), ("31", drawn.ground)}:
        told.setdefault(net, []).append(("terminal", name))
    return {net: tuple(sorted(said)) for net, said in told.items()}
