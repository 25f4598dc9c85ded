"""The command line is a translation: which call each list of arguments becomes, and what comes out.

Source for exit statuses: the project's own contract; 2 for usage errors is click's.
"""

import io
import json
import os
import shlex
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from msgspec import structs
from tests.cli.conftest import load

from lampwright.app.atlas_options import AtlasOptions
from lampwright.app.fit_options import FitOptions
from lampwright.app.sheet_options import SheetOptions
from lampwright.app.worksheet_options import WorksheetFiles, WorksheetOptions
from lampwright.cli import show
from lampwright.cli.commands import main
from lampwright.errors import Finding, InputError, LampwrightError
from lampwright.results.explanation import WhyNot
from lampwright.results.json_text import to_json
from lampwright.results.ranking import Ranking, VerdictKind
from lampwright.searching.options import BUDGET, SearchOptions

PROCESSORS = os.cpu_count() or 1
DEFAULTS = SearchOptions(
    out=Path("results"),
    most=5,
    workers=PROCESSORS,
    extra_parts=None,
    time_limit=None,
    fresh=False,
    budget=BUDGET,
)


def run(line: str) -> Result:
    """Run one command line."""
    return CliRunner().invoke(main, shlex.split(line))


@pytest.mark.parametrize(
    ("line", "name", "arguments"),
    [
        ("new tail.toml", "new_spec", (Path("tail.toml"),)),
        ("docs --no-browser", "write_docs", (main, None)),
        ("docs --no-browser --to pages", "write_docs", (main, Path("pages"))),
        ("sheet tail.toml", "sheet_stored", (Path("tail.toml"), 1, SheetOptions())),
        (
            "sheet tail.toml --rank 2 --out mine --paper letter",
            "sheet_stored",
            (Path("tail.toml"), 2, SheetOptions(out=Path("mine"), paper="letter")),
        ),
        (
            "sheet tail.toml own.toml --to a.pdf --coupling 'four-way flat'",
            "sheet_file",
            (
                Path("tail.toml"),
                Path("own.toml"),
                SheetOptions(coupling="four-way flat", to=Path("a.pdf")),
            ),
        ),
        (
            "worksheet tail.toml own.toml --grade 2 --seed 0 --to a.pdf --paper letter",
            "worksheet_files",
            (
                (Path("tail.toml"), Path("own.toml")),
                WorksheetOptions(grade=2, seed=0, to=Path("a.pdf"), paper="letter"),
            ),
        ),
        ("sheet tail.toml --json", "sheet_rows", (Path("tail.toml"), None, 1, SheetOptions())),
        (
            "sheet tail.toml own.toml --json --coupling 'ISO 1724'",
            "sheet_rows",
            (Path("tail.toml"), Path("own.toml"), 1, SheetOptions(coupling="ISO 1724")),
        ),
        ("search tail.toml", "search_to_disk", (Path("tail.toml"), DEFAULTS)),
        ("search tail.toml --json", "search_to_disk", (Path("tail.toml"), DEFAULTS)),
        (
            "search tail.toml --out mine",
            "search_to_disk",
            (Path("tail.toml"), replace(DEFAULTS, out=Path("mine"))),
        ),
        ("search --most 2 tail.toml", "search_to_disk", (Path("tail.toml"), replace(DEFAULTS, most=2))),
        ("search tail.toml --workers 7", "search_to_disk", (Path("tail.toml"), replace(DEFAULTS, workers=7))),
        (
            "search tail.toml --extra-parts 0",
            "search_to_disk",
            (Path("tail.toml"), replace(DEFAULTS, extra_parts=0)),
        ),
        (
            "search tail.toml --time-limit 2.5",
            "search_to_disk",
            (Path("tail.toml"), replace(DEFAULTS, time_limit=2.5)),
        ),
        ("search tail.toml --fresh", "search_to_disk", (Path("tail.toml"), replace(DEFAULTS, fresh=True))),
        (
            "search tail.toml --no-bound",
            "search_to_disk",
            (Path("tail.toml"), replace(DEFAULTS, bound=False)),
        ),
        ("search tail.toml --budget 9", "search_to_disk", (Path("tail.toml"), replace(DEFAULTS, budget=9))),
        (
            "search tail.toml --prefer faults",
            "search_to_disk",
            (
                Path("tail.toml"),
                replace(
                    DEFAULTS, prefer=("faults", "extra parts", "wires", "joints", "conductors", "margin")
                ),
            ),
        ),
        (
            "search tail.toml --prefer 'margin, conductors'",
            "search_to_disk",
            (
                Path("tail.toml"),
                replace(
                    DEFAULTS, prefer=("margin", "conductors", "extra parts", "wires", "joints", "faults")
                ),
            ),
        ),
        ("search tail.toml --prefer extra-parts", "search_to_disk", (Path("tail.toml"), DEFAULTS)),
        ("check tail.toml mine.toml", "check_files", (Path("tail.toml"), Path("mine.toml"), (), None)),
        ("check tail.toml mine.toml --json", "check_files", (Path("tail.toml"), Path("mine.toml"), (), None)),
        (
            "check tail.toml mine.toml --fit side=R5W --fit R1=4.7 --save new.toml",
            "check_files",
            (Path("tail.toml"), Path("mine.toml"), ("side=R5W", "R1=4.7"), Path("new.toml")),
        ),
        ("check tail.toml --rank 2", "check_stored", (Path("tail.toml"), 2, Path("results"), (), None)),
        (
            "check tail.toml --rank 1 --out mine --fit side=R5W",
            "check_stored",
            (Path("tail.toml"), 1, Path("mine"), ("side=R5W",), None),
        ),
        ("explain tail.toml", "explain_stored", (Path("tail.toml"), None, Path("results"))),
        ("explain tail.toml --json", "explain_stored", (Path("tail.toml"), None, Path("results"))),
        ("explain tail.toml --rank 3 --out mine", "explain_stored", (Path("tail.toml"), 3, Path("mine"))),
        ("explain lone.toml", "explain_lone", (Path("lone.toml"), None)),
        ("explain lone.toml --volts 6", "explain_lone", (Path("lone.toml"), 6.0)),
        (
            "draw lone.toml --to lone.svg --width 800",
            "draw_lone",
            (Path("lone.toml"), Path("lone.svg"), 800),
        ),
        ("explain tail.toml mine.toml", "explain_file", (Path("tail.toml"), Path("mine.toml"))),
        (
            "draw tail.toml --to tail.svg",
            "draw_stored",
            (Path("tail.toml"), 1, Path("results"), Path("tail.svg"), None),
        ),
        (
            "draw tail.toml --rank 2 --out mine --to tail.png --width 800",
            "draw_stored",
            (Path("tail.toml"), 2, Path("mine"), Path("tail.png"), 800),
        ),
        (
            "draw tail.toml mine.toml --to mine.pdf",
            "draw_file",
            (Path("tail.toml"), Path("mine.toml"), Path("mine.pdf"), None),
        ),
        ("count tail.toml", "count_spec", (Path("tail.toml"), BUDGET)),
        ("count tail.toml --budget 9 --json", "count_spec", (Path("tail.toml"), 9)),
        ("parts", "list_parts", (None,)),
        ("parts --json", "list_parts", (None,)),
        ("parts --types mine.toml", "list_parts", (Path("mine.toml"),)),
        ("parts P21/5W", "part_curves", ("P21/5W", None)),
        ("fit torch.csv", "fit_lamp", (Path("torch.csv"), FitOptions())),
        (
            "fit torch.csv --name bulb --volts 2.5 --kelvin 2600 --leads 0.1 --leads-off 0.01"
            " --volts-off 1 --amps-off 2 --meter 1e7 --json",
            "fit_lamp",
            (Path("torch.csv"), FitOptions("bulb", 2.5, 0.1, 0.01, 1.0, 2.0, 1e7, 2600.0)),
        ),
        ("atlas", "atlas_to_disk", (AtlasOptions(2, 4, workers=PROCESSORS),)),
        (
            "atlas --feeds 3 --lamps 5 --always-live --joints 1 --diodes 2 --types 'P21W, W3W' --system 24"
            " --workers 1 --time-limit 9 --out mine --json",
            "atlas_to_disk",
            (AtlasOptions(3, 5, True, 1, 2, ("P21W", "W3W"), 24.0, 1, 9.0, Path("mine")),),
        ),
        ("schema", "schema_text", ("spec",)),
        ("schema ranking", "schema_text", ("ranking",)),
        ("schema circuit", "schema_text", ("circuit",)),
        ("schema check", "schema_text", ("check",)),
        ("schema explanation", "schema_text", ("explanation",)),
    ],
)
def test_each_command_is_one_call(pipeline: Any, line: str, name: str, arguments: tuple[Any, ...]) -> None:
    result = run(line)
    assert result.exit_code == 0, result.output
    ((called, given),) = pipeline.calls
    assert called == name, "another function was called"
    # The last argument of what may take long is its progress, which no argument list decides.
    assert given[: len(arguments)] == arguments, "the call's arguments differ"
    assert len(given) == len(arguments) + (name in ("search_to_disk", "atlas_to_disk", "worksheet_files")), (
        "more or fewer arguments"
    )


