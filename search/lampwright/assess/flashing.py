"""Whether the lamps of a design keep up with its flasher, and what its contacts then carry.

The judge takes every lamp as settled. Here each setting with exactly one flasher on is run
in time: a lamp keeps up where, at the end of each phase, its light is in that phase's band.
Nominal parts; warm and cold filaments as they come.

Rates 60, 90 and 120 a minute: 90 give or take 30 (UN R48, R6); on-time 30 to 75 % of the
cycle (SAE J590). What a thermal flasher needs to keep its time is its maker's to state.
"""

from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from lampwright.assess.phase_light import ContactInrush, FlasherLoad, FlashReport, LampFlash, phase_light
from lampwright.judge.judge import ShortedError
from lampwright.network.netlist import Netlist
from lampwright.parts.tungsten import cold_kelvin
from lampwright.parts.wire_of_filament import coil_share
from lampwright.problem.edges import flux_band
from lampwright.problem.problem import Choice, Problem
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
from lampwright.spec.model import GROUND, OFF, ON, SUPPLY
from lampwright.spec.states import Setting

PHASES = ("closed", "open")


@dataclass(frozen=True)
class FlashOptions:
    """What to try: rates [1/min], closed shares of a cycle [1], supplies [V] (normal if none).

    coil_share [1]: as in `parts.wire_of_filament`, None for its constant; 1 is the fastest
    a lamp can be. least_amps [A]: what a thermal flasher needs to be given, if stated.
    """

    flashes_per_minute: tuple[float, ...] = (60.0, 90.0, 120.0)
    on_shares: tuple[float, ...] = (0.5,)
    supplies: tuple[float, ...] = ()
    coil_share: float | None = None
    least_amps: float | None = None


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
    """A circuit with one choice fitted, ready to be run in time; share as `FlashOptions.coil_share`."""
    part_options, layout = problem.part_options, problem.layout
    lamp_of = [at for at, lamp in enumerate(layout.lamps) for _ in lamp.filaments]
    models = [part_options.filament_model[f][choice.digits[lamp]] for f, lamp in enumerate(lamp_of)]
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
    limited = tuple(replace(control, most_amps=np.inf) for control in problem.spec.controls)
    spec = replace(problem.spec, controls=limited)
    found = boundary_of(spec, problem.states, problem.layout.terminals, netlist.partition, netlist.joints)
    if found is None:
        raise ShortedError
    return found


def flash_waveforms(
    problem: Problem,
    netlist: Netlist,
    choice: Choice,
    setting: FlashSetting,
    rhythm: Rhythm,
    volts: float | None = None,
    share: float | None = None,
) -> FlashWaveform:
    """The waveforms of one setting; volts [V] the supply, normal if None. Raises ShortedError."""
    circuit = fitted_circuit(problem, netlist, choice, share)
    nodes = gated_boundary(problem, netlist).vertex_node[list(setting.states)]
    supply = float(problem.volts[1]) if volts is None else volts
    return flash_waveform(circuit, nodes[1:], supply, rhythm, steady_kelvin(circuit, nodes[0], supply))


def judge_flashing(
    problem: Problem, netlist: Netlist, choice: Choice, options: FlashOptions | None = None
) -> FlashReport:
    """Run every setting with one flasher on at every rhythm and supply. Raises ShortedError."""
    wish = options or FlashOptions()
    circuit = fitted_circuit(problem, netlist, choice, wish.coil_share)
    boundary = gated_boundary(problem, netlist)
    supplies = wish.supplies or (float(problem.volts[1]),)
    lamps: list[LampFlash] = []
    loads: list[FlasherLoad] = []
    unsolved = unsettled = 0
    for setting in flash_settings(problem):
        nodes = boundary.vertex_node[list(setting.states)]
        starts = {volts: steady_kelvin(circuit, nodes[0], volts) for volts in supplies}
        for rate, share, volts in product(wish.flashes_per_minute, wish.on_shares, supplies):
            rhythm = Rhythm(rate, share)
            wave = flash_waveform(circuit, nodes[1:], volts, rhythm, starts[volts])
            unsolved += not wave.solved
            unsettled += not wave.periodic
            lamps.extend(
                _lamp_rows(
                    problem=problem, circuit=circuit, setting=setting, rhythm=rhythm, volts=volts, wave=wave
                )
            )
            across = _across(problem, netlist, setting, volts, wave)
            carried = _contact_amps(boundary, netlist.ends, setting.states[1], wave.amps[0])
            first = _contact_amps(boundary, netlist.ends, setting.states[1], wave.first_amps[None])
            control = [one.name for one in problem.spec.controls].index(setting.flasher)
            loads.append(
                _load(
                    setting=setting,
                    rhythm=rhythm,
                    volts=volts,
                    seconds=wave.seconds[0],
                    amps=carried[control],
                    first=first[control],
                    across=across,
                    wish=wish,
                )
            )
    return FlashReport(
        tuple(lamps), tuple(loads), contact_inrush(problem, boundary, circuit), unsolved, unsettled
    )


