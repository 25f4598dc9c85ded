"""Files as a user may hand them over; the digest; and that nothing but Spec or InputError comes out."""

import json
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from tests.selection import examples

from lampwright.errors import InputError
from lampwright.spec.format import schema_text
from lampwright.spec.load import load_spec, parse_spec, spec_of_document
from lampwright.spec.model import (
    Band,
    Control,
    Lamp,
    PartsBox,
    Position,
    Resistors,
    StockedResistor,
    Wiring,
    filament_names,
    terminals,
)


def message(path: Path) -> str:
    with pytest.raises(InputError) as caught:
        load_spec(path)
    return str(caught.value)


def test_missing_file(tmp_path: Path) -> None:
    path = tmp_path / "none.toml"
    assert message(path) == (
        f"{path}: there is no such file; name a spec file; lampwright new FILE writes one"
    )


def test_folder(tmp_path: Path) -> None:
    assert message(tmp_path) == f"{tmp_path}: this is no file; name a spec file, as tail.toml"


def test_name_with_nul() -> None:
    assert "cannot be read" in message(Path("a\0b.toml"))


def test_not_utf8(tmp_path: Path) -> None:
    path = tmp_path / "tail.toml"
    path.write_bytes(b'lampwright = 1\ntitle = "R\xfccklicht"\n')
    assert message(path) == "tail.toml: line 2: byte 0xfc is not UTF-8; save the file as UTF-8 text"


def test_too_large(tmp_path: Path) -> None:
    path = tmp_path / "tail.toml"
    path.write_bytes(b"#" * (1024 * 1024 + 1))
    assert "over 1 MiB" in message(path)


def test_file_name_that_names_no_folder(tmp_path: Path, sound: str) -> None:
    path = tmp_path / ". .toml"
    path.write_text(sound, encoding="utf-8")
    assert message(path).startswith('file name: ". " cannot name a folder of results; ')


def test_byte_order_mark_and_dos_lines_are_fine(tmp_path: Path, sound: str) -> None:
    path = tmp_path / "tail.toml"
    path.write_bytes(b"\xef\xbb\xbf" + sound.replace("\n", "\r\n").encode())
    assert load_spec(path).digest == parse_spec(sound, "tail").digest


HOSTILE = [
    "a = " + "[" * 5000,
    "a = " + "9" * 5000,
    "[levels]\ndim = [0.1, " + "9" * 400 + "]",
    "a = [",
    "a = 1 b",
    "=",
    "\0",
]


@pytest.mark.parametrize("text", HOSTILE, ids=range(len(HOSTILE)))
def test_hostile_toml(text: str) -> None:
    with pytest.raises(InputError):
        parse_spec(text, "tail")


def test_every_field_arrives(sound: str) -> None:
    """Each value of a full spec is found again in the model, defaults where left out."""
    text = sound.replace('feed = "54"', 'feed = "54"\nmost_amps = 8')
    text = text.replace("[lamps.left]", REVERSER + '[lamps.left]\ncolour = "amber"') + OPTIONAL
    spec = parse_spec(text, "tail")
    assert (spec.name, spec.title, spec.text) == ("tail", "t", text)
    assert (spec.supply.system, spec.supply.volts, spec.supply.always_live) == (12, (11.8, 13.5, 14.4), False)
    off_on = (Position("off", ()), Position("on", (("30", "54"),)))
    assert spec.controls[1] == Control("brake", "switch", "54", off_on, 8.0)
    reverse = Position("back", (("30", "B"), ("31", "A")))
    assert spec.controls[2] == Control(
        "rev", "positions", None, (Position("ahead", (("30", "A"),)), reverse), None
    )
    assert spec.lamps == (
        Lamp("left", ("R5W",), ("left",), None, colour="amber"),
        Lamp("rear", ("P21/5W",), ("stop", "tail"), "31"),
    )
    assert spec.extras.resistors == Resistors(2, "E6", (1.0, 100.0), (5.0, 10.0, 25.0), 0.05)
    assert spec.extras.diodes is None
    assert (spec.bounds.joints, spec.bounds.wires) == (2, 0)
    assert (spec.levels.off, spec.levels.full) == (Band(0.0, 0.004), Band(0.7, 2.0))
    assert spec.behaviour[1].when == (("brake", "on"),)
    assert (spec.same[0].lamps, spec.same[0].when, spec.same[0].within) == (("left", "tail"), (), 0.2)
    assert spec.place.zone_of == (("rear", "trailer"), ("left", "trailer"), ("supply", "vehicle"))
    assert spec.place.most_conductors == 4
    lengths = (("trailer", "vehicle", 4.0), ("trailer", "trailer", 1.5))
    assert spec.wiring == Wiring(2.0, lengths, (0.75, 1.5), 0.5, 40.0)
    rows = (StockedResistor(4.75, 10.0, 0, 0.25), StockedResistor(6.8, 2.0, 3, None))
    lamps, prices = (("R5W", 2), ("W2.3W", 0)), (("R5W", 1.5),)
    assert spec.stock == PartsBox(
        builds=("near", "far"),
        least_margin=0.2,
        alike=("left",),
        lamps=lamps,
        diodes=(("1N5404", 1),),
        resistors=rows,
        prices=prices,
        resistor_price=0.3,
    )
    assert filament_names(spec) == ("left", "stop", "tail")
    assert terminals(spec) == ("49a", "54", "A", "B", "31")


