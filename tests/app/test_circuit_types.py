"""Circuit files that bring lamps of their own: read, explained, drawn, checked, and held against a spec's."""

from pathlib import Path

import pytest

import lampwright
from lampwright import load_circuit
from lampwright.app.alone import draw_lone, lone_circuit
from lampwright.app.checking import helped_spec
from lampwright.app.circuit_builder import CircuitBuilder
from lampwright.app.trying import check_file
from lampwright.errors import InputError
from lampwright.network.circuit_file import read_parts
from lampwright.problem.reading import read_spec
from lampwright.workbench.own import OwnCircuit

GLOW = "[types.GLOW]\nvolts = 12.0\nwatts = WATTS\nlumens = 30.0\n"
CIRCUIT = '[[part]]\nref = "x"\nkind = "filament"\ntype = "GLOW"\nfrom = "A"\nto = "31"\n'
SPEC = """
lampwright = 1
title = "One lamp"
[supply]
system = 12
volts = [11.8, 13.5, 14.4]
[controls]
a = { kind = "switch", feed = "A" }
[lamps]
x = { choose = ["R5W"] }
[[behaviour]]
when = { a = "on" }
show = { x = "lit" }
"""


def written(folder: Path, text: str, name: str = "circuit.toml") -> Path:
    path = folder / name
    path.write_text(text)
    return path


def brought(watts: float) -> str:
    return GLOW.replace("WATTS", f"{watts}")


def test_it_needs_no_spec(tmp_path: Path) -> None:
    path = written(tmp_path, brought(6.0) + CIRCUIT)
    lone = lone_circuit(path, 12.0)
    # at its rated volts a lamp takes its rated watts: 6 W / 12 V
    assert lone.design.states[-1].parts[0].amps == pytest.approx(0.5, rel=1e-6)
    assert "x burns" in str(lone.explanation())
    draw_lone(path, tmp_path / "circuit.svg", None)
    assert "GLOW" in (tmp_path / "circuit.svg").read_text()
    assert load_circuit(path).own[0].name == "GLOW"


def test_it_is_checked_against_a_spec_that_does_not_know_it(tmp_path: Path) -> None:
    spec, path = written(tmp_path, SPEC, "spec.toml"), written(tmp_path, brought(6.0) + CIRCUIT)
    report = check_file(spec, path)
    assert report.meets
    assert report.design.parts[0].type == "GLOW"


@pytest.mark.parametrize(("watts", "fits"), [(6.0, True), (8.0, False)])
def test_one_name_is_one_lamp(watts: float, fits: bool, tmp_path: Path) -> None:
    spec = written(tmp_path, SPEC + brought(6.0).replace("GLOW", "glow"), "spec.toml")
    own = written(tmp_path, brought(watts).replace("GLOW", "glow") + CIRCUIT.replace("GLOW", "glow"))
    if fits:
        assert len(helped_spec(spec, own).types) == 1
        return
    with pytest.raises(InputError) as caught:
        check_file(spec, own)
    (finding,) = caught.value.findings
    assert str(finding).startswith("circuit.toml: types.glow (line 1): ")
    assert "is another lamp than the one of this name that is known" in str(finding)


@pytest.mark.parametrize("text", ["[types.GLOW]\nvolts = 12.0\n", "types = 3\n", "[types.GLOW]\nwats = 3\n"])
def test_what_is_wrong_with_it_is_told(text: str, tmp_path: Path) -> None:
    with pytest.raises(InputError) as caught:
        lone_circuit(written(tmp_path, text + CIRCUIT), None)
    assert all(str(finding).startswith("circuit.toml") for finding in caught.value.findings)


SMALL = """
[types.small]
volts = 12.0
amps = 0.1
filling = "vacuum"
[types.pair]
volts = 12.0
watts = 21.0
lumens = 400.0
minor = { volts = 13.0, watts = 4.0 }
cap = "own"
watts_tolerance = 0.05
shared_contact = false
[types.unused]
volts = 12.0
watts = 3.0
kelvin = 2600
"""
OWN = SPEC.replace('"R5W"', '"small@12", "R5W"').replace(
    "[[behaviour]]", 'tail = { choose = ["pair"], filaments = ["bright", "low"] }\n[[behaviour]]'
)
OWN_CIRCUIT = """
[[part]]
ref = "x"
kind = "filament"
type = "small@12"
from = "A"
to = "31"
[[part]]
ref = "bright"
kind = "filament"
lamp = "tail"
type = "pair"
from = "A"
to = "31"
[[part]]
ref = "low"
kind = "filament"
lamp = "tail"
type = "pair"
from = "A"
to = "31"
"""


def test_what_is_written_has_the_lamps_of_the_spec_that_it_has(tmp_path: Path) -> None:
    spec = written(tmp_path, OWN + SMALL, "spec.toml")
    to = tmp_path / "saved.toml"
    report = check_file(spec, written(tmp_path, OWN_CIRCUIT), save=to)
    own = {one.name: one for one in read_spec(spec).types}
    read = load_circuit(to)
    assert read.own == (own["small"], own["pair"]), "no figure is lost, and no more is written than is used"
    alone = lone_circuit(to, 13.5).design
    amps = {part.ref: part.amps for part in alone.states[-1].parts}
    in_spec = {part.ref: part.amps for part in report.design.states[-1].parts}
    assert amps == pytest.approx(in_spec, rel=1e-6)
    # by itself, and beside the spec that it is from
    assert lampwright.check(spec, to).meets
    assert lampwright.Circuit.load(to).own == read.own
    assert CircuitBuilder(read.parts, read.own).to_toml() == to.read_text()
    fitted = lampwright.compare(without_types(tmp_path), to, types={"x": ["small", "R5W"]}, progress=False)
    assert len(fitted.rows) == 2


def without_types(folder: Path) -> Path:
    """A spec of the same lamps that knows none of these types."""
    return written(
        folder, OWN.replace('"small@12", "R5W"', '"R5W"').replace('"pair"', '"P21/5W"'), "other.toml"
    )


def test_what_has_none_of_them_is_written_without(tmp_path: Path) -> None:
    spec = written(tmp_path, SPEC + SMALL, "spec.toml")
    to = tmp_path / "saved.toml"
    check_file(spec, written(tmp_path, CIRCUIT.replace("GLOW", "R5W")), save=to)
    assert "types" not in to.read_text()


def test_the_bench_and_a_design_write_them_too(tmp_path: Path) -> None:
    spec = read_spec(written(tmp_path, SPEC.replace('"R5W"', '"small"') + SMALL, "spec.toml"))
    own = OwnCircuit()
    own.parts = read_parts(written(tmp_path, CIRCUIT.replace("GLOW", "small")))
    own.save(tmp_path / "bench.toml", "bench.toml", spec)
    lampwright.find(tmp_path / "spec.toml", progress=False).best.circuit().save(tmp_path / "design.toml")
    for name in ("bench", "design"):
        assert [one.name for one in load_circuit(tmp_path / f"{name}.toml").own] == ["small"]
        assert lone_circuit(tmp_path / f"{name}.toml", None).design.parts[0].type == "small"


def test_a_file_that_cannot_be_read_is_told_of_as_a_circuit(tmp_path: Path) -> None:
    spec = written(tmp_path, SPEC, "spec.toml")
    with pytest.raises(InputError, match="name a circuit file"):
        check_file(spec, tmp_path / "none.toml")