@pytest.mark.parametrize(("kind", "status"), [("found", 0), ("none", 1), ("stopped", 3)])
def test_a_search_exits_as_its_verdict(pipeline: Any, kind: VerdictKind, status: int) -> None:
    ranking: Ranking = pipeline.answers["search_to_disk"]
    pipeline.answers["search_to_disk"] = structs.replace(
        ranking, verdict=structs.replace(ranking.verdict, kind=kind)
    )
    assert run("search tail.toml").exit_code == status, f"{kind} has another exit status"


def test_a_sheet_names_its_files_and_what_was_left_out(pipeline: Any) -> None:
    assert run("sheet tail.toml").stderr == "lampwright: wrote sheet.html\nlampwright: wrote sheet.pdf\n"
    left_out = run("sheet tail.toml own.toml")
    assert left_out.stderr == "lampwright: wrote sheet.html\nlampwright: PDF: no library\n"
    assert left_out.exit_code == 0, "the page is there"
    assert run("sheet tail.toml own.toml --rank 2").exit_code == 2, "one circuit or the other"
    assert [name for name, _ in pipeline.calls] == ["sheet_stored", "sheet_file"]


def test_a_worksheet_names_its_files_or_says_why_there_are_none(pipeline: Any) -> None:
    made = run("worksheet tail.toml")
    wrote = ("wrote a.html", "wrote a-key.html", "PDF: no library")
    assert made.stderr.splitlines() == [f"lampwright: {line}" for line in wrote]
    assert made.exit_code == 0
    pipeline.answers["worksheet_files"] = WorksheetFiles((), ("tail is left out",))
    none = run("worksheet tail.toml --grade 1")
    assert none.exit_code == 1, "nothing fits: not wrong input"
    assert none.stderr.startswith("lampwright: tail is left out\nlampwright: nothing was written:")


