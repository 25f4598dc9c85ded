"""A bar on the terminal for runs that take longer than two seconds, and silence otherwise.

The stages of a run speak to a `Progress`; whether anybody sees it is no business of theirs.
No thread is started, so that worker processes may be forked under a running bar: it is drawn
when the work reports, at most ten times a second. No source: our layout.
"""

import time
from collections.abc import Callable
from typing import Protocol, TextIO

from rich.console import Console
from rich.progress import (
    BarColumn,
    MofNCompleteColumn,
    ProgressColumn,
    SpinnerColumn,
    Task,
    TextColumn,
    TimeElapsedColumn,
    TimeRemainingColumn,
)
from rich.progress import Progress as Drawn
from rich.text import Text

DELAY = 2.0
BETWEEN = 0.1


class Progress(Protocol):
    """What a long run tells of itself."""

    def stage(self, name: str, total: int | None) -> None:
        """Begin a stage of so many steps; None where the number is not known."""

    def advance(self, n: int) -> None:
        """Tell that so many further steps are done."""

    def close(self) -> None:
        """Tell that the run has ended; safe to call twice."""


def quiet() -> Progress:
    """Give a progress that nobody sees."""
    return _Quiet()


def terminal(stream: TextIO, clock: Callable[[], float] = time.monotonic) -> Progress:
    """Give a bar on a terminal, shown once the run has taken two seconds; quiet on anything else."""
    return _Bar(stream, clock) if stream.isatty() else quiet()


class _Quiet:
    """Says nothing."""

    def stage(self, name: str, total: int | None) -> None:
        pass

    def advance(self, n: int) -> None:
        pass

    def close(self) -> None:
        pass


class _Rate(ProgressColumn):
    """Steps per second."""

    def render(self, task: Task) -> Text:
        """Write the rate, once it is known."""
        return Text(f"{task.speed:,.0f}/s" if task.speed else "")


class _Bar:
    """One line: the stage, a bar, steps, rate, time gone and time left."""

    def __init__(self, stream: TextIO, clock: Callable[[], float]) -> None:
        self._clock = clock
        self._started = clock()
        self._drawn_at = self._started
        self._shown = False
        self._bar = Drawn(
            SpinnerColumn("line"),
            TextColumn("{task.description}"),
            BarColumn(bar_width=20),
            MofNCompleteColumn(),
            _Rate(),
            TimeElapsedColumn(),
            TextColumn("left"),
            TimeRemainingColumn(),
            console=Console(file=stream),
            auto_refresh=False,
            transient=True,
            get_time=clock,
        )
        self._task = self._bar.add_task("", total=None)

    def stage(self, name: str, total: int | None) -> None:
        self._bar.remove_task(self._task)
        self._task = self._bar.add_task(name, total=total)
        self._draw(self._clock())

    def advance(self, n: int) -> None:
        self._bar.advance(self._task, n)
        now = self._clock()
        if now - self._drawn_at >= BETWEEN:
            self._draw(now)

    def close(self) -> None:
        if self._shown:
            self._bar.stop()
            self._shown = False

    def _draw(self, now: float) -> None:
        """Draw the bar, if it is time for one."""
        self._drawn_at = now
        if now - self._started < DELAY:
            return
        if not self._shown:
            self._bar.start()
            self._shown = True
        self._bar.refresh()
