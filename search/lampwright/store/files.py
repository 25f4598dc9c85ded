"""The result folder: its files are there whole, or as they were before.

Each file is written beside its place under a temporary name, flushed to the disk, and then
moved into place, which the operating system does at once or not at all. The table and the
page go first and `ranking.json` last, so that a ranking is never newer than these. No source: our format.
"""

import errno
import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from lampwright.errors import Finding, LampwrightError

RANKING = "ranking.json"
TABLE = "ranking.csv"
WIRING = "wiring.csv"
PAGE = "page.html"
MOST_NAME = 255
"""Characters that a file's name has on any system."""

REMEDY = "name a folder with room that you may write in, with --out"


class StoreError(LampwrightError):
    """The machine would not keep a file; nothing was left half written."""

    def __init__(self, finding: Finding) -> None:
        """Keep the one finding."""
        super().__init__(str(finding))
        self.findings = (finding,)


def write_result(folder: Path, ranking: str, table: str, page: str) -> None:
    """Write the text of a ranking, its flat table and its page into the folder, made if need be.

    Raises StoreError where the folder or the disk refuses.
    """
    ready_folder(folder)
    write_text(folder / TABLE, table)
    write_text(folder / PAGE, page)
    write_text(folder / RANKING, ranking)


def ready_folder(folder: Path) -> None:
    """Make the folder if need be, and make sure before a long run that it can be written in.

    Raises StoreError where it cannot.
    """
    with _refusals(folder):
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=folder):
            pass


def write_text(path: Path, text: str) -> None:
    """Put a text in the place of a file, as `write_bytes` does."""
    write_bytes(path, text.encode("utf-8"))


def write_bytes(path: Path, content: bytes, remedy: str = REMEDY) -> None:
    """Put some bytes in the place of a file, whole or not at all; of a link, in the place it leads to.

    Raises StoreError, with this remedy, where the folder or the disk refuses, and where something else than
    a file is there: whoever may write in its folder could put a file in the place of a device.
    """
    with _refusals(path, remedy):
        place = Path(os.path.realpath(path))
        if place.exists() and not place.is_file():
            raise OSError(errno.EINVAL, "this is no file")
        part = place.with_name(f".{os.getpid()}.{place.name}"[:MOST_NAME])
        try:
            with part.open("wb") as file:
                file.write(content)
                file.flush()
                os.fsync(file.fileno())
            part.replace(place)
        finally:
            part.unlink(missing_ok=True)


@contextmanager
def _refusals(path: Path, remedy: str = REMEDY) -> Iterator[None]:
    """Turn the system's refusal into one line with its place and a remedy."""
    try:
        yield
    except OSError as error:
        said = f"it cannot be written ({(error.strerror or str(error)).lower()})"
        raise StoreError(Finding(str(path), said, remedy)) from error
