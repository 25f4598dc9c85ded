"""Light against the supply: a small chart for every filament, with a line for each group of states.

The light stands on a scale of doublings, from a thousandth of rated light to twice of it; the
spec's words for a lamp stand beside it. What is asked is a field between the low and the high
supply: a line through it from side to side keeps the spec with nominal parts. Its lower edge
rises with the supply where what is asked does, as for `full`. The page's script shows the lines
of the present state; every line is told in a sentence too.

No source: our layout.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from lampwright.report import si
from lampwright.report.chart import Axis, Tick, line_path
from lampwright.report.topics.states import UNASKED
from lampwright.results.design import Design
from lampwright.results.trials import LevelBand, Sweep, SweepLine

LEFT, RIGHT, TOP, BOTTOM = 40.0, 282.0, 8.0, 168.0
FLOOR, CEILING = 2.0**-10, 2.0
LIGHT = Axis(FLOOR, CEILING, BOTTOM, TOP, doublings=True)
MARKS = (0.001, 0.01, 0.1, 1.0)
MOST_NAMES = 3
NAMES = ("low", "normal", "high")


@dataclass(frozen=True)
class Curve:
    """One line: the numbers of its states, its path, its places at the spec's supplies, what is asked.

    field: the outline of what is asked between the low and the high supply; corner: its upper left one.
    `said` goes on where `asked`, "asked" or "nothing", ends.
    """

    states: str
    path: str
    places: tuple[tuple[float, float], ...]
    field: str
    corner: tuple[float, float]
    asked: str
    said: str


class SweepChart:
    """The charts of a design, one for each filament, and their scales."""

    def __init__(self, design: Design, sweep: Sweep) -> None:
        """Take a design whose sweep was made, and the sweep."""
        self.sweep = sweep
        self.lamps = [reading.lamp for reading in design.states[0].lamps]
        self.volts = Axis(sweep.supplies[0], sweep.supplies[-1], LEFT, RIGHT)
        self._numbers = {row.full_name: at for at, row in enumerate(design.states)}

    def curves(self, lamp: str) -> tuple[Curve, ...]:
        """The lines of one filament."""
        return tuple(self._curve(line) for line in self.sweep.lines if line.lamp == lamp)

    def dark(self, lamp: str) -> str:
        """The numbers of the states in which a filament is dark at every supply."""
        told = {name for line in self.sweep.lines if line.lamp == lamp for name in line.states}
        return " ".join(str(at) for name, at in self._numbers.items() if name not in told)

    def numbers(self, line: SweepLine) -> str:
        """The numbers of the states of a line."""
        return " ".join(str(self._numbers[name]) for name in line.states)

    def light_ticks(self) -> tuple[Tick, ...]:
        """The scale of light."""
        return tuple(Tick(LIGHT.at(mark), f"{100 * mark:g}{si.SPACE}%") for mark in MARKS)

    def word_ticks(self) -> tuple[Tick, ...]:
        """Where each word stands: in the middle of its band, or of what a brighter word leaves of it."""
        found = []
        for at, band in enumerate(self.sweep.levels):
            high = CEILING if band.high_flux is None else band.high_flux
            lows = [other.low_flux for other in self.sweep.levels[at + 1 :]]
            brighter = [low for low in lows if band.low_flux < low < high]
            middle = (LIGHT.at(min([high, *brighter])) + LIGHT.at(band.low_flux)) / 2.0
            found.append(Tick(round(middle, 1), band.word))
        return tuple(found)

    def edges(self) -> tuple[float, ...]:
        """Where the bands of the words end."""
        return tuple(sorted({LIGHT.at(edge) for band in self.sweep.levels for edge in _inner(band)}))

    def supply_ticks(self) -> tuple[Tick, ...]:
        """The spec's three supplies."""
        named_volts = zip(self.sweep.volts, NAMES, strict=True)
        return tuple(Tick(self.volts.at(volt), name) for volt, name in named_volts)

    def end_ticks(self) -> tuple[Tick, ...]:
        """The least and the greatest supply drawn."""
        ends = (LEFT, self.sweep.supplies[0]), (RIGHT, self.sweep.supplies[-1])
        return tuple(Tick(at, si.volts(volt)) for at, volt in ends)

    def under(self) -> Tick:
        """The spec's three supplies in words, below the chart."""
        said = ", ".join(f"{name} {volt:g}" for name, volt in zip(NAMES, self.sweep.volts, strict=True))
        middle = min(max(self.volts.at(self.sweep.volts[1]), 150.0), 176.0)
        return Tick(middle, f"{said}{si.SPACE}V")

    def _curve(self, line: SweepLine) -> Curve:
        supplies = self.sweep.supplies
        lit = zip(supplies, line.flux, strict=True)
        places = [(self.volts.at(volt), LIGHT.at(flux)) for volt, flux in lit]
        at = [min(range(len(supplies)), key=lambda n: abs(supplies[n] - volt)) for volt in self.sweep.volts]
        outline = self._field(line, at)
        return Curve(
            states=self.numbers(line),
            path=line_path(places),
            places=tuple(places[n] for n in at),
            field=f"{line_path(outline)} Z" if outline else "",
            corner=outline[0] if outline else (0.0, 0.0),
            asked="nothing" if line.wanted == UNASKED else "asked",
            said=_said(line, self.sweep, [line.flux[n] for n in at]),
        )

    def _field(self, line: SweepLine, at: Sequence[int]) -> list[tuple[float, float]]:
        """What is asked of a line; at: where the spec's three supplies stand among those of the sweep."""
        if line.wanted == UNASKED:
            return []
        low, high = at[0], at[-1]
        asked = range(low, high + 1) if line.low_fluxes and low < high else (low, high)
        lows = line.low_fluxes or (line.low_flux or FLOOR,) * len(self.sweep.supplies)
        lower = [(self.volts.at(self.sweep.supplies[n]), LIGHT.at(lows[n])) for n in asked]
        # supplies that are one still leave something to see
        left, right = lower[0][0], max(lower[-1][0], round(lower[0][0] + 2.0, 1))
        top = LIGHT.at(CEILING if line.high_flux is None else line.high_flux)
        return [(left, top), (right, top), (right, lower[-1][1]), *lower[-2::-1]]


