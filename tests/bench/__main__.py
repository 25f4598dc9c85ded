"""Measure lampwright: `python tests/bench`, one command, one table."""

import os
import sys
from pathlib import Path

# one core means one core: before numpy is imported
for variable in ("OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "OMP_NUM_THREADS"):
    os.environ.setdefault(variable, "1")
# a user's Python keeps the modules that it has compiled, and so do the programs measured here
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
# modules here are tests.bench.NAME, so that no name here hides one of a library
sys.path[0] = str(Path(__file__).parents[2])

from lampwright.kernels import keep_kernels  # noqa: E402

keep_kernels()

from tests.bench.command import main  # noqa: E402

if __name__ == "__main__":
    main()
