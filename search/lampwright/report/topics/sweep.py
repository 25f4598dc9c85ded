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
from lampwright.report.topics.states import UNASKED, named
from lampwright.results.design import Design
from lampwright.results.trials import LevelBand, Sweep, SweepLine

WIDE, HIGH = 320.0, 208.0
LEFT, RIGHT, TOP, BOTTOM = 40.0, 282.0, 8.0, 168.0
FLOOR, CEILING = 2.0**-10, 2.0
MARKS = (0.001, 0.01, 0.1, 1.0)
MOST_NAMES = 3
NAMES = ("low", "normal", "high")


@dataclass(frozen=True)
class Place:
    """A point of a chart."""

    x: float
    y: float


@dataclass(frozen=True)
class Field:
    """What is asked, between the low and the high supply: its outline, and its upper left corner."""

    path: str
    x: float
    y: float


@dataclass(frozen=True)
class Curve:
    """One line: the numbers of its states, its path, its points at the spec's supplies, what is asked."""

    states: str
    path: str
    corners: tuple[Place, ...]
    field: Field | None
    said: str


@dataclass(frozen=True)
class Chart:
    """One filament: its lines, and the numbers of the states in which it is dark at every supply."""

    lamp: str
    curves: tuple[Curve, ...]
    dark: str


@dataclass(frozen=True)
class Tick:
    """A mark of a scale, and what it says."""

    at: float
    said: str


@dataclass(frozen=True)
class Figures:
    """One line as figures: the lamp, what is asked, the states, and the light at every supply."""

    states: str
    lamp: str
    asked: str
    named: str
    cells: tuple[str, ...]


@dataclass(frozen=True)
class SweepView:
    """The charts of a design and their scales; the figures as a table."""

    charts: tuple[Chart, ...]
    light: tuple[Tick, ...]
    words: tuple[Tick, ...]
    edges: tuple[float, ...]
    supplies: tuple[Tick, ...]
    ends: tuple[Tick, ...]
    under: Tick
    heads: tuple[str, ...]
    rows: tuple[Figures, ...]


def sweep_view(design: Design) -> SweepView | None:
    """Draw the sweep of a design, if it was made."""
    sweep = design.sweep
    if sweep is None or not sweep.lines:
        return None
    scale = _Scale(sweep.supplies[0], sweep.supplies[-1], sweep.volts)
    numbers = {named(row): at for at, row in enumerate(design.states)}
    lamps = [reading.lamp for reading in design.states[0].lamps]
    return SweepView(
        charts=tuple(_chart(lamp, sweep, numbers, scale) for lamp in lamps),
        light=tuple(Tick(scale.y(mark), f"{100 * mark:g}{si.SPACE}%") for mark in MARKS),
        words=_words(sweep.levels, scale),
        edges=tuple(sorted({scale.y(edge) for band in sweep.levels for edge in _inner(band)})),
        supplies=tuple(Tick(scale.x(volt), name) for volt, name in zip(scale.volts, NAMES, strict=True)),
        ends=(Tick(LEFT, si.volts(sweep.supplies[0])), Tick(RIGHT, si.volts(sweep.supplies[-1]))),
        under=Tick(min(max(scale.x(scale.volts[1]), 150.0), 176.0), _under(scale.volts)),
        heads=tuple(si.volts(volt) for volt in sweep.supplies),
        rows=tuple(_figures(line, numbers) for line in sweep.lines),
    )


@dataclass(frozen=True)
class _Scale:
    """Where volts and light stand; volts: the spec's three."""

    least: float
    most: float
    volts: tuple[float, ...]

    def x(self, volts: float) -> float:
        share = (volts - self.least) / (self.most - self.least)
        return round(LEFT + share * (RIGHT - LEFT), 1)

    def y(self, flux: float) -> float:
        """What is beyond the scale stands at its end."""
        stops = math.log2(min(max(flux, FLOOR), CEILING))
        share = (stops - math.log2(FLOOR)) / (math.log2(CEILING) - math.log2(FLOOR))
        return round(BOTTOM - share * (BOTTOM - TOP), 1)


