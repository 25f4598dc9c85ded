"""A stored design with another type in it: judged as the file with that type is, and written."""

import tomllib
from pathlib import Path

import pytest
from tests.shipped import keep_shipped

from lampwright.app.trying import check_file, check_rank
from lampwright.errors import InputError
from lampwright.network.circuit_file import read_circuit
from lampwright.problem.problem import layout_of
from lampwright.problem.reading import read_spec
from lampwright.results.json_text import to_json
from lampwright.store.files import StoreError

SPEC = Path(__file__).parents[2] / "specs" / "trailer_feed_telltale.toml"
BOX = SPEC.with_name("trailer_pair_from_the_box.toml")


@pytest.fixture(scope="module")
def out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return keep_shipped(tmp_path_factory.mktemp("results"), SPEC.stem, BOX.stem)


def test_a_stored_design_is_checked_and_written(out: Path, tmp_path: Path) -> None:
    own = tmp_path / "own.toml"
    report = check_rank(SPEC, 1, out, save=own)
    assert report.meets, "a design meets its spec"
    assert to_json(check_file(SPEC, own)) == to_json(report), "its file is judged alike"
    rows = tomllib.loads(own.read_text(encoding="utf-8"))["part"]
    assert [(row["ref"], row["type"], row["from"], row["to"]) for row in rows] == [
        ("left", "R10W", "58L", "31"),
        ("right", "R10W", "58R", "31"),
        ("telltale", "W2.3W", "58L", "58R"),
    ]


def test_another_type_is_judged_as_a_file_with_it(out: Path, tmp_path: Path) -> None:
    plain, own, tried = (tmp_path / f"{name}.toml" for name in ("plain", "own", "tried"))
    check_rank(SPEC, 1, out, save=plain)
    own.write_text(plain.read_text(encoding="utf-8").replace('"R10W"', '"R5W"', 1), encoding="utf-8")
    report = check_rank(SPEC, 1, out, ["left=R5W"], tried)
    assert not report.meets, "a design with another type that does not do"
    assert (
        to_json(report) == to_json(check_file(SPEC, own)) == to_json(check_file(SPEC, plain, ["left = R5W"]))
    )
    layout = layout_of(read_spec(SPEC))
    assert read_circuit(tried, layout) == read_circuit(own, layout), "what was judged is what is written"


def test_another_value_is_judged_with_a_wattage_of_its_own(out: Path, tmp_path: Path) -> None:
    own = tmp_path / "own.toml"
    report = check_rank(BOX, 1, out, ["R1=6.8", "D1=1N5408"], own)
    rows = {row["ref"]: row for row in tomllib.loads(own.read_text(encoding="utf-8"))["part"]}
    assert (rows["R1"]["ohms"], rows["D1"]["type"]) == (6.8, "1N5408")
    assert "watts" not in rows["R1"], "the wattage of the resistor that was there"
    assert [part.watts for part in report.design.parts if part.kind == "resistor"] == [25.0], "chosen anew"


@pytest.mark.parametrize(
    ("fits", "said"),
    [
        (["left"], '--fit: "left" fits nothing; write PART=WHAT, as side=R5W or R1=4.7'),
        (["=R5W"], '--fit: "=R5W" fits nothing; write PART=WHAT, as side=R5W or R1=4.7'),
        (["lft=R5W"], '--fit: no such part is called "lft"; did you mean "left"? use left, right or'),
        (["left=R5X"], '--fit: "R5X" is no lamp type; nearest: R5W; `lampwright parts` lists them'),
        (
            ["left=P21/5W"],
            "--fit: P21/5W has 2 filaments, and nodes are given for 1; take a type with as many",
        ),
        (["left=R5W", "left=R10W", "x"], '--fit: left is fitted twice; keep one\n--fit: "x" fits nothing;'),
    ],
)
def test_what_cannot_be_fitted_is_said(out: Path, fits: list[str], said: str) -> None:
    with pytest.raises(InputError) as caught:
        check_rank(SPEC, 1, out, fits)
    assert str(caught.value).startswith(said)


def test_a_resistor_is_fitted_with_ohms(out: Path) -> None:
    with pytest.raises(InputError, match=r'--fit: "ten" is no number of ohms; write R1=4.7'):
        check_rank(BOX, 1, out, ["R1=ten"])
    with pytest.raises(InputError, match=r"--fit: -1.0 is no number from 0.001 to 1,000,000; write it in"):
        check_rank(BOX, 1, out, ["R1=-1"])


def test_a_design_that_is_not_there_is_said(out: Path, tmp_path: Path) -> None:
    with pytest.raises(
        InputError, match="--rank: 2 is asked for, and the result has 1 design; ask for a rank"
    ):
        check_rank(SPEC, 2, out)
    with pytest.raises(InputError, match="there is no stored result of this spec; run: lampwright search"):
        check_rank(SPEC, 1, tmp_path)
    with pytest.raises(StoreError, match="it cannot be written"):
        check_rank(SPEC, 1, out, save=tmp_path / "no" / "own.toml")
