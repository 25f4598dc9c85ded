"""The JSON Schema of circuit files judges as their reader does, on what is written and on what is wrong.

Outside judge: the `jsonschema` library's implementation of JSON Schema draft 2020-12.
"""

import json
import tomllib
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator
from tests.app.test_circuit_types import OWN_CIRCUIT, SMALL
from tests.shipped import shipped

from lampwright import load_circuit
from lampwright.app.circuit_builder import CircuitBuilder
from lampwright.app.commands import schema_text
from lampwright.errors import InputError
from lampwright.problem.reading import read_spec

SPECS = Path(__file__).parents[2] / "specs"
SCHEMA = json.loads(schema_text("circuit"))
HAND = """
lampwright = 1
title = "All kinds"
[[part]]
ref = "x"
kind = "filament"
type = "R5W"
from = "A"
to = "j1"
[[part]]
ref = "R1"
kind = "resistor"
ohms = 4.7
watts = 5
from = "j1"
to = "B"
[[part]]
kind = "diode"
type = "1N5404"
from = "B"
to = "31"
[[part]]
kind = "wire"
from = "A"
to = "C"
"""
WRONG = [
    ("[[part]]", "[[parts]]"),
    ('kind = "filament"', 'kind = "bulb"'),
    ('kind = "filament"\n', ""),
    ('ref = "x"\n', ""),
    ('type = "R5W"\n', ""),
    ('type = "1N5404"\n', ""),
    ("ohms = 4.7\n", ""),
    ("ohms = 4.7", "ohms = 0.0"),
    ("ohms = 4.7", "ohms = 2e6"),
    ("ohms = 4.7", 'ohms = "4.7"'),
    ("ohms = 4.7", "ohms = true"),
    ("watts = 5", "watts = -5"),
    ('from = "A"', 'from = ""'),
    ('from = "A"\n', ""),
    ('to = "31"\n', ""),
    ('to = "31"', "to = 31"),
    ('to = "31"', "too = 31"),
    ('ref = "R1"', f'ref = "{"R" * 65}"'),
    ('ref = "R1"', 'ref = "R\\n1"'),
    ("lampwright = 1", "lamp = 1"),
    ("lampwright = 1", "types = 1"),
    ("lampwright = 1", "types.glow = { volts = 12.0, watts = 0 }"),
    ("lampwright = 1", "types.glow = { volts = 12.0, wats = 3 }"),
]


def faults(text: str) -> list[str]:
    return [error.message for error in Draft202012Validator(SCHEMA).iter_errors(tomllib.loads(text))]


def test_it_is_a_schema_that_describes_every_key() -> None:
    Draft202012Validator.check_schema(SCHEMA)
    for part in SCHEMA["properties"]["part"]["items"]["oneOf"]:
        assert all("description" in key for key in part["properties"].values())


@pytest.mark.parametrize("name", ["lesson_4_one_or_the_other", "sidecar_side_lamp", "one_filament_stop_tail"])
def test_what_is_written_is_right(name: str) -> None:
    own = read_spec(SPECS / f"{name}.toml").types
    designs = shipped(name).designs
    assert designs
    for design in designs[:20]:
        assert faults(CircuitBuilder.of_design(design, own).to_toml()) == []


@pytest.mark.parametrize("text", [HAND, OWN_CIRCUIT + SMALL])
def test_what_is_written_by_hand_is_right(text: str, tmp_path: Path) -> None:
    path = tmp_path / "circuit.toml"
    path.write_text(text)
    assert faults(text) == []
    assert faults(load_circuit(path).to_toml()) == []


@pytest.mark.parametrize(("old", "new"), WRONG)
def test_what_the_reader_refuses_is_wrong(old: str, new: str, tmp_path: Path) -> None:
    assert old in HAND
    path = tmp_path / "circuit.toml"
    path.write_text(HAND.replace(old, new))
    with pytest.raises(InputError):
        load_circuit(path)
    assert faults(path.read_text())