def sweep_chart(design: Design) -> SweepChart | None:
    """The sweep of a design, if it was made."""
    return SweepChart(design, design.sweep) if design.sweep is not None and design.sweep.lines else None


def asked_word(line: SweepLine) -> str:
    """What is asked of a line."""
    return "nothing" if line.wanted == UNASKED else line.wanted


def first_states(line: SweepLine) -> str:
    """The first few states of a line by name, and how many more there are."""
    shown = "; ".join(line.states[:MOST_NAMES])
    more = len(line.states) - MOST_NAMES
    return f"{shown}; and {more} more" if more > 0 else shown


def _said(line: SweepLine, sweep: Sweep, at: Sequence[float]) -> str:
    """Say what is asked, the light at the three supplies, and over which supplies it is kept."""
    asked = "asked" if line.wanted == UNASKED else f"{line.wanted}, {_kept(line, sweep.supplies)}"
    if max(line.flux) < 0.001:
        return f"{asked}. Less than {si.percent(0.001)} of rated light throughout."
    lit = zip(at, sweep.volts, strict=True)
    light = ", ".join(f"{si.percent(flux)} at {si.volts(volt)}" for flux, volt in lit)
    return f"{asked}. {light}."


def _kept(line: SweepLine, supplies: Sequence[float]) -> str:
    """Say over which supplies a line keeps to its band; edges are read between two supplies of the sweep."""
    lows = line.low_fluxes or (line.low_flux or 0.0,) * len(supplies)
    high = math.inf if line.high_flux is None else line.high_flux
    inside = [low <= flux <= high for low, flux in zip(lows, line.flux, strict=True)]
    if all(inside):
        return "kept at every supply drawn"
    if not any(inside):
        return "missed at every supply drawn"
    edges = [at for at in range(1, len(inside)) if inside[at] != inside[at - 1]]
    if len(edges) > 2 or (len(edges) == 2 and inside[0]):
        return f"kept at {sum(inside)} of {len(inside)} supplies drawn"
    found = [si.volts(_edge(line.flux, supplies, at, lows, high)) for at in edges]
    if len(found) == 2:
        return f"kept from about {found[0]} to {found[1]}"
    return f"kept up to about {found[0]}" if inside[0] else f"kept from about {found[0]} up"


def _edge(
    flux: Sequence[float], supplies: Sequence[float], at: int, lows: Sequence[float], high: float
) -> float:
    """The supply between two where the light crosses the edge of the band, straight in stops."""
    pair = slice(at - 1, at + 1)
    for bounds in (lows[pair], (high, high)):
        if min(bounds) > 0.0 and max(bounds) < math.inf:
            one, two = (
                math.log2(max(value, 1e-12) / bound) for value, bound in zip(flux[pair], bounds, strict=True)
            )
            if min(one, two) <= 0.0 <= max(one, two) and one != two:
                break
    return supplies[at - 1] + one / (one - two) * (supplies[at] - supplies[at - 1])


def _inner(band: LevelBand) -> tuple[float, ...]:
    """The edges of a band that lie within the scale."""
    return tuple(edge for edge in (band.low_flux, band.high_flux) if edge and FLOOR < edge < CEILING)
