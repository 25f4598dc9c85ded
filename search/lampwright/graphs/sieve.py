"""Circuits that are not wanted for what lies between two classes of vertices, told from tables.

A row puts every vertex into a class, and vertices of one class count as one. In a row some labelled
edges are wanted on a simple path from class 1 to class 0; and two rows may have to differ: in the
edges that lie between the two classes, or in the class of a vertex that such an edge touches.

With arcs read as undirected edges, what lies between hangs on the support alone. So a table by
support says for every labelled edge the pairs that it may lie on, and one look tells most circuits.
What passes is asked again with the direction of every arc: contracted to classes, its graph is a
number with a bit for each way from class to class, and a table by that number has the bits on a path.

Both tables are filled as they are asked. They are of bounded size: a slot holds the key that came
to it last, and what it held before is worked out again when it comes back. The smallest case: one
labelled edge that joins a vertex of class 0 to one of class 1 is a path. No source: our method.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from numba import njit

from lampwright.compiled import ENTRY, INNER
from lampwright.graphs.between import Bytes, Ints, pairs_between
from lampwright.graphs.cell import Cell, CellError
from lampwright.graphs.options import OptionTable, most_choices
from lampwright.graphs.slots import slots_for

MOST_BYTES = 2**25
"""The table by support is no larger."""

GRAPHS = 2**18
"""Contracted graphs that are remembered at once; 4 MiB."""

MOST_VERTICES = 9
"""A graph contracted from more vertices would not fit its word."""


@dataclass(frozen=True, eq=False)
class Between:
    """What is asked of the edges between class 1 and class 0.

    classes: (rows, vertices) int8. wanted: (rows, labelled edges) 1 where an edge must lie between.
    unlike: (pairs, 2) rows that must differ. apart: (pairs,) the vertices (bit set) whose class differs
    between the two. missing, alike: the numbers, from 1, under which circuits are counted that fail;
    0 where that is not asked.
    """

    classes: Bytes
    wanted: Bytes
    unlike: Ints
    apart: Ints
    missing: int
    alike: int


class EdgeSieve(NamedTuple):
    """`Between` for one cell, as the listing takes it, each different row once.

    coordinate: (labelled edges,) the star of each; pair_of: (labelled edges, options) the pair it lies
    on. low_end, high_end: (pairs,). classes: (rows, vertices); wanted: (rows,) labelled edges (bit set).
    ends: (edges of all options, 2); place: (coordinates, 2) where a coordinate's begin, and how many each
    option has. ways: (2, vertices, vertices, rows) the bits of an edge's ways, arc or not. supports:
    (slots, 2 + labelled edges) support plus one, whether rows are alike, and the pairs allowed. graphs:
    (slots, 2) graph plus one, and its bits on a path. numbers: (3,) missing, alike, and how many classes
    from 2 on a row has at most. row_of: (rows asked,) the row that stands for each.
    """

    coordinate: Ints
    pair_of: Ints
    low_end: Ints
    high_end: Ints
    classes: Bytes
    wanted: Ints
    unlike: Ints
    apart: Ints
    ends: Bytes
    place: Ints
    ways: Ints
    supports: Ints
    graphs: Ints
    numbers: Ints
    row_of: Ints


class LabelledPairs(NamedTuple):
    """The star of every labelled edge, (edges,), and the pair that it lies on by option, (edges, options)."""

    coordinate: Ints
    pair_of: Ints


@dataclass(frozen=True, eq=False)
class Sifted:
    """What came of some circuits: the number under which each fails, 0 for none, (circuits,).

    live: (circuits, rows asked) the edges (bit sets) between class 1 and class 0.
    """

    number: Ints
    live: Ints


def sieve_of(
    cell: Cell,
    tables: Sequence[OptionTable],
    asked: Between,
    most_bytes: int = MOST_BYTES,
    graphs: int = GRAPHS,
) -> EdgeSieve:
    """The sieve of a cell with these option tables. graphs: a power of two.

    Raises CellError for too many vertices.
    """
    if cell.vertices > MOST_VERTICES:
        raise CellError(
            f"{cell}: a graph of {cell.vertices} vertices does not fit its word; use {MOST_VERTICES}"
        )
    coordinate, pair_of = labelled_pairs(cell, tables)
    pairs = np.array(np.triu_indices(cell.vertices, 1), np.int64)
    rows, row_of = np.unique(asked.classes, axis=0, return_inverse=True)
    row_of = row_of.reshape(-1).astype(np.int64)
    rows = np.array([_gapless(row) for row in rows.tolist()], np.int8).reshape(-1, cell.vertices)
    middle = max(int(rows.max(initial=1)) - 1, 0)
    wanted = np.zeros(len(rows), np.int64)
    np.bitwise_or.at(wanted, row_of, asked.wanted.astype(np.int64) @ (1 << np.arange(len(coordinate))))
    columns = 2 + len(coordinate)
    slots = 2 ** min(cell.pairs, (most_bytes // (8 * columns)).bit_length() - 1)
    slots = slots_for(most_choices(tables), slots)
    edges = np.array([table.ends.shape[1] for table in tables], np.int64)
    sizes = edges * [len(table.mask) for table in tables]
    return EdgeSieve(
        coordinate=coordinate,
        pair_of=pair_of,
        low_end=pairs[0].copy(),
        high_end=pairs[1].copy(),
        classes=rows,
        wanted=wanted,
        unlike=row_of[asked.unlike],
        apart=asked.apart,
        ends=np.concatenate([table.ends.reshape(-1, 2) for table in tables]),
        place=np.stack([np.cumsum(sizes) - sizes, edges], axis=1),
        ways=_ways(rows, middle),
        supports=np.zeros((slots, columns), np.int64),
        graphs=np.zeros((graphs, 2), np.int64),
        numbers=np.array([asked.missing, asked.alike, middle], np.int64),
        row_of=row_of,
    )


def no_sieve() -> EdgeSieve:
    """The sieve that lets every circuit of any cell pass; it has no slots."""
    line, square = np.zeros(0, np.int64), np.zeros((0, 2), np.int64)
    return EdgeSieve(
        coordinate=line,
        pair_of=square,
        low_end=line,
        high_end=line,
        classes=np.zeros((0, 0), np.int8),
        wanted=line,
        unlike=square,
        apart=line,
        ends=np.zeros((0, 2), np.int8),
        place=square,
        ways=np.zeros((2, 0, 0, 0), np.int64),
        supports=square,
        graphs=square,
        numbers=np.zeros(3, np.int64),
        row_of=line,
    )


def labelled_pairs(cell: Cell, tables: Sequence[OptionTable]) -> LabelledPairs:
    """Where the labelled edges of a cell with these option tables lie."""
    stars = tables[: len(cell.stars)]
    number = np.zeros((cell.vertices, cell.vertices), np.int64)
    low, high = np.triu_indices(cell.vertices, 1)
    number[low, high] = number[high, low] = np.arange(len(low))
    coordinate = np.repeat(np.arange(len(stars)), [star.edges for star in cell.stars]).astype(np.int64)
    pair_of = np.zeros((len(coordinate), max((len(table.mask) for table in stars), default=1)), np.int64)
    edge = 0
    for table in stars:
        for ends in table.ends.swapaxes(0, 1):
            pair_of[edge, : len(ends)] = number[ends[:, 0], ends[:, 1]]
            edge += 1
    return LabelledPairs(coordinate, pair_of)


def _gapless(row: list[int]) -> list[int]:
    """A row of classes with those from 2 on numbered in the order met."""
    number = {0: 0, 1: 1}
    return [number.setdefault(each, len(number)) for each in row]


def _ways(classes: Bytes, middle: int) -> Ints:
    """The bits that an edge from vertex to vertex sets in every row, as an arc and both ways."""
    rows, vertices = classes.shape
    ways = np.zeros((2, vertices, vertices, rows), np.int64)
    for row, at in enumerate(classes.tolist()):
        for a in range(vertices):
            for b in range(vertices):
                bit = _way(at[a], at[b], middle)
                if bit >= 0:
                    ways[:, a, b, row] |= 1 << bit
                    ways[1, b, a, row] |= 1 << bit
    return ways


@njit(**ENTRY)
def _way(a: int, b: int, middle: int) -> int:
    """The bit of a way from class a to class b; -1 for one that is on no path from 1 to 0."""
    if a == b or a == 0 or b == 1:
        return -1
    if a == 1:
        return 0 if b == 0 else b - 1
    if b == 0:
        return middle + a - 1
    return 1 + 2 * middle + (a - 2) * (middle - 1) + b - 2 - (1 if b > a else 0)


@njit(**ENTRY)
def ways_on_paths(graph: int, middle: int, stack: Ints) -> int:
    """The ways (bit set) of a contracted graph on simple paths from class 1 to class 0, each path walked.

    middle: how many classes there are from 2 on. stack: scratch of 64.
    """
    on = graph & 1
    depth = 0
    stack[0], stack[32] = 1, 2
    seen = 2
    while depth >= 0:
        here, there = stack[depth], stack[32 + depth]
        if there == middle + 2:
            seen &= ~(1 << here)
            depth -= 1
            continue
        stack[32 + depth] += 1
        bit = _way(here, there, middle)
        if (seen >> there) & 1 or bit < 0 or (graph >> bit) & 1 == 0:
            continue
        depth += 1
        stack[depth], stack[32 + depth] = there, 2
        seen |= 1 << there
        end = _way(there, int(0), middle)
        if (graph >> end) & 1:
            on |= 1 << end
            for step in range(depth):
                on |= 1 << _way(stack[step], stack[step + 1], middle)
    return on


@njit(**INNER)
def slot_of(support, supports, pairs):  # type: ignore[no-untyped-def]
    """The slot of a support: itself, where there is one for each."""
    slots = supports.shape[0]
    return support if slots >> pairs else (support ^ (support >> 17)) & (slots - 1)


@njit(**INNER)
def fill_support(support, sieve, stack):  # type: ignore[no-untyped-def]
    """Write what is known of a support into its slot. stack: scratch of 64."""
    low_end, high_end, classes, wanted, unlike, apart = sieve[2:8]
    supports, numbers = sieve.supports, sieve.numbers
    slot = slot_of(support, supports, low_end.shape[0])
    between = np.zeros(classes.shape[0], np.int64)
    for row in range(classes.shape[0]):
        between[row] = pairs_between(support, classes[row], low_end, high_end, stack)
    for edge in range(supports.shape[1] - 2):
        supports[slot, 2 + edge] = -1
        for row in range(classes.shape[0]):
            if numbers[0] > 0 and (wanted[row] >> edge) & 1:
                supports[slot, 2 + edge] &= between[row]
    supports[slot, 1] = 0
    for k in range(unlike.shape[0] if numbers[1] > 0 else 0):
        first = between[unlike[k, 0]]
        if first != between[unlike[k, 1]]:
            continue
        touched = 0
        for pair in range(low_end.shape[0]):
            if (first >> pair) & 1:
                touched |= (1 << low_end[pair]) | (1 << high_end[pair])
        if touched & apart[k] == 0:
            supports[slot, 1] = 1
    supports[slot, 0] = support + 1


@njit(**ENTRY)
def _contract(options, arcs, ends, place, ways, live):  # type: ignore[no-untyped-def]
    """Write every circuit's graph, contracted to the classes of every row, into live."""
    for circuit in range(options.shape[0]):
        for row in range(live.shape[1]):
            live[circuit, row] = 0
        for at in range(place.shape[0]):
            kind = 0 if at == arcs else 1
            first = place[at, 0] + options[circuit, at] * place[at, 1]
            for edge in range(first, first + place[at, 1]):
                a, b = int(ends[edge, 0]), int(ends[edge, 1])
                for row in range(live.shape[1]):
                    live[circuit, row] |= ways[kind, a, b, row]


