"""The journal of a run: every finished piece of work, kept as soon as it is done.

One SQLite file in the result folder. Each record is committed and synced by itself, so
a run killed at any moment leaves a journal from which the next one goes on. It opens
with its provenance: what spec, part data, program and settings its records belong to;
records of another provenance are never mixed in. While a run has it open nobody else can
read or write it; the lock is the operating system's and goes with the process. Source: the
SQLite file format, with `application_id` and `user_version` as its documentation
(www.sqlite.org) lays out.

History of the schema: 1: first. 2: a checksum with each record. 3: judged circuits say on what
filling they hang. 4: the circuits of a share stand as the bytes of their ends.
"""

import contextlib
import sqlite3
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from zlib import crc32

from lampwright.errors import Finding
from lampwright.store.files import StoreError

JOURNAL = "journal.sqlite"
VERSION = 4
APPLICATION = 0x6C616D70  # "lamp" in ASCII
ENDED = "ended"
"""The note that says that a run has come to its end."""
LOCK_WAIT = 0.5
"""Seconds to wait for a journal that another process has open."""

SCHEMA = """
CREATE TABLE provenance (             -- what every record below belongs to
    name  TEXT PRIMARY KEY,           -- spec digest, part data digest, program version, settings
    value TEXT NOT NULL);
CREATE TABLE record (                 -- one finished piece of work
    name    TEXT PRIMARY KEY,         -- which piece; unique, so that joining twice changes nothing
    content TEXT NOT NULL,            -- what it brought, as JSON
    crc     INTEGER NOT NULL);        -- CRC-32 of the name, a zero byte and the content
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
        """Every record kept so far. Raises StoreError at one that is not as it was written."""
        with _told(self.path):
            for *row, crc in self._database.execute("SELECT name, content, crc FROM record ORDER BY name"):
                record = Named(*row)
                if _crc(record) != crc:
                    raise StoreError(_damaged(self.path, f'record "{record.name}" is not as it was written'))
                yield record

    def add(self, record: Named) -> None:
        """Keep a record and sync it to the disk. Raises StoreError."""
        with _told(self.path), self._database:
            row = record.name, record.content, _crc(record)
            self._database.execute("INSERT OR REPLACE INTO record VALUES (?, ?, ?)", row)

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


def is_unfinished(folder: Path) -> bool:
    """Whether a folder has the journal of a run that has not come to its end; one that is in use is none."""
    path = folder / JOURNAL
    if not path.exists():
        return False
    try:
        with contextlib.closing(
            sqlite3.connect(f"{path.as_uri()}?mode=ro", timeout=0.05, uri=True)
        ) as database:
            _check(path, database)
            return database.execute("SELECT 1 FROM note WHERE name = ?", (ENDED,)).fetchone() is None
    except (sqlite3.DatabaseError, UnicodeDecodeError, StoreError):
        return False


def _crc(record: Named) -> int:
    return crc32(f"{record.name}\0{record.content}".encode())


def _forget(path: Path) -> None:
    """Remove a journal, unless another run has it open."""
    if path.exists():
        with contextlib.closing(sqlite3.connect(path, timeout=LOCK_WAIT)) as database:
            try:
                database.execute("BEGIN EXCLUSIVE")
            except sqlite3.DatabaseError as error:
                if "locked" in str(error):
                    raise
    for name in (path, path.with_name(path.name + "-journal")):
        name.unlink(missing_ok=True)


@contextlib.contextmanager
def _connected(path: Path) -> Iterator[sqlite3.Connection]:
    """A connection that takes the lock with its first use, let go again if anything fails."""
    database = sqlite3.connect(path, timeout=LOCK_WAIT)
    try:
        database.execute("PRAGMA locking_mode = EXCLUSIVE")
        database.execute("PRAGMA synchronous = FULL")
        yield database
    except BaseException:
        database.close()
        raise


def _begin(path: Path, provenance: Sequence[Named]) -> Journal:
    with _connected(path) as database:
        # one transaction: a journal is either not there or has its provenance
        database.executescript(
            f"BEGIN; {SCHEMA} PRAGMA application_id = {APPLICATION}; PRAGMA user_version = {VERSION};"
        )
        with database:
            rows = [(p.name, p.content) for p in provenance]
            database.executemany("INSERT INTO provenance VALUES (?, ?)", rows)
    return Journal(path, database)


def _known(path: Path, provenance: Sequence[Named]) -> Journal | None:
    """The journal if it is of this provenance; None if it may be replaced."""
    with _connected(path) as database:
        _check(path, database)
        kept = dict(database.execute("SELECT name, value FROM provenance"))
        kept[FORMAT] = str(_pragma(database, "user_version"))
        wanted = (*provenance, Named(FORMAT, str(VERSION)))
        differing = [named.name for named in wanted if kept.get(named.name) != named.content]
        ended = database.execute("SELECT 1 FROM note WHERE name = ?", (ENDED,)).fetchone() is not None
        if differing and not ended:
            said = f"it holds an unfinished run of another {' and '.join(differing)}"
            remedy = f"finish that run, name another folder with --out, or {FRESH}"
            raise StoreError(Finding(str(path), said, remedy))
        if not differing:
            with database:  # a run begins, and takes the lock
                database.execute("DELETE FROM note WHERE name = ?", (ENDED,))
            return Journal(path, database)
    database.close()
    return None


def _check(path: Path, database: sqlite3.Connection) -> None:
    """Refuse what is no journal or no longer a sound one."""
    if _pragma(database, "application_id") != APPLICATION:
        raise StoreError(Finding(str(path), "it is no journal of this program", FRESH))
    found = _pragma(database, "quick_check")
    if found != "ok":
        raise StoreError(_damaged(path, " ".join(str(found).split())))


def _pragma(database: sqlite3.Connection, name: str) -> object:
    with contextlib.closing(database.execute(f"PRAGMA {name}")) as cursor:
        return cursor.fetchone()[0]


FORMAT = "format of journals"
FRESH = "forget it with --fresh"
HERE = "name a folder that you may write in, with --out"


def _damaged(path: Path, how: str) -> Finding:
    return Finding(str(path), f"it is damaged ({how})", FRESH)


def _refusal(path: Path, text: str) -> Finding:
    """What the database said, with a remedy."""
    if "locked" in text:
        remedy = "wait for that to end, or name another folder with --out"
        return Finding(str(path), "another search has it open", remedy)
    if "full" in text or "I/O" in text:
        remedy = "make room on the disk and start again; what was kept is kept"
        return Finding(str(path), f"it cannot be written ({text})", remedy)
    if "readonly" in text or "unable to open" in text:
        return Finding(str(path), f"it cannot be used ({text})", HERE)
    return _damaged(path, text)


@contextlib.contextmanager
def _told(path: Path) -> Iterator[None]:
    """Turn the database's refusal into one line with its place and a remedy."""
    try:
        yield
    except OSError as error:
        said = f"it cannot be used ({(error.strerror or str(error)).lower()})"
        raise StoreError(Finding(str(path), said, HERE)) from error
    except sqlite3.DatabaseError as error:
        raise StoreError(_refusal(path, str(error))) from error
    except UnicodeDecodeError as error:
        raise StoreError(_damaged(path, "a text in it is none")) from error