def contact_inrush(problem: Problem, boundary: Boundary, circuit: FittedCircuit) -> tuple[ContactInrush, ...]:
    """The worst inrush of every control's contact, all filaments cold, at the highest supply."""
    volts = float(problem.volts.max())
    cold = np.full((1, len(circuit.filaments)), cold_kelvin())
    worst: dict[int, ContactInrush] = {}
    for number, state in enumerate(problem.states):
        nodes = boundary.vertex_node[number]
        starts = _contact_amps(boundary, circuit.ends, number, network_at(circuit, nodes, volts, cold).amps)
        if not starts:
            continue
        warm = network_at(circuit, nodes, volts, steady_kelvin(circuit, nodes, volts)[None]).amps
        settled = _contact_amps(boundary, circuit.ends, number, warm)
        for control, amps in starts.items():
            if control not in worst or amps[0] > worst[control].cold_amps:
                name = problem.spec.controls[control].name
                worst[control] = ContactInrush(
                    control=name,
                    state=state.name,
                    phase=state.phase,
                    volts=volts,
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


def _potential(problem: Problem, netlist: Netlist, terminal: str, volts: float, potentials: Floats) -> Floats:
    """A terminal's potential (samples,) [V]; NaN where no part touches it."""
    if terminal in (SUPPLY, GROUND):
        return np.full(len(potentials), volts if terminal == SUPPLY else 0.0)
    return potentials[:, netlist.partition[problem.layout.terminals.index(terminal)]]


def _across(
    problem: Problem, netlist: Netlist, setting: FlashSetting, volts: float, wave: FlashWaveform
) -> Floats:
    """Volts across the flasher's contacts while open, (contacts, samples), NaN where nothing is joined."""
    contacts = [one for one in problem.states[setting.states[1]].contacts if one.control == setting.flasher]
    sides = [
        [_potential(problem, netlist, name, volts, wave.potentials[1]) for name in (one.a, one.b)]
        for one in contacts
    ]
    return np.array([np.abs(a - b) for a, b in sides])


def _load(
    setting: FlashSetting,
    rhythm: Rhythm,
    volts: float,
    seconds: Floats,
    amps: Floats,
    first: Floats,
    across: Floats,
    wish: FlashOptions,
) -> FlasherLoad:
    known = across[np.isfinite(across)]
    length = seconds[-1]
    return FlasherLoad(
        setting=setting.name,
        flasher=setting.flasher,
        flashes_per_minute=rhythm.flashes_per_minute,
        on_share=rhythm.on_share,
        volts=volts,
        first_amps=float(first[0]),
        peak_amps=float(amps.max()),
        mean_amps=float(np.trapezoid(amps, seconds) / length),
        rms_amps=float(np.sqrt(np.trapezoid(amps**2, seconds) / length)),
        final_amps=float(amps[-1]),
        least_open_volts=float(known.min()) if known.size else None,
        most_open_volts=float(known.max()) if known.size else None,
        least_amps=wish.least_amps,
    )


def _lamp_rows(
    problem: Problem,
    circuit: FittedCircuit,
    setting: FlashSetting,
    rhythm: Rhythm,
    volts: float,
    wave: FlashWaveform,
) -> list[LampFlash]:
    closed, opened = (problem.states[number] for number in setting.states[1:])
    rate, share = rhythm.flashes_per_minute, rhythm.on_share
    rows = []
    for f, lamp in enumerate(problem.layout.filaments):
        first, second = (
            None
            if asked is None
            else phase_light(
                flux_band(asked, circuit.filaments[f], volts), wave.seconds[at], wave.flux[at, :, f]
            )
            for at, asked in enumerate((closed.bands[f], opened.bands[f]))
        )
        if first or second:
            word = closed.words[f]
            rows.append(
                LampFlash(
                    setting=setting.name,
                    flasher=setting.flasher,
                    flashes_per_minute=rate,
                    on_share=share,
                    volts=volts,
                    lamp=lamp,
                    word=word,
                    closed=first,
                    open=second,
                )
            )
    return rows
