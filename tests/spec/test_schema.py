"""The JSON Schema is a schema, describes every key, and judges as the loader does.

Outside judge: the `jsonschema` library's implementation of JSON Schema draft 2020-12.
"""

import json
import tomllib
from importlib import resources
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from lampwright.spec.build import SIZES
from lampwright.spec.format import schema_text, spec_schema
from lampwright.spec.levels import FLASHING, MOST_DARK_KELVIN, STEADY
from lampwright.spec.load import starter_text

SHIPPED = sorted((Path(__file__).parents[2] / "specs").glob("*.toml"))
BROKEN = [
    ("lampwright = 1", "lampwright = 2"),
    ('title = "t"\n', ""),
    ("system = 12", "system = 63"),
    ("system = 12", "sistem = 12"),
    ("[11.8, 13.5, 14.4]", "[11.8, 13.5]"),
    ("[11.8, 13.5, 14.4]", "[11.8, 13.5, true]"),
    ('kind = "flasher"', 'kind = "flaser"'),
    ('kind = "flasher"', 'kind = "positions"'),
    ('feed = "54"', "feed = 54"),
    ('feed = "54"', 'feed = "a;b"'),
    ('feed = "54"', 'feed = "54"\nmost_amps = 0'),
    ('choose = ["R5W"]', "choose = []"),
    ('["stop", "tail"]', '["stop", "stop"]'),
    ('["stop", "tail"]', '["a", "b", "c"]'),
    ("[lamps.left]", '[lamps."left;"]'),
    ('left = "flash"', 'left = "dimm"'),
    ('show = { left = "flash" }', "show = {}"),
    ('show = { left = "flash" }', ""),
    ("[[behaviour]]", "[levels]\ndim = 0.1\n[[behaviour]]"),
    ("[[behaviour]]", "[levels]\ndark = 1200\n[[behaviour]]"),
    ("[[behaviour]]", "[levels]\ndark = [300, 700]\n[[behaviour]]"),
    ("[[behaviour]]", "[search]\njoints = 9\n[[behaviour]]"),
    ("[[behaviour]]", "[extras]\nresistors = { most = 1.5 }\n[[behaviour]]"),
    ("[[behaviour]]", '[[same]]\nlamps = ["left"]\nwithin = 0.1\n[[behaviour]]'),
    ("[[behaviour]]", '[[same]]\nlamps = ["left", "stop"]\nwithin = 1.0\n[[behaviour]]'),
    ("[[behaviour]]", '[[either]]\nrows = [{ show = { left = "lit" } }]\n[[behaviour]]'),
    ("[[behaviour]]", '[[either]]\nrows = [[], { show = { left = "lit" } }]\n[[behaviour]]'),
    ("[[behaviour]]", '[[code]]\ncontrol = "turn"\n[[behaviour]]'),
    ("[[behaviour]]", '[[code]]\nlamps = ["left"]\nwords = ["off"]\ncontrol = "turn"\n[[behaviour]]'),
    ("[[behaviour]]", "[place]\nleft = 5\n[[behaviour]]"),
    ("[[behaviour]]", "[wiring]\nlength = 0\n[[behaviour]]"),
    ("[[behaviour]]", '[wiring]\nlengths = { "a;b" = 1 }\n[[behaviour]]'),
    ("[[behaviour]]", "[stock]\nlamps = { P21W = -1 }\n[[behaviour]]"),
    ("[[behaviour]]", "[stock]\nresistors = [{ ohms = 4.7, have = 1 }]\n[[behaviour]]"),
    ("[[behaviour]]", "[stock]\nprices = { resistor = -0.1 }\n[[behaviour]]"),
]

WORDS = {"like", "table", "type", "enum", "oneOf", "default", "examples", "pattern", "fault", "maxLength"} | {
    *("minimum", "exclusiveMinimum", "maximum", "exclusiveMaximum"),
    *("items", "minItems", "maxItems", "uniqueItems", "rising", "minProperties"),
}
"""What a shape of `format.toml` may say: all of it is held to, or shown."""


@pytest.fixture(scope="module")
def schema() -> Draft202012Validator:
    return Draft202012Validator(json.loads(schema_text()))


