"""Foreign and damaged rankings are refused, with every reason and no traceback."""

import json
from pathlib import Path
from typing import Any

import pytest

from lampwright.errors import InputError
from lampwright.results.decode import from_json

TEXT = (Path(__file__).parent / "examples" / "one.json").read_text(encoding="utf-8")


def findings(text: str) -> list[str]:
    """Read a text that must be refused; give the lines of the refusal."""
    with pytest.raises(InputError) as caught:
        from_json(text, "old.json")
    return [str(finding) for finding in caught.value.findings]


def edited(**changes: Any) -> str:
    """Give the example with some top-level keys replaced; None takes a key away."""
    plain = {**json.loads(TEXT), **changes}
    gone = {key for key, value in changes.items() if value is None}
    return json.dumps({key: value for key, value in plain.items() if key not in gone})


def test_a_file_cut_short_says_so() -> None:
    (line,) = findings(TEXT[: len(TEXT) // 2])
    assert line.startswith("old.json: line "), "the place is missing"
    assert "this is not JSON" in line, "the reason is missing"


@pytest.mark.parametrize("text", ["[]", "{}", "3", '{"title": "else"}'])
def test_another_file_says_so(text: str) -> None:
    (line,) = findings(text)
    assert "this is no ranking" in line, "the reason is missing"


def test_another_version_says_which() -> None:
    (line,) = findings(edited(format=7))
    assert line.startswith("old.json: format: the version is 7, and this program reads version 1; "), line


def test_all_findings_are_told_with_their_places() -> None:
    plain = json.loads(TEXT)
    design = plain["designs"][0]
    design["rank"] = "first"
    design["parts"][0]["kind"] = "bulb"
    del design["parts"][0]["from"]
    design["states"][0]["lamps"][0]["meets"] = 1
    design["joints"] = 1.5
    design["wires"] = True
    plain["colour"] = "red"
    lines = findings(json.dumps(plain))
    for piece in (
        'old.json: the key "colour" is unknown; ',
        'old.json: designs[1].rank: "first" stands where a whole number belongs; ',
        "old.json: designs[1].joints: 1.5 stands where a whole number belongs; ",
        "old.json: designs[1].wires: true stands where a whole number belongs; ",
        'old.json: designs[1].parts[1].kind: "bulb" stands where "filament" or "resistor"',
        'old.json: designs[1].parts[1]: the key "from" is missing; ',
        "old.json: designs[1].states[1].lamps[1].meets: 1 stands where true or false belongs; ",
    ):
        assert any(line.startswith(piece) for line in lines), f"nothing says: {piece}"
    assert len(lines) == 7, "each fault is told once"


@pytest.mark.parametrize(
    ("key", "value", "said"),
    [
        ("designs", {}, "an object stands where a list belongs"),
        ("verdict", [], "a list stands where an object belongs"),
        ("program", True, "true stands where a text belongs"),
        ("cautions", [None], "null stands where a text belongs"),
    ],
)
def test_wrong_shapes_are_named(key: str, value: Any, said: str) -> None:
    (line,) = findings(edited(**{key: value}))
    assert said in line, line


def test_a_whole_number_is_a_number() -> None:
    plain = json.loads(TEXT)
    plain["search"]["seconds"] = 3
    seconds = from_json(json.dumps(plain)).search.seconds
    assert isinstance(seconds, float), "a whole number must become a number like the others"
    assert seconds == 3.0, "a whole number was changed"
