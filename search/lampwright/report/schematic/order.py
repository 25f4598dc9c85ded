"""Which rail stands above which, and which column beside which: a drawing as two orders.

A drawing has rails, one per net, from top to bottom, and columns from left to right. A
column is a feed's drop from above to its rail, a part between two rails, or several of these
in one line, each hanging from the one above. A rail reaches from its first column to its
last. A column crosses a rail where the rail passes over it and lies between the column's
ends. Feeds' rails lie above all others, ground below all; filaments of one lamp stand side
by side. Wanted: fewest crossings, then the shortest rails (counted in columns), then
columns in their natural order. Two rails that nowhere overlap may lie at one height, their level.

Setting a column below its neighbour never changes the crossings: both ends of the neighbour
were passed over by the same rails, except those the two are joined to.

No source: our model of a drawing; layered graph drawing with its orders made one.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Edge:
    """A part between two nets, by number; parts of one group stand side by side."""

    one: int
    other: int
    group: int | None = None


@dataclass(frozen=True)
class Puzzle:
    """What is to be ordered: nets 0 to `fixed` - 1 are the feeds', ground is number `nets`.

    drops: the net of each feed's drop. alone: parts of a group never share a line with others.
    """

    fixed: int
    nets: int
    drops: tuple[int, ...]
    parts: tuple[Edge, ...]
    alone: bool = False


@dataclass(frozen=True)
class Column:
    """What stands in one column, by number: a drop or none, then parts from top to bottom."""

    drop: int | None = None
    parts: tuple[int, ...] = ()


@dataclass(frozen=True)
class Order:
    """Nets from top to bottom without ground, columns from left to right, and what they cost."""

    tracks: tuple[int, ...]
    columns: tuple[Column, ...]
    crossings: int
    length: int


@dataclass(frozen=True)
class Extent:
    """The first and the last column of a rail; a net with no column has none."""

    first: int
    last: int


def natural(puzzle: Puzzle) -> tuple[Column, ...]:
    """Order single columns as one would read them: each drop, the parts at its net, then the rest."""
    found = [Column(drop=drop) for drop in range(len(puzzle.drops))]
    order: list[Column] = []
    placed: set[int] = set()

    def place(part: int) -> None:
        group = puzzle.parts[part].group
        for number, edge in enumerate(puzzle.parts):
            alike = group is not None and edge.group == group
            if number not in placed and (number == part or alike):
                placed.add(number)
                order.append(Column(parts=(number,)))

    for column, net in zip(found, puzzle.drops, strict=True):
        order.append(column)
        for number, edge in enumerate(puzzle.parts):
            if net in (edge.one, edge.other):
                place(number)
    for number in range(len(puzzle.parts)):
        place(number)
    return tuple(order)


def nets_of(puzzle: Puzzle, column: Column) -> tuple[int, ...]:
    """List the nets a column is joined to, ground among them."""
    drop = () if column.drop is None else (puzzle.drops[column.drop],)
    edges = [puzzle.parts[part] for part in column.parts]
    return (*drop, *(net for edge in edges for net in (edge.one, edge.other)))


def extents(puzzle: Puzzle, columns: Sequence[Column]) -> tuple[Extent | None, ...]:
    """Tell from where to where each rail reaches, ground's last."""
    found: list[Extent | None] = [None] * (puzzle.nets + 1)
    for place, column in enumerate(columns):
        for net in nets_of(puzzle, column):
            known = found[net]
            found[net] = Extent(known.first if known else place, place)
    return tuple(found)


def hung(puzzle: Puzzle, heights: Sequence[int], upper: Column, lower: Column) -> Column | None:
    """Set one column below another in one line, if it begins at the rail where the other ends."""
    if lower.drop is not None or _is_loop(puzzle, upper) or _is_loop(puzzle, lower):
        return None
    grouped = [part for part in (*upper.parts, *lower.parts) if puzzle.parts[part].group is not None]
    if puzzle.alone and grouped and upper.parts:
        return None
    above = [heights[net] for net in nets_of(puzzle, upper)]
    below = [heights[net] for net in nets_of(puzzle, lower)]
    return Column(upper.drop, (*upper.parts, *lower.parts)) if max(above) == min(below) else None


def stacked(puzzle: Puzzle, order: Order) -> Order:
    """Set neighbours into one line wherever one hangs from the other."""
    heights = heights_of(puzzle, order.tracks)
    columns: list[Column] = []
    for column in order.columns:
        last = columns[-1] if columns else None
        both = last and (hung(puzzle, heights, last, column) or hung(puzzle, heights, column, last))
        if both:
            columns[-1] = both
        else:
            columns.append(column)
    return measure(puzzle, order.tracks, columns)


def heights_of(puzzle: Puzzle, tracks: Sequence[int]) -> tuple[int, ...]:
    """Give each net its place from the top, ground's last."""
    places = {net: place for place, net in enumerate(tracks)}
    return (*(places[net] for net in range(puzzle.nets)), puzzle.nets)


def crossed(
    puzzle: Puzzle, heights: Sequence[int], spans: Sequence[Extent | None], columns: Sequence[Column]
) -> Iterator[tuple[int, int]]:
    """Yield each crossing as column and net."""
    for place, column in enumerate(columns):
        own = nets_of(puzzle, column)
        ends = [heights[net] for net in own]
        top = -1 if column.drop is not None else min(ends)
        for net in range(puzzle.nets):
            span = spans[net]
            covers = span is not None and span.first < place < span.last
            if covers and net not in own and top < heights[net] < max(ends):
                yield place, net


def measure(puzzle: Puzzle, tracks: Sequence[int], columns: Sequence[Column]) -> Order:
    """Count the crossings and the length of the rails of two orders."""
    spans = extents(puzzle, columns)
    crossings = sum(1 for _ in crossed(puzzle, heights_of(puzzle, tracks), spans, columns))
    length = sum(span.last - span.first for span in spans[: puzzle.nets] if span)
    return Order(tuple(tracks), tuple(columns), crossings, length)


def _is_loop(puzzle: Puzzle, column: Column) -> bool:
    """Tell whether a column is a part with both ends at one net."""
    return any(puzzle.parts[part].one == puzzle.parts[part].other for part in column.parts)


def levels(puzzle: Puzzle, order: Order) -> tuple[int, ...]:
    """Give each net the highest level at which its rail meets no rail above it; ground's is the last."""
    spans = extents(puzzle, order.columns)
    found = [0] * puzzle.nets
    done: list[int] = []
    for net in order.tracks:
        own = spans[net]
        if own is None:
            continue
        above = [
            found[other]
            for other in done
            if (span := spans[other]) and span.first <= own.last and own.first <= span.last
        ]
        found[net] = max(above, default=-1) + 1
        done.append(net)
    return (*found, max(1, max(found, default=-1) + 1))