@njit(**ENTRY)
def _keep_paths(middle, graphs, live, stack):  # type: ignore[no-untyped-def]
    """Leave of every contracted graph in live the ways on a path, as remembered in graphs."""
    for circuit in range(live.shape[0]):
        for row in range(live.shape[1]):
            graph = live[circuit, row]
            mixed = ((graph ^ (graph >> 31)) & 0x7FFFFFFF) * 40503
            slot = (mixed >> 12) & (graphs.shape[0] - 1)
            if graphs[slot, 0] != graph + 1:
                graphs[slot, 1] = ways_on_paths(graph, middle, stack)
                graphs[slot, 0] = graph + 1
            live[circuit, row] = graphs[slot, 1]


@njit(**ENTRY)
def _keep_edges(options, arcs, ends, place, ways, live, touched):  # type: ignore[no-untyped-def]
    """Turn the ways on a path, in live, into the edges (bit sets) on one and the vertices they touch."""
    found = np.zeros((2, live.shape[1]), np.int64)
    for circuit in range(options.shape[0]):
        found[:] = 0
        part = 0
        for at in range(place.shape[0]):
            kind = 0 if at == arcs else 1
            first = place[at, 0] + options[circuit, at] * place[at, 1]
            for edge in range(first, first + place[at, 1]):
                a, b = int(ends[edge, 0]), int(ends[edge, 1])
                for row in range(live.shape[1]):
                    if live[circuit, row] & ways[kind, a, b, row]:
                        found[0, row] |= 1 << part
                        found[1, row] |= (1 << a) | (1 << b)
                part += 1
        for row in range(live.shape[1]):
            live[circuit, row], touched[circuit, row] = found[0, row], found[1, row]


