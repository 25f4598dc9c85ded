"""The real command in processes of its own, with small shares, so that a search has many of them."""

import json
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from time import monotonic, sleep

import pytest
from tests.once import once

import lampwright

ROOT = Path(__file__).parents[2]
SOURCE = str(Path(lampwright.__file__).parents[1])

SMALL_SHARES = """
import sys
from lampwright.kernels import keep_kernels
keep_kernels()
import lampwright.searching.shares as shares
shares.SHARE_SIZE, shares.WORTH_WORKERS = int(sys.argv[1]), int(sys.argv[2])
from lampwright.cli import main
main(sys.argv[3:])
"""
"""The command with a share size and a size of search that is worth workers."""


def command(*arguments: str, shares: int = 20_000, worth: int = 0) -> list[str]:
    """The command line of a search in small shares."""
    return [sys.executable, "-c", SMALL_SHARES, str(shares), str(worth), "search", *arguments]


def environment() -> dict[str, str]:
    """This process's, with the package under test first."""
    return {**os.environ, "PYTHONPATH": SOURCE}


def _heed_interrupts() -> None:
    signal.signal(signal.SIGINT, signal.SIG_DFL)


@contextmanager
def started(line: list[str]) -> Iterator[subprocess.Popen[str]]:
    """A process in a group of its own, as a terminal starts it; ended with all its children."""
    with subprocess.Popen(
        line,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=environment(),
        start_new_session=True,
        # whoever runs the tests in the background of a shell ignores Ctrl-C, and children inherit that
        preexec_fn=_heed_interrupts,
    ) as process:
        try:
            yield process
        finally:
            if process.poll() is None:
                os.killpg(process.pid, signal.SIGKILL)


def await_file(path: Path, size: int, seconds: float = 300.0) -> None:
    """Wait until a file has at least so many bytes."""
    until = monotonic() + seconds
    while not (path.exists() and path.stat().st_size >= size):
        assert monotonic() < until, f"{path.name} has not grown to {size} bytes"
        sleep(0.01)


def children(pid: int) -> tuple[int, ...]:
    """The processes that a process has started."""
    listed = Path(f"/proc/{pid}/task/{pid}/children")
    if not listed.exists():
        pytest.skip("this system does not list the children of a process in /proc")
    return tuple(int(word) for word in listed.read_text(encoding="ascii").split())


def answer(folder: Path) -> tuple[str, bytes]:
    """What a search came to: the ranking without its seconds, and the table."""
    ranking = json.loads((folder / "ranking.json").read_text(encoding="utf-8"))
    del ranking["search"]["seconds"]
    return json.dumps(ranking), (folder / "ranking.csv").read_bytes()


@pytest.fixture(scope="session")
def spec(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sidecar with one joint more: 692,742 circuits, in some eighty shares."""
    text = (ROOT / "specs" / "sidecar_side_lamp.toml").read_text(encoding="utf-8")
    path = tmp_path_factory.mktemp("specs") / "sidecar.toml"
    path.write_text(text.replace("joints = 1", "joints = 2"), encoding="utf-8")
    return path


@pytest.fixture(scope="session")
def calm(spec: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of a run that nobody disturbed, by one process."""

    def search() -> Path:
        out = tmp_path_factory.mktemp("calm")
        line = command(str(spec), "--out", str(out), "--workers", "1")
        run = subprocess.run(line, env=environment(), capture_output=True, text=True, timeout=600)
        assert run.returncode == 0, run.stderr
        return out / spec.stem

    return once("undisturbed", search)


@pytest.fixture(scope="session")
def undisturbed(calm: Path) -> tuple[str, bytes]:
    """The answer of that run."""
    return answer(calm)


@pytest.fixture(scope="session")
def long_spec(spec: Path, undisturbed: tuple[str, bytes]) -> Path:
    """The same with a second diode, some ten seconds of search; every kernel has been compiled before."""
    assert undisturbed, "the short one was searched to its end"
    path = spec.with_name("long.toml")
    text = spec.read_text(encoding="utf-8")
    path.write_text(text.replace("diodes    = { most = 1", "diodes    = { most = 2"), encoding="utf-8")
    return path
