"""What every plot of the page has: axes, and marks on them. No source: our layout."""

import math
from collections.abc import Iterable

from msgspec import Struct


class Tick(Struct, frozen=True):
    """A mark of a scale, and what it says."""

    at: float
    said: str


class Axis(Struct, frozen=True):
    """From numbers to places: `low` is drawn at `start`, `high` at `end`; even in doublings, or as it is.

    >>> Axis(0.0, 10.0, 40.0, 140.0).at(2.5), Axis(0.25, 4.0, 100.0, 0.0, doublings=True).at(2.0)
    (65.0, 25.0)
    """

    low: float
    high: float
    start: float
    end: float
    doublings: bool = False

    def at(self, value: float) -> float:
        """Where a number is drawn, to a tenth of a pixel; what is beyond the scale is at its end."""
        ends = self.low, self.high, min(max(value, self.low), self.high)
        low, high, kept = (math.log2(one) for one in ends) if self.doublings else ends
        return round(self.start + (kept - low) / (high - low) * (self.end - self.start), 1)

    def ticks(self, marks: Iterable[float], written: str) -> tuple[Tick, ...]:
        """Marks at these numbers; written: the format of a number, in brackets."""
        return tuple(Tick(self.at(mark), written.format(mark)) for mark in marks)


def line_path(places: Iterable[tuple[float, float]]) -> str:
    """Write a line through these places."""
    return "M" + " L".join(f"{x:g} {y:g}" for x, y in places)
