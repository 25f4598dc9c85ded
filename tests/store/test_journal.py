"""A journal gives back what it was given, or says in one line why not; what it kept it keeps.

Source: the error codes of SQLite (www.sqlite.org, "Result and Error Codes"): SQLITE_FULL and
SQLITE_BUSY are brought about for real; a read-only folder, which cannot be denied to root, is
played by the error that SQLite gives for it.
"""

import random
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

import lampwright
from lampwright.store import journal as module
from lampwright.store.files import StoreError
from lampwright.store.journal import APPLICATION, ENDED, JOURNAL, Named, open_journal

OURS = (Named("spec", "a"), Named("program version", "1"))
OTHERS = (Named("spec", "b"), Named("program version", "1"))
RECORDS = tuple(Named(f"share {n:03}", "[" + "1," * (n if n < 9 else 60 * n) + "0]") for n in range(30))


def kept(folder: Path, provenance: tuple[Named, ...] = OURS) -> tuple[Named, ...]:
    """What a journal holds when it is opened again."""
    journal = open_journal(folder, provenance, fresh=False)
    try:
        return tuple(journal.records())
    finally:
        journal.close()


def filled(folder: Path, notes: tuple[Named, ...] = ()) -> Path:
    """A journal with all records, let go of."""
    journal = open_journal(folder, OURS, fresh=False)
    for record in RECORDS:
        journal.add(record)
    journal.note(notes)
    journal.close()
    return folder / JOURNAL


def refusal(folder: Path, provenance: tuple[Named, ...] = OURS, fresh: bool = False) -> str:
    """What is said when a journal is not opened: one line with its place."""
    with pytest.raises(StoreError) as caught:
        open_journal(folder, provenance, fresh).close()
    said = str(caught.value)
    assert "\n" not in said, "a refusal is one line"
    assert said.startswith(f"{folder / JOURNAL}: "), "the place is missing"
    return said


def test_what_was_kept_is_given_back(tmp_path: Path) -> None:
    filled(tmp_path)
    assert kept(tmp_path) == RECORDS, "another order, or something lost"
    journal = open_journal(tmp_path, OURS, fresh=False)
    journal.add(Named("share 003", "new"))
    journal.note([Named("seconds", "1"), Named("seconds", "2")])
    assert journal.notes() == (Named("seconds", "2"),), "the last note of a name holds"
    journal.close()
    assert len(kept(tmp_path)) == len(RECORDS), "a record kept twice is there once"
    assert sorted(path.name for path in tmp_path.iterdir()) == [JOURNAL], "something is left beside it"


def test_fresh_forgets(tmp_path: Path) -> None:
    filled(tmp_path)
    open_journal(tmp_path, OURS, fresh=True).close()
    assert kept(tmp_path) == (), "it remembers"


def test_an_unfinished_run_of_another_spec_is_refused_and_kept(tmp_path: Path) -> None:
    filled(tmp_path)
    said = refusal(tmp_path, OTHERS)
    assert "an unfinished run of another spec;" in said, "what differs is named, and nothing else"
    assert "--out" in said, "the first remedy is missing"
    assert said.endswith("forget it with --fresh"), "the second remedy is missing"
    assert kept(tmp_path) == RECORDS, "the other run lost its records"


def test_an_ended_run_of_another_spec_is_replaced(tmp_path: Path) -> None:
    filled(tmp_path, (Named(ENDED, "found"),))
    assert kept(tmp_path, OTHERS) == (), "records of two specs are mixed"


def test_a_run_taken_up_again_has_not_ended(tmp_path: Path) -> None:
    filled(tmp_path, (Named(ENDED, "found"),))
    assert kept(tmp_path) == RECORDS, "an ended run of the same spec is read again"
    assert "an unfinished run of another spec" in refusal(tmp_path, OTHERS), "killed now, it would be lost"


def test_a_journal_of_another_format_is_refused_while_unfinished(tmp_path: Path) -> None:
    path = filled(tmp_path)
    with sqlite3.connect(path) as database:
        database.execute("PRAGMA user_version = 1")
    database.close()
    assert "an unfinished run of another format of journals;" in refusal(tmp_path), "it would be misread"


def test_an_empty_file_is_a_journal_not_yet_begun(tmp_path: Path) -> None:
    (tmp_path / JOURNAL).touch()
    assert kept(tmp_path) == (), "nothing was kept in it"


def garbled(path: Path) -> None:
    path.write_bytes(random.Random(1).randbytes(20_000))


def truncated(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:-5000])


def cut_short(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:60])


def altered(path: Path) -> None:
    """Change one digit inside a record: SQLite itself does not notice that."""
    whole = path.read_bytes()
    assert whole.count(b"[1,1,1,1,0]") == 1, "the record is not found"
    path.write_bytes(whole.replace(b"[1,1,1,1,0]", b"[1,1,2,1,0]"))


