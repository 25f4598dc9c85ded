"""Flash waveforms against an independent integrator: scipy's, around the twin and the parts' own laws.

The reference finds what a state joins from the circuit's own names, solves the network
with the twin, filaments being resistors at their temperatures, and is stepped by LSODA at
tolerances far below those of the compiled stepping. It starts where the waveform's last
cycle starts, or from rest for the whole way.
"""

from dataclasses import dataclass

import networkx as nx
import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import solve_ivp
from tests.parts.heating import warm_up

from lampwright.assess.flashing import (
    FlashSetting,
    fitted_circuit,
    flash_settings,
    flash_waveforms,
    gated_boundary,
)
from lampwright.network.circuit import Circuit, Part
from lampwright.network.netlist import netlist_of
from lampwright.parts.catalogue import diode_type
from lampwright.parts.filament import Filament, ohms_at, relative_flux_at, watts_at
from lampwright.parts.tungsten import cold_kelvin
from lampwright.parts.wire_of_filament import coil_share, heat_capacity_at, wire_of
from lampwright.problem.problem import Choice, Problem, prepare
from lampwright.solve.flash import FlashWaveform, Rhythm, network_at, steady_kelvin
from lampwright.solve.twin import TwinPart, operating_point
from lampwright.spec.load import parse_spec
from lampwright.spec.states import State

Floats = NDArray[np.float64]

HEAD = """
lampwright = 1
title = "A flasher, a brake switch and whatever lamps there are"
[supply]
system = 12
volts = [11.8, 13.5, 14.4]
always_live = false
[controls.turn]
kind = "flasher"
feed = "49a"
[controls.brake]
kind = "switch"
feed = "54"
"""


@dataclass(frozen=True)
class Scenario:
    """A circuit, fitted as its own parts say, and a problem in which it stands."""

    problem: Problem
    circuit: Circuit

    @property
    def filaments(self) -> tuple[Filament, ...]:
        """The filaments fitted: every lamp's first, the likelier filling where that is not known."""
        part_options = self.problem.part_options
        return tuple(part_options.filaments[models[0]] for models in part_options.filament_model)

    def setting(self, name: str) -> FlashSetting:
        return next(one for one in flash_settings(self.problem) if one.name == name)

    def wave(self, name: str, rhythm: Rhythm) -> FlashWaveform:
        layout, digits = self.problem.layout, (0,) * len(self.problem.layout.lamps)
        netlist = netlist_of(self.circuit, layout)
        choice = Choice((*digits, *(0,) * netlist.extra_parts))
        return flash_waveforms(self.problem, netlist, choice, self.setting(name), rhythm)


def scenario(lamps: str, extras: str, show: str, rows: list[Part]) -> Scenario:
    text = f"{HEAD}\n{lamps}\n{extras}\n[[behaviour]]\nwhen = {{ turn = 'on' }}\nshow = {{ {show} }}\n"
    return Scenario(prepare(parse_spec(text, "flash")), Circuit(tuple(rows)))


def lamp(name: str, a: str, b: str, kind: str) -> Part:
    return Part(ref=name, kind="filament", from_node=a, to_node=b, lamp=name, type=kind)


def sidecar() -> Scenario:
    rows = [
        lamp("front", "49a", "31", "P21W"),
        lamp("side", "49a", "54", "W2.3W"),
        lamp("stop", "54", "31", "P21W"),
    ]
    lamps = '[lamps.front]\nchoose=["P21W"]\n[lamps.side]\nchoose=["W2.3W"]\n[lamps.stop]\nchoose=["P21W"]'
    return scenario(lamps, "", "side = 'any'", rows)


def with_diode_and_resistor() -> Scenario:
    rows = [
        lamp("big", "j1", "31", "P21W"),
        lamp("small", "j1", "31", "R5W"),
        Part("D1", "diode", "49a", "j1", type="1N5404"),
        Part("R1", "resistor", "54", "j1", ohms=4.7),
    ]
    lamps = '[lamps.big]\nchoose=["P21W"]\n[lamps.small]\nchoose=["R5W"]'
    extras = (
        '[extras]\nresistors = { most = 1, series = "E6", ohms = [4.7, 5.0], watts = [25] }\n'
        'diodes = { most = 1, choose = ["1N5404"] }'
    )
    return scenario(lamps, extras, "small = 'any'", rows)


