"""Killed at any moment, stopped, or cut off: the next run comes to the same answer, byte for byte.

The command runs in processes of its own and is killed for real. Source: issue "Search at
full size", item 4, for what is promised: kills, 1, 2 and 7 workers, two seconds.
"""

import os
import random
import signal
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from time import monotonic, sleep

import pytest
from tests.searching.conftest import (
    answer,
    await_file,
    children,
    command,
    environment,
    started,
)
from tests.selection import some, some_rows

SERVES = """
import os, signal, sys, time
from lampwright.kernels import keep_kernels
keep_kernels()
import lampwright.searching.shares as shares
shares.SHARE_SIZE = int(sys.argv[1])
from lampwright.cli import main
arguments = ["search", sys.argv[2], "--workers", "1", "--out"]
# a run in this process loads the kernels, so that those it forks begin at once
try:
    main([*arguments, sys.argv[3]])
except SystemExit:
    pass
for line in sys.stdin:
    out, seconds = line.split("\\t")
    child = os.fork()
    if child == 0:
        main([*arguments, out])
    if float(seconds):
        time.sleep(float(seconds))
        os.kill(child, signal.SIGKILL)
    print("\\nstatus", os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), flush=True)
"""
"""The command again and again, without the second that it takes to load; killed after so many seconds."""


@dataclass(frozen=True)
class Runs:
    """A process that runs the search as often as it is asked to."""

    process: subprocess.Popen[str]

    def status(self, out: Path, seconds: float = 0.0) -> int:
        """How one run ended that was killed after so many seconds, or was left to end."""
        assert self.process.stdin is not None, "stdin is a pipe"
        assert self.process.stdout is not None, "stdout is a pipe"
        print(out, seconds, sep="\t", file=self.process.stdin, flush=True)
        for line in self.process.stdout:
            if line.startswith("status "):
                return int(line.removeprefix("status "))
        raise AssertionError("the process that runs the search has ended")


@pytest.fixture
def runs(spec: Path, tmp_path: Path) -> Iterator[Runs]:
    if not hasattr(os, "fork"):
        pytest.skip("this system has no fork to begin runs with")
    line = [sys.executable, "-c", SERVES, "20000", str(spec), str(tmp_path / "loads")]
    pipe = subprocess.PIPE
    with subprocess.Popen(
        line, stdin=pipe, stdout=pipe, stderr=subprocess.DEVNULL, text=True, env=environment()
    ) as process:
        yield Runs(process)
        process.kill()


def kept(folder: Path) -> dict[str, str]:
    """The records of a journal that nobody has open."""
    if not (folder / "journal.sqlite").exists():
        return {}
    database = sqlite3.connect(folder / "journal.sqlite")
    try:
        tables = database.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
        return dict(database.execute("SELECT name, content FROM record")) if tables else {}
    finally:
        database.close()


def run(*arguments: str, shares: int = 20_000) -> subprocess.CompletedProcess[str]:
    """A search to its end."""
    line = command(*arguments, shares=shares)
    return subprocess.run(line, env=environment(), capture_output=True, text=True, timeout=600)


def killed_past_its_bound(runs: Runs, out: Path, spec: Path) -> Path:
    """A folder whose run was killed as soon as its journal held the bound, which is asked for in one go."""
    seconds = 0.1
    while "bound" not in kept(out / spec.stem):
        assert runs.status(out, seconds) in (-signal.SIGKILL, 0), "neither killed nor just done"
        seconds *= 1.2
    return out


@pytest.mark.parametrize("rounds", some([(5,), (20,) * 10], 1))
def test_kills_change_nothing(
    runs: Runs, spec: Path, undisturbed: tuple[str, bytes], tmp_path: Path, rounds: tuple[int, ...]
) -> None:
    """Five kills of one search by default; two hundred of ten nightly."""
    before = monotonic()
    assert runs.status(tmp_path / "timed") == 0, "an undisturbed run finds its design"
    whole = monotonic() - before
    assert answer(tmp_path / "timed" / spec.stem) == undisturbed, "a forked run differs"
    chance, points = random.Random(20), set[int]()
    for number, kills in enumerate(rounds):
        folder = killed_past_its_bound(runs, tmp_path / f"killed{number}", spec)
        seen = dict[str, str]()
        for _ in range(kills):
            # more than the whole over all kills, since every run loses what it was at
            status = runs.status(folder, chance.uniform(0.01, 3 * whole / kills))
            assert status in (-signal.SIGKILL, 0), "neither killed nor just done"
            now = kept(folder / spec.stem)
            assert seen.items() <= now.items(), "a kill lost something that was kept"
            seen = now
            points.add(len(now))
        assert runs.status(folder) == 0, "the last run is left to end"
        assert answer(folder / spec.stem) == undisturbed, "a kill changed the answer"
    assert len(rounds) == 1 or len(points) > 4, f"the kills came at {len(points)} points of the search only"


