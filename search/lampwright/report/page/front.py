"""The front on the page: margin against fault score as a plot, the five aims as a table.

A marker's shape tells the extra parts, its label the design and all three counts, so that
nothing hangs on colour; each leads to its design. Markers that would cover each other and
say the same are one. A label stands where it covers nothing, or is left out: the table
beside the plot has every design. No source: our layout.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from jinja2 import DictLoader, Environment, StrictUndefined
from markupsafe import Markup

from lampwright.report import si
from lampwright.report.topics.front import beaten_text, marked, notes, score_text
from lampwright.report.topics.parts import to_fit
from lampwright.results.design import Design
from lampwright.results.front import Front, FrontPoint

WIDE, HIGH = 380.0, 310.0
LEFT, RIGHT, TOP, BOTTOM = 46.0, 18.0, 12.0, 46.0
REACH = 8.0
LETTER, LINE = 8.4, 15.0
MOST_ROWS = 60
TICKS = 5

SHAPES = (
    ("circle", "M -5.5 0 a 5.5 5.5 0 1 0 11 0 a 5.5 5.5 0 1 0 -11 0 z"),
    ("triangle", "M 0 -7 L 6.5 5 H -6.5 z"),
    ("square", "M -5.2 -5.2 H 5.2 V 5.2 H -5.2 z"),
    ("diamond", "M 0 -7.5 L 7.5 0 L 0 7.5 L -7.5 0 z"),
    ("hexagon", "M 0 -7.5 L 6.5 -3.8 V 3.8 L 0 7.5 L -6.5 3.8 V -3.8 z"),
)


@dataclass(frozen=True)
class Tick:
    """A mark of a scale."""

    at: float
    name: str


@dataclass(frozen=True)
class Shape:
    """A marker's outline about its middle, and what it stands for."""

    name: str
    path: str
    meaning: str