def _chart(lamp: str, sweep: Sweep, numbers: dict[str, int], scale: _Scale) -> Chart:
    own = [line for line in sweep.lines if line.lamp == lamp]
    told = {name for line in own for name in line.states}
    dark = [str(at) for name, at in numbers.items() if name not in told]
    return Chart(lamp, tuple(_curve(line, sweep, numbers, scale) for line in own), " ".join(dark))


def _curve(line: SweepLine, sweep: Sweep, numbers: dict[str, int], scale: _Scale) -> Curve:
    places = [
        Place(scale.x(volt), scale.y(flux)) for volt, flux in zip(sweep.supplies, line.flux, strict=True)
    ]
    at = [
        min(range(len(sweep.supplies)), key=lambda n: abs(sweep.supplies[n] - volt)) for volt in scale.volts
    ]
    return Curve(
        _numbers(line, numbers),
        _path(places),
        tuple(places[n] for n in at),
        _field(line, sweep.supplies, at, scale),
        _said(line, sweep.supplies, [line.flux[n] for n in at], scale.volts),
    )


def _numbers(line: SweepLine, numbers: dict[str, int]) -> str:
    return " ".join(str(numbers[name]) for name in line.states)


def _path(places: Sequence[Place]) -> str:
    return "M" + " L".join(f"{place.x:g} {place.y:g}" for place in places)


def _field(line: SweepLine, supplies: Sequence[float], at: Sequence[int], scale: _Scale) -> Field | None:
    """What is asked of a line; at: where the spec's three supplies stand among those of the sweep."""
    if line.wanted == UNASKED:
        return None
    low, high = at[0], at[-1]
    asked = range(low, high + 1) if line.low_fluxes and low < high else (low, high)
    lows = line.low_fluxes or (line.low_flux or FLOOR,) * len(supplies)
    lower = [Place(scale.x(supplies[n]), scale.y(lows[n])) for n in asked]
    # supplies that are one still leave something to see
    left, right = lower[0].x, max(lower[-1].x, round(lower[0].x + 2.0, 1))
    top = scale.y(CEILING if line.high_flux is None else line.high_flux)
    outline = [Place(left, top), Place(right, top), Place(right, lower[-1].y), *lower[-2::-1]]
    return Field(f"{_path(outline)} Z", left, top)


def _said(line: SweepLine, supplies: Sequence[float], at: Sequence[float], volts: Sequence[float]) -> str:
    """Say what is asked, the light at the three supplies, and over which supplies it is kept."""
    asked = "nothing asked" if line.wanted == UNASKED else f"asked {line.wanted}, {_kept(line, supplies)}"
    if max(line.flux) < 0.001:
        return f"{asked}. Less than {si.percent(0.001)} of rated light throughout."
    light = ", ".join(f"{si.percent(flux)} at {si.volts(volt)}" for flux, volt in zip(at, volts, strict=True))
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


def _words(levels: Sequence[LevelBand], scale: _Scale) -> tuple[Tick, ...]:
    """Where each word stands: in the middle of its band, or of what a brighter word leaves of it."""
    found = []
    for at, band in enumerate(levels):
        high = CEILING if band.high_flux is None else band.high_flux
        brighter = [other.low_flux for other in levels[at + 1 :] if band.low_flux < other.low_flux < high]
        middle = (scale.y(min([high, *brighter])) + scale.y(band.low_flux)) / 2.0
        found.append(Tick(round(middle, 1), band.word))
    return tuple(found)


def _under(volts: Sequence[float]) -> str:
    said = ", ".join(f"{name} {volt:g}" for name, volt in zip(NAMES, volts, strict=True))
    return f"{said}{si.SPACE}V"


def _figures(line: SweepLine, numbers: dict[str, int]) -> Figures:
    shown = "; ".join(line.states[:MOST_NAMES])
    more = len(line.states) - MOST_NAMES
    return Figures(
        _numbers(line, numbers),
        line.lamp,
        "nothing" if line.wanted == UNASKED else line.wanted,
        f"{shown}; and {more} more" if more > 0 else shown,
        tuple(si.percent(flux) for flux in line.flux),
    )
