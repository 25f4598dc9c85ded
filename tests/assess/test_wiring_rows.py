"""The wiring list of shipped designs, from the spec's table to rows, words and bad sizes.

No outside source: rows are compared with the harness and the spec they come from.
"""

from dataclasses import replace
from pathlib import Path

import pytest

from lampwright.assess.wiring import wiring_of
from lampwright.errors import InputError
from lampwright.network.circuit_file import parse_circuit
from lampwright.network.netlist import netlist_of
from lampwright.problem.problem import Choice, layout_of, prepare
from lampwright.problem.reading import read_spec
from lampwright.results.wiring import WiringList
from lampwright.spec.model import Spec, Wiring

SPECS = Path(__file__).parents[2] / "specs"
WIRING = Wiring(2.0, (("vehicle", "vehicle", 1.5), ("vehicle", "trailer", 4.0)), (0.5, 0.75, 1.0), 0.5, 60.0)
ENDS = (("left", "58L", "31"), ("right", "58R", "31"), ("telltale", "58L", "58R"))


def telltale(wiring: Wiring | None, most_amps: float = 5.0) -> WiringList | None:
    spec = read_spec(SPECS / "trailer_feed_telltale.toml")
    lamps = tuple(
        replace(lamp, choose=(kind,))
        for lamp, kind in zip(spec.lamps, ("R10W", "R10W", "W2.3W"), strict=True)
    )
    controls = tuple(replace(control, most_amps=most_amps) for control in spec.controls)
    spec = replace(spec, lamps=lamps, controls=controls, wiring=wiring)
    return listed(spec)


def listed(spec: Spec) -> WiringList | None:
    problem = prepare(spec)
    rows: list[object] = [
        {"ref": ref, "kind": "filament", "type": "X", "from": low, "to": high} for ref, low, high in ENDS
    ]
    circuit = parse_circuit({"part": rows}, "circuit", layout_of(spec))
    return wiring_of(problem, netlist_of(circuit, problem.layout), Choice((0, 0, 0)))


def test_no_table_no_list() -> None:
    assert telltale(None) is None


def test_the_list_of_the_telltale() -> None:
    """By hand: three conductors on pins 7, 5 and 3, one splice, a fuse for each feed."""
    wiring = telltale(WIRING)
    assert wiring is not None
    assert [(w.number, w.net, w.from_node, w.to_node, w.zone, w.pin) for w in wiring.wires] == [
        (1, "58L", "58L", "telltale", "vehicle", ""),
        (2, "58L", "58L", "left", "vehicle-trailer", "7"),
        (3, "58R", "58R", "telltale", "vehicle", ""),
        (4, "58R", "58R", "right", "vehicle-trailer", "5"),
        (5, "31", "31", "left", "vehicle-trailer", "3"),
        (6, "31", "left", "right", "trailer", ""),
    ]
    assert [wire.metres for wire in wiring.wires] == [1.5, 4.0, 1.5, 4.0, 4.0, 2.0]
    assert wiring.metres == 17.0
    assert [(row.at, row.zone, row.wires) for row in wiring.splices] == [("left", "trailer", (5, 6))]
    assert [(row.zones, row.wires) for row in wiring.couplings] == [("vehicle-trailer", (2, 4, 5))]
    assert [(row.feed, row.fuse_amps, row.colour) for row in wiring.fuses] == [
        ("58L", 2.0, "grey"),
        ("58R", 2.0, "grey"),
    ]
    assert [row.terminal for row in wiring.terminals] == ["58L", "58R", "31"]
    assert wiring.wires[4].awg == {0.5: 20, 0.75: 18, 1.0: 16}[wiring.wires[4].area_mm2]
    assert all(wire.colour == "" for wire in wiring.wires)
    assert wiring.meets
    assert wiring.warnings == ()


def test_what_a_builder_must_look_at() -> None:
    """Long thin wire misses the spec and the drop; a control that carries less than its fuse is named."""
    wiring = telltale(Wiring(40.0, (), (0.5,), 0.5, 60.0), most_amps=1.2)
    assert wiring is not None
    assert not wiring.meets
    said = "\n".join(wiring.warnings)
    assert "With its wires in place the circuit misses the spec by" in said
    assert "right loses" in said
    assert "A fuse of 2 A in 58L is more than the 1.2 A that left_tail carries." in said
    assert [row.within for row in wiring.lamps] == [False, False, False]


def test_sizes_no_shop_has(tmp_path: Path) -> None:
    text = (SPECS / "trailer_feed_telltale.toml").read_text(encoding="utf-8")
    path = tmp_path / "tail.toml"
    path.write_text(text.split("[wiring]")[0] + "\n[wiring]\nsizes = [0.5, 0.6]\n", encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_spec(path)
    assert [str(finding) for finding in caught.value.findings] == [
        "tail.toml: wiring: 0.6 mm2 is no wire known here; use sizes of 0.5, 0.75, 1, 1.5, 2, 2.5, 3, 6"
    ]
