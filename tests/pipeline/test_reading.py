"""Findings of the file and of the catalogue come together, each with place and remedy."""

from pathlib import Path

import pytest

from lampwright.errors import InputError
from lampwright.pipeline.reading import read_spec

TELLTALE = (Path(__file__).parents[2] / "specs" / "trailer_feed_telltale.toml").read_text(encoding="utf-8")
DIODE = '\n[extras]\ndiodes = { most = 1, choose = ["1N9"] }\n'
EMPTY = '\n[extras]\nresistors = { most = 1, series = "E3", ohms = [1.1, 2.0] }\n'
MANY = '\n[extras]\nresistors = { most = 1, series = "E24", ohms = [0.001, 1000000.0] }\n'
TWO = 'choose = ["P21/5W"]'


def findings(tmp_path: Path, text: str) -> list[str]:
    path = tmp_path / "own.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_spec(path)
    return [str(finding) for finding in caught.value.findings]


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("R10W", "R11W", 'own.toml: lamps.left.choose: "R11W" is no lamp type for 12 V; nearest: R10W'),
        ("system = 12", "system = 6", "no lamp type for 6 V"),
        ("[search]", f"{DIODE}\n[search]", 'own.toml: extras.diodes.choose: "1N9" is no diode'),
        ("[search]", f"{EMPTY}\n[search]", "extras.resistors.ohms: E3 has no value from 1.1 to 2 ohm; widen"),
        (
            "[search]",
            "[stock]\nlamps = { P21 = 1 }\n[search]",
            'own.toml: stock.lamps: "P21" is no lamp type for 12 V; nearest: P21W',
        ),
        (
            "[search]",
            '[stock]\ndiodes = { "1N4504" = 1 }\n[search]',
            'own.toml: stock.diodes: "1N4504" is no diode type; nearest: 1N5404',
        ),
        (
            "[search]",
            "[stock]\nprices = { R11W = 1 }\n[search]",
            'own.toml: stock.prices: "R11W" is no lamp type for 12 V or diode type, nor the word resistor; '
            "nearest: ",
        ),
        ("[search]", f"{MANY}\n[search]", "values are more than a search can try for each circuit; narrow"),
    ],
)
def test_what_the_catalogue_cannot_serve(tmp_path: Path, old: str, new: str, said: str) -> None:
    found = findings(tmp_path, TELLTALE.replace(old, new))
    assert any(said in line for line in found), found


def test_a_box_may_hold_what_the_spec_has_no_use_for(tmp_path: Path) -> None:
    path = tmp_path / "own.toml"
    box = '[stock]\nlamps = { T4W = 6 }\ndiodes = { "1N4001" = 2 }\nprices = { W16W = 2 }\n'
    path.write_text(TELLTALE + box, encoding="utf-8")
    assert read_spec(path).stock is not None


def test_a_value_from_the_box_is_a_value(tmp_path: Path) -> None:
    """A range without a value of the series is fine where the box has one in it."""
    path = tmp_path / "own.toml"
    box = "[stock]\nresistors = [{ ohms = 1.3, watts = 5, have = 1 }]\n"
    path.write_text(f"{TELLTALE}{EMPTY}{box}", encoding="utf-8")
    assert read_spec(path).stock is not None


def test_a_lamp_of_two_filaments_needs_two_names(tmp_path: Path) -> None:
    at = TELLTALE.index("choose")
    text = TELLTALE[:at] + TWO + TELLTALE[TELLTALE.index("\n", at) :]
    found = findings(tmp_path, text)
    assert any("P21/5W has 2 filaments, but the spec has 1; name both" in line for line in found), found


def test_findings_of_file_and_catalogue_come_together(tmp_path: Path) -> None:
    found = findings(tmp_path, TELLTALE.replace("R10W", "R11W").replace('"lit"', '"litt"', 1))
    assert any('"litt" is no word for a lamp' in line for line in found), "the file's own"
    assert any('"R11W" is no lamp type' in line for line in found), "and the catalogue's"
