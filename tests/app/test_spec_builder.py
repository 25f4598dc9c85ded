"""A spec said in Python is the spec of a file that says the same, and is refused where the file is.

What is said goes back into a document by calls that name every key as the format does (`said_in_python`);
the shipped specs, and one that says all there is, come out as they went in.
"""

import copy
import dataclasses
import inspect
import pickle
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import replace
from importlib import resources
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import lampwright as lw
from lampwright.errors import InputError
from lampwright.problem.reading import read_document, read_spec
from lampwright.spec.load import parse_spec, starter_text
from lampwright.spec.model import Spec

SPECS = sorted((Path(__file__).parents[2] / "specs").glob("*.toml"))
FORMAT = tomllib.loads((resources.files("lampwright.spec") / "format.toml").read_text(encoding="utf-8"))
SUPPLY = lw.Supply(12, (11.8, 13.5, 14.4))
ALL_THERE_IS = """
lampwright = 1
title = "all there is"
supply = { system = 12, volts = [11.8, 13.5, 14.4], always_live = true }
extras.resistors = { most = 1, series = "E12", ohms = [1, 47], watts = [5, 10], tolerance = 0.1 }
extras.diodes = { most = 1, choose = ["1N5404"] }
extras.lamps = { most = 2, choose = ["R5W"] }
alike = [["left", "right lamp"]]
search = { joints = 2, wires = 1 }
levels = { dark = 700.0, off = 0.004, dim = [0.01, 0.1], lit = 0.2, full = [0.5, 9] }
place = { trailer = ["left", "right lamp"], rear = "vehicle", turn = "vehicle", most_conductors = 4 }
[wiring]
length = 2
lengths = { "vehicle-trailer" = 4.0 }
sizes = [0.75, 1.5]
most_drop = 0.4
celsius = 50
[controls]
turn = { kind = "flasher", feed = "49a", most_amps = 5 }
brake = { kind = "switch", feed = "54", most_amps = 8.5 }
selector = { kind = "positions", positions = { left = [["49a", "L"], ["31", "G"]], off = [] }, most_amps = 3 }
[types]
bulb = { volts = 6.0, amps = 0.3, lumens = 12, filling = "gas", conducted = 0.3, cap = "E10" }
[types.twin]
volts = 12
watts = 20
kelvin = 2700
watts_tolerance = 0.02
lumens_tolerance = 0.1
minor = { volts = 12.5, watts = 5, kelvin = 2300 }
shared_contact = false
[types.other]
volts = 12
watts = 20
minor = { amps = 0.4, lumens = 30 }
[lamps]
left = { choose = ["R5W", "R10W"], colour = "selective yellow" }
"right lamp" = { choose = ["R10W", "R5W"], common = "30" }
rear = { choose = ["P21/5W"], filaments = ["stop", "tail"], common = "31" }
[[behaviour]]
when = { turn = "on" }
show = { left = "flash" }
[[behaviour]]
when = { brake = "on", selector = "off" }
show = { stop = "lit", "right lamp" = "any" }
[[behaviour]]
when = { brake = "on", failed = "left", fuse_blown = ["turn", "30"], ground_lost = "trailer" }
show = { stop = "any" }
[[either]]
rows = [{ when = { turn = "off" }, show = { left = "off" } }, [{ show = { left = "any" } }]]
[[code]]
lamps = ["tail"]
control = "selector"
when = { brake = "on", turn = "off" }
words = ["dim", "lit"]
[[code]]
lamps = ["left", "right lamp"]
tell_apart = [{ brake = "off" }, { brake = "on" }]
when = { selector = "left", turn = "off" }
blank = true
[[same]]
lamps = ["stop", "right lamp"]
when = { turn = "on", brake = "on" }
within = 0.2
[[brighter]]
lamp = "stop"
than = "right lamp"
when = { turn = "on" }
versus = { brake = "off" }
by = 1.5
[stock]
builds = ["one", "other"]
least_margin = 0.1
alike = ["rear"]
lamps = { R5W = 2 }
diodes = { "1N5404" = 1 }
resistors = [{ ohms = 4.7, watts = 10, have = 3, price = 0.2 }]
prices = { resistor = 0.3, R10W = 1.2 }
"""
ONE_SIZE = ALL_THERE_IS.replace("sizes = [0.75, 1.5]", "size = 0.75")
CALLS: dict[str, Callable[..., Any]] = {
    "spec": lw.Spec,
    "supply": lw.Supply,
    "control switch": lw.Spec.switch,
    "control flasher": lw.Spec.flasher,
    "control positions": lw.Spec.positions,
    "own_lamp": lw.Spec.type,
    "lamp": lw.Spec.lamp,
    "resistors": lw.Spec.resistors,
    "diodes": lw.Spec.diodes,
    "helper_lamps": lw.Spec.helpers,
    "search": lw.Spec.bounds,
    "levels": lw.Spec.levels,
    "row": lw.Spec.row,
    "either": lw.Spec.either,
    "code": lw.Spec.code,
    "same": lw.Spec.same,
    "brighter": lw.Spec.brighter,
    "place": lw.Spec.place,
    "wiring": lw.Spec.wiring,
    "stock": lw.Spec.stock,
}
"""What says each table of the format."""
BY_CALLS = {
    "spec": {
        "controls",
        "types",
        "types_from",
        "lamps",
        "extras",
        "search",
        "levels",
        "behaviour",
        "either",
        "code",
        "same",
        "brighter",
        "alike",
        "place",
        "wiring",
        "stock",
    }
}
"""Keys that are no keyword, for a call says each of their tables."""
UNDER = {"controls", "positions", "lamps", "extras", "when", "show", "lengths", "lamp_counts", "diode_counts"}
UNDER |= {"stocked_resistor", "prices", "types", "own_minor"}
"""Tables that are given as one value, or by the calls for what is in them."""