REVERSER = """[controls.rev]
kind = "positions"
positions = { ahead = [["30", "A"]], back = [["30", "B"], ["31", "A"]] }
"""
OPTIONAL = """
[extras]
resistors = { most = 2, tolerance = 0.05, watts = [25, 5, 10] }
[search]
joints = 2
[levels]
off = 0.004
full = [0.7, 2]
[[same]]
lamps = ["left", "tail"]
within = 0.2
[place]
trailer = ["rear", "left"]
supply = "vehicle"
most_conductors = 4
[wiring]
lengths = { "trailer-vehicle" = 4.0, "trailer-trailer" = 1.5 }
sizes = [0.75, 1.5]
celsius = 40
[stock]
builds = ["near", "far"]
least_margin = 0.2
alike = ["left"]
lamps = { R5W = 2, "W2.3W" = 0 }
diodes = { "1N5404" = 1 }
resistors = [{ ohms = 4.75, watts = 10, price = 0.25 }, { ohms = 6.8, watts = 2, have = 3 }]
prices = { R5W = 1.5, resistor = 0.3 }
"""


def test_always_live_adds_terminal_30(sound: str) -> None:
    live = sound.replace("system = 12", "system = 12\nalways_live = true").replace(
        'common = "31"', 'common = "30"'
    )
    assert terminals(parse_spec(live, "tail")) == ("49a", "54", "30", "31")


def test_digest_is_of_the_content(sound: str) -> None:
    digest = parse_spec(sound, "tail").digest
    same = "# a comment\n" + sound.replace("[11.8, 13.5, 14.4]", "[ 11.80,13.5,14.4 ]  # volts")
    assert parse_spec(same, "other_name").digest == digest
    assert len(digest) == 64
    changed = {
        parse_spec(sound.replace(old, new, 1), "tail").digest
        for old, new in (
            ("14.4", "14.5"),
            ("R5W", "R10W"),
            ('"lit"', '"full"'),
            ('title = "t"', 'title = "u"'),
            ("[[behaviour]]", "[search]\nwires = 1\n[[behaviour]]"),
            ('common = "31"', 'common = "31"\ncolour = "red"'),
        )
    }
    assert len(changed) == 6
    assert digest not in changed


def test_any_volts_are_a_system(sound: str) -> None:
    """And one of whole volts has the digest it had when only whole volts were one."""
    whole = parse_spec(sound.replace("system = 12", "system = 12.0"), "tail")
    assert whole.digest == parse_spec(sound, "tail").digest
    bench = sound.replace("system = 12", "system = 4.5").replace("[11.8, 13.5, 14.4]", "[3.6, 4.2, 4.6]")
    assert parse_spec(bench, "tail").supply.system == 4.5


