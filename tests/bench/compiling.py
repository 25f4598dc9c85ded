"""The first run's wait: every kernel compiled, from an empty cache."""

import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.bench.clock import run_process
from tests.bench.table import Row, Size

from lampwright.kernels import Kernels, kernel_sources

SECONDS = 25.0
COMPILE = """
import os, resource, sys
from pathlib import Path
os.environ["NUMBA_CACHE_DIR"] = sys.argv[1]
from lampwright.app.compiling import compile_kernels
from lampwright.kernels import Kernels
from lampwright.progress.bar import quiet
if __name__ == "__main__":
    compile_kernels(Kernels(Path(sys.argv[1])), quiet())
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    print(used.ru_utime + used.ru_stime, file=sys.stderr)
"""


def measure(size: Size) -> tuple[Row, ...]:
    """Compile all that the program knows of, in two processes, as the first command does."""
    if size is Size.TINY:
        kernels = sum(path.read_text(encoding="utf-8").count("\n@njit(") for path in kernel_sources())
        return (Row("kernels", f"{kernels:,}, not compiled"),)
    with TemporaryDirectory() as name:
        folder, script = Path(name) / "kernels", Path(name) / "compile.py"
        script.write_text(COMPILE, encoding="utf-8")
        run = run_process([sys.executable, str(script), str(folder)])
        kept = Kernels(folder).kept()
    cores = float(run.errors.split()[-1])
    said = f"{run.seconds:.0f} s, {cores:.0f} s of one core, {kept} of them"
    return (Row("kernels compiled", said, f"<= {SECONDS:g} s", run.seconds <= SECONDS),)
