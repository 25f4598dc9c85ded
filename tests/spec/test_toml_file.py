"""Files that are no TOML, rows named by their lines, and messages that stay one short line.

The slips themselves stand in `findings.toml`; here is what no bent spec can show. No outside source.
"""

import tomllib
from pathlib import Path

import pytest
from tests.selection import some

from lampwright.errors import MOST_SAID, FilePlace, Finding, InputError
from lampwright.network.circuit_file import read_circuit, read_parts
from lampwright.problem.problem import layout_of
from lampwright.problem.reading import read_spec
from lampwright.spec.load import load_spec
from lampwright.toml_file import read_toml, row_lines

SPEC = Path(__file__).parents[2] / "specs" / "sidecar_side_lamp.toml"
PART = '[[part]]\nref = "side"\nkind = "filament"\ntype = "W2.3W"\nfrom = "49a"\nto = "54"\n\n'


def told(path: Path, text: str, read: object = read_spec) -> list[str]:
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read(path)  # type: ignore[operator]
    return str(caught.value).split("\n")


@pytest.mark.parametrize("read", [load_spec, read_spec, read_parts])
@pytest.mark.parametrize(
    "deep",
    ["x = " + "[" * 20_000 + "]" * 20_000, "x = " + "{ a = " * 20_000 + "1" + " }" * 20_000],
    ids=["lists", "tables"],
)
def test_what_is_nested_too_deeply_is_told(tmp_path: Path, deep: str, read: object) -> None:
    (line,) = told(tmp_path / "deep.toml", deep, read)
    assert line.startswith("deep.toml: the file is nested too deeply; write plain tables")


@pytest.mark.parametrize("at", some(["", "lamps.", "place.", "controls.a.", "stock."], ["controls.a."]))
def test_keys_that_go_deep_are_told(tmp_path: Path, at: str) -> None:
    text = SPEC.read_text(encoding="utf-8")
    deep = f"{at}{'.'.join(['deep'] * 3000)} = 1\n"
    lines = told(tmp_path / "deep.toml", deep + text)
    assert all(len(line) < 600 for line in lines)


def test_a_circuit_files_slip_is_told_as_a_specs(tmp_path: Path) -> None:
    (line,) = told(tmp_path / "own.toml", PART.replace('"side"', "side"), read_parts)
    assert line == 'own.toml: line 2: `ref = side` has text without quotes; put it in quotes, as ref = "word"'


def test_parts_are_named_by_line(tmp_path: Path) -> None:
    layout = layout_of(read_spec(SPEC))
    text = "# mine\n" + PART + PART.replace('"54"', '"45"')
    lines = told(tmp_path / "own.toml", text, lambda path: read_circuit(path, layout))
    assert lines[0].startswith('own.toml: part 2 (line 9): to: "45" is no node')
    lines = told(tmp_path / "own.toml", text.replace("filament", "lamp"), read_parts)
    assert [line.split(": ")[1] for line in lines] == ["part 1 (line 2)", "part 2 (line 9)"]


def test_heads_in_texts_of_many_lines_are_none() -> None:
    """Nor in comments, and rows written as a list have no line of their own."""
    text = 'a = """\n[[part]]\n"""\n# [[part]]\n\n [[ part ]]\n'
    assert tomllib.loads(text)
    file = FilePlace("f", lines=row_lines(text))
    assert str(file.key("part").row(1).key("ref")) == "f: part 1 (line 6): ref"
    assert str(file.key("part").row(2)) == "f: part 2"
    assert str(file.key("same").row(1)) == "f: same 1"


def test_line_ends_of_windows_count_once() -> None:
    with pytest.raises(InputError, match="f: line 3: `c = x` has text without quotes"):
        read_toml("a = 1\r\nb = 2\r\nc = x\r\n", "f")


@pytest.mark.parametrize("mark", ["\x1b[31m", "\u202e", "\n", "\r", "\u2028", "\x00", "\ud800"])
def test_no_mark_reaches_a_message_raw(mark: str) -> None:
    line = str(Finding(f"a{mark}", f"b{mark}", f"c{mark}"))
    assert line.isprintable()
    assert line.isprintable() == line.encode("utf-8", "replace").decode().isprintable()
    assert line.count("\\") >= 3


def test_no_message_is_long() -> None:
    assert len(str(Finding("a" * 5000, "b" * 5000, "c" * 5000))) <= 3 * MOST_SAID + 4


def test_names_of_parts_are_of_one_short_line(tmp_path: Path) -> None:
    for name in ("a\\u202eb", "a\\nb", "x" * 65):
        (line,) = told(tmp_path / "own.toml", PART.replace('"side"', f'"{name}"'), read_parts)
        assert "own.toml: part 1 (line 1): ref: '" in line
        assert line.endswith("is no name of one line; write a short, plain one")
