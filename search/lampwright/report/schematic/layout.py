"""A drawing before it has a size: levels of rails, posts between them, and where each symbol stands.

Symbols stand in the gaps between levels, rails on the levels: so no rail can pass through a
symbol or its label. As few gaps as will do hold symbols, the lowest first. Parts of one
lamp's filaments share a gap where they can. Pictures and text drawings are both made from this.

No source: our layout.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from lampwright.report.schematic.order import (
    Edge,
    Extent,
    Puzzle,
    crossed,
    extents,
    heights_of,
    levels,
)
from lampwright.report.schematic.search import arrange
from lampwright.results.design import Design, PartRow

GROUND = "31"
JOINT = re.compile(r"j\d+")


@dataclass(frozen=True)
class Rail:
    """One net: its node, its level, its first and last post, and whether a feed drops to it."""

    node: str
    level: int
    first: int
    last: int
    fed: bool


@dataclass(frozen=True)
class Placed:
    """A part between two levels; its symbol stands between levels `gap` and `gap` + 1.

    top and bottom are equal where both ends are one net: the part is then drawn as a loop.
    """

    part: PartRow
    top: int
    bottom: int
    gap: int

    @property
    def is_loop(self) -> bool:
        """Whether both ends of the part are one net."""
        return self.top == self.bottom


@dataclass(frozen=True)
class Post:
    """What stands in one column: a feed's drop to a level or none, then parts from top to bottom.

    feed: its number among the feeds. hops: the levels of the rails crossed.
    """

    feed: int | None
    drop: int
    parts: tuple[Placed, ...]
    hops: tuple[int, ...]


@dataclass(frozen=True)
class Envelope:
    """The posts of the filaments of one lamp, first to last, and the gaps they stand in."""

    lamp: str
    type: str | None
    first: int
    last: int
    upper: int
    lower: int


@dataclass(frozen=True)
class Plan:
    """The whole drawing: rails from top to bottom, posts from left to right.

    The last rail is ground's, on the last level. Only the gaps listed hold symbols.
    """

    rails: tuple[Rail, ...]
    posts: tuple[Post, ...]
    envelopes: tuple[Envelope, ...]
    gaps: tuple[int, ...]
    ground: int
    crossings: int


def terminals(design: Design) -> tuple[str, ...]:
    """List the nodes of a design that are neither ground nor joints, in order of mention."""
    nodes = (node for part in design.parts for node in (part.from_node, part.to_node))
    return tuple(node for node in dict.fromkeys(nodes) if node != GROUND and not JOINT.fullmatch(node))


def plan(parts: Sequence[PartRow], feeds: Sequence[str]) -> Plan:
    """Lay out parts below feeds, given as the terminals they end at."""
    drawn = _plan(parts, feeds, False)
    return drawn if _is_clear(drawn) else _plan(parts, feeds, True)


def _plan(parts: Sequence[PartRow], feeds: Sequence[str], alone: bool) -> Plan:
    """Lay out, with filaments in lines of their own or not."""
    nodes = _nodes(parts, feeds)
    puzzle = puzzle_of(parts, feeds, alone)
    order = arrange(puzzle)
    heights = levels(puzzle, order)
    spans = extents(puzzle, order.columns)
    gaps = _symbol_gaps(parts, nodes, heights)
    hops: dict[int, list[int]] = {}
    for place, net in crossed(puzzle, heights_of(puzzle, order.tracks), spans, order.columns):
        hops.setdefault(place, []).append(heights[net])
    number = {node: place for place, node in enumerate(nodes)}

    def placed(part: int) -> Placed:
        ends = sorted((heights[number[parts[part].from_node]], heights[number[parts[part].to_node]]))
        return Placed(parts[part], ends[0], ends[1], gaps[part])

    posts = tuple(
        Post(
            column.drop,
            0 if column.drop is None else heights[puzzle.drops[column.drop]],
            tuple(placed(part) for part in column.parts),
            tuple(sorted(hops.get(place, ()))),
        )
        for place, column in enumerate(order.columns)
    )
    rails = _rails(nodes, heights, spans, puzzle.fixed)
    return Plan(
        rails=rails,
        posts=posts,
        envelopes=_envelopes(posts),
        gaps=tuple(sorted(set(gaps))),
        ground=heights[-1],
        crossings=order.crossings,
    )


def _is_clear(drawn: Plan) -> bool:
    """Tell whether every envelope holds nothing but its own lamp's filaments."""
    for one in drawn.envelopes:
        inside = [placed for post in drawn.posts[one.first : one.last + 1] for placed in post.parts]
        if any(placed.part.lamp != one.lamp and one.upper <= placed.gap <= one.lower for placed in inside):
            return False
        for two in drawn.envelopes:
            beside = two.last < one.first or one.last < two.first
            if two is not one and not (beside or two.lower < one.upper or one.lower < two.upper):
                return False
    return True


