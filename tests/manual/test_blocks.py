"""Every block of code in the README and in the documentation runs, and prints what the document says.

A `text` block that begins with `$ lampwright` shows what the command prints, where `...` stands for lines
left out. Of an `sh` block every line of lampwright runs; what sets up an environment is known by name. A
block whose first line is `# NAME` is saved as that file before the blocks below it run. A `toml` block is a
spec, a circuit file or a part of a spec. The `python` blocks of a document run in order, in one namespace; a
comment behind a `print`, or right below it, is what it prints. The answers to shipped specs are those that
all tests share.
"""

import re
import shlex
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from tests.manual.blocks import (
    DOCUMENTS,
    LANGUAGES,
    ROOT,
    blocks_of,
    check_toml,
    file_of,
    missing,
    run_python,
)
from tests.selection import some
from tests.sheets import spec_of
from tests.shipped import NAMES, shipped

from lampwright.app import commands
from lampwright.app.keeping import keep_ranking, search_and_keep
from lampwright.cli.commands import main
from lampwright.manual.pages import SOURCES
from lampwright.results.ranking import Ranking
from lampwright.searching.options import SearchOptions

SET_UP = (
    "python3 -m venv",
    "py -m venv",
    ".venv/bin/pip install",
    ".venv/bin/dask",
    ".venv\\Scripts\\lampwright",
)
"""What needs a network, another machine or another system is shown and not run."""
PYTHON = [path for path in DOCUMENTS if any(block.language == "python" for block in blocks_of(path))]
SHELL = [
    path
    for path in DOCUMENTS
    if any(block.language == "sh" or block.text.startswith("$ ") for block in blocks_of(path))
]
LONG = ("class_sheet", "atlas")
"""The PDFs of a worksheet and an atlas; both are made by tests of their own."""
READINGS = "how-to/on_the_bench.md"
"""Shows some rows of a sheet for the bench, as text."""

LESSONS = sorted((SOURCES / "course").glob("lesson_*.md"))
FIGURE = re.compile(r"\d[\d.,]* (?:to [\d.,]*\d(?!\w)|(?:m?[VA]|Ω|W|K|%|times)(?!\w))")

Answer = Callable[[str], str]


def named(path: Path) -> str:
    return path.relative_to(ROOT).as_posix().removeprefix("search/lampwright/docs/")


