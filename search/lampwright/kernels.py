"""Where compiled kernels are kept between runs.

numba's own cache notices a change in the file a kernel stands in, and misses one in a
file that the kernel calls into. So the cache goes to a folder named after a digest of
every source that holds kernels or gives them types and constants: other sources, other folder.
So has another copy of the program, which numba would compile for again.

Beside it, a digest of every source that decides results, by which a journal knows its program.
"""

import gc
import hashlib
import os
import re
import sys
from contextlib import suppress
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path

from lampwright.caches import cache_folder

VARIABLE = "NUMBA_CACHE_DIR"
PLAIN = "NUMBA_DISABLE_JIT"
IMPORTED = re.compile(r"^from lampwright\.([\w.]+) import", re.MULTILINE)
COMPILED = ("atlas", "graphs", "refute", "solve", "problem", "judge", "assess", "diagnosis")
DECIDING = (
    *("results", "spec", "parts", "network", "prove", "searching", "app"),
    *COMPILED,
)
"""All but how results are shown and kept."""
UNUSED = ("scipy.linalg", "cffi", "yaml")


def source_digest() -> str:
    """A digest of the sources that hold kernels, and of those whose types and constants these take."""
    return _digest_of(kernel_sources())


def kernel_sources() -> tuple[Path, ...]:
    """Every file with a kernel, and what those import, in turn, from packages that have kernels."""
    root = Path(__file__).parent
    files = (*_files_of(COMPILED), *root.glob("compiled.py"), *root.glob("numba_loading.py"))
    texts = {path: path.read_text(encoding="utf-8") for path in files}
    found: set[Path] = set()
    left = [path for path, text in texts.items() if "@njit" in text]
    while left:
        path = left.pop()
        if path in found:
            continue
        found.add(path)
        imported = (root / f"{name.replace('.', '/')}.py" for name in IMPORTED.findall(texts[path]))
        left.extend(other for other in imported if other in texts)
    return tuple(sorted(found))


@cache
def _known_by(program: Path) -> str:
    """What numba keeps kernels apart by, as digests: their sources; this copy, the Python, the numba.

    program: the copy's folder.
    """
    numba = find_spec("numba")
    beside = Path(numba.origin).parents[1].glob("numba-*.dist-info") if numba and numba.origin else ()
    named = (program, sys.implementation.cache_tag, *sorted(path.name for path in beside))
    return f"{source_digest()}-{hashlib.sha256(' '.join(map(str, named)).encode()).hexdigest()[:8]}"


def program_digest() -> str:
    """A digest of the sources that decide what a search finds and says, but for how it is shown."""
    return _digest_of(_files_of(DECIDING))


def _files_of(packages: tuple[str, ...]) -> tuple[Path, ...]:
    root = Path(__file__).parent
    return tuple(path for package in packages for path in sorted((root / package).rglob("*.py")))


def _digest_of(files: tuple[Path, ...]) -> str:
    digest = hashlib.sha256()
    for path in files:
        name = path.relative_to(Path(__file__).parent).as_posix()
        digest.update(name.encode() + b"\0" + path.read_bytes())
    return digest.hexdigest()[:16]


@dataclass(frozen=True)
class Kernels:
    """The compiled kernels of these sources. folder: where numba keeps them."""

    folder: Path

    @property
    def count(self) -> int:
        """How many there are in the sources."""
        return sum(path.read_text(encoding="utf-8").count("\n@njit(") for path in kernel_sources())

    def kept(self) -> int:
        """How many numba has kept so far; those of two copies of the program are the same ones."""
        return len({path.name for path in self.folder.glob("**/*.nbi")})

    def note_all_kept(self) -> None:
        """Note that nobody need wait for them again."""
        self._mark.touch()

    def are_all_kept(self) -> bool:
        """Whether that was noted."""
        return self._mark.exists()

    @property
    def _mark(self) -> Path:
        return self.folder / f"compiled-{_known_by(Path(__file__).parent)}"


def kernels_to_come() -> Kernels | None:
    """The kernels, if they are still to be compiled; None where they are there, or nobody can tell."""
    folder = os.environ.get(VARIABLE)
    if not folder or os.environ.get(PLAIN, "0") not in ("", "0"):
        return None
    kernels = Kernels(Path(folder))
    return None if kernels.are_all_kept() else kernels


def keep_kernels() -> None:
    """Point numba at our folder; before numba is imported. A folder the user has chosen is left alone.

    Where the folder cannot be made numba's own choice stands.
    """
    if VARIABLE in os.environ:
        return
    folder = cache_folder(_known_by(Path(__file__).parent))
    if folder is not None:
        os.environ[VARIABLE] = str(folder)


def collect_rarely() -> None:
    """Look for garbage after many new objects: the modules and the compiler make a million that all stay.

    The smallest searches make a quarter of a million, and end before the first look.
    """
    gc.set_threshold(300_000, 20, 50)


def load_numba_alone() -> None:
    """Import numba without what it looks for and no kernel uses: linear algebra, C, a file of settings.

    These imports take a quarter of a second. For processes that are all ours: numba goes by what it found at
    first, so kernels of somebody else's could not multiply matrices. Its libraries, too, become ours.
    """
    hidden = [name for name in UNUSED if name not in sys.modules]
    sys.modules.update(dict.fromkeys(hidden))  # type: ignore[arg-type]  # None is "not to be had"
    try:
        # where it looks
        import numba.core.typing.cffi_utils
        import numba.np.arraymath  # noqa: F401
    finally:
        for name in hidden:
            del sys.modules[name]
    # a numba whose parts have other names is left as it is
    with suppress(ImportError):
        from lampwright.numba_loading import load_without_tables

        load_without_tables()


def begin_alone(module: str, name: str, *given: object) -> None:
    """Begin a process that is all ours: with a function of a module, imported when numba has been."""
    load_numba_alone()
    getattr(import_module(module), name)(*given)
