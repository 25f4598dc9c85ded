"""A design tried at other supplies and with faults, state by state, as plain rows for the page.

Rows as in `results.ranking`, whose Design holds them. Volts [V], amps [A]; flux is relative to
rated. Parts are nominal. What is the same in many states is written once, since a page may
hold many states: a state is named as in `results.care`, the flasher's phase in brackets. No
source: our format.
"""

from lampwright.results.care import FaultKind
from lampwright.results.row import Amps, Ratio, Row, Volts, WholeKelvin


class LevelBand(Row, frozen=True, kw_only=True):
    """What one of the spec's words for a lamp means; `high_flux` is null where nothing bounds it."""

    word: str
    low_flux: Ratio
    high_flux: Ratio | None


class SweepLine(Row, frozen=True, kw_only=True):
    """The flux of one filament at each of the sweep's supplies, and the states in which it is so.

    `wanted` is the spec's word there (`any` where nothing is asked); `low_flux` and `high_flux`
    are the edges of the band asked for, null where open or nothing is asked. Where the low edge
    hangs on the supply, as that of `full` does, `low_flux` is that at the normal supply, and
    `low_fluxes` has one for each of the sweep's supplies; else it is left out.
    """

    lamp: str
    wanted: str
    states: tuple[str, ...]
    flux: tuple[Ratio, ...]
    low_flux: Ratio | None
    high_flux: Ratio | None
    low_fluxes: tuple[Ratio, ...] | None = None


class StateReading(Row, frozen=True, kw_only=True):
    """The operating point of one state, in the order of the design's own rows.

    `flux`, `levels` and `kelvin` per filament, `volts` per node, `across` and `amps` per part (not wires),
    counted from its `from` to its `to` node.
    """

    state: str
    flux: tuple[Ratio, ...]
    levels: tuple[str, ...]
    kelvin: tuple[WholeKelvin, ...]
    volts: tuple[Volts, ...]
    across: tuple[Volts, ...]
    amps: tuple[Amps, ...]


class SupplyPoint(Row, frozen=True, kw_only=True):
    """Every state of a design at one supply [V]."""

    supply: Volts
    states: tuple[StateReading, ...]


class Sweep(Row, frozen=True, kw_only=True):
    """Flux against supply voltage: the supplies [V], rising, the spec's levels, and the lines.

    `volts` are the spec's low, normal and high supply, which are among the supplies. A
    filament and a state without a line: nothing is asked, and the lamp is off at every supply.
    `points`, of the first few designs of a ranking, have every state at every supply.
    """

    supplies: tuple[Volts, ...]
    volts: tuple[Volts, ...]
    levels: tuple[LevelBand, ...]
    lines: tuple[SweepLine, ...]
    points: tuple[SupplyPoint, ...] | None = None


class TrialState(Row, frozen=True, kw_only=True):
    """The operating point of one state under a fault, in the order of the design's own rows.

    `flux` and `levels` per filament, `volts` per node, `amps` per part (not wires; zero for a
    part that is gone). `live` are the nodes that the supply holds. `loose_volts` are the volts
    across the trial's `loose` parts, `kelvin` how hot each filament is. `shorted`: the supply meets ground, a
    fuse blows, and the lists are empty.
    """

    state: str
    shorted: bool
    flux: tuple[Ratio, ...]
    levels: tuple[str, ...]
    volts: tuple[Volts, ...]
    live: tuple[str, ...]
    amps: tuple[Amps, ...]
    loose_volts: tuple[Volts, ...]
    kelvin: tuple[WholeKelvin, ...] | None = None


class FaultTrial(Row, frozen=True, kw_only=True):
    """One fault, tried in every state at the normal supply.

    `gone` are the parts it takes out, `loose` those whose ends at ground hang together and
    touch nothing else, `nodes` the terminals whose fuse is blown or that are bridged. `states`
    has the states that the fault alters; in all others every reading is that of the sound
    circuit, to a millivolt and a tenth of a milliampere.
    """

    kind: FaultKind
    fault: str
    gone: tuple[str, ...]
    loose: tuple[str, ...]
    nodes: tuple[str, ...]
    states: tuple[TrialState, ...]