def in_series() -> Scenario:
    rows = [
        lamp("first", "49a", "j1", "W3W"),
        lamp("second", "j1", "31", "R10W"),
        lamp("third", "j1", "54", "W5W"),
    ]
    lamps = '[lamps.first]\nchoose=["W3W"]\n[lamps.second]\nchoose=["R10W"]\n[lamps.third]\nchoose=["W5W"]'
    return scenario(lamps, "", "first = 'any'", rows)


SCENARIOS = {"sidecar": sidecar, "diode and resistor": with_diode_and_resistor, "in series": in_series}


class Reference:
    """The same circuit in one state, as the right-hand side of a differential equation."""

    def __init__(self, given: Scenario, state: State, volts: float) -> None:
        graph: nx.Graph[str] = nx.Graph([(contact.a, contact.b) for contact in state.contacts])
        graph.add_nodes_from(("31", "30"))
        order = ("filament", "diode", "resistor")
        self.parts = [part for kind in order for part in given.circuit.parts if part.kind == kind]
        graph.add_nodes_from(node for part in self.parts for node in (part.from_node, part.to_node))
        groups = sorted(
            nx.connected_components(graph), key=lambda group: ("31" not in group, "30" not in group)
        )
        self.node = {name: at for at, group in enumerate(groups) for name in group}
        self.filaments, self.volts, self.nodes = given.filaments, volts, len(groups)
        self.wires = [wire_of(one, coil_share()) for one in self.filaments]

    def amps(self, kelvin: Floats) -> Floats:
        ohms = [float(ohms_at(one, T)) for one, T in zip(self.filaments, kelvin, strict=True)]
        models = [
            ohms[at] if part.kind == "filament"
            else diode_type(part.type or "") if part.kind == "diode"
            else float(part.ohms or 0.0)
            for at, part in enumerate(self.parts)
        ]  # fmt: skip
        drawn = [
            TwinPart(self.node[part.from_node], self.node[part.to_node], model)
            for part, model in zip(self.parts, models, strict=True)
        ]
        return operating_point(drawn, self.nodes, self.volts).amps

    def __call__(self, _: float, kelvin: Floats) -> list[float]:
        taken = self.amps(kelvin)[: len(self.filaments)]
        return [
            float((i**2 * ohms_at(one, T) - watts_at(one, T)) / heat_capacity_at(wire, T))
            for i, one, wire, T in zip(taken, self.filaments, self.wires, kelvin, strict=True)
        ]


def stepped(reference: Reference, start: Floats, seconds: Floats) -> Floats:
    found = solve_ivp(reference, (0.0, seconds[-1]), start, "LSODA", seconds, rtol=1e-7, atol=1e-4)
    assert found.success
    return np.asarray(found.y.T)


@pytest.mark.parametrize("setting", ["turn on", "turn on, brake on"])
@pytest.mark.parametrize("which", SCENARIOS)
def test_a_cycle_agrees_with_an_independent_integrator(which: str, setting: str) -> None:
    given = SCENARIOS[which]()
    wave = given.wave(setting, Rhythm(120.0, 0.3))
    assert wave.solved
    assert wave.periodic
    states = [given.problem.states[number] for number in given.setting(setting).states[1:]]
    kelvin = wave.kelvin[0, 0]
    for phase, state in enumerate(states):
        reference = Reference(given, state, 13.5)
        every = slice(0, 257, 8)
        truth = stepped(reference, kelvin, wave.seconds[phase, every])
        off = np.abs(truth - wave.kelvin[phase, every])
        assert off.max() < 2.0, f"{setting} {state.phase}: {off.max(axis=0)} K"
        light = np.array([relative_flux_at(one, truth[:, f]) for f, one in enumerate(given.filaments)]).T
        assert np.abs(light - wave.flux[phase, every]).max() < 0.005, f"{setting} {state.phase}"
        for at in (0, 8, 32):
            # 2 K is 0.1 % of a resistance; at cold, the tables' 2e-5
            amps = reference.amps(truth[at])
            assert np.abs(amps - wave.amps[phase, 8 * at]).max() < 2e-3 * max(1.0, np.abs(amps).max())
        kelvin = truth[-1]
    assert np.abs(kelvin - wave.kelvin[0, 0]).max() < 2.1, "the cycle ends as it began"


