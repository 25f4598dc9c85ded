"""Are two drawings one circuit, and which part is which? A key that forgets series order and Whitney twists.

What a circuit can do is the space of (terminal potential differences, edge voltages) that
some potentials of the vertices give: the row space of the signed incidence matrix with one
virtual edge from the last terminal to each other. Two drawings with equal spaces, under a
bijection of edges that keeps labels, are the same circuit; reversing an undirected edge
changes the sign of its voltage and nothing else. For graphs that is Whitney's 2-isomorphism
theorem with the terminals held apart. Source: Whitney, 2-Isomorphic graphs, 1933; Oxley,
Matroid Theory, theorem 5.3.1; both from memory.

The matrix is totally unimodular, so its reduced row echelon form has entries 0, 1, -1 and is
unique for an order of the columns. Signs that undirected edges leave open are fixed along a
spanning forest of the form's pattern of nonzeros; alike edges are tried in every order and
the least form kept. Worked case: edges x and y in series between two terminals; xy and yx
give the same rows, x - y = t up to sign.

The orders that give the least form say which edge of one drawing is which of another: those at
the same place. A drawing has as many such orders as its circuit has symmetries.

Assumes few alike edges, since n of one label cost up to n! orders, and at most MOST_COLUMNS edges and
terminals: a row is two bit sets, where it is 1 and where it is -1.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import groupby, permutations, product
from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import ArrayLike, NDArray

from lampwright.compiled import ENTRY, INNER

Label = str | int
Ints = NDArray[np.int64]

MOST_COLUMNS = 62


@dataclass(frozen=True)
class Canonical:
    """A drawing's key, equal for drawings of one circuit, and all orders of its edges that give it.

    >>> one = canonical_drawing(3, 2, [(0, 2), (2, 1)], ["r", "r"], [False, False])
    >>> one.orders  # in series, so either may be the first
    ((0, 1), (1, 0))
    """

    key: bytes
    orders: tuple[tuple[int, ...], ...]


@dataclass(frozen=True, eq=False)
class EdgeNames:
    """What the labels of edges come to.

    key: the part of the key that tells them. signed: columns with a sign of their own, as a bit set of the
    edges in order. orders: (orders, edges) every order of the edges, alike ones side by side; written: the
    same as tuples.
    """

    key: bytes
    signed: int
    orders: Ints
    written: tuple[tuple[int, ...], ...]


def drawing_key(
    n_vertices: int,
    terminals: int,
    edges: ArrayLike,
    labels: Sequence[Label],
    directed: Sequence[bool],
) -> bytes:
    """The key of a circuit; vertices 0..terminals-1 are the terminals, a directed edge is (tail, head).

    Edges that share a label are alike; a directed and an undirected edge never are.

    >>> one = drawing_key(3, 2, [(0, 2), (2, 1)], ["x", "y"], [False, False])
    >>> one == drawing_key(3, 2, [(0, 2), (2, 1)], ["y", "x"], [False, False])
    True
    """
    ends, names = _checked(terminals, edges, labels, directed)
    return next(least_forms(n_vertices, terminals, ends[None], names)).key


def canonical_drawing(
    n_vertices: int,
    terminals: int,
    edges: ArrayLike,
    labels: Sequence[Label],
    directed: Sequence[bool],
) -> Canonical:
    """The key of a circuit as `drawing_key` has it, and the orders of the edges that give it.

    edges: (edges, 2). Raises ValueError for more than MOST_COLUMNS edges and terminals.
    """
    ends, names = _checked(terminals, edges, labels, directed)
    return next(least_forms(n_vertices, terminals, ends[None], names)).canonical


class _Checked(NamedTuple):
    """Edges as an array (edges, 2), and what their labels come to."""

    ends: Ints
    names: EdgeNames


def _checked(terminals: int, edges: ArrayLike, labels: Sequence[Label], directed: Sequence[bool]) -> _Checked:
    ends = np.asarray(edges, np.int64).reshape(-1, 2)
    if len(ends) != len(labels):
        raise ValueError(f"{len(ends)} edges with {len(labels)} labels cannot be; use one label an edge")
    if max(terminals - 1, 0) + len(ends) > MOST_COLUMNS:
        raise ValueError(f"{len(ends)} edges between {terminals} terminals are too many for a key")
    return _Checked(ends, edge_names(tuple(labels), tuple(directed)))


class LeastForm(NamedTuple):
    """A drawing's key, and the numbers of those of all orders of its edges that give it."""

    key: bytes
    names: EdgeNames
    given: list[int]

    @property
    def canonical(self) -> Canonical:
        """The key, and the orders written out."""
        return Canonical(self.key, tuple(self.names.written[number] for number in self.given))


