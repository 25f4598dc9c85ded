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

from math import inf, isfinite

import numpy as np

from lampwright.parts.filament import Filament, flux_across, relative_flux_at, volts_at, volts_giving
from lampwright.solve.laws import Floats, Models, filament_stops
from lampwright.spec.model import AskedBand, Band

NOTHING = AskedBand()
"""What is asked where nothing is."""


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


def band_edges(band: AskedBand, filament: Filament, model: int, models: Models, volts: Floats) -> Floats:
    """Low stops, low volts, high stops, high volts of a band at each supply [V]: (4, supplies).

    Where nothing is asked, -inf and inf stops, 0 and inf volts.
    """
    high = np.broadcast_to(_high(band, filament, model, models)[:, None], (2, len(volts)))
    return np.concatenate([_low(band, filament, model, models, volts), high])


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
