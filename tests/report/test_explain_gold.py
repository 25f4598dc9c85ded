"""The explanation of every shipped spec's first design, byte for byte; `gold/README.md` tells how to accept.

Where the spec has no design, the circuit one would try first is explained, and why it fails.
"""

import os
from pathlib import Path

import pytest
from tests.report.test_explain.test_lost_ground import LAMPS, PART, SPEC
from tests.shipped import shipped

from lampwright.app.explaining import explain_circuit
from lampwright.network.circuit import Circuit, Part
from lampwright.network.circuit_file import circuit_text
from lampwright.report.explain.text import explanation_text

ROOT = Path(__file__).parents[2]
GOLD = Path(__file__).parent / "gold"
SPECS = [path.stem for path in sorted((ROOT / "specs").glob("*.toml"))]
TRIED = {
    "no_such_circuit": (
        Part(ref="rear", kind="filament", from_node="58", to_node="j1", lamp=None, type="P21W"),
        Part(ref="plate", kind="filament", from_node="j1", to_node="31", lamp=None, type="C5W"),
    ),
    "stop_tail_coarse_drawer": (
        Part(ref="rear", kind="filament", from_node="54", to_node="31", lamp=None, type="P21W"),
        Part(ref="R1", kind="resistor", from_node="58", to_node="54", ohms=4.7, watts=25.0),
    ),
}


def first_design(name: str) -> Circuit:
    """The parts of the first design of the kept result."""
    designs = shipped(name).designs
    if not designs:
        return Circuit(TRIED[name])
    fields = ("ref", "kind", "from_node", "to_node", "lamp", "type", "ohms", "watts")
    return Circuit(tuple(Part(*(getattr(part, field) for field in fields)) for part in designs[0].parts))


@pytest.mark.parametrize("name", SPECS)
def test_as_accepted(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    circuit = Path("circuit.toml")
    circuit.write_text(circuit_text(first_design(name)), encoding="utf-8")
    spec = Path(f"{name}.toml")
    spec.write_text((ROOT / "specs" / spec).read_text(encoding="utf-8"), encoding="utf-8")
    expect_gold(explanation_text(explain_circuit(spec, circuit)), f"explain_{name}.txt")


BLOWN = """
[[behaviour]]
when = { fuse_blown = "lights", brake = "on" }
show = { stop = "lit" }
[[behaviour]]
when = { failed = "stop", fuse_blown = "lights" }
show = { stop = "any" }
[[behaviour]]
when = { ground_lost = "trailer", fuse_blown = "brake" }
show = { dash = "off" }
"""


def test_lost_grounds_and_blown_fuses(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    circuit, spec = Path("circuit.toml"), Path("trailer.toml")
    parts = (PART.format(name=name, type=kind, feed=feed) for name, (kind, feed) in LAMPS.items())
    circuit.write_text("".join(parts), encoding="utf-8")
    spec.write_text(SPEC + BLOWN, encoding="utf-8")
    expect_gold(explanation_text(explain_circuit(spec, circuit)), "explain_lost_grounds.txt")


def expect_gold(text: str, name: str) -> None:
    gold = GOLD / name
    if os.environ.get("LAMPWRIGHT_ACCEPT"):
        gold.write_text(text, encoding="utf-8")
    assert text == gold.read_text(encoding="utf-8"), "the text changed; gold/README.md says what to do"
    assert max(len(line) for line in text.splitlines()) <= 80, "wider than a terminal"