@pytest.fixture
def _elsewhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder that has the specs as the root has them, so that what a block writes is not kept."""
    (tmp_path / "specs").symlink_to(ROOT / "specs", target_is_directory=True)
    monkeypatch.chdir(tmp_path)


@pytest.fixture
def answer(_elsewhere: None, monkeypatch: pytest.MonkeyPatch) -> Answer:
    """Run a command line and give what it prints; shipped specs are searched once a run."""

    def search(spec: Path, options: SearchOptions, progress: Any) -> Ranking:
        if spec.stem not in NAMES:
            return search_and_keep(spec, options, progress)
        ranking = shipped(spec.stem)
        keep_ranking(ranking, spec_of(spec.stem), options.out / spec.stem)
        return ranking

    def run(line: str) -> str:
        result = CliRunner().invoke(main, shlex.split(line))
        assert not isinstance(result.exception, Exception), result.output
        assert result.exit_code in (0, 1), result.output
        return result.stdout

    monkeypatch.setattr(commands, "search_to_disk", search)
    return run


def test_every_block_is_tested() -> None:
    every = [block for path in DOCUMENTS for block in blocks_of(path)]
    strange = [block.place for block in every if block.language not in LANGUAGES]
    assert not strange, f"a block says its language, so that it is tested: {strange}"
    loose = [
        block.place
        for block in every
        if block.language == "text" and not block.text.startswith(("$ lampwright ", "# "))
    ]
    assert [place.partition(":")[0] for place in loose] == [READINGS], f"shown by no command: {loose}"


@pytest.mark.usefixtures("_elsewhere")
@pytest.mark.parametrize("document", PYTHON, ids=named)
def test_python_runs_and_prints_what_it_says(document: Path) -> None:
    namespace: dict[str, Any] = {"__name__": "__main__"}
    for block in blocks_of(document):
        wrong = run_python(block.text, namespace) if block.language == "python" else []
        assert not wrong, f"{block.place}\n" + "\n\n".join(wrong)


@pytest.mark.parametrize(
    "document", some(SHELL, [path for path in SHELL if path.stem not in LONG]), ids=named
)
def test_commands_run_and_print_what_is_shown(document: Path, answer: Answer) -> None:
    for block in blocks_of(document):
        if name := file_of(block):
            Path(name).write_text(block.text, encoding="utf-8")
        if block.text.startswith("$ "):
            command, _, shown = block.text.removeprefix("$ lampwright ").partition("\n")
            lost = missing(shown, answer(command))
            assert not lost, f"{block.place}: {command} does not print, where it should: {lost}"
        for line in block.text.splitlines() if block.language in ("sh", "powershell") else ():
            if "--scheduler" not in line and not line.startswith(SET_UP):
                name, _, command = line.removeprefix(".venv/bin/").partition(" ")
                assert name == "lampwright", f"{block.place}: not known how to test: {line}"
                answer(command)


@pytest.mark.parametrize("document", DOCUMENTS, ids=named)
def test_toml_is_taken(document: Path, tmp_path: Path) -> None:
    for block in blocks_of(document):
        wrong = check_toml(block.text, tmp_path) if block.language == "toml" else []
        assert not wrong, f"{block.place}: {wrong}"


def test_the_readings_shown_are_those_of_the_sheet(answer: Answer) -> None:
    answer("search specs/sidecar_side_lamp.toml")
    answer("sheet specs/sidecar_side_lamp.toml --to sheet.html")
    sheet = Path("sheet.html").read_text(encoding="utf-8").replace("\N{NO-BREAK SPACE}", " ")
    rows = [re.split(r"(?:<[^>]+>)+", row) for row in sheet.split("<tr>")]
    (block,) = (one for one in blocks_of(SOURCES / READINGS) if one.language == "text")
    shown = [re.split(r" {2,}", line) for line in block.text.splitlines() if re.match(r"[CP]\d", line)]
    assert len(shown) == 4
    lost = [cells for cells in shown if not any(set(cells) <= set(row) for row in rows)]
    assert not lost, f"{block.place}: not on the sheet: {lost}"


@pytest.mark.parametrize("lesson", LESSONS, ids=named)
def test_every_figure_of_a_lesson_is_one_that_is_printed(lesson: Path, answer: Answer) -> None:
    (spec,) = (ROOT / "specs").glob(f"{lesson.stem}_*.toml")
    printed = answer(f"search specs/{spec.name}") + answer(f"explain specs/{spec.name}")
    answer(f"sheet specs/{spec.name} --to sheet.html")
    printed = plain(printed + re.sub(r"<[^>]+>", " ", Path("sheet.html").read_text(encoding="utf-8")))
    prose = plain(re.sub(r"```.*?```", "", lesson.read_text(encoding="utf-8"), flags=re.DOTALL))
    figures = FIGURE.findall(prose)
    assert len(figures) >= 10
    lost = [one for one in figures if not re.search(rf"(?<![\d.]){re.escape(one)}(?!\w)", printed)]
    assert not lost, f"{lesson.stem} says what the program does not: {lost}"


def plain(text: str) -> str:
    return re.sub(r"\s+", " ", text)


def test_how_comments_are_read() -> None:
    right = 'print("ä", 1)  # ä 1\nprint("a\\n  b")\n# a\n#   b\n\n# a remark\nx = 2  # another\nprint(x)\n'
    assert run_python(right, {}) == []
    assert run_python('print("a")  # b\n', {}) == ["print('a') prints\na\nand not\nb"]
    assert run_python('print("a")\n# a\n# b\n', {}) == ["print('a') prints\na\nand not\na\nb"]
    with pytest.raises(NameError):
        run_python("print(x)\n", {})


def test_how_what_is_printed_is_compared() -> None:
    printed = "a\nb\nc\nd\n"
    assert [missing(shown, printed) for shown in (printed, "a\n...\nd\n", "...\nb\nc\n...\n")] == ["", "", ""]
    assert missing("a\nc\n...\n", printed) == "c", "lines between are told of"
    assert missing("...\nx\n...\n", printed) == "x"
    assert missing("a\n", printed) == "(then) b"
    assert missing("...\nb\n...\na\n...\n", printed) == "a", "in another order"


def test_a_fragment_is_held_against_the_spec(tmp_path: Path) -> None:
    assert check_toml('[extras]\ndiodes = { most = 1, choose = ["1N5404"] }\n', tmp_path) == []
    assert check_toml("[extras]\ndiods = { most = 1 }\n", tmp_path)
    assert check_toml('[supply]\nsystem = "12"\n', tmp_path)
