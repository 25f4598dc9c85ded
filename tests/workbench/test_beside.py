"""Comparisons, zones, wires and choices asked by clicking: the file says just that, and keeps its comments.

What the file then says is read as a command reads it, and held against a spec written by hand.
"""

import tomllib
from pathlib import Path

import pytest
from tests.workbench.served import ROOT, TELLTALE
from tests.workbench.test_wishes import desk_of

from lampwright.errors import InputError
from lampwright.spec.load import parse_spec
from lampwright.workbench.change import Change
from lampwright.workbench.desk import Desk
from lampwright.workbench.folder import folder_of
from lampwright.workbench.placed import placed_view
from lampwright.workbench.views import parts_of
from lampwright.workbench.workbench import Workbench

EVERYTHING = """
[[same]]
lamps = ["big", "small"]      # whichever
within = 0.1
when = { left = "on", right = "off", failed = "big" }

[[brighter]]
lamp = "big"
than = "small"
when = { left = "on" }
versus = { left = "off" }
by = 2

[[either]]
rows = [
  { when = { left = "on" }, show = { big = "lit" } },    # the usual one
  [{ when = { right = "on", left = "off" }, show = { small = "dim" } }, { show = { big = "any" } }],
]

[[code]]
lamps = ["small", "big"]
tell_apart = [{ left = "on" }, { left = "off", right = "on" }]

[place]
vehicle = ["supply", "left", "right"]     # what is in front
big = "trailer"
small = "trailer"
most_conductors = 3

[wiring]
length = 1.5
lengths = { "trailer-vehicle" = 4.0 }     # through the coupling
"""


def changed(text: str, folder: Path, *changes: Change) -> Desk:
    """A desk with changes made, after each of which the whole page can be filled."""
    bench = Workbench(folder_of(folder, Path("results")), 1)
    bench.desk.text = text
    for one in changes:
        bench.desk.change(one)
        parts_of(bench)
    return bench.desk


def expect_said(desk: Desk, before: str, *lines: str) -> None:
    """The desk says what a text did and these lines besides."""
    assert parse_spec(desk.text, "a").digest == parse_spec(before + "\n".join(lines), "a").digest


def test_comparisons_are_asked_and_taken_away(tmp_path: Path) -> None:
    desk = changed(
        TELLTALE,
        tmp_path,
        Change("compare.add", key="same"),
        Change("compare.edit", "same", "within", "1", "5"),
        Change("compare.edit", "same", "when right", "1", "on"),
        Change("compare.edit", "same", "when left", "1", "on"),
        Change("compare.edit", "same", "when right", "1", ""),
        Change("compare.add", key="brighter"),
        Change("compare.edit", "brighter", "lamp", "1", "small"),
        Change("compare.edit", "brighter", "than", "1", ""),
        Change("compare.edit", "brighter", "when right", "1", "on"),
        Change("compare.edit", "brighter", "when left", "1", "off"),
        Change("compare.edit", "brighter", "versus right", "1", "off"),
        Change("compare.edit", "brighter", "by", "1", "3,5"),
    )
    expect_said(
        desk,
        TELLTALE,
        '[[same]]\nlamps = ["big", "small"]\nwithin = 0.05\nwhen = { left = "on" }',
        '[[brighter]]\nlamp = "small"\nby = 3.5\nwhen = { right = "on", left = "off" }',
        'versus = { right = "off" }',
    )
    assert desk.text.startswith(TELLTALE)
    desk.change(Change("compare.edit", "same", "when left", "1", ""))
    assert "{}" not in desk.text, "a table that says nothing is not written"
    desk.change(Change("compare.remove", "same", at="1"))
    desk.change(Change("compare.remove", "brighter", at="1"))
    assert desk.text == TELLTALE
    for _ in range(15):
        desk.undo()
    assert desk.text == TELLTALE
    assert not desk.can_go_back


