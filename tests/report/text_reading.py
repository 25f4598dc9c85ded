"""A text drawing read as one reads it on a terminal: from its characters and where they stand.

Nothing is asked of the layout. A line character has arms; two cells are joined where both reach for each
other, and a level line that meets an upright one without an arm goes on beyond it and does not touch it. A
symbol parts the line it stands in; what it is called stands right of it. A name in a line, or beside its
spot, is the net's. A frame, `╭╌╮`, is a bulb round what stands in it. Numbers, where there is no room for
names, are told of below the drawing.

No source: the meaning of these characters is ours, as `schematic/text` tells it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from tests.report.reading import Drawn

ARMS = {
    "│": "NS",
    "─": "EW",
    "┌": "ES",
    "┐": "WS",
    "└": "NE",
    "┘": "NW",
    "├": "NSE",
    "┤": "NSW",
    "┬": "EWS",
    "┴": "EWN",
    "┼": "NSEW",
    "○": "NS",
    "•": "NS",
}
SYMBOLS = "⊗▯▼▲╱"
FRAME = "╭╮╰╯╌╎"
INK = "".join(ARMS) + SYMBOLS + FRAME
EDGE = 10
"""Where the rails of the supply and of ground begin, behind their names."""

Cell = tuple[int, int]
End = tuple[int, int, str]
"""A cell, and of a symbol the side: what leaves it above is another net than what leaves it below."""


@dataclass(frozen=True)
class Bulb:
    """A frame: the names of the symbols in it, in how many rows they stand, how many lines pass it."""

    parts: tuple[str, ...]
    rows: int
    lines: int


@dataclass(frozen=True)
class Told:
    """What is read: the net list, the bulbs, what the supply is called."""

    drawn: Drawn
    bulbs: tuple[Bulb, ...]
    source: str


def read_text(text: str) -> Told:
    """Read the net list of a text drawing."""
    return _Reader(text.rstrip("\n").split("\n")).read()


class _Reader:
    """One drawing being read."""

    def __init__(self, lines: Sequence[str]) -> None:
        self.last = next(n for n, line in enumerate(lines) if line.startswith("31 ground"))
        self.ink: dict[Cell, str] = {}
        self.words: dict[Cell, str] = {}
        self.heard: set[Cell] = set()
        for row, line in enumerate(lines[: self.last + 1]):
            self._split(row, line)
        assert self.words.pop((self.last, 0)) == "31 ground"
        self.source = self.words.pop((0, 0), "")
        items = [one for line in lines[self.last + 1 :] for one in line.split("   ") if one]
        self.legend = {key: told.split(", ")[0] for key, told in (one.split(": ", 1) for one in items)}
        self.net: dict[End, End] = {}
        self.named: list[tuple[str, End]] = []
        self.met: set[Cell] = {(0, EDGE), (self.last, EDGE)}
        for at in self.ink:
            self._join_from(*at)
        loose = [at for at, mark in self.ink.items() if "W" in ARMS.get(mark, "") and at not in self.met]
        assert not loose, f"level lines begin in nothing at {loose}"

    def read(self) -> Told:
        """Name what is joined to what."""
        number: dict[End, int] = {}

        def net(end: End) -> int:
            return number.setdefault(self._root(end), len(number))

        parts: dict[str, tuple[int, ...]] = {}
        contacts, diodes, names, symbols = [], [], [], {}
        for (row, at), mark in sorted(self.ink.items()):
            if mark == "○":
                names.append((self._beside(row, at)[0], net((row, at, ""))))
            elif mark in SYMBOLS:
                pins = net((row, at, "N")), net((row, at, "S"))
                said = self._beside(row, at)
                if mark == "╱":
                    contacts.append((self._control(row, at, said), *pins))
                    continue
                ref = self.legend.get(said[0], said[0])
                assert ref not in parts, f"{ref} is drawn twice"
                parts[ref] = pins[::-1] if mark == "▲" else pins
                symbols[row, at] = ref
                diodes += [ref] if mark in "▼▲" else []
        names += [(said, net(end)) for said, end in self.named]
        drawn = Drawn(
            parts,
            frozenset(diodes),
            tuple(contacts),
            tuple(names),
            net((0, EDGE, "")),
            net((self.last, EDGE, "")),
        )
        bulbs = tuple(self._bulb(*at, symbols) for at, mark in self.ink.items() if mark == "╭")
        left = [said for at, said in self.words.items() if at not in self.heard and not self._is_of_line(*at)]
        assert not left, f"{left} belong to nothing"
        return Told(drawn, bulbs, self.source)

    def _split(self, row: int, line: str) -> None:
        """Part a row into ink and words; these reach to two spaces, or to a space before ink."""
        at = 0
        while at < len(line):
            if line[at] in INK:
                self.ink[row, at] = line[at]
            elif line[at] != " ":
                end = at + 1
                while end < len(line) and line[end : end + 2] != "  " and not self._ends(line, end):
                    end += 1
                self.words[row, at] = line[at:end]
                at = end
            at += 1

    def _ends(self, line: str, at: int) -> bool:
        return line[at] == " " and line[at + 1 : at + 2] in INK

    def _join_from(self, row: int, at: int) -> None:
        """Join a cell to what its arms to the right and down reach."""
        mark = self.ink[row, at]
        arms = "NS" if mark in SYMBOLS else ARMS.get(mark, "")
        own = "" if mark in ARMS else "S"
        if mark == "•":
            self.named.append((self._beside(row, at)[0], (row, at, "")))
        if "E" in arms:
            self._along(row, at)
        for way, arm, other in ((1, "S", "N"), (-1, "N", "S")):
            near = self.ink.get((row + way, at))
            if arm not in arms or near is None:
                continue
            assert near in SYMBOLS or other in ARMS.get(near, ""), f"a line ends on {near} at {row}, {at}"
            if arm == "S":
                self._join((row, at, own), (row + 1, at, "N" if near in SYMBOLS else ""))

    def _along(self, row: int, at: int) -> None:
        """Follow a level line to where it is met, past upright lines and over the net's name."""
        to = at + 1
        while True:
            near = self.ink.get((row, to), " ")
            if "W" in ARMS.get(near, ""):
                self._join((row, at, ""), (row, to, ""))
                self.met.add((row, to))
                return
            if (row, to + 1) in self.words and near == " ":
                said = self.words[row, to + 1]
                self.named.append((said, (row, at, "")))
                self.heard.add((row, to + 1))
                to += len(said) + 2
                continue
            assert near in "│⊗▯▼▲╱○•", f"a level line from {row}, {at} ends in nothing"
            to += 1

    def _beside(self, row: int, at: int) -> list[str]:
        """The words right of a symbol, and those below them that are beside its line."""
        said: list[str] = []
        while (row, at + 2) in self.words and (not said or self.ink.get((row, at)) == "│"):
            said.append(self.words[row, at + 2])
            self.heard.add((row, at + 2))
            row += 1
        return said

    def _control(self, row: int, at: int, said: Sequence[str]) -> str:
        """Whose contact it is: as said beside it or below the drawing, there perhaps by its terminal."""
        if said:
            return self.legend.get(said[0], said[0])
        while self.ink.get((row, at)) != "○":
            row += 1
        return self.legend[self._beside(row, at)[0]]

    def _is_of_line(self, row: int, at: int) -> bool:
        """Whether words are those of a bare line: a wire's, or of a terminal that is always live."""
        said = [self.words.get((row + n, at), "") for n in (-1, 0, 1)]
        is_said = "wire" in said[1:] or "wire" in said[:2] or "always live" in said
        return self.ink.get((row, at - 2)) == "│" and (is_said or said[1] in self.legend)

    def _bulb(self, top: int, left: int, symbols: Mapping[Cell, str]) -> Bulb:
        """Read a frame from its upper left corner."""
        right = next(at for at in range(left, left + 200) if self.ink.get((top, at)) == "╮")
        bottom = next(row for row in range(top, self.last) if self.ink.get((row, left)) == "╰")
        assert self.ink.get((bottom, right)) == "╯", "a frame is not closed"
        self.heard.update(at for at in self.words if at[0] == top and left < at[1] < right)
        above = {self.ink.get((top, at), "╌") for at in range(left + 1, right)}
        assert above <= {"╌", "│"}, "a line other than those of contacts runs in a frame's upper side"
        # on the lower end filaments may be joined: what goes on below it passes
        passing = [(row, at, arm) for row, arm in ((top, "N"), (bottom, "S")) for at in range(left, right)]
        passing += [(row, at, arm) for at, arm in ((left, "W"), (right, "E")) for row in range(top, bottom)]
        lines = sum(arm in ARMS.get(self.ink.get((row, at), ""), "") for row, at, arm in passing)
        parts = {at: ref for at, ref in symbols.items() if top < at[0] < bottom and left < at[1] < right}
        return Bulb(tuple(sorted(parts.values())), len({row for row, _ in parts}), lines)

    def _root(self, end: End) -> End:
        while (on := self.net.get(end, end)) != end:
            end = on
        return end

    def _join(self, one: End, other: End) -> None:
        self.net[self._root(one)] = self._root(other)