@pytest.mark.nightly
def test_workers_end_with_a_search_that_is_killed(
    spec: Path, undisturbed: tuple[str, bytes], tmp_path: Path
) -> None:
    arguments = (str(spec), "--out", str(tmp_path), "--workers", "2")
    with started(command(*arguments)) as process:
        await_file(tmp_path / spec.stem / "journal.sqlite", 40_000)
        workers = children(process.pid)
        assert len(workers) >= 2, "there were no workers"
        process.kill()
        process.wait()
    until = monotonic() + 20
    while left := [pid for pid in workers if Path(f"/proc/{pid}/cmdline").exists()]:
        # what has ended but is not yet buried has no command line
        if not any(Path(f"/proc/{pid}/cmdline").read_bytes() for pid in left):
            break
        assert monotonic() < until, "workers wait for ever for a search that is gone"
        sleep(0.05)
    before = kept(tmp_path / spec.stem)
    assert before, "nothing was kept"
    ended = run(*arguments)
    assert ended.returncode == 0, ended.stderr
    assert answer(tmp_path / spec.stem) == undisturbed, "a kill of two workers' search changed the answer"


@pytest.mark.nightly
@pytest.mark.parametrize("workers", [2, 7])
def test_any_number_of_workers_gives_the_same(
    spec: Path, undisturbed: tuple[str, bytes], tmp_path: Path, workers: int
) -> None:
    ended = run(str(spec), "--out", str(tmp_path), "--workers", str(workers))
    assert ended.returncode == 0, ended.stderr
    assert answer(tmp_path / spec.stem) == undisturbed, f"{workers} workers come to something else"


@pytest.mark.nightly
def test_another_share_size_gives_the_same(
    spec: Path, undisturbed: tuple[str, bytes], tmp_path: Path
) -> None:
    ended = run(str(spec), "--out", str(tmp_path), "--workers", "1", shares=100_000)
    assert ended.returncode == 0, ended.stderr
    assert answer(tmp_path / spec.stem) == undisturbed, "the cut of the work shows in the answer"


STOPS = [(number, workers) for number in (signal.SIGINT, signal.SIGTERM) for workers in (1, 2)]


@pytest.mark.parametrize(("number", "workers"), some_rows(STOPS, [(signal.SIGINT, 2)]))
def test_a_stopped_search_ends_at_once_and_says_what_it_found(
    long_spec: Path, tmp_path: Path, number: signal.Signals, workers: int
) -> None:
    arguments = (str(long_spec), "--out", str(tmp_path), "--workers", str(workers))
    with started(command(*arguments, shares=100_000)) as process:
        await_file(tmp_path / long_spec.stem / "journal.sqlite", 40_000)
        before = monotonic()
        # Ctrl-C reaches every process of the group, as from a terminal; a plain kill only one
        signal_all = os.killpg if number == signal.SIGINT else os.kill
        signal_all(process.pid, number)
        said, told = process.communicate(timeout=30)
        took = monotonic() - before
    assert process.returncode == 3, told
    # of a search of many seconds, on a machine that may be busy with other tests
    assert took < 8.0, f"it took {took:.1f} s to stop"
    verdict = said.strip().rsplit("\n\n", 1)[-1]
    assert verdict.startswith("The search was stopped before its end: 1 design found so far."), f"{verdict}"
    assert told == f"lampwright: written to {tmp_path / long_spec.stem}\n", "something else was told"
    assert kept(tmp_path / long_spec.stem), "nothing was kept"
    assert '"kind": "stopped"' in (tmp_path / long_spec.stem / "ranking.json").read_text(encoding="utf-8")


@pytest.mark.nightly
def test_a_search_goes_on_after_ctrl_c(spec: Path, undisturbed: tuple[str, bytes], tmp_path: Path) -> None:
    arguments = (str(spec), "--out", str(tmp_path), "--workers", "1")
    with started(command(*arguments)) as process:
        await_file(tmp_path / spec.stem / "journal.sqlite", 40_000)
        os.killpg(process.pid, signal.SIGINT)
        process.wait(timeout=30)
    assert process.returncode == 3, "it was over before it could be stopped"
    assert run(*arguments).returncode == 0, "the next run does not come to its end"
    assert answer(tmp_path / spec.stem) == undisturbed, "a stop changed the answer"


