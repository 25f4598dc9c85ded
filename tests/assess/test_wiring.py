"""Wires in the circuit: a case in closed form, the plain twin, and what a builder relies on.

Closed form: one lamp with its wires is V = U(I) + I R, solved by scipy's brentq on the
filament's own heat balance. The twin (scipy, no kernels) solves every pin and wire by itself.
"""

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq

from lampwright.assess.wired_circuit import WiredCircuit, fit_wired, with_wires
from lampwright.assess.wiring import metres_between, wiring_of
from lampwright.judge.judge import Judge
from lampwright.network.circuit import Circuit
from lampwright.network.circuit_file import parse_circuit
from lampwright.network.netlist import Netlist, netlist_of
from lampwright.network.wiring import harness_of
from lampwright.parts.catalogue import lamp_type
from lampwright.parts.filament import amps_at, volts_at
from lampwright.parts.wires import continuous_amps, ohms_per_metre
from lampwright.problem.problem import Choice, Problem, layout_of, prepare
from lampwright.problem.reading import read_spec
from lampwright.results.wiring import WiringList
from lampwright.solve.twin import TwinPart, operating_point
from lampwright.spec.load import parse_spec
from lampwright.spec.model import Spec, Wiring

SPECS = Path(__file__).parents[2] / "specs"
ZONES = (("vehicle", "vehicle", 1.5), ("vehicle", "trailer", 4.0))
SIZES = (0.5, 0.75, 1.0, 1.5, 2.5)
ONE_LAMP = """
lampwright = 1
title = "one stop lamp"
[supply]
system = 12
volts = [11.8, 13.5, 14.4]
[controls.brake]
kind = "switch"
feed = "54"
[lamps.stop]
choose = ["P21W"]
[[behaviour]]
when = { brake = "on" }
show = { stop = "lit" }
"""
TELLTALE = (("left", "58L", "31"), ("right", "58R", "31"), ("telltale", "58L", "58R"))


def fixed(spec: Spec, choose: tuple[str, ...]) -> Spec:
    lamps = tuple(replace(lamp, choose=(kind,)) for lamp, kind in zip(spec.lamps, choose, strict=True))
    return replace(spec, lamps=lamps)


def of_filaments(spec: Spec, ends: tuple[tuple[str, str, str], ...]) -> Circuit:
    rows: list[object] = [
        {"ref": ref, "kind": "filament", "type": "X", "from": low, "to": high} for ref, low, high in ends
    ]
    return parse_circuit({"part": rows}, "circuit", layout_of(spec))


def lengths_of(most_drop: float = 0.5, sizes: tuple[float, ...] = SIZES, length: float = 2.0) -> Wiring:
    return Wiring(length, ZONES, sizes, most_drop, 60.0)


class Case:
    """A circuit of filaments with its problem; the first choice of every lamp."""

    def __init__(self, spec: Spec, ends: tuple[tuple[str, str, str], ...]) -> None:
        self.problem: Problem = prepare(spec)
        self.netlist: Netlist = netlist_of(of_filaments(spec, ends), self.problem.layout)
        self.choice = Choice((0,) * len(spec.lamps))

    def wired(self, wiring: Wiring) -> WiringList:
        problem = replace(self.problem, spec=replace(self.problem.spec, wiring=wiring))
        found = wiring_of(problem, self.netlist, self.choice)
        assert found is not None
        return found

    def circuit(self, plan: WiringList) -> WiredCircuit:
        """The circuit with the wires of a plan."""
        harness = harness_of(self.netlist, self.problem.layout, self.problem.zoned)
        ohms = tuple(wire.ohms for wire in plan.wires)
        return with_wires(self.netlist, harness, self.problem.layout, ohms)


@pytest.fixture(scope="module")
def telltale() -> Case:
    spec = fixed(read_spec(SPECS / "trailer_feed_telltale.toml"), ("R10W", "R10W", "W2.3W"))
    return Case(spec, TELLTALE)


