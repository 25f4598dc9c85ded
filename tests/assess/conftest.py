"""Circuits on the bench: a spec, a circuit, and what faults do to it."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from lampwright.app.checking import judge_circuit
from lampwright.assess.faults.examine import Examined, FaultFinder
from lampwright.assess.faults.listing import Circuitry
from lampwright.network.circuit import Circuit, Part
from lampwright.network.netlist import Netlist, netlist_of
from lampwright.parts.catalogue import lamp_type
from lampwright.problem.problem import Problem
from lampwright.problem.reading import problem_of_circuit
from lampwright.results.care import FaultRow
from lampwright.spec.load import load_spec, parse_spec
from lampwright.spec.model import Spec

SPECS = Path(__file__).parents[2] / "specs"


def lamp(ref: str, of: str, kind: str, a: str, b: str) -> Part:
    return Part(ref, "filament", a, b, lamp=of, type=kind)


SIDECAR = (
    lamp("front", "front", "P21W", "49a", "31"),
    lamp("side", "side", "W2.3W", "49a", "54"),
    lamp("stop", "rear", "P21/5W", "54", "31"),
    lamp("tail", "rear", "P21/5W", "58", "31"),
)
TRAILER = (
    lamp("left", "left", "R10W", "58L", "31"),
    lamp("right", "right", "R10W", "58R", "31"),
    lamp("telltale", "telltale", "W2.3W", "58L", "58R"),
)


@dataclass(frozen=True)
class Built:
    """One circuit of one spec, and what faults do to it."""

    spec: Spec
    problem: Problem
    circuit: Circuit
    netlist: Netlist
    found: Examined

    def outcome(self, what: str) -> FaultRow:
        """What the fault with these words does."""
        return next(one for one in self.found.faults if one.fault == what)

    def levels(self) -> dict[tuple[str, str], str]:
        """Levels of the sound circuit as `check` gives them: by state and filament."""
        return checked(self.spec, self.circuit)

    def levels_under(self, what: str) -> dict[tuple[str, str], str]:
        """Levels under a fault: the sound ones with the fault's changes."""
        levels = self.levels()
        for change in self.outcome(what).changes:
            for state in change.states:
                assert levels[state, change.lamp] == change.was, "the sound level is what `check` gives"
                levels[state, change.lamp] = change.now
        return levels


def checked(spec: Spec, circuit: Circuit) -> dict[tuple[str, str], str]:
    design = judge_circuit(spec, circuit).design
    return {(row.full_name, reading.lamp): reading.level for row in design.states for reading in row.lamps}


def build(spec: Spec | str, parts: tuple[Part, ...], watts: tuple[float, ...] = ()) -> Built:
    """A circuit by hand; a spec by its file's name or as text."""
    if isinstance(spec, str):
        spec = parse_spec(spec, "inline") if "\n" in spec else load_spec(SPECS / f"{spec}.toml")
    circuit = Circuit(parts)
    problem = problem_of_circuit(spec, circuit, "circuit")
    netlist = netlist_of(circuit, problem.layout)
    finder = FaultFinder(problem)
    drawn = [part for part in parts if part.kind != "wire"]
    vertices = netlist.blocks + netlist.joints
    names = {v: name for name, v in zip(problem.layout.terminals, netlist.partition, strict=True)}
    kinds = {part.lamp: part.type or "" for part in circuit.of_kind("filament")}
    offered = [diode.name for diode in problem.part_options.diode_types]
    circuitry = Circuitry(
        netlist=netlist,
        refs=tuple(part.ref for part in drawn),
        nodes=tuple(names.get(v, f"j{v - netlist.blocks + 1}") for v in range(vertices)),
        lamps=problem.layout.filaments_of,
        kinds=tuple(lamp_type(kinds[slot.lamp], spec.supply.system) for slot in problem.layout.lamps),
        diodes=tuple(offered.index(part.type or "") for part in circuit.of_kind("diode")),
        ohms=tuple(part.ohms or 0.0 for part in circuit.of_kind("resistor")),
        watts=watts,
    )
    return Built(spec, problem, circuit, netlist, finder.examine(circuitry))


@pytest.fixture(scope="session")
def builder() -> Callable[..., Built]:
    """Give the function, since a conftest cannot be imported."""
    return build


@pytest.fixture(scope="session")
def sidecar() -> Built:
    return build("sidecar_side_lamp", SIDECAR)


@pytest.fixture(scope="session")
def trailer() -> Built:
    return build("trailer_feed_telltale", TRAILER)


@pytest.fixture(scope="session")
def check_levels() -> Callable[[Spec, Circuit], dict[tuple[str, str], str]]:
    """Give what `check` says of a circuit: levels by state and filament."""
    return checked


ONE_LAMP = """
lampwright = 1
title = "One lamp on a lever that reverses it"
[supply]
system = 12
volts = [11.8, 13.5, 14.4]
always_live = false
[controls.lever]
kind = "positions"
most_amps = 2.5
positions = { ahead = [["30", "A"], ["31", "B"]], off = [], astern = [["30", "B"], ["31", "A"]] }
[lamps.one]
choose = ["P21W"]
[lamps.two]
choose = ["R5W"]
[extras]
resistors = { most = 1, series = "E6", ohms = [1.0, 100.0], watts = [5] }
diodes = { most = 1, choose = ["1N4007"] }
[[behaviour]]
when = { lever = "ahead" }
show = { one = "lit", two = "lit" }
[[behaviour]]
when = { lever = "astern" }
show = { one = "lit", two = "off" }
"""


@pytest.fixture(scope="session")
def reversing() -> Built:
    parts = (
        Part("one", "filament", "A", "B", lamp="one", type="P21W"),
        Part("two", "filament", "j1", "B", lamp="two", type="R5W"),
        Part("D1", "diode", "A", "j2", type="1N4007"),
        Part("R1", "resistor", "j2", "j1", ohms=4.7),
    )
    return build(ONE_LAMP, parts, (5.0,))
