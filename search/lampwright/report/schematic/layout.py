"""A drawing before it has a size: levels of rails, posts between them, and where each symbol stands.

Symbols stand in the gaps between levels, rails on the levels: so no rail can pass through a
symbol or its label. As few gaps as will do hold symbols, the lowest first. Parts of one
lamp's filaments share a gap where they can. Pictures and text drawings are both made from this.

No source: our layout.
"""

from collections.abc import Sequence
from typing import Literal

from msgspec import Struct

from lampwright.report.schematic.arrange import arrange
from lampwright.report.schematic.order import Puzzle, crossed, extents, levels
from lampwright.results.design import PartRow

GROUND = "31"


class Rail(Struct, frozen=True):
    """One net: its node, its level, its first post, and whether a feed drops to it."""

    node: str
    level: int
    first: int
    fed: bool


class Throw(Struct, frozen=True):
    """A contact of a selector: its control, its pole and where it leads; star: its number.

    said: the positions that close it, in words.
    """

    star: int
    ref: str
    from_node: str
    to_node: str
    said: str = ""
    kind: Literal["throw"] = "throw"
    lamp: None = None
    type: None = None


class DrawnPart(Struct, frozen=True):
    """A part between two levels; its symbol stands between levels `gap` and `gap` + 1.

    top and bottom are equal where both ends are one net: the part is then drawn as a loop. down: its
    `from` is not its lower end.
    """

    part: PartRow | Throw
    top: int
    bottom: int
    gap: int
    down: bool

    @property
    def is_loop(self) -> bool:
        """Whether both ends of the part are one net."""
        return self.top == self.bottom

    def meets(self, node: str) -> bool:
        """Whether the part ends at a node."""
        return node in (self.part.from_node, self.part.to_node)


class Post(Struct, frozen=True):
    """What stands in one column: a feed's drop to a level or none, then parts from top to bottom.

    feed: its number among the feeds. hops: the levels of the rails crossed.
    """

    feed: int | None
    drop: int
    parts: tuple[DrawnPart, ...]
    hops: tuple[int, ...]


class Envelope(Struct, frozen=True):
    """The posts of the filaments of one lamp, first to last, and the gaps they stand in.

    pin: where the second of two filaments is joined to the first inside the bulb, which then leaves it by
    one line, the first's: below them, above them, or "" where they do not end side by side at one rail.
    """

    lamp: str
    type: str | None
    first: int
    last: int
    upper: int
    lower: int
    pin: Literal["below", "above", ""] = ""

    def is_inside(self, place: int, placed: DrawnPart, level: int) -> bool:
        """Whether the end of a part at a level is joined to the bulb's pin, and not to the rail itself."""
        if not self.pin or place != self.last or placed.part.kind != "filament":
            return False
        return placed.part.lamp == self.lamp and level == (
            placed.bottom if self.pin == "below" else placed.top
        )


class ThrowPosts(Struct, frozen=True):
    """The throws of one star on one side of its pole's rail, by their posts; down: below it."""

    star: int
    down: bool
    posts: tuple[int, ...]
    throws: tuple[DrawnPart, ...]


class Skeleton(Struct, frozen=True):
    """The whole drawing: rails from top to bottom, posts from left to right.

    The last rail is ground's, on the last level. Only the gaps listed hold symbols.
    """

    rails: tuple[Rail, ...]
    posts: tuple[Post, ...]
    envelopes: tuple[Envelope, ...]
    fans: tuple[ThrowPosts, ...]
    gaps: tuple[int, ...]
    ground: int


def lay_out(
    parts: Sequence[PartRow],
    feeds: Sequence[str],
    kin: Sequence[str | None] = (),
    throws: Sequence[Throw] = (),
) -> Skeleton:
    """Lay out parts, and throws of selectors, below feeds, given as the terminals they end at.

    kin: for each feed None, or the name of the control beside whose other feeds it stands.
    """
    several: list[PartRow | Throw] = [*parts, *throws]
    drawn = _laid_out(several, feeds, kin, alone=False)
    return drawn if _is_clear(drawn) else _laid_out(several, feeds, kin, alone=True)