@pytest.fixture(scope="module")
def one_lamp() -> Case:
    return Case(parse_spec(ONE_LAMP, "one"), (("stop", "54", "31"),))


def closed_form(ohms: float, volts: float, share: float) -> float:
    """The current of a P21W behind wires, `share` of its nominal current at equal volts."""
    filament = lamp_type("P21W", 12).filaments[0]

    def excess(kelvin: float) -> float:
        return float(volts_at(filament, kelvin) + ohms * share * amps_at(filament, kelvin)) - volts

    hot = brentq(excess, 300.0, 3600.0)
    return float(share * amps_at(filament, hot))


def test_one_lamp_in_closed_form(one_lamp: Case) -> None:
    """4 m out and 4 m back of 0.75 mm² at 60 C: 0.24 ohm; the strongest lamp at 14.4 V loses 0.47 V."""
    plan = one_lamp.wired(lengths_of(sizes=(0.75,), length=4.0))
    ohms = 8.0 * ohms_per_metre(0.75, 60.0)
    share = 1.0 + one_lamp.problem.part_options.filaments[0].watts_tolerance
    amps = closed_form(ohms, 14.4, share)
    # the kernel reads a tabulated curve, good to some 1e-6
    assert [wire.amps for wire in plan.wires] == pytest.approx([amps, amps], rel=1e-5)
    assert plan.lamps[0].drop_volts == pytest.approx(amps * ohms, rel=1e-5)
    assert 0.4 < plan.lamps[0].drop_volts < 0.5
    assert plan.fuses[0].amps == pytest.approx(amps, rel=1e-5)
    assert plan.fuses[0].fuse_amps is not None
    assert plan.fuses[0].fuse_amps == 3.0


def test_the_judge_sees_the_lamp_behind_its_wires(one_lamp: Case) -> None:
    """The worst corner, low supply and a weak lamp, by the closed form."""
    plan = one_lamp.wired(lengths_of(sizes=(0.5,), length=4.0))
    ohms = 8.0 * ohms_per_metre(0.5, 60.0)
    judge, circuit = Judge(one_lamp.problem), one_lamp.circuit(plan)
    fit = fit_wired(one_lamp.problem, circuit, one_lamp.choice)
    verdicts = judge.judge_fit(circuit.netlist, fit, len(circuit.ohms)).verdicts
    volts = closed_form(ohms, 13.5, 1.0)
    assert abs(verdicts.amps[1, 0]) == pytest.approx(volts, rel=1e-5)
    bare = judge.judge(one_lamp.netlist, one_lamp.choice).margin
    weakest = 11.8 - ohms * closed_form(
        ohms, 11.8, 1.0 + one_lamp.problem.part_options.filaments[0].watts_tolerance
    )
    # light goes as about volts^3.4 (IES handbook), so the loss of volts costs so many stops
    assert bare - (plan.margin_stops or 0.0) == pytest.approx(3.5 * np.log2(11.8 / weakest), rel=0.1)