def test_is_a_schema(schema: Draft202012Validator) -> None:
    Draft202012Validator.check_schema(schema.schema)


def test_every_key_is_described(schema: Draft202012Validator) -> None:
    def undescribed(part: Any) -> list[str]:
        if not isinstance(part, dict):
            return [key for item in part for key in undescribed(item)] if isinstance(part, list) else []
        bare = [key for key, item in part.get("properties", {}).items() if not item.get("description")]
        return bare + [key for item in part.values() for key in undescribed(item)]

    assert undescribed(schema.schema) == []


def test_editors_meet_no_word_of_our_own(schema: Draft202012Validator) -> None:
    def words(part: Any) -> set[str]:
        own = set(part) if isinstance(part, dict) else set()
        inner = part.values() if isinstance(part, dict) else part if isinstance(part, list) else ()
        return own.union(*(words(one) for one in inner))

    assert not words(schema.schema) & {"want", "fault", "rising", "unless", "like", "table", "kinds", "is"}


def test_words_and_limits_are_those_of_the_levels() -> None:
    """What the format says in its own file of words and of `dark` is what the program goes by."""
    tables = spec_schema()["properties"]
    word = tables["behaviour"]["items"]["properties"]["show"]["additionalProperties"]
    assert word["examples"] == [*STEADY, *FLASHING]
    steady = "|".join(STEADY)
    assert word["pattern"] == f"{steady}|{'|'.join(FLASHING)}|({steady})/({steady})"
    assert tables["levels"]["properties"]["dark"]["maximum"] == MOST_DARK_KELVIN
    assert str(list(SIZES)) in tables["wiring"]["properties"]["sizes"]["description"]


def inner(part: Any, words: set[str], named: set[tuple[str, str]]) -> None:
    """Gather the words of a shape of `format.toml`, and the tables and shapes that it names."""
    words |= set(part)
    named |= {(kind, part[kind]) for kind in ("table", "like") if kind in part}
    for one in (part.get("items"), *part.get("oneOf", ())):
        if one is not None:
            inner(one, words, named)


def test_every_section_is_used_and_every_word_is_known() -> None:
    """A misspelt limit would check nothing, and a table that no key names would never be read."""
    text = (resources.files("lampwright.spec") / "format.toml").read_text(encoding="utf-8")
    tables = tomllib.loads(text)
    shapes = tables.pop("shapes")
    rows = [row for keys in tables.values() for row in keys.values()]
    words: set[str] = set()
    named = {("table", "spec")}
    for shape in (*shapes.values(), *(row["is"] for row in rows)):
        inner(shape, words, named)
    for row in rows:
        inner({word: said for word, said in row.get("keys", {}).items() if word != "most"}, words, named)
    assert named == {("table", name) for name in tables} | {("like", name) for name in shapes}
    assert words <= WORDS
    known = {"is", "required", "kinds", "keys", "description", "want", "unless"}
    assert all({"is", "description", "want"} <= set(row) <= known for row in rows)


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_shipped_specs_validate(path: Path, schema: Draft202012Validator) -> None:
    schema.validate(tomllib.loads(path.read_text(encoding="utf-8")))


def test_sound_and_starter_validate(sound: str, schema: Draft202012Validator) -> None:
    schema.validate(tomllib.loads(sound))
    schema.validate(tomllib.loads(starter_text()))


def test_rows_may_be_left_out_where_a_choice_asks(sound: str, schema: Draft202012Validator) -> None:
    head = sound[: sound.index("[[behaviour]]")]
    either = '[[either]]\nrows = [{ show = { left = "off" } }, [{ show = { left = "any" } }]]\n'
    assert schema.is_valid(tomllib.loads(head + either))
    assert not schema.is_valid(tomllib.loads(head))


@pytest.mark.parametrize(("old", "new"), BROKEN, ids=[new for _, new in BROKEN])
def test_broken_specs_do_not_validate(old: str, new: str, sound: str, schema: Draft202012Validator) -> None:
    assert old in sound
    assert not schema.is_valid(tomllib.loads(sound.replace(old, new, 1)))
