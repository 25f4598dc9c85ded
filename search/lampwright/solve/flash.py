"""How a circuit of filaments flashes: its waveforms once every cycle is like the last.

A flasher closes and opens its contact in turn. The filaments start where they settle
with the flasher off, closed phase first, and are stepped through cycles until one ends
as it began; the next cycle is what is reported, with the first moment of all.

Rates: 90 a minute give or take 30 (UN R48, R6), on-time 30 to 75 % of the cycle (SAE J590).
Source: physics as in `parts.wire_of_filament`; stepping in `flash_kernel`.
"""

from dataclasses import dataclass

import numpy as np

from lampwright.parts.filament import Filament, kelvin_of
from lampwright.parts.tungsten import cold_kelvin
from lampwright.solve.flash_kernel import ROWS, SOLVED, START, HeatNetwork, read_network, run_cycles
from lampwright.solve.heat_table import KELVIN_STEP, STOPS, heat_tables
from lampwright.solve.laws import FILAMENT, RESISTOR, Bytes, Floats, Ints, Models, base_of
from lampwright.solve.newton import (
    BASE,
    KIND,
    ROW,
    VALUE,
    Workspace,
    bind_ends,
    cold_start,
    drop_of,
    new_workspace,
    solve_bound,
)

SAMPLES = 257


@dataclass(frozen=True)
class Rhythm:
    """How a flasher flashes: flashes a minute, and the closed share of a cycle [1]."""

    flashes_per_minute: float
    on_share: float

    @property
    def durations(self) -> Floats:
        """Closed and open phase [s], shape (2,)."""
        period = 60.0 / self.flashes_per_minute
        return np.array([period * self.on_share, period * (1.0 - self.on_share)])


@dataclass(frozen=True)
class FittedCircuit:
    """A circuit with its parts fitted: filaments first, then diodes, then resistors.

    ends: (parts, 2) vertices. kinds, rows: (parts,) kind and row in the models. siemens:
    (parts,) of resistors [S], 0 elsewhere. filaments: n of them, in order. coil_share [1]:
    as in `parts.wire_of_filament`.
    """

    ends: Bytes
    kinds: Ints
    rows: Ints
    siemens: Floats
    filaments: tuple[Filament, ...]
    models: Models
    coil_share: float


@dataclass(frozen=True)
class Moment:
    """A network at one instant, or at many (leading axis samples).

    amps [A], drops [V]: (..., parts), tail to head; potentials (..., vertices) [V], NaN
    where no part touches a vertex. solved: every point converged.
    """

    amps: Floats
    drops: Floats
    potentials: Floats
    solved: bool


@dataclass(frozen=True)
class FlashWaveform:
    """One cycle, phases first: 0 closed, 1 open; samples crowd towards a phase's beginning.

    seconds (2, samples) [s], from the beginning of the phase to its end. kelvin, flux
    (2, samples, filaments): [K], and [1] relative to rated. amps, volts (2, samples,
    parts): [A], [V], tail to head. potentials (2, samples, vertices) [V], NaN where no part
    touches a vertex. first_amps (parts,) [A]: at the first closing, from where the filaments
    settle with the flasher off. cycles: how many were run; periodic: the last was like the one
    before; solved: every instant converged.
    """

    seconds: Floats
    kelvin: Floats
    flux: Floats
    amps: Floats
    volts: Floats
    potentials: Floats
    first_amps: Floats
    cycles: int
    periodic: bool
    solved: bool


def _loaded(circuit: FittedCircuit, *, in_time: bool) -> Workspace:
    """A workspace with the parts in it; in time, filaments are resistors still to be set."""
    work = new_workspace()
    parts = len(circuit.kinds)
    kinds = np.where(circuit.kinds == FILAMENT, RESISTOR, circuit.kinds) if in_time else circuit.kinds
    work.whole[KIND : KIND + parts] = kinds
    work.whole[ROW : ROW + parts] = circuit.rows
    places = [
        base_of(int(k), int(r), circuit.models.filaments) for k, r in zip(kinds, circuit.rows, strict=True)
    ]
    work.whole[BASE : BASE + parts] = places
    work.reals[VALUE : VALUE + parts] = np.where(circuit.kinds == FILAMENT, 1.0, circuit.siemens)
    return work


