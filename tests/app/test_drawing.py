"""`lampwright draw` with real files: what it draws, where it puts it, and every way to ask wrongly."""

import os
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from PIL import Image
from tests.shipped import keep_shipped

from lampwright.cli.commands import main

SPECS = Path(__file__).parents[2] / "specs"
TRAILER = SPECS / "trailer_feed_telltale.toml"
OWN = """
part = [
  { ref = "left", kind = "filament", type = "R10W", from = "58L", to = "j7" },
  { ref = "right", kind = "filament", type = "R5W", from = "58R", to = "31" },
  { ref = "telltale", kind = "filament", type = "W2.3W", from = "58L", to = "58R" },
  { ref = "link", kind = "wire", from = "j7", to = "31" },
]
"""


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, ["draw", *map(str, arguments)])


@pytest.fixture(scope="module")
def stored(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give the results of two specs, one of which has no circuit."""
    return keep_shipped(tmp_path_factory.mktemp("results"), "trailer_feed_telltale", "no_such_circuit")


def parts_of(svg: Path) -> set[tuple[str | None, ...]]:
    """What is drawn between which nodes."""
    root = ET.fromstring(svg.read_text(encoding="utf-8"))
    keys = ("data-ref", "data-from", "data-to")
    return {tuple(one.get(key) for key in keys) for one in root.iter() if one.get("data-ref")}


def test_a_stored_design_is_drawn(stored: Path, tmp_path: Path) -> None:
    to = tmp_path / "telltale.svg"
    result = run(TRAILER, "--out", stored, "--to", to)
    assert (result.exit_code, result.stdout, result.stderr) == (0, "", f"lampwright: wrote {to}\n")
    drawn = parts_of(to)
    assert len(drawn) == 3, drawn
    assert {ref for ref, *_ in drawn} == {"left", "right", "telltale"}
    text = to.read_text(encoding="utf-8")
    assert all(f">{control}<" in text for control in ("left_tail", "right_tail")), "its controls are drawn"


def test_a_circuit_of_ones_own_is_drawn_as_written(tmp_path: Path) -> None:
    mine, to = tmp_path / "mine.toml", tmp_path / "mine.svg"
    mine.write_text(OWN, encoding="utf-8")
    result = run(TRAILER, mine, "--to", to)
    assert result.exit_code == 0, result.output
    assert parts_of(to) == {
        ("left", "58L", "j7"), ("right", "58R", "31"), ("telltale", "58L", "58R"), ("link", "j7", "31"),
    }  # fmt: skip


def test_the_ending_says_what_is_written(stored: Path, tmp_path: Path) -> None:
    for name, first in (("a.svg", b"<svg "), ("a.PNG", b"\x89PNG"), ("a.pdf", b"%PDF-")):
        assert run(TRAILER, "--out", stored, "--to", tmp_path / name).exit_code == 0, name
        assert (tmp_path / name).read_bytes().startswith(first), name
    assert run(TRAILER, "--out", stored, "--to", tmp_path / "b.png", "--width", 640).exit_code == 0
    with Image.open(tmp_path / "b.png") as picture:
        assert picture.width == 640, "the width is not passed on"


def test_a_file_that_is_there_is_replaced_whole(stored: Path, tmp_path: Path) -> None:
    to = tmp_path / "old.svg"
    to.write_text("x" * 1_000_000, encoding="utf-8")
    assert run(TRAILER, "--out", stored, "--to", to).exit_code == 0
    assert ET.fromstring(to.read_text(encoding="utf-8")).tag.endswith("svg"), "some of the old is left"
    assert os.listdir(tmp_path) == ["old.svg"], "nothing else is left behind"  # noqa: PTH208  # hidden ones too


def test_what_cannot_be_drawn_is_one_line_with_its_remedy(stored: Path, tmp_path: Path) -> None:
    folder = tmp_path / "folder.svg"
    folder.mkdir()
    none = SPECS / "no_such_circuit.toml"
    for arguments, place, said, remedy in (
        (("--to", tmp_path / "a.gif"), tmp_path / "a.gif", 'no picture here ends in ".gif"', "or .pdf"),
        (("--to", tmp_path / "a"), tmp_path / "a", "a has no ending", "in .svg, .png or .pdf"),
        (("--to", ""), ".", "has no ending", "in .svg, .png or .pdf"),
        (("--to", tmp_path / "no" / "a.svg"), tmp_path / "no" / "a.svg", "there is no folder", "another"),
        (("--to", folder), folder, "it cannot be written", "name a file where you may write"),
        (
            ("--to", tmp_path / "a.svg", "--width", 300),
            tmp_path / "a.svg", "300 pixels are asked for, and only a PNG has pixels", "ends in .png",
        ),
        (
            ("--to", tmp_path / "a.svg", "--rank", 2),
            "--rank", "2 is asked for, and the result has 1 design", "from 1 to 1",
        ),
    ):  # fmt: skip
        _refused(run(TRAILER, "--out", stored, *arguments), f"{place}: ", said, remedy)
    _refused(
        run(none, "--out", stored, "--to", tmp_path / "a.svg"),
        "--rank: ", "the result has no design", f"lampwright draw {none} CIRCUIT --to {tmp_path / 'a.svg'}",
    )  # fmt: skip
    _refused(
        run(TRAILER, "--out", tmp_path, "--to", tmp_path / "a.svg"),
        str(tmp_path / "trailer_feed_telltale"), "no stored result", f"run: lampwright search {TRAILER}",
    )  # fmt: skip
    assert sorted(path.name for path in tmp_path.iterdir()) == ["folder.svg"], "something was written"


def test_a_circuit_that_is_none_is_refused(tmp_path: Path) -> None:
    mine = tmp_path / "mine.toml"
    mine.write_text(OWN.replace('"58R", to = "31"', '"58Q", to = "31"'), encoding="utf-8")
    _refused(run(TRAILER, mine, "--to", tmp_path / "a.svg"), "mine.toml", "58Q", "")
    assert not (tmp_path / "a.svg").exists(), "something was written"


def _refused(result: Result, place: str, said: str, remedy: str) -> None:
    """Expect one line on stderr, and nothing else."""
    assert (result.exit_code, result.stdout) == (2, ""), result.output
    (line,) = result.stderr.splitlines()
    assert line.startswith("lampwright: ") and place in line, line  # noqa: PT018  # one line, looked at twice
    assert said in line, line
    assert line.endswith(remedy), line