@pytest.mark.parametrize(("complete", "status"), [(True, 0), (False, 3)])
def test_an_atlas_exits_as_it_ended(pipeline: Any, complete: bool, status: int) -> None:
    pipeline.answers["atlas_to_disk"] = structs.replace(pipeline.answers["atlas_to_disk"], complete=complete)
    result = run("atlas")
    assert result.exit_code == status
    folder = Path("results") / "atlas" / "1-feeds-1-lamps-0-joints"
    assert result.stderr.endswith(f"lampwright: written to {folder}\n")
    assert result.stdout.endswith("\n\nOne lamp shows 2 of the 4 functions of 1 feed.\n"), (
        "the verdict is last"
    )


@pytest.mark.parametrize(("meets", "status"), [(True, 0), (False, 1)])
def test_a_check_exits_as_it_judges(pipeline: Any, meets: bool, status: int) -> None:
    pipeline.answers["check_files"] = structs.replace(pipeline.answers["check_files"], meets=meets)
    assert run("check tail.toml mine.toml").exit_code == status, "another exit status"


def test_an_explanation_of_nothing_found_exits_as_the_search_did(pipeline: Any) -> None:
    why = WhyNot(text="No circuit.", ruled_out=(), conflict="", requirements=(), outcomes=())
    pipeline.answers["explain_stored"] = structs.replace(pipeline.answers["explain_stored"], why_not=why)
    assert run("explain tail.toml").exit_code == 1, "none is 1"


def test_every_finding_is_a_line_on_stderr(pipeline: Any) -> None:
    pipeline.answers["search_to_disk"] = InputError(
        (
            Finding(
                "tail.toml: behaviour 2: show.left", '"dimm" is no word for a lamp', "use off, dim or lit"
            ),
            Finding("tail.toml: supply.system", "13 is no system voltage", "use 6, 12 or 24"),
        )
    )
    result = run("search tail.toml")
    assert result.exit_code == 2, "wrong input has exit status 2"
    assert result.stdout == "", "an error belongs on stderr"
    assert result.stderr.splitlines() == [
        'lampwright: tail.toml: behaviour 2: show.left: "dimm" is no word for a lamp; use off, dim or lit',
        "lampwright: tail.toml: supply.system: 13 is no system voltage; use 6, 12 or 24",
    ], "the lines differ"