def shared_lamps(parts: Sequence[PartRow]) -> tuple[str, ...]:
    """Name the lamps of which more than one filament is among the parts."""
    lamps = [part.lamp for part in parts if part.kind == "filament" and part.lamp is not None]
    return tuple(lamp for lamp in dict.fromkeys(lamps) if lamps.count(lamp) > 1)


def _nodes(parts: Sequence[PartRow], feeds: Sequence[str]) -> tuple[str, ...]:
    """List the nodes: those of the feeds, then others as they are met, ground last."""
    ends = [node for part in parts for node in (part.from_node, part.to_node)]
    return (*(node for node in dict.fromkeys([*feeds, *ends]) if node != GROUND), GROUND)


def puzzle_of(parts: Sequence[PartRow], feeds: Sequence[str], alone: bool = False) -> Puzzle:
    """Say in numbers what is to be ordered."""
    nodes = _nodes(parts, feeds)
    number = {node: place for place, node in enumerate(nodes)}
    lamps = shared_lamps(parts)
    edges = tuple(
        Edge(
            number[part.from_node],
            number[part.to_node],
            lamps.index(part.lamp) if part.kind == "filament" and part.lamp in lamps else None,
        )
        for part in parts
    )
    drops = tuple(number[node] for node in feeds if node != GROUND)
    return Puzzle(len(set(drops)), len(nodes) - 1, drops, edges, alone)


def _rails(
    nodes: Sequence[str], heights: Sequence[int], spans: Sequence[Extent | None], fed: int
) -> tuple[Rail, ...]:
    """Make the rails, from top to bottom; ground's reaches under all."""
    rails = []
    for place, node in enumerate(nodes):
        span = spans[place] or Extent(0, 0)
        rails.append(Rail(node, heights[place], span.first, span.last, place < fed))
    return tuple(sorted(rails, key=lambda rail: (rail.level, rail.first)))


def _symbol_gaps(parts: Sequence[PartRow], nodes: Sequence[str], heights: Sequence[int]) -> tuple[int, ...]:
    """Choose the gap each symbol stands in: the fewest gaps that meet every part's reach.

    Taking reaches by their lower end, and that end where none chosen fits, gives the fewest.
    """
    number = {node: place for place, node in enumerate(nodes)}
    reaches = []
    for part in parts:
        ends = sorted((heights[number[part.from_node]], heights[number[part.to_node]]))
        if ends[0] == ends[1]:
            # A loop hangs below its rail, and stands above ground's.
            low = min(ends[0], heights[-1] - 1)
            reaches.append((low, low))
        else:
            reaches.append((ends[0], ends[1] - 1))
    reaches = _together(parts, reaches)
    chosen: list[int] = []
    for low, high in sorted(reaches, key=lambda reach: reach[1]):
        if not any(low <= gap <= high for gap in chosen):
            chosen.append(high)
    return tuple(max(gap for gap in chosen if low <= gap <= high) for low, high in reaches)


def _together(parts: Sequence[PartRow], reaches: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """Narrow the reaches of one lamp's filaments to what they have in common, if anything."""
    for lamp in shared_lamps(parts):
        own = [place for place, part in enumerate(parts) if part.kind == "filament" and part.lamp == lamp]
        low = max(reaches[place][0] for place in own)
        high = min(reaches[place][1] for place in own)
        if low <= high:
            for place in own:
                reaches[place] = (low, high)
    return reaches


def _envelopes(posts: Sequence[Post]) -> tuple[Envelope, ...]:
    """Put the filaments of one lamp into one envelope; the order has them side by side."""
    found = []
    every = [(place, placed) for place, post in enumerate(posts) for placed in post.parts]
    for lamp in shared_lamps([placed.part for _, placed in every]):
        own = [(place, one) for place, one in every if one.part.kind == "filament" and one.part.lamp == lamp]
        gaps = [placed.gap for _, placed in own]
        kinds = dict.fromkeys(placed.part.type for _, placed in own if placed.part.type)
        said = ", ".join(kinds) or None
        found.append(
            Envelope(lamp=lamp, type=said, first=own[0][0], last=own[-1][0], upper=min(gaps), lower=max(gaps))
        )
    return tuple(found)