def test_wiring_left_out_empty_or_of_one_size(sound: str) -> None:
    """Without the table nothing is said of wires, and the digest is what it was before there was one."""
    assert parse_spec(sound, "tail").wiring is None
    empty = parse_spec(sound + "[wiring]\n", "tail")
    assert empty.wiring == Wiring(2.0, (), (0.5, 0.75, 1.0, 1.5, 2.5), 0.5, 60.0)
    assert empty.digest != parse_spec(sound, "tail").digest
    one = parse_spec(sound + "[wiring]\nsize = 0.75\n", "tail").wiring
    assert one is not None
    assert one.sizes == (0.75,)


def test_stock_left_out_or_short(sound: str) -> None:
    """Without the table there is no box, and the digest is what it was before there was one."""
    assert parse_spec(sound, "tail").stock is None
    short = parse_spec(sound + "[stock]\nlamps = { R5W = 2 }\n", "tail")
    assert short.stock == PartsBox(
        builds=("build",),
        least_margin=0.0,
        alike=(),
        lamps=(("R5W", 2),),
        diodes=(),
        resistors=(),
        prices=(),
        resistor_price=None,
    )
    assert short.digest != parse_spec(sound, "tail").digest


def test_digest_of_a_spec_without_dark(sound: str) -> None:
    """Saying where a glow is first seen says nothing new; saying otherwise does."""
    digest = parse_spec(sound, "tail").digest
    said = [
        parse_spec(sound.replace("[[behaviour]]", f"[levels]\ndark = {kelvin}\n[[behaviour]]", 1), "tail")
        for kelvin in ("798", "900")
    ]
    assert [spec.levels.dark for spec in said] == [798.0, 900.0]
    assert [spec.digest == digest for spec in said] == [True, False]


def test_digest_of_a_spec_without_wires(specs: Path) -> None:
    """And without a box: as the first program wrote it into the stored ranking (taken from there)."""
    known = tomllib.loads((specs.parent / "results" / "sidecar_side_lamp.toml").read_text("utf-8"))["spec"]
    assert load_spec(specs / "sidecar_side_lamp.toml").digest == known


SCALARS = (
    st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=8)
    | st.dates()
    | st.sampled_from(["on", "off", "flash", "30", "31", "54", "switch", "positions", "left", 10**400])
)
KEYS = st.text(max_size=4) | st.sampled_from(
    [
        "lampwright",
        "title",
        "supply",
        "controls",
        "kind",
        "feed",
        "positions",
        "lamps",
        "choose",
        "filaments",
        "common",
        "extras",
        "levels",
        "behaviour",
        "when",
        "show",
        "same",
        "place",
        "wiring",
        "lengths",
        "size",
        "off",
        "lit",
        "left",
        "turn",
    ]
)
VALUES: st.SearchStrategy[Any] = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS, inner, max_size=4),
    max_leaves=12,
)


SCHEMA = Draft202012Validator(json.loads(schema_text()))


def findings_of(document: dict[str, Any]) -> tuple[str, ...]:
    try:
        spec_of_document(document, "tail", "tail.toml", "")
    except InputError as error:
        return tuple(str(finding) for finding in error.findings) or ("an error without findings\n",)
    return ()


@settings(max_examples=examples(60, 200), deadline=None)
@given(st.dictionaries(KEYS, VALUES, max_size=6))
def test_any_document(document: dict[str, Any]) -> None:
    assert all(line.isprintable() for line in findings_of(document))


def paths(value: Any) -> list[tuple[Any, ...]]:
    """Every place of a document, as the keys and indices that lead there."""
    pairs = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [(key, *rest) for key, inner in pairs for rest in ((), *paths(inner))]


@settings(
    max_examples=examples(100, 300),
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(data=st.data(), value=VALUES)
def test_any_value_anywhere(data: st.DataObject, value: Any, sound: str) -> None:
    """Any value in place of any other of a full spec."""
    document = tomllib.loads(sound.replace("[lamps.left]", REVERSER + "[lamps.left]") + OPTIONAL)
    *path, last = data.draw(st.sampled_from(paths(document)))
    holder: Any = document
    for step in path:
        holder = holder[step]
    if isinstance(holder, dict) and data.draw(st.booleans()):
        holder[data.draw(KEYS)] = value
    else:
        holder[last] = value
    findings = findings_of(document)
    assert all(line.isprintable() for line in findings)
    # what the JSON Schema refuses, by the jsonschema library's judgement, the loader refuses as well
    assert findings or SCHEMA.is_valid(document)