def test_zones_and_wires_are_asked(tmp_path: Path) -> None:
    desk = changed(
        TELLTALE,
        tmp_path,
        *(Change("zone", thing, value="vehicle") for thing in ("supply", "left", "right", "big")),
        Change("zone", "small", value="trailer"),
        Change("zone", "big", value="trailer"),
        Change("conductors", value="3"),
        Change("wiring", key="on", value="true"),
        Change("wiring", "trailer-vehicle", "lengths", value="4"),
        Change("wiring", key="sizes", value="0.75, 1.5"),
        Change("wiring", key="most_drop", value="0.4"),
    )
    expect_said(
        desk,
        TELLTALE,
        '[place]\nvehicle = ["supply", "left", "right"]\ntrailer = ["small", "big"]\nmost_conductors = 3',
        '[wiring]\nlength = 2\nlengths = { "trailer-vehicle" = 4 }\nsizes = [0.75, 1.5]\nmost_drop = 0.4',
    )
    said = {one.name: one.metres for one in placed_view(tomllib.loads(desk.text)).lengths}
    assert said == {"vehicle-vehicle": None, "trailer-vehicle": 4.0, "trailer-trailer": None}
    for change in (
        Change("wiring", key="on", value="false"),
        Change("conductors"),
        *(Change("zone", thing) for thing in ("supply", "left", "right", "big", "small")),
    ):
        desk.change(change)
    assert desk.text == TELLTALE


def test_a_zone_may_be_called_like_a_thing_of_another(tmp_path: Path) -> None:
    # a list under the name of a thing is a zone, and a text the zone of the thing
    desk = changed(
        TELLTALE,
        tmp_path,
        *(Change("zone", "big", value=one) for one in ("small", "big", "big", "small", "front")),
        Change("zone", "small", value="big"),
        Change("zone", "left", value="big"),
    )
    zones = dict(parse_spec(desk.text, "a").place.zone_of)
    assert zones == {"big": "front", "small": "big", "left": "big"}


def test_choices_are_asked(tmp_path: Path) -> None:
    desk = changed(
        TELLTALE,
        tmp_path,
        Change("choice.add", key="either"),
        Change("either.edit", "right", "1,1", "1", "on"),
        Change("either.edit", "small", "1,1", "1", "off"),
        Change("either.edit", "big", "1,1", "1", "any"),
        Change("either.more", at="1"),
        Change("either.edit", "small", "3,1", "1", "dim"),
        Change("either.edit", "big", "3,1", "1", "any"),
        Change("either.less", at="1", value="2"),
        Change("choice.add", key="code"),
        Change("code.edit", key="more", at="1", value="small"),
        Change("code.edit", key="less", at="1", value="big"),
        Change("code.edit", key="control", at="1", value="right"),
        Change("code.edit", key="word dim", at="1", value="true"),
        Change("code.edit", key="when left", at="1", value="off"),
        Change("code.edit", key="blank", at="1", value="true"),
    )
    one = '{ when = { left = "on", right = "on" }, show = { small = "off" } }'
    other = '{ when = { left = "on" }, show = { small = "dim" } }'
    expect_said(
        desk,
        TELLTALE,
        f"[[either]]\nrows = [{one}, {other}]",
        '[[code]]\nlamps = ["small"]\nwords = ["off", "dim", "lit"]\ncontrol = "right"',
        'when = { left = "off" }',
    )
    desk.change(Change("choice.remove", "either", at="1"))
    desk.change(Change("choice.remove", "code", at="1"))
    assert desk.text == TELLTALE


NEW_NAMES = (
    Change("control.edit", "left", "name", value="brake"),
    Change("lamp.edit", "big", "name", value="stop"),
)


def test_another_name_is_that_everywhere(tmp_path: Path) -> None:
    # replaced in the text as an editor would: no other word of it is called so
    text = TELLTALE + EVERYTHING
    desk = changed(text, tmp_path, *NEW_NAMES)
    by_hand = text.replace("left", "brake").replace("big", "stop")
    assert desk.text.split() == by_hand.split()


def test_what_is_said_of_a_thing_goes_with_it(tmp_path: Path) -> None:
    desk = changed(TELLTALE + EVERYTHING, tmp_path, Change("lamp.remove", "big"))
    assert "big" not in desk.text
    assert "[[same]]" not in desk.text
    assert "[[brighter]]" not in desk.text
    assert 'lamps = ["small"]' in desk.text
    desk = changed(TELLTALE + EVERYTHING, tmp_path, Change("control.remove", "left"))
    assert "left" not in desk.text.replace("58L", "")
    with_code = TELLTALE + '\n[[code]]\nlamps = ["small"]\ncontrol = "left"\n'
    assert "code" not in changed(with_code, tmp_path, Change("control.remove", "left")).text


