"""The front as a plot for the page: margin against fault score.

A marker's shape tells the extra parts, its label the design and all three counts, so that
nothing hangs on colour; each leads to its design. Markers that would cover each other and
say the same are one. A label stands where it covers nothing, or is left out: the table
beside the plot has every design. No source: our layout.
"""

import math
from collections.abc import Sequence

from msgspec import Struct

from lampwright.report import si
from lampwright.report.chart import Axis, Tick
from lampwright.report.topics.front import marked, score_text
from lampwright.results.ranking import Front, FrontPoint
from lampwright.words import counted, many

WIDE, HIGH = 380.0, 310.0
LEFT, RIGHT, TOP, BOTTOM = 68.0, 362.0, 12.0, 264.0
REACH = 8.0
LETTER, LINE = 8.4, 15.0
TICKS = 5

SHAPES = (
    ("circle", "M -5.5 0 a 5.5 5.5 0 1 0 11 0 a 5.5 5.5 0 1 0 -11 0 z"),
    ("triangle", "M 0 -7 L 6.5 5 H -6.5 z"),
    ("square", "M -5.2 -5.2 H 5.2 V 5.2 H -5.2 z"),
    ("diamond", "M 0 -7.5 L 7.5 0 L 0 7.5 L -7.5 0 z"),
    ("hexagon", "M 0 -7.5 L 6.5 -3.8 V 3.8 L 0 7.5 L -6.5 3.8 V -3.8 z"),
)
Edges = tuple[float, float, float, float]
"""Left, top, right and bottom of a rectangle of the plot."""


class Label(Struct, frozen=True):
    """The words at a marker, and where they begin, end or have their middle."""

    text: str
    x: float
    y: float
    anchor: str


class Marker(Struct, frozen=True):
    """One mark of the plot: where, its outline and label, in words, and the design it stands for."""

    x: float
    y: float
    path: str
    label: Label
    spoken: str
    rank: int


class FrontPlot(Struct, frozen=True):
    """The plot: its scales' ticks, its markers, the numbers of extra parts that have a shape in it."""

    across: tuple[Tick, ...]
    up: tuple[Tick, ...]
    markers: tuple[Marker, ...]
    kinds: tuple[int, ...]


def front_plot(front: Front) -> FrontPlot | None:
    """Lay the plot out; None where no score is known."""
    known = [point for point in front.points if point.fault_score is not None]
    if not known:
        return None
    margins, scores = (
        _marks([point.margin_stops for point in known]),
        _marks([_score(point) for point in known]),
    )
    across = Axis(margins[0], margins[-1], LEFT, RIGHT)
    up = Axis(scores[0], scores[-1], BOTTOM, TOP)
    return FrontPlot(
        across=_ticks(across, margins),
        up=_ticks(up, scores),
        markers=_markers(known, across, up),
        kinds=tuple(sorted({_kind(point) for point in known})),
    )


def meaning_of(kind: int) -> str:
    """What a shape stands for, by its place among the shapes."""
    last = kind == len(SHAPES) - 1
    return f"{kind} or more extra parts" if last else counted(kind, "extra part")


def _score(point: FrontPoint) -> float:
    return point.fault_score or 0.0


def _ticks(scale: Axis, marks: Sequence[float]) -> tuple[Tick, ...]:
    """The marks with their numbers, in as many decimals as tell them apart."""
    decimals = max(0, -math.floor(math.log10(marks[1] - marks[0]) + 1e-9))
    return tuple(Tick(scale.at(mark), f"{mark:.{decimals}f}") for mark in marks)


def _marks(values: Sequence[float]) -> tuple[float, ...]:
    """Round numbers, evenly apart, that reach from below the least value to above the greatest.

    >>> [round(mark, 2) for mark in _marks([0.07, 0.45])]
    [0.0, 0.1, 0.2, 0.3, 0.4, 0.5]
    """
    low, high = min(values), max(values)
    raw = max(high - low, 0.02) / TICKS
    power = 10.0 ** math.floor(math.log10(raw))
    step = next(size * power for size in (1.0, 2.0, 5.0, 10.0) if size * power >= raw * (1 - 1e-9))
    first = math.floor(low / step + 1e-9)
    last = max(math.ceil(high / step - 1e-9), first + 1)
    return tuple(number * step for number in range(first, last + 1))


def _kind(point: FrontPoint) -> int:
    return min(point.extra_parts, len(SHAPES) - 1)


def _markers(points: Sequence[FrontPoint], across: Axis, up: Axis) -> tuple[Marker, ...]:
    """One marker for all points that are drawn at one place and say the same."""
    together: dict[tuple[float, float, str], list[FrontPoint]] = {}
    for point in points:
        counts = f"{point.extra_parts}+{point.wires}+{point.conductors}"
        place = across.at(point.margin_stops), up.at(_score(point))
        together.setdefault((*place, counts), []).append(point)
    taken: list[Edges] = [(x - REACH, y - REACH, x + REACH, y + REACH) for x, y, _ in together]
    markers = []
    for (x, y, counts), some in together.items():
        label = _label((f"{_names(some)}: {counts}", _names(some)), x, y, taken)
        path = SHAPES[_kind(some[0])][1]
        markers.append(Marker(x=x, y=y, path=path, label=label, spoken=_spoken(some), rank=some[0].rank))
    return tuple(markers)


def _label(texts: Sequence[str], x: float, y: float, taken: list[Edges]) -> Label:
    """The first of these texts that covers nothing somewhere about a marker; no text where none does.

    What it covers is taken from then on.
    """
    away = REACH + 3.0
    for text in texts:
        wide = LETTER * len(text)
        for left, anchor, base in (
            (x + away, "start", y + 4.5),
            (x - away - wide, "end", y + 4.5),
            (x - wide / 2, "middle", y - away),
            (x - wide / 2, "middle", y + away + 10.0),
        ):
            covers = (left, base - LINE + 3.0, left + wide, base + 3.0)
            if _is_in_plot(covers) and not any(_overlap(covers, other) for other in taken):
                taken.append(covers)
                at = {"start": left, "end": left + wide, "middle": x}[anchor]
                return Label(text, round(at, 1), round(base, 1), anchor)
    return Label("", x, y, "start")


def _overlap(one: Edges, other: Edges) -> bool:
    apart = one[2] <= other[0] or other[2] <= one[0]
    return not (apart or one[3] <= other[1] or other[3] <= one[1])


def _is_in_plot(one: Edges) -> bool:
    """Whether it stands within the frame; a label may reach into the margins above and to the right."""
    left, top, right, bottom = one
    return left >= LEFT and right <= WIDE and top >= 0.0 and bottom <= BOTTOM


def _names(points: Sequence[FrontPoint]) -> str:
    """The ranks of a marker's designs, of many only the first."""
    if len(points) > 3:
        return f"{marked(points[0])} and {len(points) - 1} more"
    return ", ".join(marked(point) for point in points)


def _spoken(points: Sequence[FrontPoint]) -> str:
    first = points[0]
    counts = (
        *((many(first.helper_lamps, "helper lamp"),) if first.helper_lamps else ()),
        many(first.extra_parts, "extra part"),
        many(first.wires, "link wire"),
        many(first.conductors, "conductor"),
    )
    figures = f"{si.stops(first.margin_stops)} of margin, fault score {score_text(first)}"
    return f"Design{'s' * (len(points) > 1)} {_names(points)}: {', '.join(counts)}; {figures}"
