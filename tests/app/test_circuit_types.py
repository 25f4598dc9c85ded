"""Circuit files that bring lamps of their own: read, explained, drawn, checked, and held against a spec's."""

from pathlib import Path

import pytest

from lampwright import load_circuit
from lampwright.app.alone import draw_lone, lone_circuit
from lampwright.app.checking import helped_spec
from lampwright.app.trying import check_file
from lampwright.errors import InputError

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


def test_a_file_that_cannot_be_read_is_told_of_as_a_circuit(tmp_path: Path) -> None:
    spec = written(tmp_path, SPEC, "spec.toml")
    with pytest.raises(InputError, match="name a circuit file"):
        check_file(spec, tmp_path / "none.toml")
