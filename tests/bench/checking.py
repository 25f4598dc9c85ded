"""Circuits of many parts checked as `lampwright check` does: judged at every corner, and assessed."""

from tests.bench.clock import core_seconds
from tests.bench.table import Row, Size

from lampwright.app.checking import check_circuit
from lampwright.network.circuit import Circuit, Part
from lampwright.spec.load import parse_spec
from lampwright.spec.model import Spec

MOST_SECONDS = 2.0
HEAD = """
lampwright = 1
title = "Many lamps on two feeds"
[supply]
system = 12
volts = [11.8, 13.5, 14.4]
[controls.brake]
kind = "switch"
feed = "54"
most_amps = 60.0
[controls.lights]
kind = "switch"
feed = "58"
[extras]
resistors = { most = 6, series = "E6", ohms = [0.1, 100.0], watts = [50] }
[search]
joints = 4
"""
MESH = (("j1", "j2"), ("j2", "j3"), ("j3", "j4"), ("j1", "j3"), ("j2", "j4"), ("j1", "j4"))


def measure(size: Size) -> tuple[Row, ...]:
    """Seconds of one core for one check, kernels loaded before."""
    sizes = [("side by side", 12, 0), ("behind resistors", 8, 4), ("in a mesh", 12, 8)]
    return tuple(_checked(*one, size) for one in sizes[: 1 if size is Size.TINY else 3])


def _checked(what: str, lamps: int, resistors: int, size: Size) -> Row:
    spec, circuit = _spec(lamps), _circuit(lamps, resistors)
    check_circuit(spec, circuit)
    seconds = core_seconds(lambda: check_circuit(spec, circuit), 1 if size is Size.TINY else 2)
    some = any("not every corner" in remark for remark in check_circuit(spec, circuit).remarks)
    said = f"{seconds:.2f} s, {'some corners' if some else 'every corner'}"
    name = f"{lamps} lamps, {resistors} resistors, {what}"
    return Row(name, said, f"<= {MOST_SECONDS:.0f} s", seconds <= MOST_SECONDS)


def _spec(lamps: int) -> Spec:
    names = [f"l{number}" for number in range(lamps)]
    offered = "".join(f'[lamps.{name}]\nchoose = ["R5W"]\n' for name in names)
    shown = ", ".join(f'{name} = "lit"' for name in names)
    row = f'[[behaviour]]\nwhen = {{ brake = "on", lights = "off" }}\nshow = {{ {shown} }}\n'
    return parse_spec(HEAD + offered + row, "many")


def _circuit(lamps: int, resistors: int) -> Circuit:
    """Lamps from the feed, or from the joints of a mesh behind a resistor, to ground."""
    parts = [
        Part(f"l{at}", "filament", f"j{1 + at % 4}" if resistors else "54", "31", lamp=f"l{at}", type="R5W")
        for at in range(lamps)
    ]
    ends = [("54", "j1"), *(MESH[at % len(MESH)] for at in range(resistors - 1))][:resistors]
    parts += [
        Part(f"R{at + 1}", "resistor", a, b, ohms=0.1 * max(1, at), watts=50.0)
        for at, (a, b) in enumerate(ends)
    ]
    return Circuit(tuple(parts))
