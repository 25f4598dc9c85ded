"""Circuits that nobody would build are judged, explained and written as any other, or told to be wrong.

What a fuzzer found (`tests/fuzz`): joints that wires alone touch, islands of wire, values at their limits and
beyond. No outside source; that JSON has no not-a-number is RFC 8259's.
"""

import json
from itertools import pairwise
from pathlib import Path

import pytest
from tests.shipped import ROOT, shipped

from lampwright.app.explaining import explain_circuit, explain_rank
from lampwright.app.trying import check_file
from lampwright.errors import InputError
from lampwright.results.json_text import to_json

SPEC = ROOT / "specs" / "one_filament_stop_tail.toml"
Row = tuple[str, str, str]
LAMP = '[[part]]\nref = "rear"\nkind = "filament"\ntype = "P21W"\nfrom = "{}"\nto = "31"\n'
CIRCUITS: dict[str, tuple[str, list[Row]]] = {
    "a joint at the end of a wire": ("j3", [("wire", "j3", "j1"), ("wire", "54", "58")]),
    "an island of wire": ("j2", [("wire", "j1", "j3"), ("diode", "j2", "54")]),
    "a wire to nowhere beside a part": (
        "58",
        [("wire", "31", "j3"), ("0.001", "58", "j3"), ("wire", "j2", "58"), ("1e6", "j4", "j5")],
    ),
}


def written(folder: Path, lamp_at: str, rows: list[Row]) -> Path:
    text = LAMP.format(lamp_at)
    for kind, start, end in rows:
        what = {"wire": 'kind = "wire"', "diode": 'kind = "diode"\ntype = "1N5404"'}
        own = what.get(kind, f'kind = "resistor"\nohms = {kind}')
        text += f'[[part]]\n{own}\nfrom = "{start}"\nto = "{end}"\n'
    path = folder / "odd.toml"
    path.write_text(text, encoding="utf-8")
    return path


def refuse(constant: str) -> None:
    raise AssertionError(f"{constant} is no JSON")


@pytest.mark.parametrize("name", CIRCUITS)
def test_odd_circuits_are_told_like_others(name: str, tmp_path: Path) -> None:
    path = written(tmp_path, *CIRCUITS[name])
    checked = check_file(SPEC, path, (), None)
    for told in (checked, explain_circuit(SPEC, path)):
        assert json.loads(to_json(told), parse_constant=refuse)
    names = {row.node for row in checked.design.states[0].nodes}
    assert {end for _, *ends in CIRCUITS[name][1] for end in ends} <= names, "a node has no volts"


def test_ten_joints_keep_their_names(tmp_path: Path) -> None:
    """Their order by number is not that of their texts, j10 before j2."""
    chain = ["58", *(f"j{n}" for n in range(1, 11))]
    rows = [(f"{n}", a, b) for n, (a, b) in enumerate(pairwise(chain), 1)]
    told = explain_circuit(SPEC, written(tmp_path, "j10", rows))
    assert "j10" in to_json(told)
    design = check_file(SPEC, tmp_path / "odd.toml", (), None).design
    volts = {row.node: row.volts for row in design.states[-1].nodes}
    assert [volts[name] for name in chain] == sorted(volts[name] for name in chain)[::-1], "volts fall along"


@pytest.mark.parametrize("key", ["parts", "nodes"])
def test_a_stored_result_whose_entries_do_not_agree_is_told(key: str, tmp_path: Path) -> None:
    """A state without its parts may stand as JSON, and tells nothing: one line, and what would do."""
    plain = json.loads(to_json(shipped(SPEC.stem)))
    plain["designs"][0]["states"][1][key] = []
    path = tmp_path / SPEC.stem / "ranking.json"
    path.parent.mkdir()
    path.write_text(json.dumps(plain), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        explain_rank(SPEC, 1, tmp_path)
    said = "its entries do not agree with each other; run: lampwright search"
    assert str(caught.value).startswith(f"{path}: {said}")


@pytest.mark.parametrize("ohms", ["nan", "inf", "-inf", "0", "-0.0", "1e-300", "5e-324", "1e308"])
def test_no_number_without_an_end_is_taken(ohms: str, tmp_path: Path) -> None:
    path = written(tmp_path, "54", [(ohms, "54", "58")])
    with pytest.raises(InputError) as caught:
        check_file(SPEC, path, (), None)
    (line,) = str(caught.value).split("\n")
    assert "no number from 0.001 to 1,000,000" in line
