"""Curves through tabulated points: piecewise polynomials, as smooth as a cubic spline.

How does a table become a law with a slope? Between two knots stands one cubic; at each knot it meets
the next with the same slope and curvature. The slopes s at the knots follow from one tridiagonal
system, a row for every inner knot, with h the widths and d the rises per width beside it:

    h2 s1 + 2 (h1 + h2) s2 + h1 s3 = 3 (h2 d1 + h1 d2)

and a row for each end: no curvature there (natural), or the same cubic on both sides of the next
knot (not a knot). numpy alone, since scipy's splines, the twin in the tests, cost half a second to import.

Source: de Boor, A Practical Guide to Splines, 1978, chapter IV (MEMORY).
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lampwright.parts.roots import Tangent
from lampwright.parts.tables import Floats


@dataclass(frozen=True, eq=False)
class Piecewise:
    """Polynomials on n cells: knots (n + 1,), rising; terms (degree + 1, n), highest power first.

    Cell k holds the sum of terms (x - knots[k])^power; the outermost ones run on. Units are the caller's.
    """

    knots: Floats
    terms: Floats

    def __call__(self, x: ArrayLike) -> Floats:
        """The value at x, any shape; units as x and the points have them."""
        at = np.asarray(x, dtype=np.float64)
        cell = self.knots[1:-1].searchsorted(at, "right")
        return self._sum(cell, at - self.knots[cell])

    def tangent(self, x: ArrayLike) -> Tangent:
        """The value and the slope at x, any shape; units as x and the points have them."""
        at = np.asarray(x, dtype=np.float64)
        cell = self.knots[1:-1].searchsorted(at, "right")
        over = at - self.knots[cell]
        return Tangent(self._sum(cell, over), self.slope._sum(cell, over))

    def _sum(self, cell: NDArray[np.intp], over: Floats) -> Floats:
        """The polynomials of these cells, so far over their first knots."""
        terms = self._by_cell[cell]
        value: Floats = terms[..., 0]
        for power in range(1, terms.shape[-1]):
            value = value * over + terms[..., power]
        return value

    @cached_property
    def _by_cell(self) -> Floats:
        """The terms, cell by cell, so that those of one lie together in memory."""
        return np.ascontiguousarray(self.terms.T)

    @cached_property
    def slope(self) -> "Piecewise":
        """The derivative, cell by cell, in the points' units per unit of x."""
        powers = np.arange(len(self.terms) - 1, 0, -1.0)
        return Piecewise(self.knots, self.terms[:-1] * powers[:, None])

    def integral(self) -> "Piecewise":
        """The integral from the first knot, in the points' units times those of x."""
        powers = np.arange(len(self.terms), 0, -1.0)
        terms = np.vstack([self.terms / powers[:, None], np.zeros(self.terms.shape[1])])
        width, whole = np.diff(self.knots), np.zeros(self.terms.shape[1])
        for term in terms:
            whole = whole * width + term
        terms[-1, 1:] = np.cumsum(whole)[:-1]
        return Piecewise(self.knots, terms)

    def straight_beyond(self, low: float, high: float) -> "Piecewise":
        """The same, going on straight at both ends, to low and high and on; units as x."""
        first, last = self.knots[0], self.knots[-1]
        steep = float(self.slope(first)), float(self.slope(last))
        flat = np.zeros(len(self.terms) - 2)
        before = [*flat, steep[0], float(self(first)) + steep[0] * (low - first)]
        after = [*flat, steep[1], float(self(last))]
        terms = np.column_stack([before, self.terms, after])
        return Piecewise(np.concatenate([[low], self.knots, [high]]), terms)


def natural_spline(x: Floats, y: Floats) -> Piecewise:
    """The cubic spline through n points without curvature at its ends; x (n,), rising, y (n,); any units."""
    h, d = np.diff(x), np.diff(y) / np.diff(x)
    ends = (2.0 * h[0], h[0], 3.0 * h[0] * d[0]), (h[-1], 2.0 * h[-1], 3.0 * h[-1] * d[-1])
    return _spline(x, y, *ends)


def spline(x: Floats, y: Floats) -> Piecewise:
    """The cubic spline through n >= 4 points, one cubic on the two cells at each end; units as given.

    x (n,), rising, y (n,).
    """
    h, d = np.diff(x), np.diff(y) / np.diff(x)
    two, last = h[0] + h[1], h[-2] + h[-1]
    first_side = ((h[0] + 2.0 * two) * h[1] * d[0] + h[0] ** 2 * d[1]) / two
    last_side = (h[-1] ** 2 * d[-2] + (2.0 * last + h[-1]) * h[-2] * d[-1]) / last
    return _spline(x, y, (h[1], two, first_side), (last, h[-2], last_side))


def _spline(x: Floats, y: Floats, first: tuple[float, ...], last: tuple[float, ...]) -> Piecewise:
    """The spline whose end rows are these: two factors, on the last two slopes, and the right side."""
    h, d = np.diff(x), np.diff(y) / np.diff(x)
    lower = np.concatenate([h[1:], last[:1]])
    middle = np.concatenate([first[:1], 2.0 * (h[:-1] + h[1:]), last[1:2]])
    upper = np.concatenate([first[1:2], h[:-1]])
    side = np.concatenate([first[2:], 3.0 * (h[1:] * d[:-1] + h[:-1] * d[1:]), last[2:]])
    s = _tridiagonal(lower.tolist(), middle.tolist(), upper.tolist(), side.tolist())
    bend = (s[:-1] + s[1:] - 2.0 * d) / h
    return Piecewise(x, np.stack([bend / h, (d - s[:-1]) / h - bend, s[:-1], y[:-1]]))


def _tridiagonal(lower: list[float], middle: list[float], upper: list[float], side: list[float]) -> Floats:
    """Solve a tridiagonal system by elimination; splines need no pivots. Scalars are quick in lists."""
    for k, below in enumerate(lower):
        factor = below / middle[k]
        middle[k + 1] -= factor * upper[k]
        side[k + 1] -= factor * side[k]
    side[-1] /= middle[-1]
    for k in range(len(upper) - 1, -1, -1):
        side[k] = (side[k] - upper[k] * side[k + 1]) / middle[k]
    return np.array(side)
