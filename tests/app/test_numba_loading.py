"""Kernels that are kept are loaded without their bitcode, and can still be compiled into others."""

import os
import subprocess
import sys
from pathlib import Path

KEPT = """
from numba import njit

@njit(cache=True, no_cpython_wrapper=True, no_cfunc_wrapper=True)
def inner(x):
    return x + 1

@njit(cache=True)
def outer(x):
    return inner(x) * 2
"""
RUN = """
import os
import pickle
import sys
from pathlib import Path
from lampwright.kernels import load_numba_alone
load_numba_alone()
from llvmlite import binding
read, parse = [], binding.parse_bitcode
binding.parse_bitcode = lambda bits: read.append(bits) or parse(bits)
from kept import inner, outer
from numba import njit
print(outer(20), sum(outer.stats.cache_hits.values()), len(read))
TABLES = "numba.np.polynomial.polynomial_core"
tables = TABLES in sys.modules

@njit
def new(x):
    return outer(x) + inner(x)

print(new(20), len(read))
print(tables, TABLES in sys.modules)
kept = sorted(Path(os.environ["NUMBA_CACHE_DIR"]).rglob("*.nbc"))
print(*(pickle.loads(path.read_bytes())[0][1] for path in kept))
"""


def test_bitcode_is_read_where_something_is_compiled(tmp_path: Path) -> None:
    (tmp_path / "kept.py").write_text(KEPT, encoding="utf-8")
    paths = os.pathsep.join((str(tmp_path), *sys.path))
    own = {"NUMBA_CACHE_DIR": str(tmp_path / "kernels"), "PYTHONPATH": paths}

    def run(script: str = RUN) -> list[str]:
        done = subprocess.run(
            (sys.executable, "-c", script), env=os.environ | own, capture_output=True, text=True, check=True
        )
        return done.stdout.split()

    kinds = ["bitcode", "object"]
    compiled = ["True", "True"]
    assert run() == ["42", "0", "0", "63", "0", *compiled, *kinds], "machine code that nobody runs"
    kept = run()
    assert kept[:3] == ["42", "1", "0"], "it was not loaded, or with its bitcode"
    assert kept[3:5] == ["63", "2"]
    assert kept[5:7] == ["False", "True"], "loading waits for what compiling needs"
    assert kept[7:] == kinds
    # numba itself reads what was kept
    assert run(RUN.replace("load_numba_alone()", ""))[3] == "63"
