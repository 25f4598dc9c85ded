"""How kernels are compiled that other kernels alone call.

Unless told not to, numba gives every kernel an entry for Python and one for C, which unpack every array of
every argument. Of some two hundred kernels three in four need neither, and making them takes a fifth of the
time that the first compilation takes. Whoever calls such a kernel from Python crashes the process, but with
NUMBA_DISABLE_JIT, where kernels are plain functions: a house test looks for it.

In some kernels `int(0)` stands where `0` would do, and `bool(True)`: to numba a bare number or truth is a
type of its own, and with it a kernel and all that it calls are compiled a second time.
"""

from typing import Any

INNER: Any = {"cache": True, "nogil": True, "no_cpython_wrapper": True, "no_cfunc_wrapper": True}
"""Options of `njit`."""
