"""What only a process of its own can show: what is imported, a reader that goes away, being told to stop."""

import os
import signal
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from time import sleep

import pytest
from tests.selection import some

import lampwright

SOURCE = Path(lampwright.__file__).parents[1]
# Nothing inherited: a stream set to be unbuffered would lose its error with the rest of the text.
ALONE = {"PYTHONPATH": str(SOURCE), "PYTHONIOENCODING": "utf-8"}
HEAVY = ("numpy", "scipy", "numba", "networkx", "ortools", "rich", "msgspec")

LISTED = """
import sys
from lampwright.cli import main
try:
    main(sys.argv[1:])
except SystemExit as end:
    assert end.code == 0, end.code
print([name for name in {heavy} if name in sys.modules], file=sys.stderr)
"""

ANSWERS = """
import sys, types
def schema_text(which):
    print("ready", flush=True)
    sys.stdin.read()
    return "a line of a schema\\n" * {lines}
fake = types.ModuleType("lampwright.app.commands")
fake.schema_text = schema_text
sys.modules["lampwright.app.commands"] = fake
from lampwright.cli import main
main(["schema"])
"""


@pytest.mark.parametrize("arguments", [["--help"], ["--version"], ["search", "--help"]])
def test_help_imports_nothing_heavy(arguments: list[str]) -> None:
    run = subprocess.run(
        [sys.executable, "-c", LISTED.format(heavy=HEAVY), *arguments],
        capture_output=True,
        text=True,
        check=True,
        env=ALONE,
    )
    assert run.stderr.splitlines()[-1] == "[]", "help waits for libraries it does not need"


def test_a_small_search_waits_for_no_library_that_it_does_not_need(tmp_path: Path) -> None:
    unneeded = ("scipy.special", "scipy.optimize", "ortools", "pandas", "rich.progress", "yaml")
    spec = SOURCE.parent / "specs" / "lesson_1_two_in_a_row.toml"
    arguments = ("search", str(spec), "--out", str(tmp_path), "--workers", "1")
    run = subprocess.run(
        [sys.executable, "-c", LISTED.format(heavy=unneeded), *arguments],
        capture_output=True,
        text=True,
        check=True,
        env=os.environ | ALONE,
    )
    assert (tmp_path / spec.stem / "page.html").exists()
    assert run.stderr.splitlines()[-1] == "[]", "a library is imported that the search does not need"


@pytest.mark.parametrize(
    "arguments", [["schema"], ["schema", "ranking"], ["new", "spec.toml"], ["parts", "P21W"]]
)
def test_small_commands_wait_for_no_solver(arguments: list[str], tmp_path: Path) -> None:
    solvers = ("scipy", "numba", "networkx", "ortools", "pandas", "jinja2")
    run = subprocess.run(
        [sys.executable, "-c", LISTED.format(heavy=solvers), *arguments],
        capture_output=True,
        text=True,
        check=True,
        env=ALONE,
        cwd=tmp_path,
    )
    assert run.stderr.splitlines()[-1] == "[]", "a library is imported that the command does not need"


def test_a_search_without_extra_parts_waits_for_no_other_solver(tmp_path: Path) -> None:
    unused = (
        "scipy.linalg",
        "scipy.special",
        "scipy.stats",
        "ortools",
        "pandas",
        "lampwright.diagnosis.diagnose",
    )
    spec = Path(__file__).parents[2] / "specs" / "classroom_three_lamps.toml"
    run = subprocess.run(
        [sys.executable, "-c", LISTED.format(heavy=unused), "search", str(spec), "--out", str(tmp_path)],
        capture_output=True,
        text=True,
        check=True,
        env=os.environ | ALONE,
    )
    assert run.stderr.splitlines()[-1] == "[]", "a library is imported that such a search does not need"