def test_comments_and_order_of_what_is_not_changed_stay(tmp_path: Path) -> None:
    text = TELLTALE + EVERYTHING
    desk = changed(
        text,
        tmp_path,
        Change("compare.edit", "same", "more", "1", "big"),
        Change("either.edit", "right", "1,1", "1", "off"),
        Change("zone", "big", value="vehicle"),
        Change("wiring", "trailer-vehicle", "lengths", value="3.5"),
    )
    kept = [line.partition("#")[2] for line in text.splitlines() if "#" in line]
    assert [line.partition("#")[2] for line in desk.text.splitlines() if "#" in line] == kept


SLIPS = [
    ("within = 0.1", "within = 3", ("same", 1)),
    ('than = "small"', 'than = "smal"', ("brighter", 1)),
    ('tell_apart = [{ left = "on" }', 'tell_apart = [{ left = "onn" }', ("code", 1)),
    ('show = { small = "dim" }', 'show = { small = "dimm" }', ("either", 1)),
]


@pytest.mark.parametrize(("old", "new", "row"), SLIPS)
def test_what_is_wrong_stands_in_its_row(old: str, new: str, row: tuple[str, int], tmp_path: Path) -> None:
    desk = desk_of(TELLTALE + EVERYTHING.replace(old, new), tmp_path)
    assert desk.board.wrong_row(*row)
    assert not desk.board.wrong_rest(row[0])
    assert all(f"{row[0]} {row[1]} (line " in one.place for one in desk.board.wrong_row(*row))
    assert not set(desk.board.wrong_row(*row)) & set(desk.board.other_findings)
    if row[0] == "either":
        assert desk.board.wrong_choice(1, 2, "small")
        assert not desk.board.wrong_choice(1, 1, "small")


def test_what_is_wrong_with_a_zone_stands_by_the_thing(tmp_path: Path) -> None:
    desk = desk_of(TELLTALE + '[place]\nvehicle = ["left"]\nbig = "a:b"\n', tmp_path)
    assert desk.board.wrong_of("place", "big")
    assert set(desk.board.wrong_of("place", "big")) <= set(desk.board.wrong_rest("place"))


STRANGE = [
    Change("compare.edit", "same", "within", "7", "5"),
    Change("compare.edit", "same", "within", "-1", "5"),
    Change("compare.edit", "behaviour", "when left", "1", "on"),
    Change("compare.edit", "same", "by", "1", "5"),
    Change("compare.edit", "same", "within", "1", "a lot"),
    Change("compare.remove", "behaviour", at="1"),
    Change("choice.remove", "same", at="1"),
    Change("zone", "nobody", value="here"),
    Change("zone", "big", value="most_conductors"),
    Change("wiring", key="colour", value="red"),
    Change("either.edit", "big", "9,1", "1", "lit"),
    Change("either.edit", "big", "x", "1", "lit"),
    Change("either.less", at="1", value="9"),
    Change("code.edit", key="colour", at="1", value="red"),
]


@pytest.mark.parametrize("change", STRANGE)
def test_what_cannot_be_is_refused_and_changes_nothing(change: Change, tmp_path: Path) -> None:
    desk = desk_of(TELLTALE + EVERYTHING, tmp_path)
    with pytest.raises(InputError):
        desk.change(change)
    assert desk.text == TELLTALE + EVERYTHING


@pytest.mark.parametrize("slip", ["same = 3", "either = [1, 2]", "place = []", "wiring = 1", "code = [[]]"])
def test_the_page_shows_what_has_not_its_shape(slip: str, tmp_path: Path) -> None:
    head, tables = TELLTALE.split("[supply]")
    bench = Workbench(folder_of(tmp_path, Path("results")), 1)
    bench.desk.text = f"{head}{slip}\n[supply]{tables}"
    assert 'class="wrong' in parts_of(bench)["beside"]


def test_every_shipped_spec_is_shown(tmp_path: Path) -> None:
    bench = Workbench(folder_of(tmp_path, Path("results")), 1)
    for path in sorted((ROOT / "specs").glob("*.toml")):
        bench.desk.text = path.read_text(encoding="utf-8")
        assert 'class="wrong' not in parts_of(bench)["beside"], path.name