def least_forms(
    n_vertices: int, terminals: int, ends: Ints, names: EdgeNames, before: bytes = b""
) -> Iterator[LeastForm]:
    """The least forms of drawings as `canonical_drawing` has them, in their order.

    ends: (drawings, edges, 2), edges that fit the names. before: what the keys begin with.
    """
    forms = np.zeros((len(ends), 3 * n_vertices), np.int64)
    given = np.zeros((len(ends), len(names.orders)), np.int64)
    told = np.zeros((len(ends), 2), np.int64)
    _fill_forms(n_vertices, max(terminals - 1, 0), ends, names.orders, names.signed, forms, given, told)
    before, written = before + b"%d:%b:" % (terminals, names.key), forms.tobytes()
    for at, ((size, count), orders) in enumerate(zip(told.tolist(), given.tolist(), strict=True)):
        start = at * forms[0].nbytes
        yield LeastForm(before + written[start : start + size * forms.itemsize], names, orders[:count])


def matched(order: Sequence[int], other: Sequence[int]) -> tuple[int, ...]:
    """For every edge of a drawing the one of another at its place, under orders that give one key.

    With two orders of one drawing, a symmetry of its circuit.

    >>> matched((2, 0, 1), (1, 0, 2))
    (0, 2, 1)
    """
    edges = [0] * len(order)
    for own, edge in zip(order, other, strict=True):
        edges[own] = edge
    return tuple(edges)


@lru_cache(maxsize=64)
def edge_names(labels: tuple[Label, ...], directed: tuple[bool, ...]) -> EdgeNames:
    """What these labels of edges come to; directed: which edges have a direction."""
    names = [(way, isinstance(label, str), label) for label, way in zip(labels, directed, strict=True)]
    order = sorted(range(len(names)), key=names.__getitem__)
    classes = [list(same) for _, same in groupby(order, key=names.__getitem__)]
    written = tuple(_arrangements(classes))
    return EdgeNames(
        repr([names[edge] for edge in order]).encode(),
        sum(int(directed[edge]) << place for place, edge in enumerate(order)),
        np.array(written, np.int64).reshape(-1, len(order)),
        written,
    )


def _arrangements(classes: Iterable[Sequence[int]]) -> Iterator[tuple[int, ...]]:
    """The edges in class order, with each class in each order."""
    for choice in product(*map(permutations, classes)):
        yield tuple(edge for same in choice for edge in same)


@njit(**ENTRY)
def _fill_forms(
    n_vertices: int,
    virtual: int,
    ends: Ints,
    orders: Ints,
    signed: int,
    forms: Ints,
    given: Ints,
    told: Ints,
) -> None:
    """Fill least forms (drawings, 3 n_vertices), the orders that give them (drawings, orders), and how many.

    told: (drawings, 2) the size of a form, and of the orders.
    """
    for drawing in range(ends.shape[0]):
        told[drawing, 0], told[drawing, 1] = _least_form(
            n_vertices, virtual, ends[drawing], orders, signed, forms[drawing], given[drawing]
        )


@njit(**INNER)
def _least_form(
    n_vertices: int, virtual: int, ends: Ints, orders: Ints, signed: int, least: Ints, given: Ints
) -> tuple[int, int]:
    """The least form over all orders: pivot columns, then the other columns' entries row by row; its size.

    given: (orders,) is filled with the numbers of the orders that give it; and how many do.
    """
    columns = virtual + ends.shape[0]
    signed = (signed << virtual) | ((1 << virtual) - 1)
    column_ends = np.zeros((columns, 2), np.int64)
    for place in range(virtual):
        column_ends[place, 0] = virtual
        column_ends[place, 1] = place
    plus, minus = np.zeros(n_vertices, np.int64), np.zeros(n_vertices, np.int64)
    pivots, done = np.zeros(n_vertices, np.int64), np.zeros(n_vertices, np.int64)
    now = np.zeros(3 * n_vertices, np.int64)
    count = size = 0
    for number in range(orders.shape[0]):
        for place in range(ends.shape[0]):
            for side in range(2):
                column_ends[virtual + place, side] = ends[orders[number, place], side]
        rank = _reduce(column_ends, plus, minus, pivots)
        _settle_signs(rank, signed, columns, plus, minus, pivots, done)
        others = (1 << columns) - 1
        for row in range(rank):
            others &= ~pivots[row]
        for row in range(rank):
            now[row] = pivots[row]
            now[rank + 2 * row] = plus[row] & others
            now[rank + 2 * row + 1] = minus[row] & others
        # every order has the same rank: that of the circuit
        size = 3 * rank
        order = 0 if count else -1
        for at in range(size):
            if order == 0 and now[at] != least[at]:
                order = -1 if now[at] < least[at] else 1
        if order < 0:
            for at in range(size):
                least[at] = now[at]
            count = 0
        if order <= 0:
            given[count] = number
            count += 1
    return size, count


