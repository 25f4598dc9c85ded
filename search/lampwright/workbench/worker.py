"""The process of a search: it does what `lampwright search` does, and tells the page as it goes.

Started with the spec, the folder of results and a number of workers. On its standard output it writes a
line of JSON for each thing to be told (`Told`); when its standard input comes to an end, because the
page wants it to stop or is gone, it stops as Ctrl-C would stop the command: what was found is kept.
No source: our format.
"""

import os
import signal
import sys
from contextlib import suppress
from importlib import import_module
from pathlib import Path
from threading import Event, Thread
from typing import TextIO

import msgspec

from lampwright.app.drawing import drawing
from lampwright.app.keeping import search_and_keep
from lampwright.errors import LampwrightError
from lampwright.judge.design_rows import Presenter
from lampwright.judge.judge import Judge
from lampwright.judge.minimality import Winner
from lampwright.kernels import collect_rarely
from lampwright.progress.watch import Watch
from lampwright.report.topics.parts import to_fit
from lampwright.searching.options import SearchOptions
from lampwright.workbench.told import Told

BETWEEN = 0.1
"""Seconds between two words on how far a stage has come."""
MOST_SHOWN = 12
"""So many designs are shown while the search goes on; more are counted."""


class Teller:
    """The progress of a search, told in lines."""

    def __init__(self, stream: TextIO) -> None:
        """Tell on this stream."""
        self.begun = Event()
        self._stream = stream
        self._done = 0
        self._found = 0
        self._watch = Watch(BETWEEN)

    def tell(self, told: Told) -> None:
        """Write a line; a page that is gone is no error."""
        with suppress(BrokenPipeError, ValueError):
            self._stream.write(msgspec.json.encode(told).decode() + "\n")
            self._stream.flush()

    def stage(self, name: str, total: int | None) -> None:
        """Begin a stage."""
        self._done = 0
        self.tell(Told("stage", name, total))
        self.begun.set()

    def advance(self, n: int) -> None:
        """So many more steps are done."""
        self._done += n
        if self._watch.is_over():
            self._watch = Watch(BETWEEN)
            self.tell(Told("done", done=self._done))

    def say(self, text: str) -> None:
        """What is known before the run has ended, in place of the stage."""
        self.tell(Told("stage", text, None))

    def close(self) -> None:
        """The stages are over."""
        self.tell(Told("done", done=self._done))

    def show(self, judge: Judge, winner: Winner) -> None:
        """A circuit that meets the spec: drawn, while there are few."""
        self._found += 1
        if self._found > MOST_SHOWN:
            self.tell(Told("found"))
            return
        design = Presenter(judge).design(winner, self._found)
        picture = drawing(design, judge.problem.spec, ids=False).svg
        self.tell(Told("found", to_fit(design.parts), margin=design.margin_stops, picture=picture))


def main(arguments: list[str]) -> None:
    """Search: arguments are the spec, the folder of results, how many processes, and `fresh` or `on`."""
    spec, out, workers, fresh = arguments
    teller = Teller(sys.stdout)
    collect_rarely()
    # a shell has what it starts in the background ignore the signal by which the page stops a search
    signal.signal(signal.SIGINT, signal.default_int_handler)
    Thread(target=_stop_with_the_page, daemon=True).start()
    Thread(target=_load_what_ends_it, args=(teller.begun,), daemon=True).start()
    options = SearchOptions(out=Path(out), workers=int(workers), fresh=fresh == "fresh")
    try:
        ranking = search_and_keep(Path(spec), options, teller, teller.show)
        teller.tell(Told("answer", ranking.verdict.kind))
    except LampwrightError as error:
        teller.tell(Told("wrong", str(error)))
    except KeyboardInterrupt:
        teller.tell(Told("answer", "stopped"))
    # all is told and kept; to take the compiler and the solver apart would take a third of a second
    sys.stdout.flush()
    os._exit(0)


def _load_what_ends_it(begun: Event) -> None:
    """Load what writes the page while the search is at work, so that none that is stopped waits for it."""
    begun.wait()
    import_module("lampwright.report.page.file")


def _stop_with_the_page() -> None:
    """Wait for the end of what the page says, then interrupt the search, wherever it is."""
    # not by sys.stdin, whose lock a thread that still waits would hold at the end of the process
    while os.read(sys.stdin.fileno(), 1024):
        pass
    os.kill(os.getpid(), signal.SIGINT)