@pytest.mark.parametrize("harm", [garbled, truncated, cut_short, altered])
def test_a_damaged_journal_is_refused_and_left_alone(tmp_path: Path, harm: Callable[[Path], None]) -> None:
    path = filled(tmp_path)
    harm(path)
    before = path.read_bytes()
    with pytest.raises(StoreError) as caught:
        kept(tmp_path)
    said = str(caught.value)
    assert said.startswith(f"{path}: it is damaged ("), "the place or the reason is missing"
    assert "\n" not in said, "a refusal is one line"
    assert said.endswith("; forget it with --fresh"), "the remedy is missing"
    # what is whole could still be read by hand, so nothing is written to it
    assert harm is altered or path.read_bytes() == before, "the damaged file was changed"
    open_journal(tmp_path, OURS, fresh=True).close()
    assert kept(tmp_path) == (), "--fresh begins again"


def test_a_foreign_database_is_refused_and_left_alone(tmp_path: Path) -> None:
    path = tmp_path / JOURNAL
    with sqlite3.connect(path) as database:
        database.execute("CREATE TABLE record (name, content)")
    database.close()
    before = path.read_bytes()
    assert "it is no journal of this program; forget it with --fresh" in refusal(tmp_path), (
        "reason and remedy"
    )
    assert path.read_bytes() == before, "somebody else's file was changed"


def test_a_full_disk_is_said_and_loses_nothing(tmp_path: Path) -> None:
    path = filled(tmp_path)
    journal = open_journal(tmp_path, OURS, fresh=False)
    pages = path.stat().st_size // 4096
    journal._database.execute(f"PRAGMA max_page_count = {pages}")  # SQLite then answers SQLITE_FULL
    with pytest.raises(StoreError) as caught:
        journal.add(Named("share 999", "x" * 100_000))
    said = str(caught.value)
    assert said.startswith(f"{path}: it cannot be written (database or disk is full)"), "place and reason"
    assert "make room on the disk" in said, "the remedy is missing"
    journal.close()
    assert kept(tmp_path) == RECORDS, "what was kept before is gone"


def test_a_read_only_folder_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object, **__: object) -> sqlite3.Connection:
        raise sqlite3.OperationalError("attempt to write a readonly database")

    monkeypatch.setattr(sqlite3, "connect", refuse)
    said = refusal(tmp_path)
    assert "(attempt to write a readonly database)" in said, "the reason is missing"
    assert said.endswith("name a folder that you may write in, with --out"), "the remedy is missing"


def test_a_folder_in_its_place_is_said(tmp_path: Path) -> None:
    (tmp_path / JOURNAL).mkdir()
    assert "it cannot be used (unable to open database file)" in refusal(tmp_path), "the reason is missing"
    assert "it cannot be used (" in refusal(tmp_path, fresh=True), "--fresh removes no folder"


HOLDS = """
import sys
from pathlib import Path
from lampwright.store.journal import Named, open_journal
journal = open_journal(Path(sys.argv[1]), (Named("spec", "a"), Named("program version", "1")), False)
journal.add(Named("share 000", "theirs"))
print("held", flush=True)
sys.stdin.read()
"""


def test_a_journal_that_another_run_has_open_is_refused(tmp_path: Path) -> None:
    source = str(Path(lampwright.__file__).parents[1])
    with subprocess.Popen(
        [sys.executable, "-c", HOLDS, str(tmp_path)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        env={"PYTHONPATH": source},
    ) as other:
        assert other.stdout is not None, "stdout is a pipe"
        assert other.stdout.readline() == "held\n", "the other run did not begin"
        for fresh in (False, True):
            said = refusal(tmp_path, fresh=fresh)
            assert "another search has it open; wait for that to end" in said, "the reason is missing"
            assert "--out" in said, "the remedy is missing"
        other.kill()
    assert kept(tmp_path) == (Named("share 000", "theirs"),), "a killed run holds its journal for ever"


def test_a_journal_says_whose_it_is(tmp_path: Path) -> None:
    path = filled(tmp_path)
    header = path.read_bytes()[:100]
    # application id at offset 68, user version at 60, both big-endian (SQLite, "Database File Format", 1.3)
    assert int.from_bytes(header[68:72], "big") == APPLICATION, "`file` cannot tell what it is"
    assert int.from_bytes(header[60:64], "big") == module.VERSION, "a later program cannot tell its format"


def test_a_stop_while_it_begins_is_no_obstacle(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "SCHEMA", module.SCHEMA + "no statement;")
    with pytest.raises(StoreError):
        open_journal(tmp_path, OURS, fresh=False)
    monkeypatch.undo()
    assert kept(tmp_path) == (), "a torn beginning is taken for a journal"


def test_a_text_that_is_none_is_damage(tmp_path: Path) -> None:
    """Found by the fuzzer: SQLite tells of the damage in bytes that are no UTF-8."""
    path = filled(tmp_path)
    whole = path.read_bytes()
    at = whole.index(b"CREATE TABLE note") + 13
    path.write_bytes(whole[:at] + b"\xf3" + whole[at + 1 :])
    assert "it is damaged (" in refusal(tmp_path)
