"""The same search on a Dask cluster on this machine, one of two workers killed midway."""

import importlib.util
import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from lampwright.errors import InputError
from lampwright.pipeline.options import SearchOptions
from lampwright.pipeline.reading import read_study
from lampwright.pipeline.search import search_study
from lampwright.progress.bar import quiet
from lampwright.store.encode import to_json

HAS_DASK = importlib.util.find_spec("distributed") is not None
needs_dask = pytest.mark.skipif(not HAS_DASK, reason="the extra `cluster` is not installed")
SPEC = Path(__file__).parents[2] / "specs" / "sidecar_side_lamp.toml"
DRIVER = """
import sys, warnings
from pathlib import Path
import lampwright.pipeline.shares as shares
shares.SHARE_SIZE = 4000
from lampwright.pipeline.options import SearchOptions
from lampwright.pipeline.reading import read_study
from lampwright.pipeline.search import search_study
from lampwright.progress.bar import quiet
from lampwright.store.encode import to_json
ranking = search_study(read_study(Path(sys.argv[1])), SearchOptions(scheduler=sys.argv[2]), quiet())
Path(sys.argv[3]).write_text(to_json(ranking), encoding="utf-8")
"""


def plain(text: str) -> object:
    result = json.loads(text)
    del result["search"]["seconds"]
    return result


@pytest.fixture
def cluster(tmp_path: Path) -> Iterator[tuple[str, list[subprocess.Popen[bytes]]]]:
    """A scheduler and two workers on the loopback address; their address, and the workers."""
    told = tmp_path / "scheduler.json"
    quietly = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    dask = [sys.executable, "-m", "distributed.cli.dask_scheduler"]
    scheduler = subprocess.Popen(
        [
            *dask,
            "--host",
            "127.0.0.1",
            "--port",
            "0",
            "--no-dashboard",
            "--no-jupyter",
            "--scheduler-file",
            str(told),
        ],
        **quietly,  # type: ignore[call-overload]
    )
    for _ in range(600):
        if told.exists() and told.stat().st_size:
            break
        time.sleep(0.05)
    address = json.loads(told.read_text(encoding="utf-8"))["address"]
    worker = [sys.executable, "-m", "distributed.cli.dask_worker", address, "--host", "127.0.0.1"]
    terms = ["--nthreads", "1", "--no-dashboard", "--no-nanny", "--local-directory", str(tmp_path)]
    workers = [subprocess.Popen([*worker, *terms], **quietly) for _ in range(2)]  # type: ignore[call-overload]
    yield address, workers
    for process in (*workers, scheduler):
        process.kill()
        process.wait()


@needs_dask
def test_a_cluster_gives_the_same_ranking_though_a_worker_is_lost(
    cluster: tuple[str, list[subprocess.Popen[bytes]]], tmp_path: Path
) -> None:
    address, workers = cluster
    out = tmp_path / "ranking.json"
    script = tmp_path / "driver.py"
    script.write_text(DRIVER, encoding="utf-8")
    driver = subprocess.Popen(
        [sys.executable, str(script), str(SPEC), address, str(out)], stderr=subprocess.PIPE, text=True
    )
    time.sleep(8.0)
    os.kill(workers[0].pid, signal.SIGKILL)
    _, told = driver.communicate(timeout=240)
    assert driver.returncode == 0, told
    local = search_study(read_study(SPEC), SearchOptions(), quiet())
    assert plain(out.read_text(encoding="utf-8")) == plain(to_json(local)), "as on this machine alone"


@needs_dask
@pytest.mark.filterwarnings("ignore")  # distributed's own, while it fails to connect
def test_no_scheduler_is_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("lampwright.pipeline.cluster.PATIENCE", "1s")
    options = SearchOptions(scheduler="tcp://127.0.0.1:9")
    with pytest.raises(InputError, match=r"--scheduler: no scheduler answers at tcp://127\.0\.0\.1:9"):
        search_study(read_study(SPEC), options, quiet())


def test_without_the_extra_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    options = SearchOptions(scheduler="tcp://127.0.0.1:9")
    with pytest.raises(InputError, match=r"the extra `cluster` is not installed; install it: pip install"):
        search_study(read_study(SPEC), options, quiet())
