"""A design tried at other supplies and with faults, state by state, as plain rows for the page.

Rows as in `store.result`, whose Design holds them. Volts [V], amps [A]; flux is relative to
rated. Parts are nominal. No source: our format.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class SweepLine:
    """The flux of one filament in one state and phase, at each of the sweep's supplies.

    `low_flux` and `high_flux` are the edges of the band asked for, null where open or nothing is asked.
    """

    lamp: str
    state: str
    phase: str
    flux: tuple[float, ...]
    low_flux: float | None
    high_flux: float | None


@dataclass(frozen=True)
class Sweep:
    """Flux against supply voltage: the supplies [V], rising, and a line per state and filament."""

    supplies: tuple[float, ...]
    lines: tuple[SweepLine, ...]


@dataclass(frozen=True)
class TrialState:
    """The operating point of one state under a fault, in the order of the design's own rows.

    `flux` per filament, `volts` per node, `amps` per part (not wires; zero for a part that is
    gone). `shorted`: the supply meets ground, a fuse blows, and the lists are empty.
    """

    state: str
    phase: str
    shorted: bool
    flux: tuple[float, ...]
    levels: tuple[str, ...]
    volts: tuple[float, ...]
    amps: tuple[float, ...]


@dataclass(frozen=True)
class FaultTrial:
    """One fault, tried in every state at the normal supply; `gone` are the parts it takes out."""

    kind: str
    fault: str
    gone: tuple[str, ...]
    states: tuple[TrialState, ...]