@pytest.mark.parametrize(
    "line",
    [
        "check a b", "explain a", "explain a b", "draw a --to c.svg", "draw a b --to c.svg",
        "explain lone.toml", "draw lone.toml --to c.svg",
        "sheet a", "sheet a b", "worksheet a", "worksheet a b",
        "count a", "parts", "parts P21W", "new a", "schema", "atlas", "docs",
    ],
)  # fmt: skip
def test_no_command_shows_a_traceback_for_an_error_of_the_input(pipeline: Any, line: str) -> None:
    for name in pipeline.answers:
        pipeline.answers[name] = LampwrightError("here: this is wrong; do that")
    result = run(line)
    assert (result.exit_code, result.stderr) == (2, "lampwright: here: this is wrong; do that\n"), line


@pytest.mark.parametrize(
    "line", ["search tail.toml", "check a b", "explain a", "draw a --to c.svg", "count a"]
)
def test_ctrl_c_is_stopped_before_the_end(pipeline: Any, line: str) -> None:
    for name in pipeline.answers:
        pipeline.answers[name] = KeyboardInterrupt()
    result = run(line)
    assert result.exit_code == 3, "Ctrl-C has exit status 3"
    assert result.stdout == "", "nothing was found"
    assert result.stderr.startswith("lampwright: stopped"), result.stderr
    assert ("goes on from there" in result.stderr) == line.startswith("search"), "only a search can go on"


@pytest.mark.parametrize(
    "line",
    [
        "search",
        "search tail.toml --most 0",
        "search tail.toml --workers none",
        "search tail.toml --workers 1000000",
        "search tail.toml --time-limit 0",
        "search tail.toml --extra-parts -1",
        "check tail.toml",
        "check tail.toml mine.toml --rank 1",
        "check tail.toml --rank 0",
        "check tail.toml --fit side=R5W",
        "explain",
        "explain tail.toml mine.toml --rank 1",
        "explain tail.toml --rank 0",
        "explain lone.toml --rank 1",
        "explain tail.toml --volts 6",
        "explain tail.toml mine.toml --volts 6",
        "explain lone.toml --volts 0",
        "draw lone.toml --rank 1 --to mine.svg",
        "draw tail.toml",
        "draw tail.toml mine.toml --rank 1 --to mine.svg",
        "draw tail.toml --to tail.png --width wide",
        "draw tail.toml --to tail.png --width 99",
        "draw tail.toml --to tail.png --width 10001",
        "schema circuits",
        "worksheet",
        "worksheet tail.toml --grade 0",
        "worksheet tail.toml --grade 4",
        "worksheet tail.toml --grade hard",
        "worksheet tail.toml --seed -1",
        "atlas --feeds 4",
        "atlas --lamps 0",
        "serach tail.toml",
        "count tail.toml --colour",
        "docs spec",
    ],
)
def test_wrong_usage_is_exit_status_2_and_no_call(pipeline: Any, line: str) -> None:
    result = run(line)
    assert result.exit_code == 2, result.output
    assert pipeline.calls == [], "something was called"
    assert result.stdout == "", "an error belongs on stderr"


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ("faulst", '"faulst" is no aim'),
        ("extra parts", '"extra parts" is no aim'),
        ("", '"" is no aim'),
        ("margin,", '"" is no aim'),
        ("margin,cost,price", '"cost" is no aim and "price" is no aim'),
        ("margin,faults,margin", '"margin" stands 2 times'),
    ],
)
def test_a_wrong_aim_gives_one_line_that_names_what_would_do(pipeline: Any, given: str, said: str) -> None:
    result = run(f"search tail.toml --prefer '{given}'")
    assert (result.exit_code, result.stdout) == (2, ""), "wrong input has exit status 2"
    assert pipeline.calls == [], "a search was begun"
    assert result.stderr == (
        f"lampwright: --prefer: {said}; use some of extra-parts, wires, joints, conductors, margin, faults,"
        " each once, with commas between\n"
    ), "the line differs"


@pytest.mark.parametrize(
    "line",
    [
        "search tail.toml --json",
        "check a b --json",
        "explain a --json",
        "explain a b --json",
        "count a --json",
        "parts --json",
        "atlas --json",
    ],
)
def test_json_is_alone_on_stdout(pipeline: Any, line: str) -> None:
    result = run(line)
    ((name, _),) = pipeline.calls
    assert result.stdout == to_json(pipeline.answers[name]), "stdout is more or less than the result"
    json.loads(result.stdout)


