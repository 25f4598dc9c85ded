"""A bar on the terminal for runs that take longer than two seconds, and silence otherwise.

The stages of a run speak to a `Progress`; whether anybody sees it is no business of theirs.
No thread is started, so that worker processes may be forked under a running bar: it is drawn
when the work reports, at most ten times a second. No source: our layout.
"""

import time
from collections.abc import Callable
from math import ceil, inf
from typing import Protocol, TextIO

from rich.console import Console
from rich.progress import BarColumn, ProgressColumn, SpinnerColumn, Task
from rich.progress import Progress as Drawn
from rich.table import Column
from rich.text import Text

DELAY = 2.0
BETWEEN = 0.1


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
    return _Bar(stream, clock) if stream.isatty() else _Lines(stream)


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


def span(seconds: int) -> str:
    """Write a time in minutes and seconds, and hours where there are any.

    >>> span(7), span(754), span(3_600)
    ('0:07', '12:34', '1:00:00')
    """
    minutes, second = divmod(seconds, 60)
    hour, minute = divmod(minutes, 60)
    return f"{hour}:{minute:02}:{second:02}" if hour else f"{minute}:{second:02}"


def short(number: float) -> str:
    """Write a count with three digits and a prefix.

    >>> short(7), short(999), short(295_500), short(999_900), short(1_633_608_228)
    ('7', '999', '296k', '1M', '1.63G')
    """
    prefix = ""
    for larger in "kMGT":
        if number < 999.5:
            break
        number, prefix = number / 1000.0, larger
    return f"{number:.3g}{prefix}"


class _Bar:
    """One line: the stage, a bar, steps, rate, time gone and time left.

    In a narrow terminal the stage's name and the bar give way, never a number.
    """

    def __init__(self, stream: TextIO, clock: Callable[[], float]) -> None:
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
        self._bar.remove_task(self._task)
        self._task = self._bar.add_task(name, total=total)
        self._draw(self._clock())

    def advance(self, n: int) -> None:
        self._bar.advance(self._task, n)
        now = self._clock()
        if now - self._drawn_at >= BETWEEN:
            self._draw(now)

    def say(self, text: str) -> None:
        self._bar.console.print(text, markup=False, highlight=False)

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
