"""Killed at any moment and started again, a search gives the ranking of an undisturbed run.

So does any number of workers. Searches run as they do for a user, in processes of their
own; shares are made small, so that there are many to be killed between.
"""

import json
import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

SPEC = Path(__file__).parents[2] / "specs" / "sidecar_side_lamp.toml"
BEGUN = 33_000
"""A journal of more bytes than this holds finished pieces."""

RUN = """
import sys
from lampwright.kernels import keep_kernels
keep_kernels()
import lampwright.pipeline.shares as shares
import lampwright.pipeline.search as search
shares.SHARE_SIZE, search.WORTH_WORKERS = 4000, 0
from lampwright.cli import main
if __name__ == "__main__":
    main()
"""


@pytest.fixture(scope="module")
def script(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("run") / "run.py"
    path.write_text(RUN, encoding="utf-8")
    return path


def command(script: Path, out: Path, *more: str) -> list[str]:
    return [sys.executable, str(script), "search", str(SPEC), "--out", str(out), *more]


def run(script: Path, out: Path, *more: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        command(script, out, *more), capture_output=True, text=True, timeout=300, check=False
    )


def ranking(out: Path) -> tuple[str, str]:
    folder = out / SPEC.stem
    result = json.loads((folder / "ranking.json").read_text(encoding="utf-8"))
    del result["search"]["seconds"]
    return json.dumps(result, indent=1), (folder / "ranking.csv").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def undisturbed(script: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[tuple[str, str], float]:
    out = tmp_path_factory.mktemp("undisturbed")
    start = time.monotonic()
    done = run(script, out, "--workers", "1")
    assert done.returncode == 0, done.stderr
    return ranking(out), time.monotonic() - start


def test_killed_twenty_times_and_started_again(
    script: Path, undisturbed: tuple[tuple[str, str], float], tmp_path: Path
) -> None:
    wanted, seconds = undisturbed
    draw = random.Random(20)
    kills = 0
    for _ in range(200):
        process = subprocess.Popen(
            command(script, tmp_path, "--workers", "1"), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
        try:
            process.wait(draw.uniform(0.35, 0.75) * seconds if kills < 20 else 300)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
            kills += 1
            continue
        assert process.returncode == 0, "a run left alone ends well"
        if kills >= 20:
            break
        # it was done sooner than it was to be killed: begin anew
        (tmp_path / SPEC.stem / "journal.sqlite").unlink()
    assert kills == 20, "killed at twenty moments"
    assert ranking(tmp_path) == wanted, "the ranking of an undisturbed run, to the byte"


@pytest.mark.parametrize("workers", ["2", "7"])
def test_any_number_of_workers_gives_the_same(
    script: Path, undisturbed: tuple[tuple[str, str], float], tmp_path: Path, workers: str
) -> None:
    done = run(script, tmp_path, "--workers", workers)
    assert done.returncode == 0, done.stderr
    assert ranking(tmp_path) == undisturbed[0], "to the byte"


@pytest.mark.parametrize(
    ("number", "workers"), [(signal.SIGINT, "1"), (signal.SIGINT, "2"), (signal.SIGTERM, "1")]
)
def test_a_polite_end_prints_and_keeps_what_was_found(
    script: Path, undisturbed: tuple[tuple[str, str], float], tmp_path: Path, number: int, workers: str
) -> None:
    wanted, _ = undisturbed
    process = subprocess.Popen(
        command(script, tmp_path, "--workers", workers),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    journal = tmp_path / SPEC.stem / "journal.sqlite"
    for _ in range(1200):
        if journal.exists() and journal.stat().st_size > BEGUN:
            break
        time.sleep(0.05)
    process.send_signal(number)
    said, told = process.communicate(timeout=60)
    if process.returncode == 0:
        pytest.skip("the search was over before it could be stopped")
    assert process.returncode == 3, told
    assert "stopped before its end" in said, "it says so, with what was found"
    assert "Traceback" not in told, told
    assert journal.exists(), "the journal is kept"
    done = run(script, tmp_path, "--workers", "1")
    assert done.returncode == 0, done.stderr
    assert ranking(tmp_path) == wanted, "and the same command goes on from there"


def test_pieces_of_a_killed_worker_are_done_again(
    script: Path, undisturbed: tuple[tuple[str, str], float], tmp_path: Path
) -> None:
    process = subprocess.Popen(
        command(script, tmp_path, "--workers", "2"), stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    killed = False
    for _ in range(2400):
        children = Path(f"/proc/{process.pid}/task/{process.pid}/children")
        try:
            pids = [int(pid) for pid in children.read_text().split()]
        except OSError:
            break
        workers = [pid for pid in pids if b"spawn_main" in _command_of(pid)]
        journal = tmp_path / SPEC.stem / "journal.sqlite"
        if len(workers) >= 2 and journal.exists() and journal.stat().st_size > BEGUN:
            os.kill(workers[-1], signal.SIGKILL)
            killed = True
            break
        time.sleep(0.02)
    _, told = process.communicate(timeout=300)
    if not killed:
        pytest.skip("no worker was seen on this system")
    assert process.returncode == 0, told
    assert ranking(tmp_path) == undisturbed[0], "to the byte"


def _command_of(pid: int) -> bytes:
    try:
        return Path(f"/proc/{pid}/cmdline").read_bytes()
    except OSError:
        return b""


def test_time_up_exits_three(script: Path, tmp_path: Path) -> None:
    assert run(script, tmp_path, "--time-limit", "0.001", "--workers", "1").returncode == 3, "stopped, kept"