@njit(**INNER)
def _reduce(column_ends: Ints, plus: Ints, minus: Ints, pivots: Ints) -> int:
    """Fill the nonzero rows of the reduced row echelon form of the incidence matrix; how many there are.

    column_ends: (columns, 2) vertices. plus, minus: (vertices,) rows. pivots: (vertices,) the pivot bits.
    """
    plus[:] = 0
    minus[:] = 0
    columns = column_ends.shape[0]
    for place in range(columns):
        tail, head = column_ends[place]
        if tail != head:
            plus[tail] |= 1 << place
            minus[head] |= 1 << place
    rank = 0
    for place in range(columns):
        column = 1 << place
        pivot = rank
        while pivot < plus.shape[0] and (plus[pivot] | minus[pivot]) & column == 0:
            pivot += 1
        if pivot == plus.shape[0]:
            continue
        up, down = plus[pivot], minus[pivot]
        if down & column:
            up, down = down, up
        plus[pivot], minus[pivot] = plus[rank], minus[rank]
        plus[rank], minus[rank] = up, down
        pivots[rank] = column
        for row in range(plus.shape[0]):
            if row != rank and (plus[row] | minus[row]) & column:
                # totally unimodular rows stay in 0, 1, -1
                more, less = (down, up) if plus[row] & column else (up, down)
                own, other = plus[row], minus[row]
                plus[row] = (own & ~less) | (more & ~other)
                minus[row] = (other & ~more) | (less & ~own)
        rank += 1
    return rank


@njit(**INNER)
def _settle_signs(
    rank: int, signed: int, columns: int, plus: Ints, minus: Ints, pivots: Ints, done: Ints
) -> None:
    """Choose the open signs, so that each entry that first reaches a row or column is 1.

    A row has the sign of its pivot edge. What is reached first depends on the nonzeros alone, so circuits
    that differ in open signs end with the same rows. done: scratch, the rows whose sign is chosen, in turn.
    """
    free = (1 << columns) - 1
    for row in range(rank):
        free &= ~pivots[row]
    settled = signed & free
    free &= ~settled
    waiting = (1 << rank) - 1
    count = 0
    for row in range(rank):
        if pivots[row] & signed:
            done[count] = row
            count += 1
            waiting &= ~(1 << row)
    while waiting or free:
        chosen = -1
        for row in range(rank):
            if chosen < 0 and (waiting >> row) & 1 and (plus[row] | minus[row]) & settled:
                chosen = row
        if chosen >= 0:
            touching = (plus[chosen] | minus[chosen]) & settled
            if minus[chosen] & touching & -touching:
                plus[chosen], minus[chosen] = minus[chosen], plus[chosen]
        else:
            reached = 0
            for at in range(count):
                if reached == 0:
                    reached = (plus[done[at]] | minus[done[at]]) & free
            if reached:
                column = reached & -reached
                _make_plus(rank, column, plus, minus, done)
                settled |= column
                free &= ~column
                continue
            if waiting == 0:
                return
            while chosen < 0 or (waiting >> chosen) & 1 == 0:
                chosen += 1
        waiting &= ~(1 << chosen)
        done[count] = chosen
        count += 1


@njit(**INNER)
def _make_plus(rank: int, column: int, plus: Ints, minus: Ints, done: Ints) -> None:
    """Negate a column if its entry in the first row of `done` that has one is -1."""
    first = 0
    while (plus[done[first]] | minus[done[first]]) & column == 0:
        first += 1
    if minus[done[first]] & column:
        for row in range(rank):
            flipped = (plus[row] | minus[row]) & column
            plus[row] ^= flipped
            minus[row] ^= flipped
