"""A search by the command line in a process of its own, and what its result says."""

import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.bench.clock import Run, run_program
from tests.bench.specs import Rung, four_lamps
from tests.bench.table import Size

BUDGET = 10**12


@dataclass(frozen=True)
class Search:
    """A search that has ended: circuits listed and counted, whether every step was completed."""

    run: Run
    listed: int
    counted: int
    complete: bool
    verdict: str

    @property
    def per_second(self) -> float:
        """Circuits per second, from shell to ranking."""
        return self.listed / self.run.seconds


def search(spec: Path, out: Path, workers: int, time_limit: float | None = None) -> Search:
    """Search from the start. Raises RuntimeError where there is no result."""
    arguments = ["search", str(spec), "--out", str(out), "--fresh", "--workers", str(workers)]
    arguments += ["--budget", str(BUDGET)]
    if time_limit is not None:
        arguments += ["--time-limit", str(time_limit)]
    run = run_program(arguments, allowed=(0, 1, 3))
    result = out / spec.stem / "ranking.json"
    if not result.exists():
        raise RuntimeError(f"{spec.name}: no result; exit status {run.status}\n{run.errors}")
    ranking = json.loads(result.read_text(encoding="utf-8"))
    counts = ranking["search"]["part_counts"]
    return Search(
        run,
        sum(count["listed"] for count in counts),
        sum(count["orbits"] for count in counts),
        all(count["complete"] and count["listed"] == count["orbits"] for count in counts)
        and ranking["verdict"]["kind"] != "stopped",
        ranking["verdict"]["kind"],
    )


@cache
def compile_kernels(size: Size) -> None:
    """Search once, so that no search that counts has to compile anything; the tiniest do not count."""
    if size is Size.TINY:
        return
    with TemporaryDirectory() as name:
        search(four_lamps(Rung(1, 0, 1), Path(name)), Path(name), 1)
