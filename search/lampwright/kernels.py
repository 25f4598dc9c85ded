"""Where compiled kernels are kept between runs.

numba's own cache notices a change in the file a kernel stands in, and misses one in a
file that the kernel calls into. So the cache goes to a folder named after a digest of
every source that holds kernels: other sources, other folder.

Beside it, a digest of every source that decides results, by which a journal knows its program.
"""

import hashlib
import os
from pathlib import Path

from platformdirs import user_cache_path

VARIABLE = "NUMBA_CACHE_DIR"
COMPILED = ("graphs", "refute", "solve", "problem", "judge", "assess", "diagnosis")
DECIDING = (
    *("results", "spec", "parts", "network", "prove", "searching", "app"),
    *COMPILED,
)
"""All but how results are shown and kept."""


def source_digest() -> str:
    """A digest of the sources that hold compiled kernels."""
    return _digest_of(COMPILED)


def program_digest() -> str:
    """A digest of the sources that decide what a search finds and says, but for how it is shown."""
    return _digest_of(DECIDING)


def _digest_of(packages: tuple[str, ...]) -> str:
    root = Path(__file__).parent
    digest = hashlib.sha256()
    for package in packages:
        for path in sorted((root / package).rglob("*.py")):
            digest.update(path.relative_to(root).as_posix().encode() + b"\0" + path.read_bytes())
    return digest.hexdigest()[:16]


def has_kernels() -> bool:
    """Whether kernels of these sources have been compiled before; True where nobody can tell."""
    folder = Path(os.environ.get(VARIABLE, ""))
    return not os.environ.get(VARIABLE) or next(folder.glob("**/*.nbi"), None) is not None


def keep_kernels() -> None:
    """Point numba at our folder; before numba is imported. A folder the user has chosen is left alone.

    Where the folder cannot be made numba's own choice stands.
    """
    if VARIABLE in os.environ:
        return
    folder = user_cache_path("lampwright", appauthor=False) / source_digest()
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError:
        return
    if os.access(folder, os.W_OK):
        os.environ[VARIABLE] = str(folder)