def test_every_wire_by_the_plain_twin(telltale: Case) -> None:
    """All pins as nodes and all wires as resistors of their own, solved by scipy: the same currents."""
    problem, harness = (
        telltale.problem,
        harness_of(telltale.netlist, telltale.problem.layout, telltale.problem.zoned),
    )
    plan = telltale.wired(lengths_of())
    node = {end: pin for pin, one in enumerate(harness.pins) for end in one.ends}
    worst = np.zeros(len(harness.wires))
    # the likelier filling: at full volts both take the same
    filaments = [problem.part_options.filaments[models[0]] for models in problem.part_options.filament_model]
    for state in problem.states:
        live = {contact.b for contact in state.contacts}
        number = {}
        for pin, one in enumerate(harness.pins):
            name = None if one.terminal is None else problem.layout.terminals[one.terminal]
            number[pin] = 0 if name == "31" else 1 if name in live else 2 + pin
        for share in (0.0, 1.0):
            parts = []
            for part, filament in enumerate(filaments):
                tail, head = (number[pin] for end, pin in sorted(node.items(), key=str) if end.part == part)
                parts.append(TwinPart(tail, head, filament, 1.0 + share * filament.watts_tolerance))
            for wire, fitted in zip(harness.wires, plan.wires, strict=True):
                parts.append(TwinPart(number[wire.near], number[wire.far], fitted.ohms))
            point = operating_point(parts, 2 + len(harness.pins), 14.4)
            assert point.converged
            worst = np.maximum(worst, np.abs(point.amps[len(filaments) :]))
    # the twin leaves at most 2e-8 A at each of 11 nodes; the kernel's curve is good to some 1e-6
    assert [wire.amps for wire in plan.wires] == pytest.approx(list(worst), rel=2e-5, abs=1e-6)


@pytest.mark.parametrize(
    ("through", "beyond", "most"), [(4, 2, 0.3), (6, 1, 0.4), (6, 8, 0.35), (2, 0.5, 0.12)]
)
def test_no_wire_could_be_a_size_thinner(telltale: Case, through: float, beyond: float, most: float) -> None:
    """Each wire, taken a size down, misses its current, its fuse or the volts a lamp may lose."""
    lengths = (("vehicle", "trailer", through), ("trailer", "trailer", beyond))
    plan = telltale.wired(Wiring(2.0, lengths, SIZES, most, 60.0))
    thick = telltale.wired(Wiring(2.0, lengths, SIZES[-1:], most, 60.0))
    assert all(lamp.drop_volts <= most for lamp in plan.lamps)
    for number, wire in enumerate(plan.wires):
        assert wire.carries_amps >= max(wire.amps, wire.fuse_amps)
        if wire.area_mm2 == SIZES[0]:
            continue
        thinner = SIZES[SIZES.index(wire.area_mm2) - 1]
        ohms = [other.ohms for other in plan.wires]
        ohms[number] = wire.metres * ohms_per_metre(thinner, 60.0)
        drops = [sum(thick.wires[at - 1].amps * ohms[at - 1] for at in lamp.wires) for lamp in plan.lamps]
        too_hot = continuous_amps(thinner) < max(wire.amps, wire.fuse_amps)
        assert too_hot or max(drops) > most, f"wire {number + 1}"
    assert len({wire.area_mm2 for wire in plan.wires}) > 1, "there was something to choose"


def test_fuses_protect_every_wire_next_to_a_feed(telltale: Case) -> None:
    for feed in telltale.wired(lengths_of()).fuses:
        assert feed.fuse_amps is not None
        assert feed.amps <= 0.75 * feed.fuse_amps
        assert feed.fuse_amps <= feed.carries_amps


def test_a_fuse_decides_the_size_of_wires() -> None:
    """Two P21W on one feed: 4 A, a fuse of 7.5 A, so 1 mm² (8.75 A), though a lamp's wire takes 2 A."""
    text = ONE_LAMP.replace("[lamps.stop]", '[lamps.other]\nchoose = ["P21W"]\n[lamps.stop]')
    case = Case(parse_spec(text, "two"), (("other", "54", "31"), ("stop", "54", "31")))
    plan = case.wired(lengths_of(length=0.5))
    assert plan.fuses[0].fuse_amps is not None
    assert plan.fuses[0].fuse_amps == 7.5
    assert max(wire.amps for wire in plan.wires) < continuous_amps(0.5)
    assert {(wire.fuse_amps, wire.area_mm2) for wire in plan.wires} == {(7.5, 1.0)}


def test_nothing_suffices(telltale: Case) -> None:
    """With one thin size and a tenth of a volt the largest on offer is taken, and the drop told."""
    plan = telltale.wired(lengths_of(0.1, (0.5,)))
    assert {wire.area_mm2 for wire in plan.wires} == {0.5}
    assert max(lamp.drop_volts for lamp in plan.lamps) > 0.1