@pytest.mark.parametrize("lines", [1, 200_000])
def test_a_reader_that_goes_away_is_no_error(lines: int) -> None:
    # One line waits in the buffer until the exit; many fail while they are written.
    with subprocess.Popen(
        [sys.executable, "-c", ANSWERS.format(lines=lines)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=ALONE,
    ) as process:
        assert process.stdin is not None, "stdin is a pipe"
        assert process.stdout is not None, "stdout is a pipe"
        assert process.stderr is not None, "stderr is a pipe"
        assert process.stdout.readline() == "ready\n", "nothing was called"
        process.stdout.close()
        process.stdin.close()
        said = process.stderr.read()
    assert said == "", "a broken pipe is told to the user"
    assert process.returncode == 0, "a broken pipe changes the exit status"


@pytest.mark.skipif(not Path("/dev/full").is_char_device(), reason="no device that is always full here")
@pytest.mark.parametrize("arguments", [["parts"], ["--help"], ["schema"]])
def test_an_output_that_is_full_is_told_in_one_line(arguments: list[str]) -> None:
    with Path("/dev/full").open("w") as full:
        run = subprocess.run(
            [sys.executable, "-c", "from lampwright.cli import main; main()", *arguments],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
            env=ALONE,
        )
    said = "lampwright: output: it cannot be written (no space left on device); send it where there is room\n"
    assert (run.returncode, run.stderr) == (2, said)


@pytest.mark.parametrize("closed", some([">&-", "2>&-", "<&-", ">&- 2>&- <&-"], [">&- 2>&- <&-"]))
def test_streams_that_a_shell_has_closed_are_no_error(closed: str) -> None:
    """Python has none then, and what is opened next would get their numbers."""
    run = subprocess.run(
        ["sh", "-c", f'"{sys.executable}" -c "from lampwright.cli import main; main()" parts {closed}'],
        capture_output=True,
        text=True,
        check=False,
        env=ALONE,
    )
    assert (run.returncode, run.stderr) == (0, "")


STOPPING = """
import importlib.abc, signal, sys, time, types
for name, handler in {handlers}.items():
    signal.signal(getattr(signal, name), handler or signal.SIG_DFL)
class Slow(importlib.abc.MetaPathFinder):
    def find_spec(self, name, path, target=None):
        if name == "{slow}":
            try:
                print("importing", flush=True)
                sys.stdin.read()
            except KeyboardInterrupt:
                raise ImportError("torn")  # what is half imported says so in its own way
def schema_text(which):
    import colorsys
    print("begun", flush=True)
    time.sleep({seconds})
    return ""
sys.meta_path.insert(0, Slow())
fake = types.ModuleType("lampwright.app.commands")
fake.schema_text = schema_text
sys.modules["lampwright.app.commands"] = fake
from lampwright.cli import main
main(["schema"])
"""
TOLD = ("SIGINT", "SIGTERM", "SIGHUP")
AS_A_SHELL_HAS_THEM = dict.fromkeys(TOLD)


def told(script: str, signals: Sequence[str], *, let_go: bool) -> tuple[int, str, str]:
    """Send signals while an import waits, end the import or not; the exit status and what was written."""
    with subprocess.Popen(
        [sys.executable, "-c", script],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=ALONE,
    ) as process:
        assert process.stdin is not None, "stdin is a pipe"
        assert process.stdout is not None, "stdout is a pipe"
        assert process.stderr is not None, "stderr is a pipe"
        assert process.stdout.readline() == "importing\n", "nothing slow was imported"
        for name in signals:
            process.send_signal(getattr(signal, name))
            sleep(0.2)  # two signals of one kind at once are one
        if let_go:
            process.stdin.close()
        status = process.wait(60)
        return status, process.stdout.read(), process.stderr.read()


@pytest.mark.parametrize("name", TOLD)
def test_told_to_stop_before_a_command_begins_it_leaves_at_once(name: str) -> None:
    script = STOPPING.format(handlers=AS_A_SHELL_HAS_THEM, slow="click", seconds=60)
    assert told(script, [name], let_go=False) == (3, "", "lampwright: stopped\n")


@pytest.mark.parametrize("name", TOLD)
def test_told_to_stop_within_an_import_it_stops_after_it(name: str) -> None:
    script = STOPPING.format(handlers=AS_A_SHELL_HAS_THEM, slow="colorsys", seconds=60)
    status, _, errors = told(script, [name], let_go=True)
    assert (status, errors) == (3, "lampwright: stopped\n")


def test_told_twice_within_an_import_it_leaves_at_once() -> None:
    script = STOPPING.format(handlers=AS_A_SHELL_HAS_THEM, slow="colorsys", seconds=60)
    assert told(script, ["SIGINT", "SIGINT"], let_go=False) == (3, "", "lampwright: stopped\n")


def test_a_signal_that_is_ignored_stays_so() -> None:
    ignored = AS_A_SHELL_HAS_THEM | {"SIGHUP": 1}  # SIG_IGN, as nohup has it
    script = STOPPING.format(handlers=ignored, slow="colorsys", seconds=0.5)
    assert told(script, ["SIGHUP"], let_go=True) == (0, "begun\n", "")


def test_a_slip_in_a_spec_is_told_before_the_solver_is_loaded(tmp_path: Path) -> None:
    spec = tmp_path / "slip.toml"
    spec.write_text("lampwright = 1\ntitle = 3\n", encoding="utf-8")
    listed = LISTED.format(heavy=("numba", "scipy", "networkx")).replace("end.code == 0", "end.code == 2")
    run = subprocess.run(
        [sys.executable, "-c", listed, "search", str(spec)],
        capture_output=True,
        text=True,
        check=True,
        env=ALONE,
    )
    assert "slip.toml: title" in run.stderr
    assert run.stderr.splitlines()[-1] == "[]", "on the first run it would wait for the compiler, too"
