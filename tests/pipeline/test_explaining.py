"""Explaining from files: a circuit in its owner's names, a stored design, and every way to ask wrongly."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from lampwright.cli.commands import main
from lampwright.pipeline.commands import search_to_disk
from lampwright.pipeline.explaining import controls_of, explain_circuit, explain_rank
from lampwright.pipeline.options import SearchOptions
from lampwright.pipeline.reading import read_spec
from lampwright.progress.bar import quiet
from lampwright.report.explain_text import explanation_text
from lampwright.store.explanation import Explanation

SPECS = Path(__file__).parents[2] / "specs"
CLASSROOM = SPECS / "classroom_three_lamps.toml"
DRAWN = """
part = [
  { ref = "A", kind = "filament", type = "W16W", from = "S1", to = "j1" },
  { ref = "B", kind = "filament", type = "W16W", from = "S2", to = "j1" },
  { ref = "C", kind = "filament", type = "W16W", from = "j2", to = "31" },
  { ref = "R1", kind = "resistor", ohms = 2.2, from = "j1", to = "j2" },
  { ref = "D1", kind = "diode", type = "1N5404", from = "31", to = "S1" },
]
"""
OWN = """
part = [
  { ref = "D", kind = "diode", type = "1N5404", from = "31", to = "j9" },
  { ref = "dropper", kind = "resistor", ohms = 2.2, from = "j3", to = "j5" },
  { ref = "C", kind = "filament", type = "W16W", from = "31", to = "j3" },
  { ref = "A", kind = "filament", type = "W16W", from = "j4", to = "S1" },
  { ref = "B", kind = "filament", type = "W16W", from = "S2", to = "j5" },
  { ref = "link", kind = "wire", from = "j4", to = "j5" },
  { ref = "lead", kind = "wire", from = "S1", to = "j9" },
]
"""
"""The same circuit with other names, parts turned round, and joints wired together."""


def written(folder: Path, text: str) -> Path:
    path = folder / "mine.toml"
    path.write_text(text, encoding="utf-8")
    return path


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, ["explain", *map(str, arguments)])


@pytest.fixture(scope="module")
def stored(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Search two specs, one of which has no circuit."""
    out = tmp_path_factory.mktemp("results")
    for name in ("classroom_three_lamps", "no_such_circuit"):
        search_to_disk(SPECS / f"{name}.toml", SearchOptions(out), quiet())
    return out


def texts(explanation: Explanation) -> str:
    return explanation_text(explanation).partition("State by state")[2]


def test_a_circuit_is_told_in_its_owners_names(tmp_path: Path) -> None:
    drawn = texts(explain_circuit(CLASSROOM, written(tmp_path, DRAWN)))
    own = texts(explain_circuit(CLASSROOM, written(tmp_path, OWN)))
    for old, new in (("dropper", "R1"), ("joint j4", "joint j1"), ("joint j3", "joint j2"), ("D ", "D1 ")):
        assert old in own, f"{old} is named otherwise"
        own = own.replace(old, new)
    assert own.split() == drawn.split(), "the names alone differ"
    assert "D1 blocks" in drawn, "the diode stands against the supply"


def test_a_stored_design_is_told_like_the_same_circuit_from_a_file(stored: Path, tmp_path: Path) -> None:
    (design,) = json.loads((stored / "classroom_three_lamps" / "ranking.json").read_text())["designs"]
    rows = [
        '[[part]]\nkind = "filament"\n'
        + "".join(f'{key} = "{part[key]}"\n' for key in ("ref", "type", "from", "to"))
        for part in design["parts"]
    ]
    own = explain_circuit(CLASSROOM, written(tmp_path, "\n".join(rows)))
    kept = explain_rank(CLASSROOM, 1, stored)
    assert kept.subject == "design 1 of 1", "which design"
    assert [scene.title for group in kept.groups for scene in group.scenes] == [
        scene.title for group in own.groups for scene in group.scenes
    ], "the same scenes"
    # a stored current keeps four decimals: the texts round to two or three digits
    assert texts(kept) == texts(own), "the same text"


def test_a_circuit_that_misses_the_spec_is_told_with_a_warning(tmp_path: Path) -> None:
    result = run(CLASSROOM, written(tmp_path, DRAWN))
    assert result.exit_code == 0, result.output
    assert "does not meet the spec" in result.stdout, "a warning"
    assert "lampwright check" in " ".join(result.stdout.split()), "and what says where it fails"


def test_json_holds_every_statement_with_its_kind(stored: Path) -> None:
    result = run(CLASSROOM, "--rank", 1, "--out", stored, "--json")
    assert result.exit_code == 0, result.output
    told = json.loads(result.stdout)
    said = [one for group in told["groups"] for scene in group["scenes"] for one in scene["statements"]]
    assert {"feeds", "lights", "route", "series", "share", "faint", "serves", "rest"} <= {
        one["kind"] for one in said
    }
    assert all(one["text"].endswith(".") for one in said), "every statement is a sentence"
    assert told["spec"]["name"] == "classroom_three_lamps", "which spec"


def test_without_circuit_and_rank_the_first_design_is_told(stored: Path) -> None:
    assert run(CLASSROOM, "--out", stored).stdout == run(CLASSROOM, "--rank", 1, "--out", stored).stdout


def test_what_cannot_be_told_is_one_line_with_its_remedy(stored: Path, tmp_path: Path) -> None:
    changed = tmp_path / "classroom_three_lamps.toml"
    changed.write_text(CLASSROOM.read_text(encoding="utf-8").replace("13.5", "13.4"), encoding="utf-8")
    cut = tmp_path / "cut" / "classroom_three_lamps"
    cut.mkdir(parents=True)
    whole = (stored / "classroom_three_lamps" / "ranking.json").read_text(encoding="utf-8")
    (cut / "ranking.json").write_text(whole[:300], encoding="utf-8")
    none = SPECS / "no_such_circuit.toml"
    again = f"run: lampwright search {CLASSROOM}"
    for arguments, said, remedy in (
        ((CLASSROOM, "--out", tmp_path), "there is no stored result of this spec", again),
        ((changed, "--out", stored), "another spec", f"run: lampwright search {changed}"),
        ((CLASSROOM, "--out", cut.parent), "this is not JSON", again),
        (
            (CLASSROOM, "--rank", 2, "--out", stored),
            "2 is asked for, and the result has 1 design",
            "from 1 to 1",
        ),
        ((none, "--out", stored), "the result has no design", f"lampwright explain {none} CIRCUIT"),
    ):
        result = run(*arguments)
        assert result.exit_code == 2, result.output
        assert result.stdout == "", "an error belongs on stderr"
        (line,) = result.stderr.splitlines()
        assert said in line, line
        assert line.endswith(remedy), line


def test_circuit_and_rank_together_are_wrong_usage(tmp_path: Path) -> None:
    result = run(CLASSROOM, written(tmp_path, DRAWN), "--rank", 1)
    assert (result.exit_code, result.stdout) == (2, ""), result.output


def test_controls_are_told_state_by_state() -> None:
    spec = read_spec(SPECS / "sidecar_side_lamp.toml")
    known = controls_of(spec)
    assert [(feed.terminal, feed.control, feed.kind) for feed in known.feeds] == [
        ("49a", "turn", "flasher"), ("54", "brake", "switch"), ("58", "lights", "switch"),
    ]  # fmt: skip
    closed = [one for one in known.situations if one.value("turn") == "closed"]
    assert all("turn" in {contact.control for contact in one.closed} for one in closed), (
        "its contact is closed"
    )
    assert len(closed) == 4, "brake and lights on or off"
