"""What each coordinate of a circuit can be, as a numbered list, and how renaming moves the numbers.

A circuit of a cell is a tuple of coordinates: one per star, then the multiset of arcs,
then the multiset of links. Each coordinate has finitely many options, numbered from 0 in
this order: a star is the tuple of its edges' pair numbers, a multiset the rising tuple of
its members' numbers (pairs for links; for arcs, ordered pairs (tail, head) numbered
lexicographically); alike edges are such a multiset too, in a star's place; options stand in
lexicographic order of these tuples. A permutation of the internal vertices then acts on
option numbers, and the rest of the listing needs only that action. Two links on terminals
0, 1 and no other vertex: one option. No source: the action of a group on tuples and
multisets, written out.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain, combinations_with_replacement, permutations
from math import comb, factorial, prod

import numpy as np
import numpy.typing as npt

from lampwright.graphs.cell import Cell, CellError, Star

MOST_OPTIONS = 1 << 18
MOST_IMAGES = 1 << 24

Ints = npt.NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class OptionTable:
    """The options of one coordinate.

    mask (option): the pairs covered, as bits. ends (option, edge, 2): a star's edge is
    (hub, far end), a free edge or a link (lower, higher), an arc (tail, head). image
    (permutation, option): the option after renaming; permutation 0 is the identity.
    """

    mask: Ints
    ends: npt.NDArray[np.int8]
    image: npt.NDArray[np.int32]


@dataclass(frozen=True, eq=False)
class _Items:
    """Numbered vertex pairs, ordered or not: their ends, mask bits and images under renaming."""

    ends: Ints
    bits: Ints
    image: Ints


def most_choices(tables: Sequence[OptionTable]) -> int:
    """How many choices of one option from each table there are."""
    return prod(len(table.mask) for table in tables)


def option_tables(cell: Cell) -> tuple[OptionTable, ...]:
    """One table per star, then the table of arcs, then that of links. Raises CellError as `images` does."""
    images(cell)
    pairs, arcs = _items(cell, directed=False), _items(cell, directed=True)
    tables = []
    for star in cell.stars:
        if star.alike:
            rows = _multiset_rows(len(pairs.bits), star.edges)
            tables.append(_table(rows, pairs, pairs.ends[rows], alike=True))
            continue
        rows = _star_rows(star, pairs, range(cell.vertices))
        tables.append(_table(rows, pairs, _star_ends(rows, star, pairs), alike=False))
    for items, size in ((arcs, cell.arcs), (pairs, cell.links)):
        rows = _multiset_rows(len(items.bits), size)
        tables.append(_table(rows, items, items.ends[rows], alike=True))
    return tuple(tables)


def _items(cell: Cell, *, directed: bool) -> _Items:
    """All ordered (directed) or unordered pairs of distinct vertices, in lexicographic order."""
    first, second = np.nonzero(~np.eye(cell.vertices, dtype=bool))
    number = np.zeros((cell.vertices, cell.vertices), dtype=np.int64)
    number[first, second] = np.arange(len(first))
    low, high = np.triu_indices(cell.vertices, 1)
    pair_number = np.zeros_like(number)
    pair_number[low, high] = pair_number[high, low] = np.arange(len(low))
    bits = np.int64(1) << pair_number
    if not directed:
        first, second, number = low, high, pair_number
    renaming = _renamings(cell)
    return _Items(
        ends=np.stack([first, second], axis=1).astype(np.int64),
        bits=bits[first, second],
        image=number[renaming[:, first], renaming[:, second]],
    )


def _renamings(cell: Cell) -> Ints:
    """Every permutation of the internal vertices as (permutation, vertex); the identity first."""
    inner = np.array(list(permutations(range(cell.terminals, cell.vertices))), dtype=np.int64)
    outer = np.tile(np.arange(cell.terminals, dtype=np.int64), (len(inner), 1))
    return np.concatenate([outer, inner.reshape(len(inner), cell.internal)], axis=1)


def images(cell: Cell) -> int:
    """How many entries the tables of a cell have, which is what they cost, without making them.

    Raises CellError for one that would not fit in memory, or whose codes would not fit in 63 bits.
    """
    alike = [(star.edges, cell.pairs, f"{star.edges} alike edges") for star in cell.stars if star.alike]
    alike += [
        (cell.arcs, 2 * cell.pairs, f"{cell.arcs} arcs"),
        (cell.links, cell.pairs, f"{cell.links} links"),
    ]
    sizes = [(_multisets(items, size), items**size, name) for size, items, name in alike]
    for star in (one for one in cell.stars if not one.alike):
        hubs, reach = cell.vertices if star.hub is None else 1, max(cell.vertices - 1, 0)
        sizes.append((hubs * reach**star.edges, cell.pairs**star.edges, f"a star of {star.edges} edges"))
    for size, codes, name in sizes:
        if size > MOST_OPTIONS or size * factorial(cell.internal) > MOST_IMAGES or codes >= 1 << 62:
            raise CellError(
                f"{name}: up to {size:,} ways to place them on {cell.vertices} vertices are too many to "
                f"keep in a table ({MOST_OPTIONS:,}); use fewer of them, or fewer vertices"
            )
    return sum(size for size, *_ in sizes) * factorial(cell.internal)


def _multisets(items: int, size: int) -> int:
    """How many multisets of `size` items there are."""
    return comb(items + size - 1, size) if items else int(size == 0)


def _star_rows(star: Star, pairs: _Items, vertices: Sequence[int]) -> Ints:
    """The star's options as rows of pair numbers, sorted, each once."""
    hubs = vertices if star.hub is None else (star.hub,)
    rows = [np.zeros((0, star.edges), dtype=np.int64)]
    for hub in hubs:
        spokes = np.flatnonzero((pairs.ends == hub).any(axis=1))
        picks = np.indices((len(spokes),) * star.edges).reshape(star.edges, -1).T
        rows.append(spokes[picks])
    return np.unique(np.concatenate(rows), axis=0)


def _star_ends(rows: Ints, star: Star, pairs: _Items) -> Ints:
    """(hub, far end) of each edge; the hub of edges on one pair is its lower vertex."""
    ends = pairs.ends[rows]
    if star.hub is None:
        low, high = ends[:, 0, 0], ends[:, 0, 1]
        shared = (ends == low[:, None, None]).any(axis=2).all(axis=1)
        hub = np.where(shared, low, high)[:, None]
    else:
        hub = np.full((len(rows), 1), star.hub)
    far = ends.sum(axis=2) - hub
    return np.stack([np.broadcast_to(hub, far.shape), far], axis=2)


def _multiset_rows(items: int, size: int) -> Ints:
    """The multisets of `size` items as rising rows, in lexicographic order."""
    count = _multisets(items, size)
    flat = chain.from_iterable(combinations_with_replacement(range(items), size))
    return np.fromiter(flat, dtype=np.int64, count=count * size).reshape(count, size)


def _table(rows: Ints, items: _Items, ends: Ints, *, alike: bool) -> OptionTable:
    """Mask, ends and images of the options given as sorted rows of item numbers."""
    weights = len(items.bits) ** np.arange(rows.shape[1], dtype=np.int64)[::-1]
    codes = rows @ weights
    image = np.empty((len(items.image), len(rows)), dtype=np.int32)
    for place, moves in enumerate(items.image):
        moved = moves[rows]
        if alike:
            moved.sort(axis=1)
        image[place] = np.searchsorted(codes, moved @ weights)
    mask = np.bitwise_or.reduce(items.bits[rows], axis=1) if rows.shape[1] else np.zeros(len(rows), np.int64)
    return OptionTable(mask, ends.astype(np.int8), image)
