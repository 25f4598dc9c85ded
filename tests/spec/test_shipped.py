"""The shipped specs and the starter: valid, taught by a comment, and every table of the format shown."""

import re
import tomllib
from pathlib import Path

import pytest

from lampwright.errors import InputError
from lampwright.spec.format import spec_schema
from lampwright.spec.load import load_spec, parse_spec, starter_text, write_starter
from lampwright.spec.model import plain_specs
from lampwright.spec.states import uncovered

SHIPPED = sorted((Path(__file__).parents[2] / "specs").glob("*.toml"))
UNCONSTRAINED = {
    "recovery_alternating_pair": ("flasher on", "master on"),
    "lesson_3_a_filament_as_ground": ("first on, second on",),
}


def test_which_are_shipped() -> None:
    assert {path.stem for path in SHIPPED} >= {
        "classroom_three_lamps",
        "no_such_circuit",
        "one_filament_stop_tail",
        "parking_light_selector",
        "recovery_alternating_pair",
        "sidecar_side_lamp",
        "trailer_feed_telltale",
        "trailer_pair_from_the_box",
    }


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_shipped_spec_loads_and_teaches(path: Path) -> None:
    spec = load_spec(path)
    comment = re.match(r"(?:#.*\n)+", spec.text)
    assert comment is not None
    assert comment[0].count("\n") >= 5
    assert uncovered(plain_specs(spec)[0]) == UNCONSTRAINED.get(path.stem, ())


def test_starter_is_valid_as_it_stands(tmp_path: Path) -> None:
    path = write_starter(tmp_path / "mine.toml")
    assert load_spec(path).text == starter_text()


def test_starter_teaches_every_table() -> None:
    """With its optional lines taken in it is valid too, and no table of the format is missing."""
    text = re.sub(r"^#(?=\S)", "", starter_text(), flags=re.MULTILINE)
    spec = parse_spec(text, "starter")
    assert {control.kind for control in spec.controls} == {"switch", "flasher", "positions"}
    assert {len(lamp.filaments) for lamp in spec.lamps} == {1, 2}
    # a file of lamps, which stands beside no text, is told of in a comment
    assert {*tomllib.loads(text), "types_from"} == set(spec_schema()["properties"])
    assert "# types_from = " in starter_text()


def test_starter_overwrites_nothing(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text("mine", encoding="utf-8")
    with pytest.raises(InputError, match="there is a file of this name already"):
        write_starter(path)
    assert path.read_text(encoding="utf-8") == "mine"


def test_starter_needs_a_folder(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be written"):
        write_starter(tmp_path / "nowhere" / "mine.toml")
