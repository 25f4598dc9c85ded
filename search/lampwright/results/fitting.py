"""What `lampwright fit` tells: a lamp's figures from its measured points, each with how far it may be off.

No source: our format.
"""

from typing import Literal

from lampwright.results.row import Amps, Kelvin, Ohms, Percent, Ratio, Row, Volts, Watts


class FitPoint(Row, frozen=True, kw_only=True):
    """A point as measured, the model's amps at its volts, and by how much these are more."""

    volts: Volts
    amps: Amps
    fitted_amps: Amps
    off: Percent


class LampFit(Row, frozen=True, kw_only=True):
    """The filament that fits the points best; every `_off` is one standard deviation.

    A figure whose `_decided` is false was not decided by the points, and is as in most lamps. rms: of
    the points' distance from the curve; other_rms: with the other filling. entry: the lines of a spec.
    """

    name: str
    volts: Volts
    watts: Watts
    watts_off: Watts
    kelvin: Kelvin
    kelvin_off: Kelvin
    kelvin_decided: bool
    filling: Literal["gas", "vacuum"]
    filling_decided: bool
    conducted: Ratio
    conducted_off: Ratio
    conducted_decided: bool
    leads: Ohms
    leads_off: Ohms
    rms: Percent
    other_rms: Percent
    points: tuple[FitPoint, ...]
    remarks: tuple[str, ...]
    entry: str
