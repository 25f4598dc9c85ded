"""The same pieces on a Dask cluster: a real scheduler and two real workers, one of them killed.

Source: the documentation of Dask's distributed scheduler (distributed.dask.org) for what it
does about lost workers.
"""

import os
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from time import monotonic, sleep

import pytest
from tests.searching.conftest import answer, await_file, command, environment, started
from tests.selection import some_rows

from lampwright.app.answering import search_into
from lampwright.errors import InputError
from lampwright.problem.reading import read_problem
from lampwright.progress.bar import quiet
from lampwright.searching.options import SearchOptions

HOST = "127.0.0.1"


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind((HOST, 0))
        return int(probe.getsockname()[1])


@dataclass
class Dask:
    """A scheduler on this machine and its workers."""

    address: str
    log: Path
    workers: list[subprocess.Popen[bytes]]
    process: subprocess.Popen[bytes]

    def add_worker(self, source: str | None = None) -> None:
        """Start a worker of one thread."""
        line = [sys.executable, "-m", "distributed.cli.dask_worker", self.address]
        line += ["--nthreads", "1", "--no-nanny", "--no-dashboard", "--host", HOST]
        line += ["--local-directory", str(self.log.parent)]
        self.workers.append(begin(line, self.log, source))


def begin(line: list[str], log: Path, source: str | None = None) -> subprocess.Popen[bytes]:
    env = environment() | ({"PYTHONPATH": source} if source else {})
    with log.open("ab") as file:
        return subprocess.Popen(line, stdout=file, stderr=file, env=env)


@contextmanager
def scheduler(folder: Path) -> Iterator[Dask]:
    """A scheduler without workers, ended with all that it has got until then."""
    port, log = free_port(), folder / "dask.log"
    line = [sys.executable, "-m", "distributed.cli.dask_scheduler", "--host", HOST, "--port", str(port)]
    process = begin([*line, "--no-dashboard", "--no-show"], log)
    dask = Dask(f"tcp://{HOST}:{port}", log, [], process)
    try:
        until = monotonic() + 60
        while "Scheduler at" not in log.read_text(encoding="utf-8"):
            assert process.poll() is None, f"it has ended: {log.read_text(encoding='utf-8')}"
            assert monotonic() < until, "the scheduler does not start"
            sleep(0.05)
        yield dask
    finally:
        for one in (*dask.workers, process):
            one.kill()
            one.wait()


@pytest.fixture
def dask(tmp_path: Path) -> Iterator[Dask]:
    pytest.importorskip("distributed", reason="the extra `cluster` is not installed")
    with scheduler(tmp_path) as one:
        yield one


def refused(spec: Path, out: Path, address: str) -> str:
    """What the command says where it cannot join a cluster: one line, and nothing written."""
    line = command(str(spec), "--out", str(out), "--scheduler", address)
    run = subprocess.run(line, env=environment(), capture_output=True, text=True, timeout=600)
    assert run.returncode == 2, run.stderr
    assert run.stderr.count("\n") == 1, f"not one line: {run.stderr}"
    assert run.stderr.startswith(f"lampwright: --scheduler {address}: "), "the place is missing"
    assert not out.exists(), "a folder was made before the cluster was joined"
    return run.stderr


def test_a_cluster_that_loses_a_worker_gives_the_local_answer(
    dask: Dask, spec: Path, undisturbed: tuple[str, bytes], tmp_path: Path
) -> None:
    dask.add_worker()
    dask.add_worker()
    line = command(str(spec), "--out", str(tmp_path), "--scheduler", dask.address)
    with started(line) as process:
        await_file(tmp_path / spec.stem / "journal.sqlite", 40_000)
        os.kill(dask.workers[0].pid, signal.SIGKILL)
        _, told = process.communicate(timeout=90)
    assert process.returncode == 0, told
    assert told == f"lampwright: written to {tmp_path / spec.stem}\n", "Dask's own words reach the user"
    assert answer(tmp_path / spec.stem) == undisturbed, "a cluster comes to something else"


def test_a_worker_with_another_program_is_turned_away(dask: Dask, spec: Path, tmp_path: Path) -> None:
    other = tmp_path / "other" / "lampwright"
    other.mkdir(parents=True)
    (other / "__init__.py").write_text('__version__ = "0"\n', encoding="utf-8")
    dask.add_worker(str(other.parent))
    said = refused(spec, tmp_path / "out", dask.address)
    assert "no lampwright, or another version of it or of its data" in said, "the reason is missing"
    assert said.endswith("; install the same version everywhere\n"), "the remedy is missing"


@pytest.mark.parametrize(
    ("address", "why"),
    some_rows(
        [
            ("nonsense", "missing port number"),
            ("signal://here:1", "unknown address scheme"),
            # port 1, tcpmux (IANA), where hardly anybody answers
            (f"{HOST}:1", "Timed out"),
        ],
        1,
    ),
)
def test_an_address_where_nobody_answers_is_one_line(
    spec: Path, tmp_path: Path, address: str, why: str
) -> None:
    pytest.importorskip("distributed", reason="the extra `cluster` is not installed")
    said = refused(spec, tmp_path / "out", address)
    assert f"no scheduler answers ({why}" in said, said
    assert said.endswith("; start one with `dask scheduler` and give the address that it prints\n"), said


def test_without_the_extra_it_says_what_to_install(
    spec: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)  # importing it raises ImportError
    options = SearchOptions(tmp_path, scheduler="tcp://there:8786")
    with pytest.raises(InputError, match=r'not installed here; .*pip install "lampwright\[cluster\]"$'):
        search_into(read_problem(spec), options, quiet(), tmp_path / "new")
    assert not (tmp_path / "new").exists(), "a folder was made before the cluster was joined"
