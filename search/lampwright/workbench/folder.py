"""The one folder that the page reads and writes: the one it was started in, with what lies below.

A name comes from the browser and may be anything. It is taken only where it is a plain relative
path whose every step, with symbolic links followed, stays below the folder. No source: our rules.
"""

import os
import re
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from lampwright.errors import Finding, InputError, one_line
from lampwright.toml_file import read_toml

MOST_LISTED = 200
MOST_DEEP = 3
MOST_NAME = 200
PLAIN = re.compile(r"[^\\:\x00-\x1f\x7f]+")
REMEDY = "name a file in this folder or below it"


@dataclass(frozen=True)
class Folder:
    """A folder, its links resolved; results: where below it answers are kept, as a relative path."""

    root: Path
    results: Path

    def file(self, name: str, *, ending: str = ".toml") -> Path:
        """The file of a name from outside, if it may be read and written. Raises InputError where not."""
        said = self._fault(name, ending)
        if said:
            raise InputError([Finding(one_line(name[:MOST_NAME]) or "file name", said, REMEDY)])
        return self.root / name

    def name(self, path: Path) -> str:
        """What the page calls a file below the folder."""
        return path.relative_to(self.root).as_posix()

    def specs(self) -> tuple[str, ...]:
        """The specs below, by name; hidden folders and the results left out."""
        return self._called("spec")

    def circuits(self) -> tuple[str, ...]:
        """The circuit files below, by name."""
        return self._called("circuit")

    def _called(self, kind: str) -> tuple[str, ...]:
        return tuple(sorted(name for name, own in self._files(self.root, 0) if own == kind)[:MOST_LISTED])

    def _files(self, folder: Path, deep: int) -> Iterator[tuple[str, str]]:
        for entry in _entries(folder):
            if entry.name.startswith((".", "_")) or entry.is_symlink():
                continue
            path = Path(entry.path)
            if entry.is_dir() and deep < MOST_DEEP and path != self.root / self.results:
                yield from self._files(path, deep + 1)
            elif path.suffix == ".toml" and entry.is_file():
                with suppress(OSError):
                    state = entry.stat()
                    yield self.name(path), _kind(path, state.st_mtime_ns, state.st_size)

    def _fault(self, name: str, ending: str) -> str:
        """Why a name may not be used; nothing where it may."""
        parts = name.split("/")
        if not PLAIN.fullmatch(name) or len(name) > MOST_NAME:
            return "this is no plain file name"
        if any(part in ("", ".", "..") for part in parts) or Path(name).is_absolute():
            return "this leads out of the folder"
        if parts[-1].startswith(".") or not name.endswith(ending) or name == ending:
            return f"its name does not end in {ending}"
        if not self.holds(self.root / name):
            return "a link leads from it out of the folder"
        return ""

    def holds(self, path: Path) -> bool:
        """Whether a path, with links followed, is below the folder."""
        try:
            return path.resolve().is_relative_to(self.root)
        except (OSError, RuntimeError, ValueError):
            return False


def folder_of(root: Path, results: Path) -> Folder:
    """The folder at a place, its answers below it. Raises InputError where those would be elsewhere."""
    home = root.resolve()
    folder = Folder(home, Path(os.path.relpath((home / results).resolve(), home)))
    if not folder.holds(home / results):
        said = "this is not below the folder in which the page was started"
        raise InputError([Finding(f"--out {results}", said, "start in the folder that holds both")])
    return folder


def _entries(folder: Path) -> list[os.DirEntry[str]]:
    try:
        with os.scandir(folder) as found:
            return sorted(found, key=lambda entry: entry.name)[: 4 * MOST_LISTED]
    except OSError:
        return []


@lru_cache(maxsize=1024)
def _kind(path: Path, _changed: int, _size: int) -> str:
    """What a file is, "spec", "circuit" or ""; read again once it was changed.

    A file that is no TOML yet counts as a spec if it seems to be one.
    """
    try:
        with path.open("rb") as stream:
            text = stream.read(1024 * 1024).decode("utf-8-sig")
    except (OSError, UnicodeDecodeError):
        return ""
    try:
        told = read_toml(text, path.name)
    except InputError:
        return "spec" if "lampwright" in text and "[lamps" in text else ""
    if isinstance(told.get("part"), list):
        return "circuit"
    return "spec" if "lampwright" in told else ""
