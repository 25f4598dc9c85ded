"""How long after its time limit a search has kept its answer, and how long after the page's Stop."""

import os
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.bench.searches import compile_kernels
from tests.bench.specs import Rung, four_lamps, six_lamps
from tests.bench.table import Row, Size

from lampwright.workbench.run import Run

SPECS = Path(__file__).parents[2] / "specs"
LATE, STOPPED = 1.0, 1.0
"""Seconds that an answer may come after its limit, and a stop after it is asked for."""

LIMITS = {Size.TINY: (0.2,), Size.QUICK: (0.3, 3.0), Size.FULL: (0.1, 0.3, 1.0, 3.0, 10.0)}
SEARCH = """
import sys, time
from pathlib import Path
from lampwright.kernels import keep_kernels
keep_kernels()
from lampwright.app.keeping import search_and_keep
from lampwright.progress.bar import quiet
from lampwright.searching.options import SearchOptions
spec, out, limit = Path(sys.argv[1]), Path(sys.argv[2]), float(sys.argv[3])
began = time.perf_counter()
search_and_keep(spec, SearchOptions(out=out, time_limit=limit, fresh=True, budget=10**12), quiet())
print(time.perf_counter() - began)
"""
PATIENCE = 120.0


def measure(size: Size) -> tuple[Row, ...]:
    """Shipped specs at each limit, the ladder's top; then Stop while it lists, proves, asks why and tries."""
    compile_kernels(size)
    shipped = sorted(SPECS.glob("*.toml"))
    if size is Size.TINY:
        shipped = [path for path in shipped if path.stem == "no_such_circuit"]
    with TemporaryDirectory() as name:
        folder = Path(name)
        top = Rung(1, 0, 1) if size is Size.TINY else Rung(2, 2, 2)
        within = Rung(1, 0, 1) if size is Size.TINY else Rung(1, 1, 2)
        specs = [*shipped, four_lamps(top, folder), six_lamps(top, folder)]
        rows = [_late(limit, specs, folder) for limit in LIMITS[size]]
        stages = [
            ("it lists", four_lamps(within, folder), "listing"),
            ("it proves a bound", SPECS / "sidecar_side_lamp.toml", "proving"),
            ("it asks why there is none", SPECS / "no_such_circuit.toml", "looking"),
            ("it tries changes", SPECS / "no_such_circuit.toml", "trying"),
        ]
        rows += [_stopped(*stage, folder) for stage in (stages[:1] if size is Size.TINY else stages)]
    return tuple(rows)


def _late(limit: float, specs: list[Path], folder: Path) -> Row:
    """The latest answer of all specs, from the call to what is kept."""
    found = []
    for spec in specs:
        command = (sys.executable, "-c", SEARCH, str(spec), str(folder / "out"), str(limit))
        done = subprocess.run(command, capture_output=True, text=True, check=True)
        found.append((float(done.stdout) - limit, spec.stem))
    late, worst = max(found)
    said = f"{max(0.0, late):.2f} s late at most, {worst} of {len(specs)} specs"
    return Row(f"asked for {limit:g} s", said, f"<= {LATE:g} s late", late <= LATE)


@dataclass
class _Heard:
    """A run of the page as it is heard of."""

    run: Run

    def waits(self, for_it: Callable[[Run], bool]) -> bool:
        """Wait for something, or the end; whether it came."""
        until = time.monotonic() + PATIENCE
        while self.run.is_on and not for_it(self.run) and time.monotonic() < until:
            time.sleep(0.005)
        return for_it(self.run)


def _stopped(what: str, spec: Path, stage: str, folder: Path) -> Row:
    """The page's Stop in a stage, a little after it began, until the answer is there."""
    run = Run(lambda _run: None)
    heard = _Heard(run)
    run.start(spec, folder / "stopped", os.cpu_count() or 1, fresh=True)
    came = heard.waits(lambda one: one.stage.startswith(stage))
    time.sleep(0.1)
    if not (came and run.is_on):
        heard.waits(lambda _: False)
        return Row(f"Stop while {what}", f"it had ended before ({run.state})")
    began = time.perf_counter()
    run.stop()
    heard.waits(lambda _: False)
    seconds = time.perf_counter() - began
    return Row(
        f"Stop while {what}", f"{seconds:.2f} s ({run.state})", f"<= {STOPPED:g} s", seconds <= STOPPED
    )
