"""How long and how easily a design's parts work: heat of resistors and diodes, life of lamps.

A resistor should carry half of its rating at most, so twice its worst heat decides the
wattage to buy. A diode's heat is its worst current times its forward drop there, that of
the weakest diode its data sheet lets pass; beside it stands what the sheet itself allows:
the average current at the greatest drop. A lamp's life goes as a high power of its volts.

Source: derating common practice; life exponents IES-HB, as `parts.filament` has them.
"""

from dataclasses import dataclass
from math import log

from lampwright.parts.diode import DiodeType, diode_volts, thermal_volts
from lampwright.parts.filament import Filament, relative_life
from lampwright.parts.series import stock_wattages
from lampwright.parts.tables import constant

LIFE_RANGE = (0.8, 1.2)
"""Volts relative to the test voltage within which the handbook's exponent holds."""


@dataclass(frozen=True)
class Heat:
    """Heat of a diode at its worst [W], and what its data sheet allows [W]; drop: forward volts [V]."""

    drop: float
    watts: float
    limit: float


@dataclass(frozen=True)
class Life:
    """Life of a filament at some volts: relative to rated, in hours where rated, whether in range."""

    relative: float
    hours: float | None
    in_range: bool


def advised_watts(heat: float) -> float | None:
    """The least stock wattage [W] of which this heat [W] is half at most; None beyond the largest."""
    share = constant("resistor_load_share")
    return next((watts for watts in stock_wattages() if heat <= share * watts * (1.0 + 1e-9)), None)


def diode_heat(diode: DiodeType, amps: float) -> Heat:
    """Heat of a diode that carries amps [A] forward, the weakest of its type."""
    shift = diode.emission * thermal_volts() * log(diode.spread)
    drop = diode_volts(diode, amps) + shift if amps > 0.0 else 0.0
    return Heat(drop, amps * drop, diode.max_amps * diode.forward_volts_max)


def life_at(filament: Filament, volts: float) -> Life:
    """Life of a filament that burns at volts [V] all the time."""
    relative = float(relative_life(filament, volts))
    hours = None if filament.life_hours is None else relative * filament.life_hours
    low, high = (share * filament.test_volts for share in LIFE_RANGE)
    return Life(relative, hours, low <= volts <= high)
