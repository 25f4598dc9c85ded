"""The bar: late, on terminals only, and gone when the run ends."""

import fcntl
import io
import os
import pty
import re
import struct
import subprocess
import sys
import termios
from pathlib import Path

import pytest

import lampwright
from lampwright.progress.bar import quiet, terminal
from lampwright.progress.terminal_bar import DELAY

ESCAPE = re.compile(r"\x1b\[[0-9;?]*[A-Za-z]")
COLOUR = re.compile(r"\x1b\[[0-9;]*m")
SOURCE = str(Path(lampwright.__file__).parents[1])
LONG = """
import sys
from lampwright.progress.bar import terminal
now = [0.0]
progress = terminal(sys.stderr, lambda: now[0])
for name, total, each, seconds in (
    ("listing", None, 1, 1.0),
    ("sifting and solving circuits with 1 extra part", 295_500, 36_000, 3.0),
    ("judging circuits with 2 extra parts at every corner", 1_633_608_228, 206_000_000, 40.0),
):
    progress.stage(name, total)
    for _ in range(4):
        now[0] += seconds
        progress.advance(each)
progress.close()
"""
"""A run of some minutes on a clock of its own, told to a real terminal."""


class Terminal(io.StringIO):
    """A stream that says it is a terminal."""

    def isatty(self) -> bool:
        return True


class Clock:
    """A clock that is set by hand."""

    def __init__(self) -> None:
        self.now = 100.0

    def __call__(self) -> float:
        return self.now


def long_run(stream: io.StringIO, seconds: float) -> str:
    """Report a stage of four steps over so many seconds; give what was drawn before the end."""
    clock = Clock()
    progress = terminal(stream, clock)
    progress.stage("solve", 4)
    for _ in range(3):
        clock.now += seconds / 3
        progress.advance(1)
    drawn = stream.getvalue()
    progress.close()
    progress.close()
    return drawn


@pytest.fixture(autouse=True)
def _wide(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.setenv("COLUMNS", "100")


def test_a_short_run_draws_nothing() -> None:
    stream = Terminal()
    assert long_run(stream, 0.95 * DELAY) == "", "a bar flickers on a short run"
    assert stream.getvalue() == "", "closing a bar never shown draws something"


def test_a_long_run_shows_stage_steps_rate_and_time_left() -> None:
    drawn = long_run(Terminal(), 6.0)
    assert "solve" in drawn, "the stage is missing"
    assert "3/4" in drawn, "the steps are missing"
    assert "/s" in drawn, "the rate is missing"
    # A quarter of a six-second run is left: three steps in six seconds, one to go.
    assert "0:02 left" in ESCAPE.sub("", drawn), "the time left is missing"


def test_no_terminal_no_bar() -> None:
    stream = io.StringIO()
    assert long_run(stream, 60.0) == "", "a bar in a file"
    assert stream.getvalue() == "", "the end of a bar in a file"


def test_a_new_stage_replaces_the_old() -> None:
    stream, clock = Terminal(), Clock()
    progress = terminal(stream, clock)
    progress.stage("list", None)
    clock.now += 3.0
    progress.stage("solve", 10)
    progress.close()
    assert "solve" in stream.getvalue(), "the new stage is missing"
    assert "list" not in stream.getvalue(), "the old stage is still drawn"


def test_quiet_says_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    progress = quiet()
    progress.stage("list", 3)
    progress.advance(3)
    progress.close()
    assert capsys.readouterr() == ("", ""), "quiet is not quiet"


def in_a_terminal(columns: int, **environment: str) -> str:
    """Run the long run in a pseudo-terminal of so many columns; give all that it drew."""
    screen, terminal_of_child = pty.openpty()
    fcntl.ioctl(screen, termios.TIOCSWINSZ, struct.pack("HHHH", 24, columns, 0, 0))
    inherited = {name: value for name, value in os.environ.items() if name not in ("COLUMNS", "NO_COLOR")}
    whole = {**inherited, "PYTHONPATH": SOURCE, "TERM": "xterm-256color", **environment}
    with subprocess.Popen([sys.executable, "-c", LONG], stderr=terminal_of_child, env=whole) as child:
        os.close(terminal_of_child)
        drawn = b""
        try:
            while piece := os.read(screen, 65536):
                drawn += piece
        except OSError:
            pass  # so a pseudo-terminal says that nobody writes to it any more
    os.close(screen)
    assert child.returncode == 0, f"it ended badly: {drawn.decode()}"
    return drawn.decode()


def lines_of(drawn: str) -> list[str]:
    """The lines as one saw them, one after another."""
    frames = re.split(r"[\r\n]+", ESCAPE.sub("", drawn.replace("\x1b[2K", "\n")))
    return [frame.rstrip() for frame in frames if frame.strip()]


@pytest.mark.parametrize("columns", [80, 60, 50])
def test_a_narrow_terminal_cuts_no_number(columns: int) -> None:
    lines = lines_of(in_a_terminal(columns))
    assert max(map(len, lines)) <= columns, "a line is wider than the terminal"
    assert any("144k/296k 12k/s 0:12 0:13 left" in line for line in lines), "rate and time left are cut"
    assert any("824M/1.63G 5.15M/s 2:40 2:38 left" in line for line in lines), "far between"
    for line in lines:
        after = line.partition("━")[2]
        assert "…" not in after, f"a number is cut: {line}"


def test_no_colour_under_no_color() -> None:
    assert COLOUR.search(in_a_terminal(80)), "colour on a terminal"
    plain = in_a_terminal(80, NO_COLOR="1")
    assert not COLOUR.search(plain), "colour under NO_COLOR"
    assert lines_of(plain), "the bar itself is there"


def test_where_the_steps_are_not_known_nothing_is_left() -> None:
    (line, *_) = (one for one in lines_of(in_a_terminal(80)) if "listing" in one and " 3 " in one)
    assert "left" not in line, line
    assert line.endswith("3 1/s 0:03"), line