def _laid_out(
    parts: Sequence[PartRow | Throw], feeds: Sequence[str], kin: Sequence[str | None], alone: bool
) -> Skeleton:
    """Lay out, with filaments and throws in lines of their own or not."""
    nodes, puzzle = _nodes(parts, feeds), puzzle_of(parts, feeds, alone, kin)
    order = arrange(puzzle)
    heights = levels(puzzle, order)
    spans = extents(puzzle, order.columns)
    ends = [tuple(heights[net] for net in nets) for nets in puzzle.items]
    placed = _placed(parts, ends[puzzle.drops :], heights[-1])
    hops: dict[int, list[int]] = {}
    for place, net in crossed(puzzle, order.tracks, order.columns):
        hops.setdefault(place, []).append(heights[net])
    posts = []
    for place, column in enumerate(order.columns):
        feed = column[0] if puzzle.has_drop(column) else None
        own = tuple(placed[item - puzzle.drops] for item in column if item >= puzzle.drops)
        drop = 0 if feed is None else ends[feed][0]
        posts.append(Post(feed=feed, drop=drop, parts=own, hops=tuple(sorted(hops.get(place, ())))))
    rails = [
        Rail(node=node, level=heights[net], first=(spans[net] or (0, 0))[0], fed=net < puzzle.fixed)
        for net, node in enumerate(nodes)
    ]
    return Skeleton(
        rails=tuple(sorted(rails, key=lambda rail: (rail.level, rail.first))),
        posts=tuple(posts),
        envelopes=tuple(_envelopes(posts)),
        fans=tuple(_fans(posts)),
        gaps=tuple(sorted({one.gap for one in placed})),
        ground=heights[-1],
    )


def _is_clear(drawn: Skeleton) -> bool:
    """Tell whether every envelope holds nothing but its own lamp's filaments, and every fan its throws."""
    for fan in drawn.fans:
        gap = fan.throws[0].gap
        near = [placed for post in drawn.posts[fan.posts[0] : fan.posts[-1] + 1] for placed in post.parts]
        if any(placed.gap == gap and placed not in fan.throws for placed in near):
            return False
    for one in drawn.envelopes:
        inside = [placed for post in drawn.posts[one.first : one.last + 1] for placed in post.parts]
        if any(placed.part.lamp != one.lamp and one.upper <= placed.gap <= one.lower for placed in inside):
            return False
        for two in drawn.envelopes:
            beside = two.last < one.first or one.last < two.first
            if two is not one and not (beside or two.lower < one.upper or one.lower < two.upper):
                return False
    return True


def shared_lamps(parts: Sequence[PartRow | Throw]) -> tuple[str, ...]:
    """Name the lamps of which more than one filament is among the parts."""
    lamps = [part.lamp for part in parts if part.kind == "filament" and part.lamp is not None]
    return tuple(lamp for lamp in dict.fromkeys(lamps) if lamps.count(lamp) > 1)


def _nodes(parts: Sequence[PartRow | Throw], feeds: Sequence[str]) -> list[str]:
    """List the nodes: those of the feeds, then others as they are met, ground last."""
    ends = [node for part in parts for node in (part.from_node, part.to_node)]
    return [*(node for node in dict.fromkeys([*feeds, *ends]) if node != GROUND), GROUND]


def puzzle_of(
    parts: Sequence[PartRow | Throw],
    feeds: Sequence[str],
    alone: bool = False,
    kin: Sequence[str | None] = (),
) -> Puzzle:
    """Say in numbers what is to be ordered."""
    nodes = _nodes(parts, feeds)
    number = {node: place for place, node in enumerate(nodes)}
    lamps = shared_lamps(parts)
    drops = [(number[node],) for node in feeds if node != GROUND]
    named = [None if name is None else f"control {name}" for name in kin] or [None] * len(drops)
    named += [_group(part, lamps) for part in parts]
    groups = {name: place for place, name in enumerate(dict.fromkeys(named)) if name is not None}
    return Puzzle(
        fixed=len(set(drops)),
        nets=len(nodes) - 1,
        items=(*drops, *((number[part.from_node], number[part.to_node]) for part in parts)),
        groups=tuple(None if name is None else groups[name] for name in named),
        alone=alone,
    )


