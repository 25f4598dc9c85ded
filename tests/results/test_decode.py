"""Foreign and damaged rankings are refused, with the reason and no traceback."""

import json
from pathlib import Path
from typing import Any

import pytest

from lampwright.errors import InputError
from lampwright.results.json_text import from_json

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


@pytest.mark.parametrize("other", ["NaN", "-Infinity", "1" * 5000, "[" * 100_000])
def test_what_python_reads_and_json_has_not_is_refused(other: str) -> None:
    """Not a number, which RFC 8259 has not, and what would end in an error of Python's own."""
    (line,) = findings(f'{{"format": {other}}}')
    assert line.startswith("old.json: "), "the place is missing"
    assert "this is not JSON" in line, "the reason is missing"


@pytest.mark.parametrize("text", ["[]", "{}", "3", '{"title": "else"}'])
def test_another_file_says_so(text: str) -> None:
    (line,) = findings(text)
    assert "this is no ranking" in line, "the reason is missing"


def test_another_version_says_which() -> None:
    (line,) = findings(edited(format=7))
    assert line.startswith("old.json: format: the version is 7, and this program reads version 1; "), line


DESIGN = "designs", 0
PART = *DESIGN, "parts", 0
LAMP = *DESIGN, "states", 0, "lamps", 0


@pytest.mark.parametrize(
    ("place", "key", "value", "said"),
    [
        ((), "colour", "red", ' the key "colour" is unknown'),
        (DESIGN, "rank", "first", ' designs[1].rank: "first" stands where a whole number belongs'),
        (DESIGN, "rank", -1, " designs[1].rank: -1 stands where a whole number from 0 on belongs"),
        (DESIGN, "joints", 1.5, " designs[1].joints: 1.5 stands where a whole number belongs"),
        (DESIGN, "wires", True, " designs[1].wires: true stands where a whole number belongs"),
        (PART, "kind", "bulb", ' designs[1].parts[1].kind: "bulb" cannot stand here'),
        (PART, "from", None, ' designs[1].parts[1]: the key "from" is missing'),
        (LAMP, "meets", 1, " designs[1].states[1].lamps[1].meets: 1 stands where true or false belongs"),
        (LAMP, "flux", "1", ' designs[1].states[1].lamps[1].flux: "1" stands where a number belongs'),
        (LAMP, "kelvin", [], " designs[1].states[1].lamps[1].kelvin: a list stands where"),
        (("verdict",), "proved", "all", ' verdict.proved: "all" stands where a list belongs'),
    ],
)
def test_what_is_wrong_is_told_with_its_place(
    place: tuple[str | int, ...], key: str, value: object, said: str
) -> None:
    """Entries are counted from 1; None takes the key away."""
    plain = json.loads(TEXT)
    row = plain
    for step in place:
        row = row[step]
    row[key] = value
    if value is None:
        del row[key]
    (line,) = findings(json.dumps(plain))
    assert line.startswith(f"old.json:{said}"), line
    assert line.endswith("; use a ranking.json as a run wrote it, or run the search again"), line


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


def test_all_that_is_wrong_is_told_at_once() -> None:
    plain = json.loads(TEXT)
    first = plain["designs"][0]
    plain["colour"] = "red"
    first["rank"] = "first"
    first["parts"][0]["ref"] = 7
    del first["parts"][0]["to"]
    first["states"][1]["lamps"][0]["kelvin"] = []
    first["states"][1]["positions"] = [["brake", "on"], ["turn", 1], ["lights"], "tail"]
    plain["bound"] = "half \ud800"
    assert [line.split(": ", 1)[1].partition(";")[0] for line in findings(json.dumps(plain))] == [
        'designs[1].rank: "first" stands where a whole number belongs',
        "designs[1].parts[1].ref: 7 stands where a text belongs",
        'designs[1].parts[1]: the key "to" is missing',
        "designs[1].states[2].lamps[1].kelvin: a list stands where a whole number or null belongs",
        "designs[1].states[2].positions[2][2]: 1 stands where a text belongs",
        "designs[1].states[2].positions[3]: a list stands where a list of 2 belongs",
        'designs[1].states[2].positions[4]: "tail" stands where a list belongs',
        "bound: half of a character stands in one of its texts",
        'the key "colour" is unknown',
    ]


def test_of_many_faults_the_first_are_told_and_the_others_counted() -> None:
    lines = findings(edited(cautions=list(range(45))))
    assert len(lines) == 21, "the list is not cut"
    assert lines[19].startswith("old.json: cautions[20]: 19 stands where a text belongs"), "the last one told"
    assert lines[20].startswith("old.json: 25 more of its entries cannot stand; use a"), "the others"


def test_half_a_character_is_refused() -> None:
    (line,) = findings(edited(bound="\ud800"))
    assert "half of a character" in line, line


def test_a_whole_number_is_a_number() -> None:
    plain = json.loads(TEXT)
    plain["search"]["seconds"] = 3
    seconds = from_json(json.dumps(plain)).search.seconds
    assert isinstance(seconds, float), "a whole number must become a number like the others"
    assert seconds == 3.0, "a whole number was changed"
