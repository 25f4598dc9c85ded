"""The edges of what a state asks, worked out for each filament model and each supply.

What is asked may hang on the lamp and on the supply: `full` is a share of what the same lamp
gives straight across the supply, or of its rated light where that is less, and `dark` is a
temperature, which every model reaches at a light of its own. Either way it comes down to a
least and a most relative flux, and so to volts, since flux rises with voltage.

Worked case: at 11.8 V a 13.5 V lamp straight across gives some 0.62 of its rated light; full
is then 0.60 of that, 0.37, and the lamp has log2(1 / 0.60) = 0.74 stops in hand. At 14.4 V,
where it gives more than rated, full is 0.60.

Light at the edges is read from the same tables as the light that is held against them, so that
a lamp straight across the supply has just what its share leaves, to the last digit.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, isfinite

import numpy as np

from lampwright.parts.filament import Filament, flux_across, relative_flux_at, volts_at, volts_giving
from lampwright.solve.laws import Floats, Models, filament_stops
from lampwright.spec.model import AskedBand, Band
from lampwright.spec.states import State

NOTHING = AskedBand()
"""What is asked where nothing is."""


@dataclass(frozen=True)
class Edges:
    """Least and most light, (supplies, states, filaments, models): stops of relative flux, and volts.

    Where nothing is asked, -inf and inf stops, 0 and inf volts.
    """

    low_stops: Floats
    high_stops: Floats
    low_volts: Floats
    high_volts: Floats


def full_light(filament: Filament, volts: Floats) -> Floats:
    """What full is a share of, relative flux [1] at these supplies [V], any shape: rated light at most."""
    across = flux_across(filament, tuple(np.ravel(volts).tolist()))
    return np.minimum(1.0, across.reshape(np.shape(volts)))


def flux_band(asked: AskedBand, filament: Filament, volts: float) -> Band:
    """What is asked of one filament at one supply [V], as relative flux."""
    low, high = asked.low, asked.high
    if asked.of_full > 0.0:
        low = max(low, asked.of_full * float(full_light(filament, np.array(volts))))
    if isfinite(asked.kelvin):
        high = min(high, float(relative_flux_at(filament, asked.kelvin)))
    return Band(low, high)


@dataclass(frozen=True)
class FluxEdges:
    """Least and most relative flux of one filament, (asked, types, supplies)."""

    low: Floats
    high: Floats


def flux_edges(asked: Sequence[AskedBand | None], types: Sequence[Filament], volts: Floats) -> FluxEdges:
    """What is asked of a filament of each of these types at each of these supplies [V], (supplies,)."""
    bands = tuple(dict.fromkeys(band or NOTHING for band in asked))
    which = [bands.index(band or NOTHING) for band in asked]
    found = [[[flux_band(band, one, float(v)) for v in volts] for one in types] for band in bands]
    low, high = (
        np.array([[[getattr(each, edge) for each in row] for row in rows] for rows in found])[which]
        for edge in ("low", "high")
    )
    return FluxEdges(low, high)


def edges_of(states: Sequence[State], filaments: Sequence[Filament], models: Models, volts: Floats) -> Edges:
    """The edges of what these states ask, for these models, at these supplies (supplies,) [V]."""
    asked = [[band or NOTHING for band in state.bands] for state in states]
    bands = tuple(dict.fromkeys(band for row in asked for band in row))
    which = np.array([[bands.index(band) for band in row] for row in asked], np.int64)
    which = which.reshape(len(states), -1)
    found = np.empty((4, len(volts), len(bands), len(filaments)))
    for model, filament in enumerate(filaments):
        for at, band in enumerate(bands):
            found[:2, :, at, model] = _low(band, filament, model, models, volts)
            found[2:, :, at, model] = _high(band, filament, model, models)[:, None]
    low_stops, low_volts, high_stops, high_volts = (np.take(table, which, axis=1) for table in found)
    return Edges(low_stops, high_stops, low_volts, high_volts)


def _low(band: AskedBand, filament: Filament, model: int, models: Models, volts: Floats) -> Floats:
    """Stops and volts of a low edge, (2, supplies)."""
    with np.errstate(divide="ignore"):
        stops = np.full(len(volts), np.log2(band.low))
        flux = np.full(len(volts), band.low)
        if band.of_full > 0.0:
            across = np.array([filament_stops(each, model, models.table, models.stops) for each in volts])
            stops = np.maximum(stops, np.log2(band.of_full) + np.minimum(0.0, across))
            flux = np.maximum(flux, band.of_full * full_light(filament, volts))
    return np.stack([stops, volts_giving(filament, tuple(flux.tolist()))])


def _high(band: AskedBand, filament: Filament, model: int, models: Models) -> Floats:
    """Stops and volts of a high edge, (2,)."""
    stops, volts = inf, inf
    if isfinite(band.high):
        stops, volts = float(np.log2(band.high)), float(volts_giving(filament, (band.high,))[0])
    if isfinite(band.kelvin):
        most = float(volts_at(filament, band.kelvin))
        stops = min(stops, filament_stops(most, model, models.table, models.stops))
        volts = min(volts, most)
    return np.array([stops, volts])