def said_in_python(document: Mapping[str, Any], name: str) -> lw.Spec:
    """Say a document, call by call, each key by its own name."""
    spec = lw.Spec(title=document["title"], supply=lw.Supply(**document["supply"]), name=name)
    for control, said in document["controls"].items():
        said = dict(said)
        spec = getattr(spec, said.pop("kind"))(control, **said)
    for own, said in document.get("types", {}).items():
        spec = spec.type(own, **said)
    for lamp, said in document["lamps"].items():
        spec = spec.lamp(lamp, **said)
    for key in document:
        match key:
            case "extras":
                for kind, said in document["extras"].items():
                    spec = getattr(spec, "helpers" if kind == "lamps" else kind)(**said)
            case "alike":
                spec = spec.alike(*document["alike"])
            case "search":
                spec = spec.bounds(**document["search"])
            case "levels" | "place" | "wiring" | "stock":
                spec = getattr(spec, key)(**document[key])
            case "same" | "code":
                for row in document[key]:
                    said = dict(row)
                    spec = getattr(spec, key)(*said.pop("lamps"), **said)
            case "brighter":
                for row in document["brighter"]:
                    spec = spec.brighter(**row)
            case "either":
                for row in document["either"]:
                    spec = spec.either(*row["rows"])
    for row in document.get("behaviour", ()):
        spec = spec.row(**{"when": {}, **row})
    return spec


def alike(one: Spec, other: Spec) -> bool:
    """Whether two specs are the same but for the text they were read from."""
    return replace(one, text="") == replace(other, text="")


def keys_used(table: str, said: Mapping[str, Any]) -> set[tuple[str, str]]:
    """Every key of the format that a document uses, with its table."""
    used = set()
    for key, value in said.items():
        known = key if key in FORMAT[table] else "*"
        used.add((table, known))
        shape = FORMAT[table][known]["is"]
        inner = shape.get("table") or shape.get("items", {}).get("table")
        for one in value if isinstance(value, list) else [value]:
            used |= keys_used(inner, one) if inner else set()
    return used