def test_text_is_bare_where_no_terminal_is(pipeline: Any) -> None:
    result = run("search tail.toml")
    verdict = pipeline.answers["search_to_disk"].verdict.text
    assert result.stdout.endswith(f"\n\n{verdict}\n"), "the verdict comes last"
    assert "\x1b" not in result.stdout + result.stderr, "colour outside a terminal"
    assert f"written to {Path('results') / 'tail'}" in result.stderr, "the place of the result is not told"


def test_a_drawing_tells_where_it_is(pipeline: Any) -> None:
    result = run("draw tail.toml --to tail.svg")
    assert pipeline.calls, "nothing was drawn"
    assert (result.stdout, result.stderr) == ("", "lampwright: wrote tail.svg\n"), "no more, no less"


def test_most_bounds_what_is_printed(pipeline: Any) -> None:
    one = pipeline.answers["search_to_disk"]
    design = one.designs[0]
    many = tuple(structs.replace(design, rank=rank) for rank in range(1, 5))
    pipeline.answers["search_to_disk"] = structs.replace(one, designs=many)
    assert run("search tail.toml --most 2").stdout.count("── Design") == 2, "--most is not passed on"


@pytest.mark.parametrize("flag", ["-h", "--help"])
def test_help_fits_a_terminal_and_tells_the_exit_statuses(flag: str) -> None:
    for name in ("", *main.commands):
        result = run(f"{name} {flag}")
        said = result.stdout.replace("[ARGS]...", "")
        assert result.exit_code == 0, name
        assert "Exit status" in result.stdout, f"{name or 'lampwright'} does not tell its exit statuses"
        assert max(len(line) for line in result.stdout.splitlines()) <= 80, (
            f"{name or 'lampwright'} is too wide"
        )
        assert "..." not in said, f"{name or 'lampwright'} cuts a sentence off"


def test_version() -> None:
    result = run("--version")
    assert result.exit_code == 0, result.output
    assert result.stdout.split()[0] == "lampwright", "the program's name comes first"


def test_all_prints_more_than_what_matters(pipeline: Any) -> None:
    pipeline.answers["search_to_disk"] = load("sidecar")
    brief, everything = run("search tail.toml").stdout, run("search tail.toml --all").stdout
    assert len(brief.splitlines()) <= 40, "what matters takes more than one screen"
    assert "── Design" not in brief, "a design in full"
    assert everything.count("── Design") == 5, "not everything"
    assert "lampwright explain 'my tail.toml' --out o" in run("search 'my tail.toml' --out o").stdout, (
        "quoted"
    )


@pytest.mark.parametrize(("columns", "width"), [(60, 80), (80, 80), (120, 120)])
def test_a_wide_terminal_is_used(columns: int, width: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("shutil.get_terminal_size", lambda: os.terminal_size((columns, 24)))
    monkeypatch.setattr("sys.stdout", io.StringIO())
    assert show.columns() == 80, "what is piped has 80 columns"
    monkeypatch.setattr("sys.stdout.isatty", lambda: True, raising=False)
    assert show.columns() == width, "not the width there is"


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("serch x", "command: no such command 'serch'"),
        ("search", "search: missing argument 'SPEC'; see lampwright search --help"),
        ("search a b", "search: got unexpected extra argument (b); see lampwright search --help"),
        ("search --foo a", "search: no such option"),
        ("search a --most 0", "search: invalid value for '--most': 0 is not in the range x>=1; see"),
        ("search a --time-limit nan", "search: invalid value for '--time-limit': nan is no number; see"),
        (
            "fit a --leads nan",
            "fit: invalid value for '--leads': nan is no number; see lampwright fit --help",
        ),
        ("draw a", "draw: missing option '--to'; see lampwright draw --help"),
        ("check a", "check: give either CIRCUIT or --rank; see lampwright check --help"),
        ("search \u202ea b\x1b[31m", "search: got unexpected extra argument"),
    ],
)
def test_arguments_that_cannot_be_are_one_line(
    line: str, said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as ended:
        main(line.split(" "))
    written = capsys.readouterr()
    assert ended.value.code == 2
    assert written.out == ""
    assert written.err.startswith(f"lampwright: {said}")
    assert written.err.count("\n") == 1
    assert written.err[:-1].isprintable()