def test_from_rest_through_every_cycle() -> None:
    given, rhythm = sidecar(), Rhythm(90.0, 0.75)
    wave = given.wave("turn on, brake on", rhythm)
    front, side, stop = given.filaments
    wires = [wire_of(one, coil_share()) for one in given.filaments]

    def law(closed: bool, kelvin: Floats) -> list[float]:
        ohms = [float(ohms_at(one, T)) for one, T in zip(given.filaments, kelvin, strict=True)]
        back = 13.5 / (ohms[0] + ohms[1])
        drops = [13.5, 0.0, 13.5] if closed else [back * ohms[0], back * ohms[1], 13.5]
        return [
            float((v * v / r - watts_at(one, T)) / heat_capacity_at(wire, T))
            for v, r, one, wire, T in zip(drops, ohms, (front, side, stop), wires, kelvin, strict=True)
        ]

    def closed(_: float, kelvin: Floats) -> list[float]:
        return law(True, kelvin)

    def opened(_: float, kelvin: Floats) -> list[float]:
        return law(False, kelvin)

    netlist = netlist_of(given.circuit, given.problem.layout)
    nodes = gated_boundary(given.problem, netlist).vertex_node[given.setting("turn on, brake on").states[0]]
    kelvin = steady_kelvin(fitted_circuit(given.problem, netlist, Choice((0, 0, 0))), nodes, 13.5)
    assert law(False, kelvin) == pytest.approx([0.0] * 3, abs=0.5), "rest is steady, in K/s"
    for cycle in range(wave.cycles):
        for phase, right in enumerate((closed, opened)):
            span = wave.seconds[phase]
            found = solve_ivp(right, (0.0, span[-1]), kelvin, "LSODA", span, rtol=1e-8, atol=1e-5)
            if cycle == wave.cycles - 1:
                # errors of 0.05 K a step do not pile up
                assert np.abs(found.y.T - wave.kelvin[phase]).max() < 0.5
            kelvin = np.asarray(found.y[:, -1])


def test_a_lamp_by_itself_warms_as_its_own_curve_says() -> None:
    given = in_series()
    lone = sidecar()
    wave = lone.wave("turn on", Rhythm(20.0, 0.5))
    one = lone.filaments[0]
    curve = warm_up(one, wire_of(one, coil_share()), 13.5)
    # from cold: the first closing finds the front lamp at T0
    assert wave.first_amps[0] == pytest.approx(13.5 / one.cold_ohms, rel=1e-6)
    settled = curve.flux[-1]
    assert wave.flux[0, -1, 0] == pytest.approx(settled, rel=2e-3), "after 1.5 s nothing moves"
    assert given.filaments != lone.filaments


def test_no_light_overshoots_on_steady_volts() -> None:
    wave = sidecar().wave("turn on", Rhythm(60.0, 0.5))
    rising, falling = np.diff(wave.kelvin[0, :, 0]), np.diff(wave.kelvin[1, :, 0])
    # the stepping's own error, 0.05 K a step, where nothing moves any more
    assert rising.min() > -0.05
    assert falling.max() < 0.05


def test_the_network_at_cold_takes_the_inrush() -> None:
    given = in_series()
    netlist = netlist_of(given.circuit, given.problem.layout)
    circuit = fitted_circuit(given.problem, netlist, Choice((0, 0, 0)))
    nodes = gated_boundary(given.problem, netlist).vertex_node[given.setting("turn on").states[1]]
    moment = network_at(circuit, nodes, 13.5, np.full((1, 3), cold_kelvin()))
    first, second, _ = (one.cold_ohms for one in given.filaments)
    assert moment.solved
    # the open end of the third lamp leaks 14 nA
    assert moment.amps[0] == pytest.approx([13.5 / (first + second)] * 2 + [0.0], abs=1e-7)


def test_samples_begin_and_end_with_the_phase() -> None:
    wave = sidecar().wave("turn on", Rhythm(90.0, 0.3))
    assert wave.seconds[:, 0] == pytest.approx([0.0, 0.0], abs=0.0)
    assert wave.seconds[:, -1] == pytest.approx([0.2, 60 / 90 - 0.2], rel=1e-12)
    # the open phase begins where the closed one ends; the contact cuts the amps, not the heat
    assert wave.kelvin[1, 0] == pytest.approx(wave.kelvin[0, -1], abs=1e-9)
    assert abs(wave.amps[1, 0, 0]) < 1e-6
