"""Every distinct circuit of a cell, once: drawings of one circuit and renamings of the feeds put together.

`graphs.listing` gives every drawing once, up to renaming of joints, with lamps not told apart. Two drawings
are one circuit if `graphs.drawings` gives them one key, with the feeds renamed or not; the first that is met
stands for all of them. How many drawings each stands for is kept, so that their sum can be held against
`graphs.orbits`, which counts without listing.

A circuit that is carried onto itself by moving its lamps has fits that are the same: of these the least is
kept. Worked case: two lamps in series between two terminals, two types: three fits of four.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from lampwright.atlas.bound import AtlasBound, Size, feed_renamings
from lampwright.graphs.cell import Cell
from lampwright.graphs.drawings import canonical_drawing, matched
from lampwright.graphs.listing import endpoints, list_blocks, open_listing
from lampwright.graphs.orbits import count_orbits
from lampwright.solve.laws import Ints

AT_ONCE = 4096
"""Drawings that are listed before `check_cancelled` has a word."""

Symmetries = tuple[tuple[int, ...], ...]


@dataclass(frozen=True, eq=False)
class Circuits:
    """The distinct circuits of one cell.

    ends: (circuits, parts, 2) vertices, lamps first. drawings: (circuits,) how many each stands for, feeds
    renamed or not. symmetries: per circuit, every way to move its lamps that leaves it as it is.
    """

    cell: Cell
    ends: NDArray[np.int8]
    drawings: Ints
    symmetries: tuple[Symmetries, ...]


def go_on() -> None:
    """It is never time to stop."""


def distinct_circuits(
    bound: AtlasBound, size: Size, check_cancelled: Callable[[], None] = go_on
) -> Iterator[Circuits]:
    """The distinct circuits of a size, cell by cell, fewest joints first.

    Whatever `check_cancelled` raises ends it.
    """
    for cell in bound.cells(size):
        seen: dict[bytes, int] = {}
        ends: list[NDArray[np.int8]] = []
        drawings: list[int] = []
        symmetries: list[Symmetries] = []
        for block in list_blocks(cell, size=AT_ONCE):
            check_cancelled()
            for drawing in endpoints(open_listing(cell), block.options):
                key, moves = _recognise(bound, size, cell, drawing)
                at = seen.setdefault(key, len(ends))
                if at == len(ends):
                    ends.append(drawing)
                    drawings.append(0)
                    symmetries.append(moves)
                drawings[at] += 1
        stacked = np.array(ends, np.int8).reshape(-1, size.parts, 2)
        yield Circuits(cell, stacked, np.array(drawings, np.int64), tuple(symmetries))


def _recognise(bound: AtlasBound, size: Size, cell: Cell, ends: NDArray[np.int8]) -> tuple[bytes, Symmetries]:
    """The key of a drawing, the same for all that are one circuit with it; and how its lamps may move."""
    labels = ["lamp"] * size.lamps + ["diode"] * size.diodes
    directed = [label == "diode" for label in labels]
    rest = range(bound.feeds, cell.vertices)
    forms = [
        canonical_drawing(cell.vertices, cell.terminals, np.array([*feeds, *rest])[ends], labels, directed)
        for feeds in feed_renamings(bound.feeds)
    ]
    orders = forms[0].orders
    moves = {matched(orders[0], order)[: size.lamps] for order in orders}
    return min(form.key for form in forms), tuple(sorted(moves))


def every_fit(bound: AtlasBound, size: Size) -> Ints:
    """Every choice of types for the lamps of a size, (fits, lamps) numbers of types, in rising order."""
    return np.array(list(product(range(len(bound.types)), repeat=size.lamps)), np.int64)


def least_fits(circuits: Circuits, fits: Ints) -> NDArray[np.bool_]:
    """Which fits of each circuit are the least of all that moving its lamps makes of them.

    fits: (fits, lamps); the answer is (circuits, fits).
    """
    weights = (int(fits.max(initial=0)) + 1) ** np.arange(fits.shape[1])[::-1]
    codes = fits @ weights
    known: dict[Symmetries, NDArray[np.bool_]] = {}
    for moves in circuits.symmetries:
        if moves not in known:
            known[moves] = np.all([codes <= fits[:, list(move)] @ weights for move in moves], axis=0)
    return np.array([known[moves] for moves in circuits.symmetries], np.bool_).reshape(-1, len(fits))


def count_drawings(bound: AtlasBound, size: Size) -> int:
    """How many drawings a size has, lamps not told apart, counted without listing them."""
    return sum(count_orbits(cell) for cell in bound.cells(size))
