"""The search of the page: a process of its own, heard line by line, stopped when it is told to.

All tabs see the one run. It writes the journal and the results that `lampwright search` writes, so either
goes on where the other was stopped. No source: our rules.
"""

import os
import subprocess
import sys
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from threading import Thread
from typing import Literal

import msgspec

from lampwright.progress.figures import short, span
from lampwright.progress.watch import Watch
from lampwright.workbench.told import Told

RunState = Literal["idle", "running", "stopping", "answered", "refused", "died"]
PROGRAM = (
    "from lampwright.kernels import keep_kernels, load_numba_alone; keep_kernels(); load_numba_alone();"
    " import sys; from lampwright.workbench.worker import main; main(sys.argv[1:])"
)
PATIENCE = 20.0
"""Seconds that a search may take to put together what it found, once it was stopped."""
MANY = 50
"""Steps from which a rate says something."""
LEAST_SECONDS = 0.5
"""Before that a rate says nothing."""


@dataclass(frozen=True)
class Shown:
    """A design as it was found: what to fit, its margin in stops, its drawing."""

    text: str
    margin: float
    picture: str


@dataclass
class Run:
    """A search, or that there is none. changed: is called after everything that is heard, in any thread.

    text: what was refused, how it died, or the kind of the answer. found: the first designs; count: all.
    """

    changed: Callable[["Run"], None]
    state: RunState = "idle"
    stage: str = ""
    total: int | None = None
    done: int = 0
    text: str = ""
    found: list[Shown] = field(default_factory=list)
    count: int = 0
    _process: subprocess.Popen[bytes] | None = None
    _watch: Watch = field(default_factory=Watch)
    _grace: Watch | None = None
    _ending: tuple[RunState, str] | None = None

    @property
    def is_on(self) -> bool:
        """Whether the process is at work."""
        return self.state in ("running", "stopping")

    @property
    def share(self) -> float | None:
        """How much of the stage is done, from 0 to 1; None where it is not known."""
        return min(1.0, self.done / self.total) if self.total else None

    @property
    def said(self) -> str:
        """Steps, rate and time left of the stage; where steps are few, how long it has taken."""
        seconds = self._watch.seconds()
        words = [f"{short(self.done)} of {short(self.total)}"] if self.total else []
        if self.total is None or self.total < MANY:
            words.append(span(int(seconds)))
        elif seconds > LEAST_SECONDS and self.done:
            rate = self.done / seconds
            words.append(f"{short(rate)} a second")
            words.append(f"{span(round(max(0, self.total - self.done) / rate))} left")
        return ", ".join(words)

    def start(self, spec: Path, results: Path, workers: int, *, fresh: bool) -> None:
        """Search a spec file into the folder of results; with `fresh` forget what was stopped before."""
        if self.is_on:
            return
        how = "fresh" if fresh else "on"
        self._process = subprocess.Popen(
            [sys.executable, "-c", PROGRAM, str(spec), str(results), str(workers), how],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
            env=os.environ | {"PYTHONUNBUFFERED": "1"},
        )
        self.state, self.stage, self.total, self.done = "running", "making ready", None, 0
        self.text, self.found, self.count = "", [], 0
        self._watch, self._grace, self._ending = Watch(), None, None
        Thread(target=self._hear, args=(self._process,), daemon=True).start()
        self.changed(self)

    def stop(self) -> None:
        """Tell the process to stop; what it has found it still puts together."""
        if self._process is not None and self.state == "running":
            self.state, self._grace = "stopping", Watch(PATIENCE)
            self._hang_up()
            self.changed(self)

    def look(self) -> None:
        """End a process that was told to stop long ago; its journal bears that."""
        if self._process is not None and self._grace is not None and self._grace.is_over():
            self._process.kill()

    def leave(self) -> None:
        """The page ends: the process stops by itself."""
        self._hang_up()

    def forget(self) -> None:
        """Another spec is on the desk: what was heard of the last run is no more of interest."""
        if not self.is_on:
            self.state, self.text, self.found, self.count = "idle", "", [], 0

    def _hang_up(self) -> None:
        if self._process is not None and self._process.stdin is not None:
            with suppress(OSError):
                self._process.stdin.close()

    def _hear(self, process: "subprocess.Popen[bytes]") -> None:
        assert process.stdout is not None, "its output is a pipe"
        for line in process.stdout:
            with suppress(msgspec.DecodeError):
                self._take(msgspec.json.decode(line, type=Told))
                self.changed(self)
        # not before the process is gone: it has the journal as long as it lives
        status = process.wait()
        self._hang_up()
        process.stdout.close()
        if self._ending is not None:
            self.state, self.text = self._ending
        else:
            how = f"was ended by signal {-status}" if status < 0 else f"ended with status {status}"
            self.state = "died"
            self.text = f"The search {how} before its answer. What it had done is kept: go on from there."
        self.changed(self)

    def _take(self, told: Told) -> None:
        match told.kind:
            case "stage":
                self.stage, self.total, self.done, self._watch = told.text, told.total, 0, Watch()
            case "done":
                self.done = told.done
            case "found":
                self.count += 1
                if told.picture:
                    self.found.append(Shown(told.text, told.margin, told.picture))
            case "answer":
                self._ending = "answered", told.text
            case "wrong":
                self._ending = "refused", told.text
