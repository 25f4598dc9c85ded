"""A bar on the terminal for runs that take longer than two seconds, and silence otherwise.

The stages of a run speak to a `Progress`; whether anybody sees it is no business of theirs.
No thread is started, so that worker processes may be forked under a running bar: it is drawn
when the work reports, at most ten times a second. No source: our layout.
"""

import time
from collections.abc import Callable
from typing import Protocol, TextIO


class Progress(Protocol):
    """What a long run tells of itself."""

    def stage(self, name: str, total: int | None) -> None:
        """Begin a stage of a number of steps; None where the number is not known."""

    def advance(self, n: int) -> None:
        """Tell how many further steps are done."""

    def say(self, text: str) -> None:
        """Tell what is known before the run has ended."""

    def close(self) -> None:
        """Tell that the run has ended; safe to call twice."""


def quiet() -> Progress:
    """Give a progress that nobody sees."""
    return _Quiet()


def terminal(stream: TextIO, clock: Callable[[], float] = time.monotonic) -> Progress:
    """Give a bar on a terminal, shown once the run has taken two seconds; on anything else what is said."""
    if not stream.isatty():
        return _Lines(stream)
    # what draws takes a while to import, and draws nothing where nobody watches
    from lampwright.progress.terminal_bar import TerminalBar

    return TerminalBar(stream, clock)


def led(progress: Progress, lead: str) -> Progress:
    """Give the same progress with some words before the name of every stage."""
    return _Led(progress, lead) if lead else progress


class _Led:
    """Says where a run has come to before each stage."""

    def __init__(self, progress: Progress, lead: str) -> None:
        self._progress, self._lead = progress, lead

    def stage(self, name: str, total: int | None) -> None:
        self._progress.stage(f"{self._lead}{name}", total)

    def advance(self, n: int) -> None:
        self._progress.advance(n)

    def say(self, text: str) -> None:
        self._progress.say(text)

    def close(self) -> None:
        self._progress.close()


class _Quiet:
    """Says nothing."""

    def stage(self, name: str, total: int | None) -> None:
        pass

    def advance(self, n: int) -> None:
        pass

    def say(self, text: str) -> None:
        pass

    def close(self) -> None:
        pass


class _Lines(_Quiet):
    """Writes what is said, and nothing else."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream

    def say(self, text: str) -> None:
        print(text, file=self._stream, flush=True)
