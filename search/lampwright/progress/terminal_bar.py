"""The bar of a run that a person watches, drawn by rich; imported where there is a terminal.

No source: our layout.
"""

from collections.abc import Callable
from math import ceil, inf
from typing import TextIO

from rich.console import Console
from rich.progress import BarColumn, ProgressColumn, SpinnerColumn, Task
from rich.progress import Progress as Drawn
from rich.table import Column
from rich.text import Text

from lampwright.progress.figures import short, span

DELAY = 2.0
BETWEEN = 0.1


class _Stage(ProgressColumn):
    """What is being done, cut where the line is too short for it: the numbers are worth more."""

    def render(self, task: Task) -> Text:
        """Write the stage's name on one line."""
        return Text(task.description, no_wrap=True, overflow="ellipsis")


class _Numbers(ProgressColumn):
    """A figure that is never cut."""

    def __init__(self, say: Callable[[Task], str]) -> None:
        super().__init__(Column(no_wrap=True, justify="right"))
        self._say = say

    def render(self, task: Task) -> Text:
        """Write the figure; nothing until it is known."""
        return Text(self._say(task), no_wrap=True)


def _steps(task: Task) -> str:
    """Say how many steps are done, and of how many."""
    done = short(task.completed)
    return done if task.total is None else f"{done}/{short(task.total)}"


def _rate(task: Task) -> str:
    """Say the steps per second."""
    speed = _speed(task)
    return f"{short(speed)}/s" if speed else ""


def _left(task: Task) -> str:
    """Say about how long the stage still takes."""
    speed = _speed(task)
    if task.total is None or not speed:
        return ""
    seconds = max(0.0, task.total - task.completed) / speed
    return f"{span(ceil(seconds))} left"


def _gone(task: Task) -> str:
    """Say how long the stage has taken."""
    return span(int(task.elapsed or 0.0))


def _speed(task: Task) -> float:
    """Steps per second in the last seconds; since the stage began, where steps are far between."""
    return task.speed or task.completed / (task.elapsed or inf)


class TerminalBar:
    """One line: the stage, a bar, steps, rate, time gone and time left.

    In a narrow terminal the stage's name and the bar give way, never a number.
    """

    def __init__(self, stream: TextIO, clock: Callable[[], float]) -> None:
        """Draw on a stream that is a terminal, by a clock in seconds."""
        self._clock = clock
        self._started = clock()
        self._drawn_at = self._started
        self._shown = False
        self._bar = Drawn(
            SpinnerColumn("line", table_column=Column(no_wrap=True)),
            _Stage(),
            BarColumn(bar_width=10),
            _Numbers(_steps),
            _Numbers(_rate),
            _Numbers(_gone),
            _Numbers(_left),
            console=Console(file=stream),
            auto_refresh=False,
            transient=True,
            get_time=clock,
        )
        self._task = self._bar.add_task("", total=None)

    def stage(self, name: str, total: int | None) -> None:
        """Begin a stage of a number of steps; None where the number is not known."""
        self._bar.remove_task(self._task)
        self._task = self._bar.add_task(name, total=total)
        self._draw(self._clock())

    def advance(self, n: int) -> None:
        """Tell how many further steps are done."""
        self._bar.advance(self._task, n)
        now = self._clock()
        if now - self._drawn_at >= BETWEEN:
            self._draw(now)

    def say(self, text: str) -> None:
        """Tell what is known before the run has ended."""
        self._bar.console.print(text, markup=False, highlight=False)

    def close(self) -> None:
        """Tell that the run has ended; safe to call twice."""
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
