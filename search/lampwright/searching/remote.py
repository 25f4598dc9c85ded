"""What a worker on another machine does; light to import, so that kernels are kept where we keep them.

A worker builds its tools once for a problem and keeps them. No source: our conventions.
"""

import pickle
from threading import local
from typing import TYPE_CHECKING

from lampwright import __version__
from lampwright.kernels import keep_kernels, program_digest

if TYPE_CHECKING:
    from lampwright.searching.shares import Product


def program() -> str:
    """What must be the same on every machine: the version, the kernels and the part data."""
    from lampwright.parts.tables import part_data_digest

    return f"{__version__} {program_digest()} {part_data_digest()}"


_kept = local()  # a worker's threads share no tools: a worker does one piece at a time


def do_remotely(piece: bytes, crate: bytes, digest: str, wanted: str) -> "Product | None":
    """Do a pickled piece of the problem in the crate, of this digest.

    None where this machine has another program than wanted.
    """
    keep_kernels()  # before the pickles bring numba in
    if program() != wanted:
        return None
    if getattr(_kept, "digest", None) != digest:
        from lampwright.searching.shares import Worker

        problem, enabled = pickle.loads(crate)
        _kept.digest, _kept.worker = digest, Worker(problem, enabled)
    product: Product = _kept.worker.do(pickle.loads(piece))
    return product
