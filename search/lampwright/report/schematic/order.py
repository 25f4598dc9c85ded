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

from msgspec import Struct

Column = tuple[int, ...]
"""The items in one line, by number: a drop or none, then parts from top to bottom."""

Extent = tuple[int, int]
"""The first and the last column of a rail."""


class Puzzle(Struct, frozen=True):
    """What is to be ordered: nets 0 to `fixed` - 1 are the feeds', ground is number `nets`.

    items: the nets of each, first one of every drop, then two of every part. groups: for each item
    None, or the group whose parts stand side by side. alone: these never share a line with others.
    """

    fixed: int
    nets: int
    items: tuple[tuple[int, ...], ...]
    groups: tuple[int | None, ...]
    alone: bool = False

    @property
    def drops(self) -> int:
        """How many items are drops."""
        return sum(len(nets) == 1 for nets in self.items)

    def has_drop(self, column: Column) -> bool:
        """Whether a column begins with a drop."""
        return len(self.items[column[0]]) == 1

    def nets_of(self, column: Column) -> tuple[int, ...]:
        """List the nets a column is joined to, ground among them."""
        return tuple(net for item in column for net in self.items[item])

    def group_of(self, column: Column) -> int | None:
        """The group of a column of one item."""
        return self.groups[column[0]]


class Order(Struct, frozen=True):
    """Nets from top to bottom without ground, columns from left to right, and what they cost."""

    tracks: tuple[int, ...]
    columns: tuple[Column, ...]
    crossings: int
    length: int


def natural(puzzle: Puzzle) -> tuple[Column, ...]:
    """Order single columns as one would read them: each drop, the parts at its net, then the rest."""
    parts = range(puzzle.drops, len(puzzle.items))
    read: list[int] = []
    for drop in range(puzzle.drops):
        read += [drop, *(part for part in parts if puzzle.items[drop][0] in puzzle.items[part])]
    order: dict[int, None] = {}
    for item in (*read, *parts):
        group = puzzle.groups[item]
        every = range(len(puzzle.items))
        alike = [item] if group is None else [other for other in every if puzzle.groups[other] == group]
        order.update(dict.fromkeys(alike))
    return tuple((item,) for item in order)


def extents(puzzle: Puzzle, columns: Sequence[Column]) -> list[Extent | None]:
    """Tell from where to where each rail reaches, ground's last; a net with no column nowhere."""
    found: list[Extent | None] = [None] * (puzzle.nets + 1)
    for place, column in enumerate(columns):
        for net in puzzle.nets_of(column):
            known = found[net]
            found[net] = (known[0] if known else place, place)
    return found


def hung(puzzle: Puzzle, heights: Sequence[int], upper: Column, lower: Column) -> Column | None:
    """Set one column below another in one line, if it begins at the rail where the other ends."""
    both = (*upper, *lower)
    if puzzle.has_drop(lower) or any(len({*puzzle.items[item]}) < len(puzzle.items[item]) for item in both):
        return None
    is_grouped = any(puzzle.groups[item] is not None for item in both)
    if puzzle.alone and is_grouped and not puzzle.has_drop(upper[-1:]):
        return None
    above = max(heights[net] for net in puzzle.nets_of(upper))
    below = min(heights[net] for net in puzzle.nets_of(lower))
    return both if above == below else None


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


def between(puzzle: Puzzle, heights: Sequence[int], column: Column) -> list[int]:
    """List the nets whose rails lie between the ends of a column; a drop begins above all."""
    ends = [heights[net] for net in puzzle.nets_of(column)]
    top = -1 if puzzle.has_drop(column) else min(ends)
    return [net for net in range(puzzle.nets) if top < heights[net] < max(ends)]


def crossed(puzzle: Puzzle, tracks: Sequence[int], columns: Sequence[Column]) -> Iterator[tuple[int, int]]:
    """Yield each crossing as column and net."""
    heights, spans = heights_of(puzzle, tracks), extents(puzzle, columns)
    for place, column in enumerate(columns):
        own = puzzle.nets_of(column)
        for net in between(puzzle, heights, column):
            span = spans[net]
            if span is not None and span[0] < place < span[1] and net not in own:
                yield place, net


def measure(puzzle: Puzzle, tracks: Sequence[int], columns: Sequence[Column]) -> Order:
    """Count the crossings and the length of the rails of two orders."""
    crossings = sum(1 for _ in crossed(puzzle, tracks, columns))
    length = sum(span[1] - span[0] for span in extents(puzzle, columns)[: puzzle.nets] if span)
    return Order(tuple(tracks), tuple(columns), crossings, length)


def levels(puzzle: Puzzle, order: Order) -> list[int]:
    """Give each net the highest level at which its rail meets no rail above it; ground's is the last."""
    spans = extents(puzzle, order.columns)
    found = [0] * puzzle.nets
    done: list[int] = []
    for net in order.tracks:
        own = spans[net]
        if own is not None:
            above = [
                found[other]
                for other in done
                if (span := spans[other]) and span[0] <= own[1] and own[0] <= span[1]
            ]
            found[net] = max(above, default=-1) + 1
            done.append(net)
    return [*found, max(1, max(found, default=-1) + 1)]
