"""The bar: late, on terminals only, and gone when the run ends."""

import io
import re

import pytest

from lampwright.progress.bar import DELAY, quiet, terminal

ESCAPE = re.compile(r"\x1b\[[0-9;?]*[A-Za-z]")


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
    assert "left 0:00:02" in ESCAPE.sub("", drawn), "the time left is missing"


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
