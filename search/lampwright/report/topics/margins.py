"""How much room each requirement has: a small plot of stops for every lamp and word asked.

One row for each lamp and each thing asked of it; one dot for each state in which it is
asked, at its worst corner. Zero is the edge of what was asked. No source: our layout.
"""

import math
from collections.abc import Sequence

from msgspec import Struct

from lampwright.report.chart import Axis, Tick
from lampwright.results.design import Design

LEAST_SCALE = 2
MOST_SCALE = 6
LEFT, RIGHT = 12.0, 246.0


class Asked(Struct, frozen=True):
    """One thing asked of a lamp: its margins [stops] in all states, the least, and where that is."""

    lamp: str
    word: str
    margins: tuple[float, ...]
    least: float
    state: str


def asked_of(design: Design) -> tuple[Asked, ...]:
    """Gather the margins of a design, the tightest first."""
    found: dict[tuple[str, str], dict[str, float]] = {}
    for state in design.states:
        for reading in state.lamps:
            if reading.margin_stops is not None:
                own = found.setdefault((reading.lamp, reading.wanted), {})
                own[state.full_name] = reading.margin_stops
    rows = []
    for (lamp, word), own in found.items():
        tightest = min(own, key=lambda state: own[state])
        rows.append(Asked(lamp, word, tuple(own.values()), own[tightest], tightest))
    return tuple(sorted(rows, key=lambda one: one.least))


def scale_of(asked: Sequence[Asked]) -> Axis:
    """From zero, or a whole stop below the worst miss, to a whole stop above what is of interest."""
    leasts = [one.least for one in asked]
    high = max((least for least in leasts if least < MOST_SCALE), default=LEAST_SCALE)
    low = min([0.0, *leasts])
    return Axis(max(-10.0, math.floor(low)), max(LEAST_SCALE, math.floor(high) + 1), LEFT, RIGHT)


def ticks(scale: Axis) -> tuple[Tick, ...]:
    """A mark at every whole stop."""
    return scale.ticks(range(math.ceil(scale.low), math.floor(scale.high) + 1), "{}")


def dots(asked: Asked, scale: Axis) -> list[float]:
    """Where the margins of all states are drawn, each place once."""
    return sorted({scale.at(margin) for margin in asked.margins})
