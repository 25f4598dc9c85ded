"""Random circuits of every shipped spec, and one with a change-over switch, judged and explained.

The circuits are any parts between any nodes: most do nothing sensible, and all must be
explained without a false word. Source: none; the draw is by a fixed seed.
"""

import random
from dataclasses import dataclass
from pathlib import Path

import pytest
from tests.once import once
from tests.selection import examples

from lampwright.app.checking import judge_circuit
from lampwright.app.controls import controls_of
from lampwright.errors import InputError
from lampwright.network.circuit import Circuit, Part
from lampwright.network.circuit_file import circuit_text, read_circuit
from lampwright.network.netlist import Fitted, draw, netlist_of
from lampwright.problem.problem import layout_of
from lampwright.problem.reading import read_spec
from lampwright.report.explain.explain import explain_design
from lampwright.results.design import Design
from lampwright.results.explanation import Explanation
from lampwright.spec.model import Spec

EVERY = sorted((Path(__file__).parents[3] / "specs").glob("*.toml"))
SPECS = [path for path in EVERY if "\n[types." not in path.read_text(encoding="utf-8")]
"""Those of catalogue lamps: what a lamp is rated at is held against the catalogue."""
EACH = examples(20, 36)
"""Random circuits per spec; those with a shorted supply do not count."""
CHANGEOVER = """
lampwright = 1
title = "Changeover"
[supply]
system = 12
volts = [11.8, 13.5, 14.4]
always_live = true
[controls.way]
kind = "positions"
positions = { left = [["30", "L"]], off = [], right = [["30", "M"], ["31", "L"]], both = [["L", "M"]] }
[controls.turn]
kind = "flasher"
feed = "49a"
[lamps.one]
choose = ["P21W", "W5W"]
[lamps.two]
choose = ["R5W", "W2.3W"]
[lamps.three]
choose = ["R10W"]
[[behaviour]]
when = { way = "left" }
show = { one = "any" }
"""


@dataclass(frozen=True)
class Case:
    """A circuit of a spec, judged and explained."""

    spec: Spec
    design: Design
    explanation: Explanation


def random_circuit(spec: Spec, chance: random.Random) -> Circuit:
    """Any filaments, diodes, resistors and wires between any nodes, drawn as the search draws."""
    layout = layout_of(spec)
    nodes = [*layout.terminals, *["j1", "j2", "j3"][: chance.randint(1, 3)]]
    types = {lamp.name: chance.choice(lamp.choose) for lamp in spec.lamps}
    parts = []
    for slot in layout.lamps:
        hub = slot.common or chance.choice(nodes)
        for name in slot.filaments:
            a = hub if slot.common or slot.shared else chance.choice(nodes)
            b = chance.choice([node for node in nodes if node != a])
            parts.append(
                Part(ref=name, kind="filament", from_node=a, to_node=b, lamp=slot.lamp, type=types[slot.lamp])
            )
    for number in range(1, 1 + chance.choice([0, 0, 1, 1, 2])):
        a, b = chance.sample(nodes, 2)
        parts.append(Part(f"D{number}", "diode", a, b, type="1N5404"))
    for number in range(1, 1 + chance.choice([0, 1, 1, 2, 3])):
        a, b = chance.sample(nodes, 2)
        ohms = chance.choice([1.0, 4.7, 22.0, 470.0, 100_000.0])
        parts.append(Part(f"R{number}", "resistor", a, b, ohms=ohms))
    for number in range(1, 1 + chance.choice([0, 0, 0, 1])):
        a, b = chance.sample(layout.terminals, 2)
        parts.append(Part(f"W{number}", "wire", a, b))
    return drawn(Circuit(tuple(parts)), spec)


def drawn(circuit: Circuit, spec: Spec) -> Circuit:
    layout = layout_of(spec)
    kinds = [circuit.of_kind(kind) for kind in ("filament", "diode", "resistor")]
    what = Fitted(
        tuple(p.type or "" for p in kinds[0]),
        tuple(p.type or "" for p in kinds[1]),
        tuple(p.ohms or 0.0 for p in kinds[2]),
    )
    return draw(netlist_of(circuit, layout), what, layout)


def judged(circuit: Circuit, spec: Spec, folder: Path) -> Case | None:
    """Judge a circuit file and explain it; None where it is no circuit, as with a shorted supply."""
    path = folder / "circuit.toml"
    path.write_text(circuit_text(circuit), encoding="utf-8")
    try:
        design = judge_circuit(spec, read_circuit(path, layout_of(spec))).design
    except InputError:
        return None
    return Case(spec, design, explain_design(design, controls_of(spec)))


def bridge(spec: Spec) -> Circuit:
    """Three lamps and two resistors as a bridge, which is neither series nor parallel."""
    arms = [("A", "S1", "j1"), ("B", "S1", "j2"), ("C", "j1", "31")]
    parts = [
        Part(ref=ref, kind="filament", from_node=a, to_node=b, lamp=ref, type="P21W") for ref, a, b in arms
    ]
    parts += [Part("R1", "resistor", "j2", "31", ohms=22.0), Part("R2", "resistor", "j1", "j2", ohms=4.7)]
    return drawn(Circuit(tuple(parts)), spec)


@pytest.fixture(scope="session")
def cases(tmp_path_factory: pytest.TempPathFactory) -> tuple[Case, ...]:
    """Draw, judge and explain them all."""
    return once("explained", lambda: explained(tmp_path_factory.mktemp("explain")))


def explained(folder: Path) -> tuple[Case, ...]:
    """Draw, judge and explain them all, by way of files in a folder."""
    changeover = folder / "changeover.toml"
    changeover.write_text(CHANGEOVER, encoding="utf-8")
    found = []
    for seed, path in enumerate([*SPECS, changeover]):
        spec, chance, done = read_spec(path), random.Random(seed), 0
        if path.stem == "classroom_three_lamps":
            found.append(judged(bridge(spec), spec, folder))
        while done < EACH:
            found.append(judged(random_circuit(spec, chance), spec, folder))
            done += found[-1] is not None
    return tuple(case for case in found if case is not None)
