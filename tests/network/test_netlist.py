"""From names to numbers and back, reductions, zones, circuit files."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lampwright.errors import InputError
from lampwright.network.circuit import Circuit, Part
from lampwright.network.circuit_file import circuit_text, read_circuit
from lampwright.network.layout import LampSlot, Layout
from lampwright.network.netlist import Fitted, Netlist, draw, netlist_of
from lampwright.network.reduce import reductions
from lampwright.network.zones import Zoned, conductors

LAYOUT = Layout(
    ("58", "54", "31"),
    (LampSlot("front", ("front",), None, False), LampSlot("rear", ("stop", "tail"), "31", True)),
)
FIT = Fitted(("P21W", "P21/5W", "P21/5W"), ("1N5404",), (4.7,))


def embedding_of(ends: list[list[int]], partition: tuple[int, ...] = (0, 1, 2), joints: int = 1) -> Netlist:
    return Netlist(partition, joints, np.array(ends, np.int8), 1, 1)


@given(st.lists(st.tuples(st.integers(0, 3), st.integers(1, 3)), min_size=3, max_size=3))
def test_drawing_and_embedding_again_changes_nothing_but_direction(pairs: list[tuple[int, int]]) -> None:
    rear = [[2, (2 + shift) % 4] for _, shift in pairs[1:]]
    first = [pairs[0][0], (pairs[0][0] + pairs[0][1]) % 4]
    ends = [first, *rear, [0, 3], [3, 1]]
    one = embedding_of(ends)
    two = netlist_of(draw(one, FIT, LAYOUT), LAYOUT)
    assert two.partition == one.partition, "the same blocks"
    assert two.joints == one.joints, "the same joints"
    assert np.array_equal(np.sort(two.ends[:3]), np.sort(one.ends[:3])), "filaments between the same vertices"
    assert np.array_equal(two.ends[3], one.ends[3]), "a diode keeps its direction"


def test_wires_merge_terminals_and_are_drawn_between_them() -> None:
    one = Netlist((0, 0, 1), 0, np.array([[0, 1], [1, 0], [1, 0]], np.int8), 0, 0)
    circuit = draw(one, Fitted(("P21W", "P21/5W", "P21/5W"), (), ()), LAYOUT)
    wires = circuit.of_kind("wire")
    assert [(wire.from_node, wire.to_node) for wire in wires] == [("58", "54")], (
        "one wire joins the two feeds"
    )
    again = netlist_of(circuit, LAYOUT)
    assert again.partition == one.partition, "and it reads back"
    assert np.array_equal(np.sort(again.ends), np.sort(one.ends)), "with the same parts"


def test_a_wire_at_a_joint_takes_the_joint_away() -> None:
    parts = (
        Part(ref="front", kind="filament", from_node="58", to_node="j1", lamp="front", type="P21W"),
        Part(ref="stop", kind="filament", from_node="54", to_node="31", lamp="rear", type="P21/5W"),
        Part(ref="tail", kind="filament", from_node="58", to_node="31", lamp="rear", type="P21/5W"),
        Part("W1", "wire", "j1", "31"),
    )
    got = netlist_of(Circuit(parts), LAYOUT)
    assert got.joints == 0, "the joint is ground"
    assert got.ends.tolist() == [[0, 2], [1, 2], [0, 2]], "front lies from 58 to ground"


def test_reductions_open_and_bridge_every_extra_part_once() -> None:
    one = embedding_of([[0, 2], [2, 1], [2, 3], [0, 3], [3, 1]])
    found = [(r.removed, r.netlist.form, r.netlist.diodes, r.netlist.resistors) for r in reductions(one)]
    opened = (0, 2, 2, 1, 2, 3)
    assert found == [
        (3, (0, 1, 2, 1, *opened, 3, 1, 0), 0, 1),
        (3, (0, 1, 2, 0, 0, 2, 2, 1, 2, 0, 0, 1, 0), 0, 1),
        (4, (0, 1, 2, 1, *opened, 0, 3, 1), 1, 0),
        (4, (0, 1, 2, 0, 0, 2, 2, 1, 2, 1, 0, 1, 1), 1, 0),
    ], "each part opened, then bridged, joints renumbered; a form ends with its diodes"


def test_bridging_between_terminals_makes_a_wire() -> None:
    one = Netlist((0, 1, 2), 0, np.array([[0, 2], [2, 1], [2, 1], [0, 1]], np.int8), 0, 1)
    bridged = list(reductions(one))[1].netlist
    assert bridged.partition == (0, 0, 1), "58 and 54 are one block"
    assert bridged.wires == 1, "which takes a wire"
    assert bridged.ends.tolist() == [[0, 1], [1, 0], [1, 0]], "everything after the merged block moves down"


def test_conductors_are_nets_with_pins_in_two_zones() -> None:
    one = embedding_of([[0, 3], [2, 1], [2, 3], [0, 3], [3, 1]])
    zoned = Zoned(("vehicle", "trailer", "trailer"), ("vehicle", "vehicle", "vehicle"))
    # 54 runs to stop, 31 to the rear lamp, j1 joins front in the vehicle to tail in the trailer
    assert conductors(one, zoned) == 3, "three nets cross"
    assert conductors(one, Zoned(("", "", ""), ("", "", ""))) == 0, "nothing has a place"


def test_a_part_between_nets_of_two_zones_takes_a_conductor_wherever_it_sits() -> None:
    # 54 in the vehicle feeds, through a diode, a joint whose only lamp is on the trailer
    one = Netlist((0, 1, 2), 1, np.array([[0, 2], [3, 2], [3, 2], [1, 3]], np.int8), 1, 0)
    zoned = Zoned(("vehicle", "trailer", "trailer"), ("vehicle", "vehicle", "vehicle"))
    assert conductors(one, zoned) == 2, "ground, and either side of the diode"


def test_a_circuit_written_out_reads_back(tmp_path: Path) -> None:
    circuit = draw(embedding_of([[0, 2], [2, 1], [2, 3], [0, 3], [3, 1]]), FIT, LAYOUT)
    path = tmp_path / "own.toml"
    path.write_text(circuit_text(circuit), encoding="utf-8")
    assert read_circuit(path, LAYOUT) == circuit, "the same parts in the same order"


GOOD = """
[[part]]
ref = "front"
kind = "filament"
type = "P21W"
from = "58"
to = "31"
[[part]]
ref = "stop"
kind = "filament"
type = "P21/5W"
from = "54"
to = "31"
[[part]]
ref = "tail"
kind = "filament"
type = "P21/5W"
from = "58"
to = "31"
"""


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('to = "31"', 'to = "32"', 'own.toml: part 1 (line 2): to: "32" is no node; use a terminal (58, 5'),
        ('kind = "filament"', 'kind = "lamp"', "own.toml: part 1 (line 2): kind: 'lamp' is no kind of"),
        ('ref = "stop"', 'ref = "stpo"', 'own.toml: part: the spec has no filament "stpo"; use front, '),
        ('ref = "stop"', 'ref = "front"', 'own.toml: part: the filament "front" stands twice; keep one'),
        ('type = "P21W"', "type = 21", "own.toml: part 1 (line 2): type: 21 is no text; write it in quotes"),
        ('type = "P21W"\n', "", "own.toml: part 1 (line 2): a filament has no type; add type = ..."),
        ('from = "58"', 'from = "31"', "own.toml: part 1 (line 2): both ends are at 31; join two"),
        ('from = "58"', 'form = "58"', 'own.toml: part 1 (line 2): form: is no key of a part; did you'),
        ('type = "P21/5W"', 'type = "P21/4W"', "own.toml: rear: its filaments have different types"),
        ('to = "31"', 'to = "j1"', ""),
    ],
)  # fmt: skip
def test_wrong_circuits_are_told_apart(tmp_path: Path, old: str, new: str, said: str) -> None:
    path = tmp_path / "own.toml"
    path.write_text(GOOD.replace(old, new, 1), encoding="utf-8")
    if not said:
        assert read_circuit(path, LAYOUT).parts[0].to_node == "j1", "a joint is a node"
        return
    with pytest.raises(InputError) as caught:
        read_circuit(path, LAYOUT)
    assert said in str(caught.value), "one clear message with place and remedy"


def test_the_common_end_must_be_where_the_spec_fixes_it(tmp_path: Path) -> None:
    path = tmp_path / "own.toml"
    path.write_text(GOOD.replace('from = "54"\nto = "31"', 'from = "54"\nto = "58"'), encoding="utf-8")
    with pytest.raises(InputError, match="not every filament has an end at 31"):
        read_circuit(path, LAYOUT)


@pytest.mark.parametrize("content", [b"\xff\xfe", b"part = 3", b"[[part]", b"", b"[other]\nx = 1"])
def test_what_is_no_circuit_file_is_said_in_one_line(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "own.toml"
    path.write_bytes(content)
    with pytest.raises(InputError) as caught:
        read_circuit(path, LAYOUT)
    assert str(caught.value).startswith("own.toml"), "the place comes first"
    with pytest.raises(InputError, match="cannot be read"):
        read_circuit(tmp_path / "missing.toml", LAYOUT)
