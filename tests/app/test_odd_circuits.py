"""Circuits that nobody would build are judged, explained and written as any other, or told to be wrong.

What a fuzzer found (`tests/fuzz`): joints that wires alone touch, islands of wire, values at their limits and
beyond. No outside source; that JSON has no not-a-number is RFC 8259's.
"""

import json
import os
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from tests.shipped import ROOT, shipped

from lampwright.app.explaining import explain_circuit, explain_rank
from lampwright.app.fit_options import FitOptions
from lampwright.app.lamp_fit import fit_file
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
    said = "its entries do not agree with each other (its state"
    assert str(caught.value).startswith(f"{path}: {said}")
    assert "run: lampwright search" in str(caught.value)


def bend_states(design: dict[str, Any]) -> None:
    design["states"][0]["lamps"][0]["lamp"] = ""


def bend_volts(design: dict[str, Any]) -> None:
    design["states"][0]["lamps"][0]["volts"] = 1e300


def bend_positions(design: dict[str, Any]) -> None:
    design["states"][0]["positions"] = []


def bend_ratings(design: dict[str, Any]) -> None:
    design["ratings"]["resistors"][0]["ref"] = "R9"


def bend_parts(design: dict[str, Any]) -> None:
    design["parts"][0]["type"] = "X1"


@pytest.mark.parametrize(
    ("bend", "why"),
    [
        (bend_states, "is told otherwise than the spec has it"),
        (bend_volts, "are not from 0 to 14.4"),
        (bend_positions, "some of its states have positions and others have none"),
        (bend_ratings, "its ratings are of other parts than it has"),
        (bend_parts, '"X1" is no lamp type'),
    ],
)
def test_what_does_not_agree_in_a_stored_result_is_told(
    bend: Callable[[dict[str, Any]], None], why: str, tmp_path: Path
) -> None:
    """The first three ended in tracebacks, which the fuzz found; nothing is caught but what is looked for."""
    plain = json.loads(to_json(shipped(SPEC.stem)))
    bend(plain["designs"][0])
    path = tmp_path / SPEC.stem / "ranking.json"
    path.parent.mkdir()
    path.write_text(json.dumps(plain), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        explain_rank(SPEC, 1, tmp_path)
    assert why in str(caught.value)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with names here")
@pytest.mark.parametrize("name", ["/dev/zero", "pipe", "folder"])
def test_what_is_no_file_is_not_read(name: str, tmp_path: Path) -> None:
    """A device has no end: it was read until memory was full. A pipe without a writer was waited for."""
    path = tmp_path / name
    if name == "pipe":
        os.mkfifo(path)
    elif name == "folder":
        path.mkdir()
    for call in (
        lambda: check_file(SPEC, path, (), None),
        lambda: check_file(path, path, (), None),
        lambda: fit_file(path, FitOptions()),
    ):
        with pytest.raises(InputError, match="this is no file"):
            call()
    (tmp_path / "result" / SPEC.stem).mkdir(parents=True)
    (tmp_path / "result" / SPEC.stem / "ranking.json").symlink_to(path)
    with pytest.raises(InputError, match="there is no stored result of this spec"):
        explain_rank(SPEC, 1, tmp_path / "result")


@pytest.mark.parametrize("ohms", ["nan", "inf", "-inf", "0", "-0.0", "1e-300", "5e-324", "1e308"])
def test_no_number_without_an_end_is_taken(ohms: str, tmp_path: Path) -> None:
    path = written(tmp_path, "54", [(ohms, "54", "58")])
    with pytest.raises(InputError) as caught:
        check_file(SPEC, path, (), None)
    (line,) = str(caught.value).split("\n")
    assert "no number from 0.001 to 1,000,000" in line
