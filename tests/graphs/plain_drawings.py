"""The drawing key in plain Python: a reduced form for every order of the edges, the least kept.

The twin of `lampwright.graphs.drawings`, whose header tells the method.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, permutations, product

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


def plain_form(
    n_vertices: int,
    terminals: int,
    edges: Sequence[tuple[int, int]],
    labels: Sequence[str],
    directed: Sequence[bool],
) -> tuple[Form, tuple[tuple[int, ...], ...]]:
    """The least form of a circuit, and the orders of its edges that give it."""
    names = list(zip(directed, labels, strict=True))
    order = sorted(range(len(edges)), key=names.__getitem__)
    virtual = [(terminals - 1, other) for other in range(terminals - 1)]
    signed = (1 << len(virtual)) - 1
    for place, edge in enumerate(order):
        signed |= int(directed[edge]) << (len(virtual) + place)
    classes = [list(same) for _, same in groupby(order, key=names.__getitem__)]
    by_form: dict[Form, list[tuple[int, ...]]] = {}
    for arranged in _arrangements(classes):
        form = _form(n_vertices, [*virtual, *(edges[edge] for edge in arranged)], signed)
        by_form.setdefault(form, []).append(arranged)
    least = min(by_form)
    return least, tuple(by_form[least])


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
        if tail != head:
            spare[tail].plus |= 1 << place
            spare[head].minus |= 1 << place
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