@dataclass(frozen=True)
class Box:
    """A rectangle of the plot."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: "Box") -> bool:
        """Whether two boxes overlap."""
        apart = self.right <= other.left or other.right <= self.left
        return not (apart or self.bottom <= other.top or other.bottom <= self.top)

    def is_in_plot(self) -> bool:
        """Whether it stands within the frame; a label may reach into the margins above and to the right."""
        return self.left >= LEFT and self.right <= WIDE and self.top >= 0.0 and self.bottom <= HIGH - BOTTOM


@dataclass(frozen=True)
class Label:
    """The words at a marker, where they begin, end or have their middle, and what they cover."""

    text: str
    x: float
    y: float
    anchor: str
    box: Box


@dataclass(frozen=True)
class Marker:
    """One mark of the plot: where, its outline and label, in words, and the design it leads to, or 0."""

    x: float
    y: float
    path: str
    label: Label
    spoken: str
    target: int


@dataclass(frozen=True)
class FrontRow:
    """One design of the front in the table."""

    rank: int
    name: str
    drawn: bool
    extra_parts: int
    wires: int
    conductors: int
    margin: str
    score: str
    fit: str


@dataclass(frozen=True)
class FrontView:
    """The plot and the table; the plot has no markers where no score is known."""

    said: str
    notes: tuple[str, ...]
    across: tuple[Tick, ...]
    up: tuple[Tick, ...]
    shapes: tuple[Shape, ...]
    markers: tuple[Marker, ...]
    rows: tuple[FrontRow, ...]
    more: int


@dataclass(frozen=True)
class _Scale:
    """From numbers to places: `first` is drawn at `start`, `last` at `end`."""

    marks: tuple[float, ...]
    start: float
    end: float

    def at(self, value: float) -> float:
        """Where a number is drawn."""
        first, last = self.marks[0], self.marks[-1]
        return round(self.start + (value - first) / (last - first) * (self.end - self.start), 1)

    def ticks(self) -> tuple[Tick, ...]:
        """The marks with their numbers."""
        step = self.marks[1] - self.marks[0]
        decimals = max(0, -math.floor(math.log10(step) + 1e-9))
        return tuple(Tick(self.at(mark), f"{mark:.{decimals}f}") for mark in self.marks)


def front_html(front: Front | None, designs: Sequence[Design], drawn: int) -> Markup:
    """Write the front's part of the page; nothing where it has fewer than two points.

    drawn: how many designs, from the first, are on the page in full.
    """
    view = front_view(front, designs, drawn)
    return Markup("") if view is None else Markup(_template().get_template("front.html").render(front=view))


@cache
def _template() -> Environment:
    text = (files("lampwright.report") / "page" / "front.html").read_text(encoding="utf-8")
    return Environment(
        loader=DictLoader({"front.html": text}),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def front_view(front: Front | None, designs: Sequence[Design], drawn: int) -> FrontView | None:
    """Lay the front out; None where it has fewer than two points."""
    if front is None or len(front.points) < 2:
        return None
    known = [point for point in front.points if point.fault_score is not None]
    margins, scores = [point.margin_stops for point in known], [point.fault_score or 0.0 for point in known]
    across = _Scale(_marks(margins), LEFT, WIDE - RIGHT)
    up = _Scale(_marks(scores), HIGH - BOTTOM, TOP)
    kinds = sorted({_kind(point) for point in known})
    unplotted = len(front.points) - len(known)
    stand = "design without a fault score stands", "designs without a fault score stand"
    said = f"{si.many(unplotted, *stand)} in the table only."
    return FrontView(
        said=beaten_text(front),
        notes=(*notes(front), *([said] if unplotted else [])),
        across=across.ticks(),
        up=up.ticks(),
        shapes=tuple(Shape(*SHAPES[kind], _meaning(kind)) for kind in kinds),
        markers=_markers(known, across, up, drawn),
        rows=tuple(_row(point, designs[point.rank - 1], drawn) for point in front.points[:MOST_ROWS]),
        more=max(0, len(front.points) - MOST_ROWS),
    )


def _marks(values: Sequence[float]) -> tuple[float, ...]:
    """Round numbers, evenly apart, that reach from below the least value to above the greatest.

    >>> [round(mark, 2) for mark in _marks([0.07, 0.45])]
    [0.0, 0.1, 0.2, 0.3, 0.4, 0.5]
    """
    low, high = (min(values), max(values)) if values else (0.0, 1.0)
    raw = max(high - low, 0.02) / TICKS
    power = 10.0 ** math.floor(math.log10(raw))
    step = next(size * power for size in (1.0, 2.0, 5.0, 10.0) if size * power >= raw * (1 - 1e-9))
    first = math.floor(low / step + 1e-9)
    last = max(math.ceil(high / step - 1e-9), first + 1)
    return tuple(number * step for number in range(first, last + 1))


def _kind(point: FrontPoint) -> int:
    return min(point.extra_parts, len(SHAPES) - 1)


def _meaning(kind: int) -> str:
    last = kind == len(SHAPES) - 1
    return f"{kind} or more extra parts" if last else si.many(kind, "extra part").replace("0 ", "no ")


def _markers(points: Sequence[FrontPoint], across: _Scale, up: _Scale, drawn: int) -> tuple[Marker, ...]:
    """One marker for all points that are drawn at one place and say the same."""
    together: dict[tuple[float, float, str], list[FrontPoint]] = {}
    for point in points:
        counts = f"{point.extra_parts}+{point.wires}+{point.conductors}"
        place = across.at(point.margin_stops), up.at(point.fault_score or 0.0)
        together.setdefault((*place, counts), []).append(point)
    taken = [Box(x - REACH, y - REACH, x + REACH, y + REACH) for x, y, _ in together]
    markers = []
    for (x, y, counts), some in together.items():
        label = _label((f"{_names(some)}: {counts}", _names(some)), x, y, taken)
        if label.text:
            taken.append(label.box)
        rank = some[0].rank
        path = SHAPES[_kind(some[0])][1]
        markers.append(
            Marker(
                x=x, y=y, path=path, label=label, spoken=_spoken(some), target=rank if rank <= drawn else 0
            )
        )
    return tuple(markers)


def _label(texts: Sequence[str], x: float, y: float, taken: Sequence[Box]) -> Label:
    """The first of these texts that covers nothing somewhere about a marker; no text where none does."""
    away = REACH + 3.0
    for text in texts:
        wide = LETTER * len(text)
        for left, anchor, base in (
            (x + away, "start", y + 4.5),
            (x - away - wide, "end", y + 4.5),
            (x - wide / 2, "middle", y - away),
            (x - wide / 2, "middle", y + away + 10.0),
        ):
            box = Box(left, base - LINE + 3.0, left + wide, base + 3.0)
            if box.is_in_plot() and not any(box.meets(other) for other in taken):
                at = {"start": left, "end": left + wide, "middle": x}[anchor]
                return Label(text, round(at, 1), round(base, 1), anchor, box)
    return Label("", x, y, "start", Box(x, y, x, y))


def _names(points: Sequence[FrontPoint]) -> str:
    """The ranks of a marker's designs, of many only the first."""
    if len(points) > 3:
        return f"{marked(points[0])} and {len(points) - 1} more"
    return ", ".join(marked(point) for point in points)


def _spoken(points: Sequence[FrontPoint]) -> str:
    first = points[0]
    counts = (
        si.many(first.extra_parts, "extra part"),
        si.many(first.wires, "link wire"),
        si.many(first.conductors, "conductor"),
    )
    figures = f"{si.stops(first.margin_stops)} of margin, fault score {score_text(first)}"
    return f"Design{'s' * (len(points) > 1)} {_names(points)}: {', '.join(counts)}; {figures}"


def _row(point: FrontPoint, design: Design, drawn: int) -> FrontRow:
    return FrontRow(
        rank=point.rank,
        name=marked(point),
        drawn=point.rank <= drawn,
        extra_parts=point.extra_parts,
        wires=point.wires,
        conductors=point.conductors,
        margin=si.stops(point.margin_stops),
        score=score_text(point),
        fit=to_fit(design.parts),
    )
