"""From shell to ranking: the shipped specs, each in a fresh process; the quick answer; and the help text."""

import os
import sys
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.bench.clock import PROGRAM, core_seconds, run_process, run_program
from tests.bench.searches import compile_kernels, search
from tests.bench.table import Row, Size

import lampwright

SPECS = Path(__file__).parents[2] / "specs"
FLAGSHIP = "sidecar_side_lamp"
NONE = "no_such_circuit"
FLAGSHIP_SECONDS, SPEC_SECONDS, FIND_SECONDS, REFUSED_SECONDS = 10.0, 60.0, 0.02, 0.5
HEAVY = ("numba", "numpy", "scipy", "ortools", "lampwright.solve.newton")
IMPORTED = f"""
import sys
from lampwright.cli import main
try:
    main(["--help"])
except SystemExit:
    print(*(name for name in {HEAVY!r} if name in sys.modules), file=sys.stderr)
"""


def measure(size: Size) -> tuple[Row, ...]:
    """Every shipped spec, the flagship first; kernels are compiled before."""
    specs = sorted(SPECS.glob("*.toml"), key=lambda path: (path.stem != FLAGSHIP, path.stem))
    if size is Size.TINY:
        specs = [path for path in specs if path.stem == "trailer_feed_telltale"]
    compile_kernels(size)
    tries = 1 if size is Size.TINY else 2
    with TemporaryDirectory() as name:
        rows = tuple(_timed(spec, Path(name), tries) for spec in specs)
        refused = _refused(Path(name), tries)
    return (*rows, refused, _find(size), *_help())


def _timed(spec: Path, out: Path, tries: int) -> Row:
    workers = os.cpu_count() or 1
    best = min((search(spec, out, workers) for _ in range(tries)), key=lambda found: found.run.seconds)
    most = FLAGSHIP_SECONDS if spec.stem == FLAGSHIP else SPEC_SECONDS
    said = f"{best.run.seconds:.2f} s, {best.listed:,} circuits, {best.verdict}"
    return Row(spec.stem, said, f"<= {most:.0f} s", best.run.seconds <= most)


def _refused(folder: Path, tries: int) -> Row:
    """A spec with a row that asks something else of one electrical state, read and refused."""
    spec = folder / "contradiction.toml"
    text = (SPECS / f"{FLAGSHIP}.toml").read_text(encoding="utf-8")
    # with its contact open the flasher is, electrically, off: there the side lamp is to be lit while braking
    spec.write_text(text.replace('"counterflash"', '"flash"'), encoding="utf-8")
    seconds = min(run_program(["search", str(spec)], (2,)).seconds for _ in range(tries + 1))
    return Row(
        "contradictory", f"{seconds:.2f} s, refused", f"<= {REFUSED_SECONDS} s", seconds <= REFUSED_SECONDS
    )


def _find(size: Size) -> Row:
    """Whether there is a design, without why not, against the whole answer; in this process, all loaded."""
    spec = SPECS / f"{NONE}.toml"
    lampwright.search(spec)
    whole = core_seconds(lambda: lampwright.search(spec), 1 if size is Size.TINY else 3)
    quick = core_seconds(lambda: lampwright.find(spec), 10)
    said = f"{quick:.3f} s against {whole:.2f} s: {whole / quick:.0f}x"
    return Row(f"{NONE}, find", said, f"<= {FIND_SECONDS:g} s", quick <= FIND_SECONDS)


def _help() -> Iterator[Row]:
    seconds = min(run_program(["--help"]).seconds for _ in range(3))
    bare = min(run_process([sys.executable, "-c", "pass"]).seconds for _ in range(3))
    yield Row("--help", f"{seconds:.2f} s, of which Python itself {bare:.2f} s")
    heavy = run_process([PROGRAM[0], "-c", IMPORTED]).errors.split()
    yield Row("--help imports", ", ".join(heavy) or "no solver, no compiled library", "none", not heavy)