@njit(**ENTRY)
def _numbers_of(live, touched, wanted, unlike, apart, numbers, found):  # type: ignore[no-untyped-def]
    """Write the number under which each circuit fails into found, 0 where it does not."""
    for circuit in range(live.shape[0]):
        missing = alike = False
        for row in range(live.shape[1]):
            missing |= wanted[row] & ~live[circuit, row] != 0
        for k in range(unlike.shape[0]):
            first, second = unlike[k, 0], unlike[k, 1]
            if live[circuit, first] == live[circuit, second] and touched[circuit, first] & apart[k] == 0:
                alike = True
        found[circuit] = 0
        if alike:
            found[circuit] = numbers[1]
        if missing and numbers[0] > 0:
            found[circuit] = numbers[0]


def sift(options: npt.NDArray[np.int32], sieve: EdgeSieve, arcs: int) -> Sifted:
    """Ask about circuits with the direction of their arcs. arcs: the coordinate of the arcs."""
    live = np.empty((len(options), len(sieve.classes)), np.int64)
    touched, number = np.empty_like(live), np.empty(len(options), np.int64)
    _contract(options, arcs, sieve.ends, sieve.place, sieve.ways, live)
    _keep_paths(sieve.numbers[2], sieve.graphs, live, np.zeros(64, np.int64))
    _keep_edges(options, arcs, sieve.ends, sieve.place, sieve.ways, live, touched)
    _numbers_of(live, touched, sieve.wanted, sieve.unlike, sieve.apart, sieve.numbers, number)
    return Sifted(number, live[:, sieve.row_of])
