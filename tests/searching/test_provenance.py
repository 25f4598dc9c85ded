"""A journal belongs to one spec, part data, program and share size: any other is refused and named."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

import lampwright.kernels as kernels
from lampwright.app.answering import search_into
from lampwright.problem.reading import read_problem
from lampwright.progress.bar import quiet
from lampwright.searching.options import SearchOptions
from lampwright.store.files import StoreError
from lampwright.store.journal import JOURNAL

SPEC = Path(__file__).parents[2] / "specs" / "classroom_three_lamps.toml"
NAMES = ("spec", "part data", "program version", "program sources", "share size")


def search(folder: Path) -> None:
    search_into(read_problem(SPEC), SearchOptions(), quiet(), folder)


@pytest.fixture
def unfinished(tmp_path: Path) -> Path:
    """A folder whose journal is of an unfinished run."""
    search(tmp_path)
    with closing(sqlite3.connect(tmp_path / JOURNAL)) as database, database:
        database.execute("DELETE FROM note")
        kept = [name for (name,) in database.execute("SELECT name FROM provenance ORDER BY rowid")]
    assert sorted(kept) == sorted(NAMES)
    return tmp_path


@pytest.mark.parametrize("name", NAMES)
def test_an_unfinished_journal_of_another_is_refused(unfinished: Path, name: str) -> None:
    search(unfinished)  # the same: it goes on
    with closing(sqlite3.connect(unfinished / JOURNAL)) as database, database:
        database.execute("DELETE FROM note")
        database.execute("UPDATE provenance SET value = 'another' WHERE name = ?", (name,))
    with pytest.raises(StoreError, match=f"it holds an unfinished run of another {name}; "):
        search(unfinished)


def test_a_changed_source_is_another_program(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Any source that decides results counts; one that only shows them does not."""
    for name in ("prove/bound.py", "report/text.py"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text("one = 1\n", encoding="utf-8")
    monkeypatch.setattr(kernels, "__file__", str(tmp_path / "kernels.py"))
    first = kernels.program_digest()
    (tmp_path / "report/text.py").write_text("one = 2\n", encoding="utf-8")
    assert kernels.program_digest() == first
    (tmp_path / "prove/bound.py").write_text("one = 2\n", encoding="utf-8")
    assert kernels.program_digest() != first


def test_kernels_are_made_anew_for_what_they_take_and_for_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    texts = {
        "solve/newton.py": "from lampwright.solve.laws import BASE\n\n\n@njit\ndef step(): ...\n",
        "solve/laws.py": "BASE = 1\n",
        "judge/order.py": "one = 1\n",
    }
    for name, text in texts.items():
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(text, encoding="utf-8")
    monkeypatch.setattr(kernels, "__file__", str(tmp_path / "kernels.py"))
    seen = [kernels.source_digest()]
    for name in ("judge/order.py", "solve/laws.py", "solve/newton.py"):
        (tmp_path / name).write_text(texts[name] + "more = 2\n", encoding="utf-8")
        seen.append(kernels.source_digest())
    assert seen[0] == seen[1], "no kernel imports it"
    assert len(set(seen)) == 3, "a constant that a kernel takes, and the kernel itself"