@pytest.mark.parametrize("path", SPECS, ids=lambda path: path.stem)
def test_a_shipped_spec_said_in_python_is_the_same_spec(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    spec, plain = said_in_python(tomllib.loads(text), path.stem), read_spec(path)
    # extras and the like may stand before or after; what is numbered by order is not among them
    assert alike(spec.model, plain)
    assert spec.model.digest == plain.digest, "results of the one are those of the other"
    assert alike(parse_spec(spec.to_toml(), path.stem), plain), "its file"
    loaded = lw.load_spec(path)
    assert loaded.model.text == text, "a file's spec keeps the text, with its comments"
    assert alike(parse_spec(loaded.to_toml(), path.stem), plain), "a file's spec, written anew"


@pytest.mark.parametrize("text", [ALL_THERE_IS, ONE_SIZE, starter_text()], ids=["all", "one size", "starter"])
def test_all_that_a_file_can_say_can_be_said(text: str) -> None:
    document = tomllib.loads(text)
    spec = said_in_python(document, "all")
    assert alike(spec.model, read_document(document, "all", "all.toml"))
    assert tomllib.loads(spec.to_toml()) == document | {
        "supply": {"always_live": False, **document["supply"]}
    }


def test_the_document_that_says_all_says_every_key_of_the_format() -> None:
    used = keys_used("spec", tomllib.loads(ALL_THERE_IS)) | keys_used("spec", tomllib.loads(ONE_SIZE))
    every = {(table, key) for table, keys in FORMAT.items() if table != "shapes" for key in keys}
    # the lamps of a file that a spec names become its own as it is loaded
    assert every - used == {("spec", "types_from")}, "a key of the format that is not tried from Python"


def test_every_key_is_a_keyword_of_its_name() -> None:
    tables = {name.partition(" ")[0] for name in CALLS} | UNDER
    assert set(FORMAT) - {"shapes"} == tables, "a table of the format that no call says"
    for name, call in CALLS.items():
        table, _, kind = name.partition(" ")
        keys = {key for key, row in FORMAT[table].items() if kind in row.get("kinds", [kind])}
        keywords = set(inspect.signature(call).parameters)
        missing = keys - keywords - BY_CALLS.get(table, set()) - {"*", "kind", "lampwright"}
        assert not missing, f"{name}: {missing}"


@pytest.fixture
def spec() -> lw.Spec:
    return (
        lw.Spec("A tell-tale", SUPPLY)
        .switch("a", feed="A")
        .switch("b", "B")
        .lamp("x", "R5W")
        .lamp("h", "P21W")
    )


def test_when_tells_controls_from_lamps(spec: lw.Spec) -> None:
    assert spec.when(a="on", b="off", x="lit") == spec.row({"a": "on", "b": "off"}, {"x": "lit"})


WRONG_SUPPLY: Any = (14, 13, 12)
NOTHING: Any = object()
ANY: Any = lw
WRONG: list[tuple[Callable[[lw.Spec], object], str]] = [
    (
        lambda _: lw.Supply(12, (14, 13, 12)),
        "Supply: volts: 14.0 then 13.0 does not rise; write three rising",
    ),
    (
        lambda _: lw.Supply(12, (11, 13, 30)),
        "Supply: supply.volts: 30 V is no voltage of a 12 V system; write",
    ),
    (lambda _: lw.Supply(63, (11, 13, 14)), "Supply: system: 63 is over 60; write volts from 1 to 60"),
    (lambda spec: replace(spec.supply, volts=(14, 13, 12)), "Supply: volts: 14.0 then 13.0 does not rise"),
    (
        lambda spec: replace(spec, supply=WRONG_SUPPLY),
        "Spec: supply: [14, 13, 12] is no Supply; give Supply(12, (",
    ),
    (lambda spec: replace(spec, title=""), 'Spec: title: "" is empty; write one line of text'),
    (
        lambda spec: replace(spec, name="a/b"),
        'Spec: name: "a/b" cannot name a folder of results; use letters',
    ),
    (
        lambda spec: replace(spec, tables={"lamp": {}}),
        'Spec: lamp: "lamp" is no key here; did you mean "lamps"?',
    ),
    (
        lambda spec: spec.lamp("y", "P12W"),
        'Spec.lamp("y"): lamps.y.choose: "P12W" is no lamp type for 12 V; near',
    ),
    (
        lambda spec: spec.lamp("y", "P21/5W"),
        'Spec.lamp("y"): lamps.y.choose: P21/5W has 2 filaments, and `fil',
    ),
    (
        lambda spec: spec.lamp("y", "R5W", common="C"),
        'Spec.lamp("y"): lamps.y.common: "C" is no terminal of this',
    ),
    (
        lambda spec: spec.switch("c", feed="A"),
        'Spec.switch("c"): controls.c.feed: "A" is the feed of a already',
    ),
    (
        lambda spec: spec.when(a="onn", x="lit"),
        'Spec.when: behaviour 1: when.a: "onn" is no position of a; did',
    ),
    (lambda spec: spec.when(a="on", x="bright"), 'Spec.when: behaviour 1: show.x: "bright" is no word for a'),
    (
        lambda spec: spec.when(c="on", x="lit"),
        "Spec.when: c: is neither a control nor a lamp; use a, b, h or x",
    ),
    (
        lambda spec: spec.lamp("a", "R5W").when(a="on"),
        'Spec.when: "a" is a control and a lamp; use .row(when, show)',
    ),
    (lambda spec: spec.when(a="on"), "Spec.when: behaviour 1: show: it is empty; write { front ="),
    (
        lambda spec: spec.bounds(joints=9),
        "Spec.bounds: search.joints: 9 is over 4; write a whole number from 0 to",
    ),
    (
        lambda spec: spec.levels(lit=[1]),
        "Spec.levels: levels.lit: a list of 1, where 2 would stand; write one",
    ),
    (lambda spec: spec.resistors(1, series="E5"), "Spec.resistors: extras.resistors.series: "),
    (lambda spec: spec.diodes(1, "1N54"), "Spec.diodes: extras.diodes.choose: "),
    (
        lambda spec: spec.stock(prices={"R5W": NOTHING}),
        "Spec.stock: stock.prices.R5W: this is no such thing, not a",
    ),
    (
        lambda spec: spec.place(left="trailer"),
        'Spec.place: place.left: "left" is no lamp or control, nor the sup',
    ),
]


@pytest.mark.parametrize(("call", "said"), WRONG, ids=[said[:40] for _, said in WRONG])
def test_what_is_wrong_raises_with_the_call_and_what_would_do(
    call: Callable[[lw.Spec], object], said: str, spec: lw.Spec
) -> None:
    whole = spec.when(b="on", h="lit")
    with pytest.raises(InputError) as caught:
        call(whole if said.startswith("Spec.diodes") else spec)
    assert str(caught.value).startswith(said)


def test_rows_that_cannot_hold_together_are_refused_as_they_are_said(spec: lw.Spec) -> None:
    with pytest.raises(
        InputError, match=r'^Spec.when: behaviour 2: show.x: "off" contradicts "lit" in behaviour 1'
    ):
        spec.when(a="on", x="lit").when(a="on", b="on", x="off")


def test_a_spec_in_the_making_is_asked_what_it_lacks() -> None:
    with pytest.raises(InputError) as caught:
        lw.search(lw.Spec("t", SUPPLY).switch("a", "A"))
    assert str(caught.value).splitlines() == [
        "Spec: lamps: is missing; say .lamp(...)",
        "Spec: behaviour: is missing; say .when(...)",
    ]


def test_a_model_that_was_not_checked_is_not_searched(spec: lw.Spec) -> None:
    model = spec.when(a="on", x="lit").model
    wrong: Any = replace(model, supply=replace(model.supply, volts=(14, 13, 12)))
    for job in (lw.search, lw.find, lw.diagnose):
        with pytest.raises(
            InputError, match=r"spec: a lampwright.spec.model.Spec is given; give a lampwright.Spec, or"
        ):
            job(wrong)


def test_a_spec_is_a_value(spec: lw.Spec) -> None:
    kept = ["R5W"]
    one = spec.lamp("y", kept)
    kept.append("R10W")
    assert one.tables["lamps"]["y"]["choose"] == ("R5W",), "a later change of what was given"
    assert "y" not in spec.tables["lamps"], "a call changed the spec it was made of"
    with pytest.raises(dataclasses.FrozenInstanceError):
        one.title = "t"  # type: ignore[misc]  # as a user might
    for copied in (pickle.loads(pickle.dumps(one)), copy.deepcopy(one), replace(one)):
        assert copied == one
        assert hash(copied) == hash(one)
    assert one != spec
    assert lw.Spec("t", SUPPLY).switch("a", "A").switch("b", "B") != lw.Spec("t", SUPPLY).switch(
        "b", "B"
    ).switch("a", "A"), "states and terminals are numbered by order"


def test_a_name_said_again_stands_in_place_of_the_first(spec: lw.Spec) -> None:
    assert spec.lamp("x", "R10W").lamp("x", "R5W") == spec
    assert spec.bounds(joints=2).bounds(wires=1).tables["search"] == {"joints": 2, "wires": 1}


def test_numbers_of_arrays_are_numbers() -> None:
    assert ANY.Supply(np.int64(12), np.array([11.8, 13.5, 14.4])) == SUPPLY


def test_a_spec_is_saved_as_a_file(spec: lw.Spec, tmp_path: Path) -> None:
    whole = spec.when(a="on", x="lit")
    whole.save(tmp_path / "a_tell_tale.toml")
    assert lw.load_spec(tmp_path / "a_tell_tale.toml") == whole
    assert str(whole) == (tmp_path / "a_tell_tale.toml").read_text(encoding="utf-8")
    with pytest.raises(lw.LampwrightError, match="it cannot be written"):
        whole.save(tmp_path / "no" / "folder.toml")


def test_lamps_of_ones_own_from_python_and_from_a_file(tmp_path: Path) -> None:
    """Said by call, or in a file that the spec's names: the same spec; a design's circuit may have them."""
    said = lw.Spec("bench", lw.Supply(4.5, (4.2, 4.5, 4.6))).switch("s", feed="54")
    said = said.type("bulb", 4.5, amps=0.2, lumens=7, filling="gas").lamp("x", "bulb")
    said = said.when(s="on", x="full").when(s="off", x="off")
    lamps = tmp_path / "mine.toml"
    lamps.write_text('[types.bulb]\nvolts = 4.5\namps = 0.2\nlumens = 7\nfilling = "gas"\n', encoding="utf-8")
    text = said.to_toml()
    own = text[text.index("[types") : text.index("[lamps")]
    path = tmp_path / "bench.toml"
    path.write_text(text.replace(own, "").replace("[supply]", 'types_from = "mine.toml"\n\n[supply]', 1))
    loaded = lw.load_spec(path)
    assert loaded.model.types == said.model.types
    assert loaded.model.digest == said.model.digest
    circuit = lw.Circuit((), said.model.types).lamp("x", "bulb", "54", "31")
    assert lw.check(said, circuit, progress=False).meets
    with pytest.raises(InputError, match='"bulb" is no lamp type; '):
        lw.Circuit().lamp("x", "bulb", "54", "31")


def test_one_lamp_spelled_in_several_ways_is_one() -> None:
    """In a spec and in a circuit, by letters or by volts: all is told in the spelling that came first."""
    spec = lw.Spec("pair", lw.Supply(12, (11.8, 13.5, 14.4))).switch("s", feed="54")
    spec = spec.lamp("x", "p21w").lamp("y", ["P21W@12", "R5W"]).when(s="on", x="lit", y="lit")
    spec = spec.when(s="off", x="off", y="off").stock(lamps={"P21W": 2})
    assert [lamp.choose for lamp in spec.model.lamps] == [("p21w",), ("p21w", "R5W")]
    circuit = lw.Circuit().lamp("x", "P21W", "54", "31").lamp("y", "P21W@12", "54", "31")
    checked = lw.check(spec, circuit, progress=False)
    assert checked.meets
    assert not checked.remarks
    assert {part.type for part in checked.design.parts} == {"p21w"}
    (found,) = lw.search(spec, progress=False, extra_parts=0)
    assert {part.type for part in found.parts} == {"p21w"}
