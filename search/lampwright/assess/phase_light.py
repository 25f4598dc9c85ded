"""Rows that say how a design flashes, and how one lamp's light fares against its band.

A lamp keeps up where, at the end of each phase, its light is in that phase's band.
"""

from dataclasses import dataclass

import numpy as np

from lampwright.solve.laws import Floats
from lampwright.spec.model import Band

NEVER = 1e-30  # flux below this is nothing, so that its logarithm is defined


@dataclass(frozen=True)
class PhaseLight:
    """One lamp in one phase: its band, and how its light, relative to rated, goes.

    seconds_to_band [s]: when it enters the band to stay until the phase ends; None if it is
    outside then. share_in_band [1] of the phase. least, peak, final flux [1].
    """

    low: float
    high: float
    seconds_to_band: float | None
    share_in_band: float
    least_flux: float
    peak_flux: float
    final_flux: float

    @property
    def reaches(self) -> bool:
        """Whether the light is in the band when the phase ends."""
        return self.seconds_to_band is not None


@dataclass(frozen=True)
class LampFlash:
    """One lamp in one setting at one rhythm and supply; a phase in which nothing is asked is None."""

    setting: str
    flasher: str
    flashes_per_minute: float
    on_share: float
    volts: float
    lamp: str
    word: str
    closed: PhaseLight | None
    open: PhaseLight | None

    @property
    def keeps_up(self) -> bool:
        """Whether it does what each phase asks by the end of that phase."""
        return all(phase is None or phase.reaches for phase in (self.closed, self.open))


@dataclass(frozen=True)
class FlasherLoad:
    """What the flasher sees in one setting at one rhythm and supply.

    While closed, through its contact: first_amps, at the very first closing; peak, mean, rms
    and final amps of a cycle [A]. While open, across it: least and most volts [V]; None
    where no part touches the feed. least_amps [A]: the stated minimum, None if none.
    """

    setting: str
    flasher: str
    flashes_per_minute: float
    on_share: float
    volts: float
    first_amps: float
    peak_amps: float
    mean_amps: float
    rms_amps: float
    final_amps: float
    least_open_volts: float | None
    most_open_volts: float | None
    least_amps: float | None

    @property
    def is_enough(self) -> bool | None:
        """Whether the amps at the end of the closed phase are the stated minimum or more; None if none."""
        return None if self.least_amps is None else self.final_amps >= self.least_amps


@dataclass(frozen=True)
class ContactInrush:
    """The worst that a control's contact carries as it closes onto cold filaments.

    At the highest supply, volts [V]; amps at that instant and once settled, in the state
    with the most of the former [A].
    """

    control: str
    state: str
    phase: str
    volts: float
    cold_amps: float
    settled_amps: float


@dataclass(frozen=True)
class FlashReport:
    """How a design flashes: a row per setting, rhythm, supply and lamp; per flasher; per control.

    unsolved: runs with an instant at which the network could not be solved. unsettled: runs
    whose cycles had not become alike.
    """

    lamps: tuple[LampFlash, ...]
    loads: tuple[FlasherLoad, ...]
    inrush: tuple[ContactInrush, ...]
    unsolved: int
    unsettled: int

    @property
    def keeps_up(self) -> bool:
        """Whether every lamp keeps up in every run, and every run could be solved."""
        return self.unsolved == 0 and all(row.keeps_up for row in self.lamps)


def phase_light(band: Band, seconds: Floats, flux: Floats) -> PhaseLight:
    """How a light (samples,) fares against a band; between samples its stops run straight."""
    stops = np.log2(np.maximum(flux, NEVER))
    low, high = np.log2(max(band.low, NEVER)), np.log2(band.high)
    begins, ends = seconds[:-1], seconds[1:]
    rise = np.diff(stops)
    with np.errstate(divide="ignore", invalid="ignore"):
        to_low, to_high = (low - stops[:-1]) / rise, (high - stops[:-1]) / rise
    flat = rise == 0.0
    inside = (stops[:-1] >= low) & (stops[:-1] <= high)
    enter = np.where(flat, 0.0, np.clip(np.fmin(to_low, to_high), 0.0, 1.0))
    leave = np.where(flat, inside.astype(float), np.clip(np.fmax(to_low, to_high), 0.0, 1.0))
    within = float(np.sum((leave - enter) * (ends - begins)) / (seconds[-1] - seconds[0]))
    outside = np.flatnonzero((stops < low) | (stops > high))
    since: float | None = 0.0
    if outside.size:
        last = int(outside[-1])
        ended_in = last < len(stops) - 1
        since = float(begins[last] + enter[last] * (ends[last] - begins[last])) if ended_in else None
    return PhaseLight(
        low=band.low,
        high=band.high,
        seconds_to_band=since,
        share_in_band=within,
        least_flux=float(flux.min()),
        peak_flux=float(flux.max()),
        final_flux=float(flux[-1]),
    )