def steady_kelvin(circuit: FittedCircuit, nodes: Bytes, volts: float) -> Floats:
    """Where the filaments settle in one state.

    nodes: (vertices,) as a row of `Boundary.vertex_node`; volts: the supply [V], a scalar.
    Returns [K], shape (filaments,); NaN where no operating point was found.
    """
    work, parts = _loaded(circuit, in_time=False), len(circuit.kinds)
    count = bind_ends(circuit.ends[None], 0, nodes[None], 0, work.whole)
    cold_start(count, volts, work.reals)
    steps, _ = solve_bound(parts, count, volts, circuit.models.table, work.reals, work.whole)
    if steps < 0:
        return np.full(len(circuit.filaments), np.nan)
    drops = [drop_of(at, work.reals, work.whole) for at in range(len(circuit.filaments))]
    settled = [float(kelvin_of(one, drop)) for one, drop in zip(circuit.filaments, drops, strict=True)]
    return np.array(settled, np.float64)


def network_at(circuit: FittedCircuit, nodes: Bytes, volts: float, kelvin: Floats) -> Moment:
    """What the parts of one state take while the filaments are at given temperatures.

    nodes: (vertices,); volts [V], a scalar; kelvin: (samples, filaments) [K]. Returns
    arrays with a leading axis of samples; at T0, the inrush from cold.
    """
    work, heat = _loaded(circuit, in_time=True), heat_tables(circuit.filaments, circuit.coil_share)
    samples, parts = len(kelvin), len(circuit.kinds)
    amps, drops = np.empty((samples, parts)), np.empty((samples, parts))
    potentials = np.empty((samples, len(nodes)))
    network = HeatNetwork(
        ends=circuit.ends[None],
        nodes=nodes[None],
        volts=volts,
        heat=heat,
        table=circuit.models.table,
        work=work,
    )
    solved = read_network(network, 0, kelvin - cold_kelvin(), amps, drops, potentials)
    return Moment(amps, drops, potentials, bool(solved))


def flash_waveform(
    circuit: FittedCircuit, nodes: Bytes, volts: float, rhythm: Rhythm, start: Floats
) -> FlashWaveform:
    """The waveforms of a circuit whose flasher is on.

    nodes: (2, vertices), rows of `Boundary.vertex_node` with the flasher closed and open;
    volts: the supply [V], a scalar. start: (filaments,) [K], where they settle with the
    flasher off: `steady_kelvin` there. Returns arrays as `FlashWaveform` says.
    """
    heat, cold = heat_tables(circuit.filaments, circuit.coil_share), cold_kelvin()
    n, durations = len(circuit.filaments), rhythm.durations
    work, state = _loaded(circuit, in_time=True), np.zeros((ROWS, n))
    state[START] = np.nan_to_num(start - cold)
    seconds = durations[:, None] * np.linspace(0.0, 1.0, SAMPLES) ** 2
    rises = np.zeros((2, SAMPLES, n))
    network = HeatNetwork(
        ends=circuit.ends[None],
        nodes=np.ascontiguousarray(nodes),
        volts=volts,
        heat=heat,
        table=circuit.models.table,
        work=work,
    )
    cycles, status = run_cycles(network, durations, state, seconds, rises)
    kelvin = cold + rises
    phases = [network_at(circuit, nodes[phase], volts, kelvin[phase]) for phase in range(2)]
    first = network_at(circuit, nodes[0], volts, np.nan_to_num(start, nan=cold)[None])
    solved = (
        status == SOLVED and bool(np.isfinite(start).all()) and all(one.solved for one in (*phases, first))
    )
    return FlashWaveform(
        seconds=seconds,
        kelvin=kelvin,
        flux=_flux(heat, rises),
        amps=np.stack([one.amps for one in phases]),
        volts=np.stack([one.drops for one in phases]),
        potentials=np.stack([one.potentials for one in phases]),
        first_amps=first.amps[0],
        cycles=abs(int(cycles)),
        periodic=bool(cycles > 0),
        solved=solved,
    )


def _flux(heat: Floats, rises: Floats) -> Floats:
    flux = np.empty_like(rises)
    knots = np.arange(heat.shape[1], dtype=np.float64)
    for f in range(len(heat)):
        flux[..., f] = np.exp2(np.interp(rises[..., f] / KELVIN_STEP, knots, heat[f, :, STOPS]))
    return flux
