"""A search that dies is told of, and one that ends is heard to its end."""

import signal
import subprocess
import threading
from pathlib import Path

from tests.bench.specs import Rung, six_lamps
from tests.workbench.served import TELLTALE

from lampwright.workbench.run import Run
from lampwright.workbench.told import Told


def ended(run: Run, told: threading.Event) -> None:
    """Wait until the run is over."""
    while run.is_on:
        assert told.wait(30), "nothing is heard any more"
        told.clear()


def test_a_search_that_is_killed_is_told_of(tmp_path: Path) -> None:
    (tmp_path / "tell.toml").write_text(TELLTALE, encoding="utf-8")
    told = threading.Event()
    run = Run(lambda _run: told.set())
    run.start(tmp_path / "tell.toml", tmp_path / "results", 1, fresh=False)
    process = run._process
    assert isinstance(process, subprocess.Popen)
    process.kill()
    ended(run, told)
    assert run.state == "died"
    assert "ended by signal 9 before its answer" in run.text
    assert "go on from there" in run.text


def test_a_search_that_is_stopped_goes_on_where_it_was(tmp_path: Path) -> None:
    """Stopped while it lists 16 million circuits; started again it reads what was kept, and ends."""
    spec = six_lamps(Rung(1, 0, 1), tmp_path)
    told = threading.Event()
    run = Run(lambda _run: told.set())
    # as in a bench that a shell has started in the background
    heeded = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        run.start(spec, tmp_path / "results", 1, fresh=True)
    finally:
        signal.signal(signal.SIGINT, heeded)
    while run.is_on and not (run.stage.startswith("listing") and run.done):
        assert told.wait(30), "nothing is heard any more"
        told.clear()
    run.stop()
    ended(run, told)
    assert (run.state, run.text) == ("answered", "stopped")
    run.start(spec, tmp_path / "results", 1, fresh=False)
    ended(run, told)
    assert (run.state, run.text) == ("answered", "found")


def test_what_cannot_be_searched_is_refused_in_the_commands_words(tmp_path: Path) -> None:
    told = threading.Event()
    run = Run(lambda _run: told.set())
    run.start(tmp_path / "none.toml", tmp_path / "results", 1, fresh=False)
    ended(run, told)
    assert (run.state, "there is no such file" in run.text) == ("refused", True)


def test_progress_is_put_in_words() -> None:
    run = Run(lambda _run: None)
    run._take(Told("stage", "listing", 4000))
    run._take(Told("done", done=1000))
    assert run.share == 0.25
    assert run.said.startswith("1k of 4k")
    run._take(Told("found", "P21W", margin=1.5, picture="<svg/>"))
    run._take(Told("found"))
    assert (run.count, len(run.found)) == (2, 1)
