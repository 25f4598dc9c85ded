"""A spec held by one page: a second one is told, and what a killed one held is free again.

The hold is the lock on a small database file beside the spec, which the operating system takes back with the
process. Source: www.sqlite.org for its locks.
"""

import contextlib
import sqlite3
from pathlib import Path

from lampwright.errors import Finding
from lampwright.store.files import StoreError


class Hold:
    """A held spec; see `hold`."""

    def __init__(self, path: Path, database: sqlite3.Connection) -> None:
        """Wrap the locked database."""
        self._path = path
        self._database = database

    def let_go(self) -> None:
        """Free the spec; safe to call twice."""
        self._database.close()
        with contextlib.suppress(OSError):
            self._path.unlink(missing_ok=True)


def hold(spec: Path) -> Hold:
    """Hold a spec. Raises StoreError where another page has it, or the folder cannot be written."""
    path = spec.with_name(f".{spec.name}.lock")
    database: sqlite3.Connection | None = None
    try:
        database = sqlite3.connect(path, timeout=0.1, isolation_level=None, check_same_thread=False)
        database.execute("PRAGMA locking_mode = EXCLUSIVE")
        database.execute("BEGIN EXCLUSIVE")
        database.execute("CREATE TABLE IF NOT EXISTS held (by TEXT)")
        database.execute("COMMIT")
        return Hold(path, database)
    except sqlite3.Error as error:
        if database is not None:
            database.close()
        if "locked" in str(error):
            said, remedy = "another page of lampwright bench has it open", "use that one, or close it first"
        else:
            said, remedy = f"its folder cannot be written ({error})", "start where you may write"
        raise StoreError(Finding(spec.name, said, remedy)) from None
