"""Whether the lamps of a design keep up with its flasher, and what its contacts then carry.

The judge takes every lamp as settled. Here each setting with exactly one flasher on is run
in time: a lamp keeps up where, at the end of each phase, its light is in that phase's band.
Nominal parts; warm and cold filaments as they come.

Rates 60, 90 and 120 a minute: 90 give or take 30 (UN R48, R6); on-time 30 to 75 % of the
cycle (SAE J590). What a thermal flasher needs to keep its time is its maker's to state.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from lampwright.judge.judge import ShortedError
from lampwright.network.netlist import Netlist
from lampwright.parts.tungsten import cold_kelvin
from lampwright.parts.wire_of_filament import coil_share
from lampwright.problem.edges import flux_band
from lampwright.problem.problem import Choice, Problem, filament_models
from lampwright.results.care import Flashing, FlashLamp, FlashLoad, FlashPhase, Inrush
from lampwright.solve.boundary import Boundary, boundary_of
from lampwright.solve.flash import (
    FittedCircuit,
    FlashWaveform,
    Rhythm,
    flash_waveform,
    network_at,
    steady_kelvin,
)
from lampwright.solve.laws import DIODE, FILAMENT, RESISTOR, Bytes, Floats
from lampwright.spec.model import OFF, ON, Band
from lampwright.spec.states import Setting

PHASES = ("closed", "open")
RATES = (60.0, 90.0, 120.0)
"""Flashes a minute that are tried."""

ON_SHARE = 0.5
"""The closed phase's share of a cycle."""

NEVER = 1e-30  # flux below this is nothing, so that its logarithm is defined


@dataclass(frozen=True)
class FlashSetting:
    """A setting with one flasher on: its states with the flasher off, closed and open."""

    name: str
    flasher: str
    states: tuple[int, int, int]


def flash_settings(problem: Problem) -> tuple[FlashSetting, ...]:
    """The settings with exactly one flasher on, in the order of the states."""
    flashers = [control.name for control in problem.spec.controls if control.kind == "flasher"]
    at = {(state.setting, state.phase): number for number, state in enumerate(problem.states)}
    found = []
    for setting in dict.fromkeys(state.setting for state in problem.states):
        on = [name for name, position in setting if name in flashers and position == ON]
        if len(on) == 1:
            rest: Setting = tuple((name, OFF if name == on[0] else position) for name, position in setting)
            numbers = (at[rest, ""], at[setting, PHASES[0]], at[setting, PHASES[1]])
            found.append(FlashSetting(problem.states[numbers[1]].name, on[0], numbers))
    return tuple(found)


def fitted_circuit(
    problem: Problem, netlist: Netlist, choice: Choice, share: float | None = None
) -> FittedCircuit:
    """A circuit with one choice fitted, ready to be run in time.

    share [1]: of the wire, as in `parts.wire_of_filament`, None for its constant; 1 is the fastest
    a lamp can be.
    """
    part_options, layout = problem.part_options, problem.layout
    models = filament_models(problem, choice)
    diodes = list(choice.digits[len(layout.lamps) : len(layout.lamps) + netlist.diodes])
    values = [part_options.ohms[digit] for digit in choice.digits[len(layout.lamps) + netlist.diodes :]]
    kinds = [FILAMENT] * len(models) + [DIODE] * len(diodes) + [RESISTOR] * len(values)
    siemens = [0.0] * (len(models) + len(diodes)) + [1.0 / ohms for ohms in values]
    return FittedCircuit(
        ends=netlist.ends,
        kinds=np.array(kinds, np.int64),
        rows=np.array([*models, *diodes, *[0] * len(values)], np.int64),
        siemens=np.array(siemens, np.float64),
        filaments=tuple(part_options.filaments[model] for model in models),
        models=part_options.models,
        coil_share=coil_share() if share is None else share,
    )


def gated_boundary(problem: Problem, netlist: Netlist) -> Boundary:
    """The boundary of every state with every control's contact noted. Raises ShortedError."""
    names, parts = problem.layout.terminals, netlist.partition
    found = boundary_of(problem.spec, problem.states, names, parts, netlist.joints, every_contact=True)
    if found is None:
        raise ShortedError
    return found


def flash_waveforms(
    problem: Problem, netlist: Netlist, choice: Choice, setting: FlashSetting, rhythm: Rhythm
) -> FlashWaveform:
    """The waveforms of one setting at the normal supply. Raises ShortedError."""
    circuit, volts = fitted_circuit(problem, netlist, choice), float(problem.volts[1])
    nodes = gated_boundary(problem, netlist).vertex_node[list(setting.states)]
    return flash_waveform(circuit, nodes[1:], volts, rhythm, steady_kelvin(circuit, nodes[0], volts))


