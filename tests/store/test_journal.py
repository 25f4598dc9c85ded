"""The journal: kept pieces come back, other runs' are never mixed in, damage is told in one line."""

import sqlite3
from pathlib import Path

import pytest

from lampwright.store.files import StoreError
from lampwright.store.journal import JOURNAL, Journal, Named, open_journal

ONE = (Named("spec", "a" * 64), Named("program version", "1"))
OTHER = (Named("spec", "b" * 64), Named("program version", "1"))


def kept(journal: Journal) -> list[tuple[str, str]]:
    return [(record.name, record.content) for record in journal.records()]


def begun(folder: Path, ended: bool = False) -> None:
    journal = open_journal(folder, ONE, fresh=False)
    journal.add(Named("share 0", "[1]"))
    if ended:
        journal.note([Named("ended", "found")])
    journal.close()


def test_pieces_are_there_when_opened_again(tmp_path: Path) -> None:
    begun(tmp_path)
    journal = open_journal(tmp_path, ONE, fresh=False)
    journal.add(Named("share 1", "[2]"))
    journal.add(Named("share 0", "[1]"))
    assert kept(journal) == [("share 0", "[1]"), ("share 1", "[2]")], (
        "once each, joining twice changes nothing"
    )
    journal.note([Named("circuits listed", "7")])
    assert [(note.name, note.content) for note in journal.notes()] == [("circuits listed", "7")], "the remark"
    journal.close()


def test_an_unfinished_run_of_another_spec_is_refused_by_name(tmp_path: Path) -> None:
    begun(tmp_path)
    with pytest.raises(StoreError, match=r"holds an unfinished run of another spec;.*--out.*--fresh"):
        open_journal(tmp_path, OTHER, fresh=False)
    assert kept(open_journal(tmp_path, ONE, fresh=False)) == [("share 0", "[1]")], "nothing was lost"


def test_a_finished_run_of_another_spec_makes_way(tmp_path: Path) -> None:
    begun(tmp_path, ended=True)
    assert kept(open_journal(tmp_path, OTHER, fresh=False)) == [], "its result stands beside it"


def test_fresh_forgets(tmp_path: Path) -> None:
    begun(tmp_path)
    assert kept(open_journal(tmp_path, ONE, fresh=True)) == [], "forgotten"


@pytest.mark.parametrize("cut", [20, 100, 3000])
def test_a_cut_or_scribbled_journal_is_told_and_kept(tmp_path: Path, cut: int) -> None:
    begun(tmp_path)
    path = tmp_path / JOURNAL
    whole = path.read_bytes()
    for broken in (whole[:cut], b"\x00\xffnonsense" * 50, whole[:1024] + b"\xff" * (len(whole) - 1024)):
        path.write_bytes(broken)
        with pytest.raises(StoreError, match=r"journal\.sqlite: (it is damaged|it is no journal).*--fresh"):
            list(open_journal(tmp_path, ONE, fresh=False).records())
        assert path.read_bytes() == broken, "left as it was"


def test_an_empty_file_is_a_journal_not_begun(tmp_path: Path) -> None:
    (tmp_path / JOURNAL).touch()
    assert kept(open_journal(tmp_path, ONE, fresh=False)) == [], "a run was killed before its first word"


def test_another_programs_database_is_left_alone(tmp_path: Path) -> None:
    with sqlite3.connect(tmp_path / JOURNAL) as database:
        database.execute("CREATE TABLE mine (x)")
    database.close()
    with pytest.raises(StoreError, match=r"no journal of this program.*--fresh"):
        open_journal(tmp_path, ONE, fresh=False)


@pytest.mark.parametrize(
    ("said", "told"),
    [
        (
            "database or disk is full",
            r"cannot be written \(database or disk is full\); make room on the disk",
        ),
        ("attempt to write a readonly database", r"cannot be used .*--out"),
        ("database is locked", r"cannot be used .*end the other run"),
    ],
)
def test_what_the_disk_refuses_is_one_line(tmp_path: Path, said: str, told: str) -> None:
    class Refusing:
        def __enter__(self) -> "Refusing":
            return self

        def __exit__(self, *_: object) -> None:
            return None

        def execute(self, *_: object) -> None:
            raise sqlite3.OperationalError(said)

    journal = Journal(tmp_path / JOURNAL, Refusing())  # type: ignore[arg-type]
    with pytest.raises(StoreError, match=told):
        journal.add(Named("share 0", "[1]"))


def test_no_folder_is_one_line(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match=r"journal\.sqlite: it cannot be used"):
        open_journal(tmp_path / "missing", ONE, fresh=False)