def _group(part: PartRow | Throw, lamps: Sequence[str]) -> str | None:
    """Name what stands side by side: filaments of one lamp, throws of one star."""
    if isinstance(part, Throw):
        return f"star {part.star}"
    return f"lamp {part.lamp}" if part.kind == "filament" and part.lamp in lamps else None


def _placed(parts: Sequence[PartRow | Throw], ends: Sequence[Sequence[int]], ground: int) -> list[DrawnPart]:
    """Choose the gap each symbol stands in: the fewest gaps that meet every part's reach.

    Taking reaches by their lower end, and that end where none chosen fits, gives the fewest.
    A loop hangs below its rail, and stands above ground's. Filaments of one lamp
    keep to the gaps that they have in common, if any.
    """
    reaches = [
        (min(one), max(one) - 1) if len({*one}) > 1 else (min(one[0], ground - 1),) * 2 for one in ends
    ]
    for own in _together(parts, ends):
        common = max(reaches[place][0] for place in own), min(reaches[place][1] for place in own)
        if common[0] <= common[1]:
            for place in own:
                reaches[place] = common
    chosen: list[int] = []
    for low, high in sorted(reaches, key=lambda reach: reach[1]):
        if not any(low <= gap <= high for gap in chosen):
            chosen.append(high)
    return [
        DrawnPart(
            part, min(one), max(one), max(gap for gap in chosen if low <= gap <= high), down=one[0] <= one[1]
        )
        for part, one, (low, high) in zip(parts, ends, reaches, strict=True)
    ]


def _together(parts: Sequence[PartRow | Throw], ends: Sequence[Sequence[int]]) -> list[list[int]]:
    """List what should share a gap: filaments of one lamp, throws of one star on one side of its pole."""
    found: dict[tuple[str, bool], list[int]] = {}
    lamps = shared_lamps(parts)
    for place, (part, one) in enumerate(zip(parts, ends, strict=True)):
        name = _group(part, lamps)
        if name is not None:
            found.setdefault((name, isinstance(part, Throw) and one[0] < one[1]), []).append(place)
    return list(found.values())


def _fans(posts: Sequence[Post]) -> list[ThrowPosts]:
    """Gather the throws of each star above and below its pole's rail."""
    found: dict[tuple[int, bool], list[tuple[int, DrawnPart]]] = {}
    for place, post in enumerate(posts):
        for placed in post.parts:
            if isinstance(placed.part, Throw):
                found.setdefault((placed.part.star, placed.down), []).append((place, placed))
    return [
        ThrowPosts(star, down, tuple(place for place, _ in own), tuple(placed for _, placed in own))
        for (star, down), own in sorted(found.items(), key=lambda one: one[1][0][0])
    ]


def _envelopes(posts: Sequence[Post]) -> list[Envelope]:
    """Put the filaments of one lamp into one envelope; the order has them side by side."""
    found = []
    every = [(place, placed) for place, post in enumerate(posts) for placed in post.parts]
    for lamp in shared_lamps([placed.part for _, placed in every]):
        own = [(place, one) for place, one in every if one.part.kind == "filament" and one.part.lamp == lamp]
        gaps = [placed.gap for _, placed in own]
        kinds = dict.fromkeys(placed.part.type for _, placed in own if placed.part.type)
        found.append(
            Envelope(
                lamp=lamp,
                type=", ".join(kinds) or None,
                first=own[0][0],
                last=own[-1][0],
                upper=min(gaps),
                lower=max(gaps),
                pin=_pin(own),
            )
        )
    return found


def _pin(own: Sequence[tuple[int, DrawnPart]]) -> Literal["below", "above", ""]:
    """Tell where two filaments that stand side by side in one gap end at one rail."""
    if len(own) != 2 or own[0][0] == own[1][0] or own[0][1].gap != own[1][1].gap:
        return ""
    (_, one), (_, other) = own
    if one.is_loop or other.is_loop:
        return ""
    if _end(one, low=True) == _end(other, low=True):
        return "below"
    return "above" if _end(one, low=False) == _end(other, low=False) else ""


def _end(placed: DrawnPart, low: bool) -> str:
    """The node of a part's lower or upper end."""
    return placed.part.to_node if placed.down == low else placed.part.from_node
