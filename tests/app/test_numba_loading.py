"""Kernels that are kept are loaded without bitcode, compiled into others; long ones stand alone."""

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

KEPT = """
from numba import njit

ENTRY = {"cache": True, "no_cfunc_wrapper": True}
INNER = ENTRY | {"no_cpython_wrapper": True}

@njit(**INNER)
def inner(x):
    return x + 1

@njit(**INNER)
def deep(x):
    return inner(x) * 3 if x > 1 else inner(x)

@njit(**INNER)
def long(x):
    found = 0
    for i in range(x):
        found += deep(i) if i & 1 else i * i
    return found

@njit(**ENTRY)
def outer(x):
    return inner(x) * 2

@njit(**ENTRY)
def first(x):
    return long(x) + inner(x)

@njit(**ENTRY)
def second(x):
    return long(x) - deep(x)
"""
RUN = """
import os
import pickle
import sys
from pathlib import Path
from lampwright.kernels import load_numba_alone
load_numba_alone()
READY
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
CALLED = """
import sys
from lampwright.kernels import load_numba_alone
load_numba_alone()
from lampwright import numba_loading
numba_loading.use_kept_libraries()
numba_loading.OURS, numba_loading.LONG = "_ZN4kept", 12
made, make = [], numba_loading.KeptLibrary._make_machine_code
numba_loading.KeptLibrary._make_machine_code = lambda own: made.append(own.name) or make(own)
import kept
for name in sys.argv[1:]:
    kernel = getattr(kept, name)
    print(kernel(7), sum(kernel.stats.cache_hits.values()))
print(*made)
"""
READY = "from lampwright.numba_loading import use_kept_libraries; use_kept_libraries()"
Run = Callable[..., list[str]]


@pytest.fixture
def run(tmp_path: Path) -> Run:
    """Run a script beside the kernels, in a process of its own; what it prints, word by word."""
    (tmp_path / "kept.py").write_text(KEPT, encoding="utf-8")
    paths = os.pathsep.join((str(tmp_path), *sys.path))
    own = {"NUMBA_CACHE_DIR": str(tmp_path / "kernels"), "PYTHONPATH": paths}

    def begin(script: str, *given: str) -> list[str]:
        command = (sys.executable, "-c", script, *given)
        done = subprocess.run(command, env=os.environ | own, capture_output=True, text=True, check=True)
        return done.stdout.split()

    return begin


def test_bitcode_is_read_where_something_is_compiled(run: Run) -> None:
    own = RUN.replace("READY", READY)
    kinds = ["bitcode", "object"]
    compiled = ["True", "True"]
    assert run(own) == ["42", "0", "0", "63", "0", *compiled, *kinds], "machine code that nobody runs"
    kept = run(own)
    assert kept[:3] == ["42", "1", "0"], "it was not loaded, or with its bitcode"
    assert kept[3:5] == ["63", "2"]
    assert kept[5:7] == ["False", "True"], "loading waits for what compiling needs"
    assert kept[7:] == kinds
    # numba itself reads what was kept
    assert run(RUN.replace("READY", "").replace("load_numba_alone()", ""))[3] == "63"


def test_a_long_kernel_is_compiled_once_and_called_where_it_stands(run: Run) -> None:
    first = sum((i + 1) * 3 if i > 1 and i & 1 else 2 if i == 1 else i * i for i in range(7)) + 8
    second = first - 8 - 24
    assert run(CALLED, "first") == [str(first), "0", "long", "first"], "short ones have code of their own"
    # it was kept by another process than that which calls it now
    assert run(CALLED, "second") == [str(second), "0", "long", "second"]
    loaded = run(CALLED, "second", "first")
    assert loaded[:4] == [str(second), "1", str(first), "1"]
    assert len(loaded[4:]) == 3, "it is loaded once for both"
    assert [name for name in loaded[4:] if name in ("first", "second")] == ["second", "first"]
