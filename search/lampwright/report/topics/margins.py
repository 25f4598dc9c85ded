"""How much room each requirement has: a small plot of stops for every lamp and word asked.

One row for each lamp and each thing asked of it; one dot for each state in which it is
asked, at its worst corner. Zero is the edge of what was asked. No source: our layout.
"""

import math
from dataclasses import dataclass

from lampwright.report import si
from lampwright.report.topics.states import named
from lampwright.results.design import Design

LEAST_SCALE = 2
MOST_SCALE = 6
WIDE, HIGH, LEFT, RIGHT = 260.0, 26.0, 12.0, 14.0


@dataclass(frozen=True)
class MarginRow:
    """One requirement: the lamp, the word, its least margin and where; x of the dots and of the least."""

    lamp: str
    asked: str
    least: str
    state: str
    corner: str
    dots: tuple[float, ...]
    least_at: float
    beyond: bool
    missed: bool
    spoken: str


@dataclass(frozen=True)
class Tick:
    """A mark of the scale."""

    at: float
    name: str


@dataclass(frozen=True)
class MarginTable:
    """All requirements, the tightest first, on one scale of stops."""

    rows: tuple[MarginRow, ...]
    ticks: tuple[Tick, ...]
    zero: float


@dataclass(frozen=True)
class _Asked:
    lamp: str
    word: str
    margins: tuple[float, ...]
    states: tuple[str, ...]

    @property
    def least(self) -> float:
        return min(self.margins)

    @property
    def state(self) -> str:
        return self.states[self.margins.index(self.least)]


@dataclass(frozen=True)
class _Scale:
    low: float
    high: float

    def at(self, margin: float) -> float:
        """Where a margin is drawn; what is beyond the scale is at its end."""
        share = (min(max(margin, self.low), self.high) - self.low) / (self.high - self.low)
        return round(LEFT + share * (WIDE - LEFT - RIGHT), 1)


def margin_table(design: Design) -> MarginTable:
    """Gather the margins of a design, the tightest first."""
    asked = sorted(_asked(design), key=lambda one: one.least)
    scale = _scale(asked)
    ticks = range(math.ceil(scale.low), math.floor(scale.high) + 1)
    return MarginTable(
        tuple(_row(one, scale, design) for one in asked),
        tuple(Tick(scale.at(tick), f"{tick}") for tick in ticks),
        scale.at(0.0),
    )


def _asked(design: Design) -> list[_Asked]:
    found: dict[tuple[str, str], list[tuple[float, str]]] = {}
    for row in design.states:
        for reading in row.lamps:
            if reading.margin_stops is not None:
                found.setdefault((reading.lamp, reading.wanted), []).append(
                    (reading.margin_stops, named(row))
                )
    return [
        _Asked(lamp, word, tuple(margin for margin, _ in some), tuple(name for _, name in some))
        for (lamp, word), some in found.items()
    ]


def _scale(asked: list[_Asked]) -> _Scale:
    """From zero, or a whole stop below the worst miss, to a whole stop above what is of interest."""
    leasts = [one.least for one in asked]
    high = max((least for least in leasts if least < MOST_SCALE), default=LEAST_SCALE)
    low = min([0.0, *leasts])
    return _Scale(max(-10.0, math.floor(low)), max(LEAST_SCALE, math.floor(high) + 1))


def _row(one: _Asked, scale: _Scale, design: Design) -> MarginRow:
    tightest = design.tightest
    is_tightest = (one.lamp, one.state) == (tightest.lamp, tightest.state)
    least = si.stops(one.least)
    return MarginRow(
        lamp=one.lamp,
        asked=one.word,
        least=least,
        state=one.state,
        corner=tightest.corner if is_tightest else "",
        dots=tuple(sorted({scale.at(margin) for margin in one.margins})),
        least_at=scale.at(one.least),
        beyond=one.least > scale.high,
        missed=one.least < 0.0,
        spoken=f"{one.lamp} asked {one.word}: {least} at the least",
    )
