"""How kernels are compiled: those that Python calls, and those that other kernels alone call.

Unless told not to, numba gives every kernel an entry for Python and one for C, which unpack every array of
every argument. Of some two hundred kernels three in four need neither, and making them takes a fifth of the
time that the first compilation takes. Whoever calls such a kernel from Python crashes the process, but with
NUMBA_DISABLE_JIT, where kernels are plain functions: a house test looks for it.

In some kernels `int(0)` stands where `0` would do, and `bool(True)`: to numba a bare number or truth is a
type of its own, and with it a kernel and all that it calls are compiled a second time.
"""

from typing import Any

from lampwright.numba_loading import use_kept_libraries


def _options(**own: bool) -> Any:
    """Options of `njit`, for numba that is ready to make and to read kernels of ours."""
    use_kept_libraries()
    return {"cache": True, "nogil": True, "no_cfunc_wrapper": True, **own}


ENTRY: Any = _options()
"""Options of `njit` for a kernel that Python calls."""
INNER: Any = _options(no_cpython_wrapper=True)
"""Options of `njit` for a kernel that only kernels call."""