def flashing_of(
    problem: Problem,
    netlist: Netlist,
    choice: Choice,
    rates: tuple[float, ...] = RATES,
    on_share: float = ON_SHARE,
    share: float | None = None,
) -> Flashing:
    """Run every setting with one flasher on at each of these rates [1/min], at the normal supply.

    on_share [1]: of a cycle. share [1]: as in `fitted_circuit`. Raises ShortedError.
    """
    circuit, boundary = fitted_circuit(problem, netlist, choice, share), gated_boundary(problem, netlist)
    lamps: list[FlashLamp] = []
    loads: list[FlashLoad] = []
    unsolved = unsettled = 0
    volts = float(problem.volts[1])
    for setting in flash_settings(problem):
        nodes = boundary.vertex_node[list(setting.states)]
        start = steady_kelvin(circuit, nodes[0], volts)
        for rate in rates:
            wave = flash_waveform(circuit, nodes[1:], volts, Rhythm(rate, on_share), start)
            unsolved += not wave.solved
            unsettled += not wave.periodic
            lamps += _lamps(problem, circuit, setting, rate, wave)
            loads.append(
                _load(
                    problem=problem, circuit=circuit, boundary=boundary, setting=setting, rate=rate, wave=wave
                )
            )
    return Flashing(
        on_share=on_share,
        keeps_up=unsolved == 0 and all(row.keeps_up for row in lamps),
        lamps=tuple(lamps),
        loads=tuple(loads),
        inrush=contact_inrush(problem, boundary, circuit),
        unsolved=unsolved,
        unsettled=unsettled,
    )


def _lamps(
    problem: Problem, circuit: FittedCircuit, setting: FlashSetting, rate: float, wave: FlashWaveform
) -> Iterator[FlashLamp]:
    """A row for every filament of which something is asked in either phase."""
    volts = float(problem.volts[1])
    for f, lamp in enumerate(problem.layout.filaments):
        asked = [problem.states[number].bands[f] for number in setting.states[1:]]
        closed, opened = (
            None
            if band is None
            else phase_light(flux_band(band, circuit.filaments[f], volts), seconds, flux[:, f])
            for band, seconds, flux in zip(asked, wave.seconds, wave.flux, strict=True)
        )
        if closed or opened:
            yield FlashLamp(
                setting=setting.name,
                lamp=lamp,
                word=problem.states[setting.states[1]].words[f],
                flashes_per_minute=rate,
                keeps_up=all(
                    phase is None or phase.seconds_to_band is not None for phase in (closed, opened)
                ),
                closed=closed,
                open=opened,
            )


def phase_light(band: Band, seconds: Floats, flux: Floats) -> FlashPhase:
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
    return FlashPhase(seconds_to_band=since, share_in_band=within, final_flux=float(flux[-1]))


def _load(
    problem: Problem,
    circuit: FittedCircuit,
    boundary: Boundary,
    setting: FlashSetting,
    rate: float,
    wave: FlashWaveform,
) -> FlashLoad:
    """What the flasher's contact carries while closed."""
    control = [one.name for one in problem.spec.controls].index(setting.flasher)
    amps, first = (
        _contact_amps(boundary, circuit.ends, setting.states[1], taken)[control]
        for taken in (wave.amps[0], wave.first_amps[None])
    )
    seconds = wave.seconds[0]
    return FlashLoad(
        setting=setting.name,
        flasher=setting.flasher,
        flashes_per_minute=rate,
        first_amps=float(first[0]),
        mean_amps=float(np.trapezoid(amps, seconds) / seconds[-1]),
        final_amps=float(amps[-1]),
    )


def contact_inrush(problem: Problem, boundary: Boundary, circuit: FittedCircuit) -> tuple[Inrush, ...]:
    """The worst inrush of every control's contact, all filaments cold, at the highest supply."""
    volts = float(problem.volts.max())
    cold = np.full((1, len(circuit.filaments)), cold_kelvin())
    worst: dict[int, Inrush] = {}
    for number, state in enumerate(problem.states):
        nodes = boundary.vertex_node[number]
        starts = _contact_amps(boundary, circuit.ends, number, network_at(circuit, nodes, volts, cold).amps)
        if not starts:
            continue
        warm = network_at(circuit, nodes, volts, steady_kelvin(circuit, nodes, volts)[None]).amps
        settled = _contact_amps(boundary, circuit.ends, number, warm)
        for control, amps in starts.items():
            if control not in worst or amps[0] > worst[control].cold_amps:
                worst[control] = Inrush(
                    control=problem.spec.controls[control].name,
                    state=state.name,
                    cold_amps=float(amps[0]),
                    settled_amps=float(settled[control][0]),
                )
    return tuple(worst[control] for control in sorted(worst))


def _contact_amps(boundary: Boundary, ends: Bytes, state: int, amps: Floats) -> dict[int, Floats]:
    """Amps (samples,) through the contact of every control closed in a state, the worst of several.

    amps: (samples, parts). As the judge reads a gate: what the vertices beyond it take.
    """
    found: dict[int, Floats] = {}
    for gate in np.flatnonzero(boundary.gates.state == state):
        vertices = [v for v in range(63) if int(boundary.gates.beyond[gate]) >> v & 1]
        taken = [amps @ ((ends[:, 0] == v).astype(float) - (ends[:, 1] == v)) for v in vertices]
        if not taken:
            continue
        exact = boundary.gates.exact[gate] == 1
        through = np.abs(np.sum(taken, axis=0)) if exact else np.sum(np.abs(taken), axis=0)
        control = int(boundary.gates.control[gate])
        found[control] = np.maximum(found[control], through) if control in found else through
    return found
