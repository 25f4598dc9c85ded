"""What only a process of its own can show: what help imports, and a reader that goes away."""

import subprocess
import sys
from pathlib import Path

import pytest

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