@pytest.mark.nightly
@pytest.mark.parametrize("workers", ["1", "2"])
def test_the_time_limit_stops_a_search(long_spec: Path, tmp_path: Path, workers: str) -> None:
    ended = run(str(long_spec), "--out", str(tmp_path), "--workers", workers, "--time-limit", "1")
    assert ended.returncode == 3, ended.stderr
    assert "\n\nThe search was stopped before its end" in ended.stdout, f"{ended.stdout[-200:]}"


@pytest.mark.nightly
def test_a_worker_that_is_killed_is_replaced(
    spec: Path, undisturbed: tuple[str, bytes], tmp_path: Path
) -> None:
    with started(command(str(spec), "--out", str(tmp_path), "--workers", "2")) as process:
        await_file(tmp_path / spec.stem / "journal.sqlite", 40_000)
        os.kill(children(process.pid)[-1], signal.SIGKILL)
        _, told = process.communicate(timeout=100)
    assert process.returncode == 0, told
    assert told == f"lampwright: written to {tmp_path / spec.stem}\n", "a lost worker is no news to the user"
    assert answer(tmp_path / spec.stem) == undisturbed, "a lost worker changed the answer"


FULL = """
import resource, sys
resource.setrlimit(resource.RLIMIT_FSIZE, (50_000, 50_000))
"""


@pytest.mark.nightly
def test_a_full_disk_is_one_line_and_loses_nothing(
    spec: Path, undisturbed: tuple[str, bytes], tmp_path: Path
) -> None:
    # a limit on the size of files: the system refuses to write on, as it does on a full disk
    line = command(str(spec), "--out", str(tmp_path), "--workers", "1")
    line[2] = FULL + line[2]
    full = subprocess.run(line, env=environment(), capture_output=True, text=True, timeout=600)
    assert full.returncode == 2, full.stderr
    place = tmp_path / spec.stem / "journal.sqlite"
    assert full.stderr.startswith(f"lampwright: {place}: it cannot be written ("), full.stderr
    assert "make room on the disk" in full.stderr, "the remedy is missing"
    assert full.stderr.count("\n") == 1, "a refusal is one line"
    before = kept(tmp_path / spec.stem)
    assert before, "nothing was kept"
    assert run(str(spec), "--out", str(tmp_path), "--workers", "1").returncode == 0, "it does not go on"
    assert before.items() <= kept(tmp_path / spec.stem).items(), "something kept was lost"
    assert answer(tmp_path / spec.stem) == undisturbed, "a full disk changed the answer"


def test_a_damaged_journal_is_exit_status_2(spec: Path, tmp_path: Path) -> None:
    place = tmp_path / spec.stem / "journal.sqlite"
    place.parent.mkdir()
    place.write_bytes(b"anything but a journal" * 100)
    refused = run(str(spec), "--out", str(tmp_path), "--workers", "1")
    assert refused.returncode == 2, refused.stderr
    assert refused.stderr == (
        f"lampwright: {place}: it is damaged (file is not a database); forget it with --fresh\n"
    ), "place, reason and remedy, in one line"
    assert [path.name for path in place.parent.iterdir()] == [place.name], "something was written"


@pytest.mark.nightly
def test_nothing_is_written_for_a_search_over_budget(spec: Path, tmp_path: Path) -> None:
    refused = run(str(spec), "--out", str(tmp_path / "new"), "--budget", "1000")
    assert refused.returncode == 2, refused.stderr
    assert "more than the budget of 1,000" in refused.stderr, "the reason is missing"
    assert not (tmp_path / "new").exists(), "a folder was made for a search that was refused"


def test_predicted_and_actual_stand_in_the_journal(calm: Path) -> None:
    database = sqlite3.connect(calm / "journal.sqlite")
    notes = dict(database.execute("SELECT name, value FROM note"))
    database.close()
    assert notes["circuits predicted"] == notes["circuits listed"], "all that were counted were listed"
    assert float(notes["seconds predicted, one process"]) > 0, "a long search is timed beforehand"
    assert float(notes["seconds of the last run"]) > 0, "and afterwards"
    assert notes["ended"] == "found", "and says how it ended"
