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

Assumes few alike edges, since n of one label cost up to n! orders.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, permutations, product

Label = str | int
Form = tuple[tuple[int, ...], tuple[int, ...]]


@dataclass(eq=False)
class _Row:
    """A row of entries 0, 1, -1 as two bitmasks: where it is 1 and where it is -1."""

    plus: int
    minus: int

    def negate(self) -> None:
        """Change every sign."""
        self.plus, self.minus = self.minus, self.plus

    def clear(self, column: int, pivot: "_Row") -> None:
        """Make the column 0 with the pivot row; totally unimodular rows stay in 0, 1, -1."""
        plus, minus = pivot.plus, pivot.minus
        if self.plus & column:
            plus, minus = minus, plus
        self.plus, self.minus = (
            (self.plus & ~minus) | (plus & ~self.minus),
            (self.minus & ~plus) | (minus & ~self.plus),
        )


@dataclass(frozen=True)
class Canonical:
    """A drawing's key, equal for drawings of one circuit, and all orders of its edges that give it.

    >>> one = canonical_drawing(3, 2, [(0, 2), (2, 1)], ["r", "r"], [False, False])
    >>> one.orders  # in series, so either may be the first
    ((0, 1), (1, 0))
    """

    key: bytes
    orders: tuple[tuple[int, ...], ...]


def drawing_key(
    n_vertices: int,
    terminals: int,
    edges: Sequence[tuple[int, int]],
    labels: Sequence[Label],
    directed: Sequence[bool],
) -> bytes:
    """The key of a circuit; vertices 0..terminals-1 are the terminals, a directed edge is (tail, head).

    Edges that share a label are alike; a directed and an undirected edge never are.

    >>> one = drawing_key(3, 2, [(0, 2), (2, 1)], ["x", "y"], [False, False])
    >>> one == drawing_key(3, 2, [(0, 2), (2, 1)], ["y", "x"], [False, False])
    True
    """
    return canonical_drawing(n_vertices, terminals, edges, labels, directed).key


def canonical_drawing(
    n_vertices: int,
    terminals: int,
    edges: Sequence[tuple[int, int]],
    labels: Sequence[Label],
    directed: Sequence[bool],
) -> Canonical:
    """The key of a circuit as `drawing_key` has it, and the orders of the edges that give it."""
    names = [(way, isinstance(label, str), label) for label, way in zip(labels, directed, strict=True)]
    if len(edges) != len(names):
        raise ValueError(f"{len(edges)} edges with {len(names)} labels cannot be; use one label an edge")
    order = sorted(range(len(edges)), key=names.__getitem__)
    virtual = [(terminals - 1, other) for other in range(terminals - 1)]
    signed = (1 << len(virtual)) - 1
    for place, edge in enumerate(order):
        signed |= int(directed[edge]) << (len(virtual) + place)
    classes = [list(same) for _, same in groupby(order, key=names.__getitem__)]
    by_ends: dict[tuple[tuple[int, int], ...], Form] = {}
    by_form: dict[Form, list[tuple[int, ...]]] = {}
    for arranged in _arrangements(classes):
        ends = tuple(edges[edge] for edge in arranged)
        if ends not in by_ends:
            by_ends[ends] = _form(n_vertices, [*virtual, *ends], signed)
        by_form.setdefault(by_ends[ends], []).append(arranged)
    least = min(by_form)
    key = repr((terminals, [names[edge] for edge in order], least)).encode()
    return Canonical(key, tuple(by_form[least]))


def matched(order: Sequence[int], other: Sequence[int]) -> tuple[int, ...]:
    """For every edge of a drawing the one of another at its place, under orders that give one key.

    With two orders of one drawing, a symmetry of its circuit.

    >>> matched((2, 0, 1), (1, 0, 2))
    (0, 2, 1)
    """
    return tuple(edge for _, edge in sorted(zip(order, other, strict=True)))


def _arrangements(classes: Iterable[Sequence[int]]) -> Iterator[tuple[int, ...]]:
    """The edges in class order, with each class in each order."""
    for choice in product(*map(permutations, classes)):
        yield tuple(edge for same in choice for edge in same)


def _form(n_vertices: int, columns: Sequence[tuple[int, int]], signed: int) -> Form:
    """Pivot columns, and the other columns' entries, of the reduced form with canonical signs."""
    rows, pivots = _reduced(n_vertices, columns)
    _settle_signs(rows, pivots, signed, (1 << len(columns)) - 1)
    others = ~sum(pivots)
    entries = tuple(mask & others for row in rows for mask in (row.plus, row.minus))
    return tuple(pivots), entries


def _reduced(n_vertices: int, columns: Sequence[tuple[int, int]]) -> tuple[list[_Row], list[int]]:
    """The nonzero rows of the reduced row echelon form of the incidence matrix, and each one's pivot bit."""
    spare = [_Row(0, 0) for _ in range(n_vertices)]
    for place, (tail, head) in enumerate(columns):
        spare[tail].plus ^= 1 << place
        spare[head].minus ^= 1 << place
    rows: list[_Row] = []
    pivots: list[int] = []
    for place in range(len(columns)):
        column = 1 << place
        pivot = next((row for row in spare if (row.plus | row.minus) & column), None)
        if pivot is None:
            continue
        spare.remove(pivot)
        if pivot.minus & column:
            pivot.negate()
        for row in (*rows, *spare):
            if (row.plus | row.minus) & column:
                row.clear(column, pivot)
        rows.append(pivot)
        pivots.append(column)
    return rows, pivots


def _settle_signs(rows: Sequence[_Row], pivots: Sequence[int], signed: int, every: int) -> None:
    """Choose the open signs, so that each entry that first reaches a row or column is 1.

    A row has the sign of its pivot edge. What is reached first depends on the nonzeros
    alone, so circuits that differ in open signs end with the same rows.
    """
    settled = signed & every & ~sum(pivots)
    waiting = [row for row, pivot in zip(rows, pivots, strict=True) if not pivot & signed]
    done = [row for row, pivot in zip(rows, pivots, strict=True) if pivot & signed]
    free = every & ~sum(pivots) & ~settled
    while waiting or free:
        row = next((row for row in waiting if (row.plus | row.minus) & settled), None)
        reached = next((mask for each in done if (mask := (each.plus | each.minus) & free)), 0)
        if row is not None:
            touching = (row.plus | row.minus) & settled
            if row.minus & touching & -touching:
                row.negate()
        elif reached:
            column = reached & -reached
            _make_plus(rows, column, done)
            settled |= column
            free &= ~column
            continue
        elif waiting:
            row = waiting[0]
        else:
            return
        waiting = [other for other in waiting if other is not row]
        done.append(row)


def _make_plus(rows: Sequence[_Row], column: int, done: Sequence[_Row]) -> None:
    """Negate a column if its entry in the first settled row that has one is -1."""
    first = next(row for row in done if (row.plus | row.minus) & column)
    if first.minus & column:
        for row in rows:
            flipped = (row.plus | row.minus) & column
            row.plus, row.minus = row.plus ^ flipped, row.minus ^ flipped
