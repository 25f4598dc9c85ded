"""The journal of a run: every finished piece of work, kept as soon as it is done.

One SQLite file in the result folder. Each record is committed and synced by itself, so
a run killed at any moment leaves a journal from which the next one goes on. It opens
with its provenance: what spec, part data, program and settings its records belong to;
records of another provenance are never mixed in. Source: the SQLite file format, with
`application_id` and `user_version` as its documentation (www.sqlite.org) lays out.

History of the schema: 1: first.
"""

import contextlib
import sqlite3
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from lampwright.errors import Finding
from lampwright.store.files import StoreError

JOURNAL = "journal.sqlite"
VERSION = 1
APPLICATION = 0x6C616D70  # "lamp" in ASCII

SCHEMA = """
CREATE TABLE provenance (             -- what every record below belongs to
    name  TEXT PRIMARY KEY,           -- spec digest, part data digest, program version, settings
    value TEXT NOT NULL);
CREATE TABLE record (                 -- one finished piece of work
    name    TEXT PRIMARY KEY,         -- which piece; unique, so that joining twice changes nothing
    content TEXT NOT NULL);           -- what it brought, as JSON
CREATE TABLE note (                   -- remarks on the run: what was predicted, whether it ended
    name  TEXT PRIMARY KEY,
    value TEXT NOT NULL);
"""


@dataclass(frozen=True)
class Named:
    """A name and what stands under it."""

    name: str
    content: str


class Journal:
    """An open journal; see `open_journal`."""

    def __init__(self, path: Path, database: sqlite3.Connection) -> None:
        """Wrap an opened database."""
        self.path = path
        self._database = database

    def records(self) -> Iterator[Named]:
        """Every record kept so far."""
        with _told(self.path):
            for name, content in self._database.execute("SELECT name, content FROM record ORDER BY name"):
                yield Named(name, content)

    def add(self, record: Named) -> None:
        """Keep a record and sync it to the disk. Raises StoreError."""
        with _told(self.path), self._database:
            self._database.execute(
                "INSERT OR REPLACE INTO record VALUES (?, ?)", (record.name, record.content)
            )

    def note(self, notes: Sequence[Named]) -> None:
        """Write remarks, replacing those of the same name. Raises StoreError."""
        with _told(self.path), self._database:
            rows = [(note.name, note.content) for note in notes]
            self._database.executemany("INSERT OR REPLACE INTO note VALUES (?, ?)", rows)

    def notes(self) -> tuple[Named, ...]:
        """All remarks."""
        with _told(self.path):
            return tuple(
                Named(*row) for row in self._database.execute("SELECT name, value FROM note ORDER BY name")
            )

    def close(self) -> None:
        """Let go of the file."""
        self._database.close()


def open_journal(folder: Path, provenance: Sequence[Named], fresh: bool) -> Journal:
    """Open the folder's journal for work of this provenance, or begin one.

    A journal of another provenance is replaced if its run had ended, since its result
    stands beside it; if it had not, it is refused, naming what differs. fresh forgets
    whatever is there. Raises StoreError for that, for a damaged or foreign file, and where
    the folder refuses.
    """
    path = folder / JOURNAL
    with _told(path):
        if fresh:
            _forget(path)
        if path.exists() and path.stat().st_size > 0:
            journal = _known(path, provenance)
            if journal is not None:
                return journal
            _forget(path)
        return _begin(path, provenance)


def _forget(path: Path) -> None:
    for name in (path, path.with_name(path.name + "-journal")):
        name.unlink(missing_ok=True)


def _connect(path: Path) -> sqlite3.Connection:
    database = sqlite3.connect(path)
    database.execute("PRAGMA synchronous = FULL")
    return database


def _begin(path: Path, provenance: Sequence[Named]) -> Journal:
    database = _connect(path)
    # one transaction: a journal is either not there or has its provenance
    database.executescript(
        f"BEGIN; {SCHEMA} PRAGMA application_id = {APPLICATION}; PRAGMA user_version = {VERSION}; COMMIT;"
    )
    with database:
        database.executemany(
            "INSERT INTO provenance VALUES (?, ?)", [(p.name, p.content) for p in provenance]
        )
    return Journal(path, database)


def _known(path: Path, provenance: Sequence[Named]) -> Journal | None:
    """The journal if it is of this provenance; None if it may be replaced."""
    with _told(path):
        database = _connect(path)
        with contextlib.closing(database.execute("PRAGMA application_id")) as cursor:
            application = cursor.fetchone()[0]
        with contextlib.closing(database.execute("PRAGMA user_version")) as cursor:
            version = cursor.fetchone()[0]
        if (application, version) != (APPLICATION, VERSION):
            database.close()
            raise StoreError(Finding(str(path), "it is no journal of this program", FRESH))
        if database.execute("PRAGMA quick_check").fetchone()[0] != "ok":
            database.close()
            raise StoreError(Finding(str(path), "it is damaged", FRESH))
        kept = dict(database.execute("SELECT name, value FROM provenance"))
        ended = database.execute("SELECT 1 FROM note WHERE name = 'ended'").fetchone() is not None
        differing = [p.name for p in provenance if kept.get(p.name) != p.content]
    if not differing:
        return Journal(path, database)
    database.close()
    if ended or not kept:
        return None
    said = f"it holds an unfinished run of another {' and '.join(differing)}"
    raise StoreError(Finding(str(path), said, f"finish that run, name another folder with --out, or {FRESH}"))


FRESH = "forget it with --fresh"


@contextlib.contextmanager
def _told(path: Path) -> Iterator[None]:
    """Turn the database's refusal into one line with its place and a remedy."""
    try:
        yield
    except OSError as error:
        said = f"it cannot be used ({(error.strerror or str(error)).lower()})"
        raise StoreError(
            Finding(str(path), said, "name a folder that you may write in, with --out")
        ) from error
    except sqlite3.DatabaseError as error:
        text = str(error)
        if "full" in text or "I/O" in text:
            raise StoreError(
                Finding(str(path), f"it cannot be written ({text})", "make room on the disk")
            ) from error
        if "readonly" in text or "unable to open" in text or "locked" in text:
            remedy = "name a folder that you may write in, with --out, or end the other run"
            raise StoreError(Finding(str(path), f"it cannot be used ({text})", remedy)) from error
        raise StoreError(Finding(str(path), f"it is damaged ({text})", FRESH)) from error