def test_the_shortest_wires_change_next_to_nothing(telltale: Case) -> None:
    bare = Judge(telltale.problem).judge(telltale.netlist, telltale.choice).margin
    short = telltale.wired(Wiring(0.01, (), (2.5,), 0.5, 20.0))  # the shortest the format allows
    assert short.meets
    assert short.warnings == ()
    # 80 µΩ at 2 A is 0.16 mV of 12 V; light goes as about volts^3.5: 7e-5 stops a wire
    assert short.margin_stops == pytest.approx(bare, abs=5e-4)
    far_off = telltale.wired(lengths_of()).margin_stops
    assert far_off is not None
    assert far_off < bare, "a trailer four metres off is not"


def test_a_steady_resistor_is_one_without_tolerance(one_lamp: Case) -> None:
    """A wire is judged as a resistor of no tolerance is by the ordinary way."""
    spec = one_lamp.problem.spec
    harness = harness_of(one_lamp.netlist, one_lamp.problem.layout, one_lamp.problem.zoned)
    wired = with_wires(one_lamp.netlist, harness, one_lamp.problem.layout, (0.6, 0.4))
    assert wired.ohms == (1.0,)
    limits = one_lamp.problem.limits._replace(watts=np.inf)
    loose = replace(one_lamp.problem.part_options, ohms_tolerance=0.2)  # of resistors, and none of a wire's
    judge = Judge(replace(one_lamp.problem, limits=limits, part_options=loose))
    by_wires = judge.judge_fit(wired.netlist, fit_wired(one_lamp.problem, wired, one_lamp.choice), 1)
    rows: list[object] = [
        {"ref": "stop", "kind": "filament", "type": "P21W", "from": "54", "to": "j1"},
        {"kind": "resistor", "ohms": 1.0, "from": "j1", "to": "31"},
    ]
    layout = layout_of(spec)
    part_options = replace(one_lamp.problem.part_options, ohms=(1.0,), ohms_tolerance=0.0)
    ordinary = Judge(replace(judge.problem, part_options=part_options))
    by_part = ordinary.judge(netlist_of(parse_circuit({"part": rows}, "c", layout), layout), Choice((0, 0)))
    assert by_wires.margin == pytest.approx(by_part.margin, abs=1e-9)  # the same arithmetic, other order
    tolerant = Judge(replace(judge.problem, part_options=replace(part_options, ohms_tolerance=0.2)))
    assert tolerant.judge(
        netlist_of(parse_circuit({"part": rows}, "c", layout), layout), Choice((0, 0))
    ).margin != (pytest.approx(by_wires.margin, abs=1e-3))


def test_lengths_by_zones() -> None:
    wiring = lengths_of(length=9.0)
    assert metres_between(wiring, "trailer", "vehicle") == 4.0
    assert metres_between(wiring, "vehicle", "vehicle") == 1.5
    assert metres_between(wiring, "trailer", "trailer") == 9.0


def test_too_large_is_said() -> None:
    lamps = "".join(f'[lamps.l{n}]\nchoose = ["R5W"]\n' for n in range(12))
    feeds = "".join(f'[controls.c{n}]\nkind = "switch"\nfeed = "F{n}"\n' for n in range(4))
    text = ONE_LAMP.replace('[lamps.stop]\nchoose = ["P21W"]\n', lamps + feeds).replace("stop = ", "l1 = ")
    case = Case(parse_spec(text, "many"), tuple((f"l{n}", "54", "31") for n in range(12)))
    found = case.wired(lengths_of())
    assert (found.meets, found.margin_stops, found.wires) == (None, None, ())
    (warning,) = found.warnings
    assert re.search(r"has \d+ parts and \d+ nodes; the solver holds 32 and 18\.$", warning)
