"""Explaining from files: a circuit in its owner's names, a stored design, and every way to ask wrongly."""

import json
import re
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from msgspec.structs import replace
from tests.shipped import keep_shipped

from lampwright.app.controls import controls_of
from lampwright.app.explaining import explain_circuit, explain_rank
from lampwright.cli.commands import main
from lampwright.judge.design_rows import with_filaments
from lampwright.problem.problem import layout_of
from lampwright.problem.reading import read_spec
from lampwright.refute.rules import RULES
from lampwright.report.explain.none import PLAIN
from lampwright.report.explain.text import explanation_text
from lampwright.results.explanation import Explanation
from lampwright.results.json_text import from_json
from lampwright.spec.states import expand_states

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


ALWAYS = """
lampwright = 1
title = "A lamp between the supply and a switched feed"
[supply]
system = 12
volts = [11.8, 13.5, 14.4]
always_live = true
[controls.brake]
kind = "switch"
feed = "54"
[controls.lights]
kind = "switch"
feed = "58"
[lamps.one]
choose = ["R5W"]
[lamps.two]
choose = ["R5W"]
[[behaviour]]
when = { brake = "on" }
show = { one = "off", two = "lit" }
"""


def written(folder: Path, text: str) -> Path:
    path = folder / "mine.toml"
    path.write_text(text, encoding="utf-8")
    return path


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, ["explain", *map(str, arguments)])


@pytest.fixture(scope="module")
def stored(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give the results of two specs, one of which has no circuit."""
    return keep_shipped(tmp_path_factory.mktemp("results"), "classroom_three_lamps", "no_such_circuit")


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
        (
            (none, "--rank", 1, "--out", stored),
            "the result has no design",
            f"lampwright explain {none} CIRCUIT",
        ),
    ):
        result = run(*arguments)
        assert result.exit_code == 2, result.output
        assert result.stdout == "", "an error belongs on stderr"
        (line,) = result.stderr.splitlines()
        assert said in line, line
        assert line.endswith(remedy), line


def test_where_nothing_was_found_it_is_told_why_not(stored: Path) -> None:
    result = run(SPECS / "no_such_circuit.toml", "--out", stored)
    assert result.exit_code == 1, "none is 1, as of a search"
    said = " ".join(result.stdout.split())
    ranking = from_json((stored / "no_such_circuit" / "ranking.json").read_text(encoding="utf-8"))
    assert ranking.shortfall, "why none"
    assert ranking.shortfall.conflict, "one lamp's word alone is too much there"
    assert ranking.shortfall.conflict.text in said, "the conflict"
    assert max(len(line) for line in result.stdout.splitlines()) <= 80, "wider than a terminal"


def test_each_count_of_why_not_is_the_funnels(stored: Path) -> None:
    why = explain_rank(SPECS / "no_such_circuit.toml", None, stored).why_not
    ranking = from_json((stored / "no_such_circuit" / "ranking.json").read_text(encoding="utf-8"))
    assert why, "why not"
    stages = {stage.name: stage for stage in ranking.search.stages}
    for one in why.ruled_out:
        stage = stages[one.rule]
        assert (one.removed, one.entered) == (stage.entered - stage.left, stage.entered), f"{one}"
        numbers = {int(number) for number in re.findall(r"\d+", one.text)}
        assert numbers <= {one.removed, one.entered}, one.text
    counts = [one.removed for one in why.ruled_out]
    assert counts == sorted(counts, reverse=True), "what rules most out stands first"
    assert sum(counts) == ranking.search.part_counts[0].listed, "every circuit fell to something"


def test_what_near_misses_do_is_their_operating_point_and_misses_what_is_asked(stored: Path) -> None:
    spec = read_spec(SPECS / "no_such_circuit.toml")
    why = explain_rank(SPECS / "no_such_circuit.toml", None, stored).why_not
    ranking = from_json((stored / "no_such_circuit" / "ranking.json").read_text(encoding="utf-8"))
    assert why, "why not"
    assert ranking.shortfall, "near misses"
    near = {one.design.rank: one.design for one in ranking.shortfall.near_misses}
    asked = {(state.name, state.phase): state for state in expand_states(spec)}
    lamps = [name for lamp in spec.lamps for name in lamp.filaments]
    assert why.outcomes, "nothing comes near"
    for one in why.outcomes:
        name = one.state.state, one.state.phase
        state = next(row for row in near[one.rank].states if (row.state, row.phase) == name)
        reading = next(row for row in state.lamps if row.lamp == one.lamp)
        wanted = asked[name].bands[lamps.index(one.lamp)]
        assert wanted, f"{one}: nothing is asked"
        assert (one.flux, one.low_flux, one.high_flux) == (reading.flux, wanted.low, wanted.high), f"{one}"
        assert ("too much" in one.text) == (reading.flux > wanted.high), one.text
        assert ("too little" in one.text) == (reading.flux < wanted.low), one.text
        assert one.because, "no reason is given"
        assert all(one.lamp in said or said.startswith("Nothing is live") for said in one.because), one.text
    assert {"too much" in one.text for one in why.outcomes} == {True, False}, "nothing lies between"


def test_every_rule_that_can_refute_is_told_in_plain_words() -> None:
    assert {rule.name for rule in RULES} <= set(PLAIN), "a rule has no words"


def test_a_terminal_that_is_always_live_is_live_by_itself(tmp_path: Path) -> None:
    spec, circuit = tmp_path / "always.toml", tmp_path / "mine.toml"
    spec.write_text(ALWAYS, encoding="utf-8")
    circuit.write_text(
        'part = [{ ref = "one", kind = "filament", type = "R5W", from = "30", to = "54" },\n'
        '  { ref = "two", kind = "filament", type = "R5W", from = "54", to = "31" }]\n',
        encoding="utf-8",
    )
    said = [
        scene.statements[0].text for group in explain_circuit(spec, circuit).groups for scene in group.scenes
    ]
    assert all("feed 30 is always live" in text for text in said), f"{said}"
    assert any("brake makes feed 54 live" in text for text in said), f"{said}"


def test_a_row_of_older_make_is_given_what_it_lacks(stored: Path) -> None:
    path = stored / "classroom_three_lamps" / "ranking.json"
    (design,) = from_json(path.read_text(encoding="utf-8")).designs
    bare = replace(
        design,
        parts=tuple(
            replace(part, test_volts=None, hot_ohms=None, lumens=None, colour=None) for part in design.parts
        ),
        states=tuple(
            replace(state, lamps=tuple(replace(lamp, kelvin=None) for lamp in state.lamps))
            for state in design.states
        ),
    )
    spec = read_spec(CLASSROOM)
    again = with_filaments(bare, layout_of(spec), spec)
    for old, new in zip(design.states, again.states, strict=True):
        for one, other in zip(old.lamps, new.lamps, strict=True):
            assert one.kelvin is not None, "a run writes it"
            assert other.kelvin is not None, "it is filled in"
            # a stored voltage keeps three decimals
            assert abs(one.kelvin - other.kelvin) <= 3, f"{one}: {other.kelvin} K"
    assert [part.hot_ohms for part in again.parts] == pytest.approx(
        [part.hot_ohms for part in design.parts], rel=1e-3
    ), "four digits are kept"
    assert [(part.lumens, part.colour) for part in again.parts] == [
        (part.lumens, part.colour) for part in design.parts
    ], "the catalogue's"


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
    assert all("turn" in {control for control, _, _ in one.closed} for one in closed), "its contact is closed"
    assert len(closed) == 4, "brake and lights on or off"
