"""Every column of the part data has a unit and a source; every source key exists and is used."""

import ast
import csv
import re
import tomllib
from pathlib import Path

import pytest

DATA = Path(__file__).parents[2] / "search" / "lampwright" / "parts" / "data"
MARK = "# column:"
NO_KEY = {"common practice", "this file"}
"""What may stand for a key: a fact of the trade without a source; a column this file itself explains."""
KEYS_OF_ROWS = {"sources.toml", "see source"}
"""A column of keys; a column whose source each row names."""
CITED = re.compile(r"\bS\d{1,2}\b")
TABLES = sorted(DATA.glob("*.csv"))


def keys() -> set[str]:
    """Read the keys of `sources.toml`."""
    return set(tomllib.loads((DATA / "sources.toml").read_text(encoding="utf-8")))


def split(cell: str) -> set[str]:
    """Separate keys joined by semicolons."""
    return {key.strip() for key in cell.split(";")} - {""}


def columns(table: Path) -> list[list[str]]:
    """Read a table's `# column:` lines: name, unit, source, meaning."""
    lines = table.read_text(encoding="utf-8").splitlines()
    return [
        [cell.strip() for cell in line[len(MARK) :].split("|")] for line in lines if line.startswith(MARK)
    ]


def rows(table: Path) -> list[dict[str, str]]:
    """Read a table's rows by column name."""
    lines = table.read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def cited_in_rows(table: Path) -> set[str]:
    """Collect the keys that a table's own cells name."""
    of_keys = [name for name, unit, *_ in columns(table) if unit == "key"]
    return {key for row in rows(table) for name in of_keys for key in split(row[name])}


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_every_column_is_described(table: Path) -> None:
    described = columns(table)
    assert rows(table), "a table without rows"
    assert [column[0] for column in described] == list(rows(table)[0])
    short = [column for column in described if len(column) != 4 or not all(column)]
    assert not short, f"not name | unit | source | meaning: {short}"


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_every_source_exists(table: Path) -> None:
    heads = {key for _, _, source, _ in columns(table) for key in split(source)}
    assert heads <= keys() | NO_KEY | KEYS_OF_ROWS, "the head names a source that sources.toml has not"
    assert cited_in_rows(table) <= keys() | NO_KEY, "a row names a source that sources.toml has not"


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_every_row_says_where_it_is_from(table: Path) -> None:
    of_keys = [name for name, unit, *_ in columns(table) if unit == "key" and name.endswith("source")]
    sure = [name for name, *_ in columns(table) if name.endswith("confidence")]
    assert of_keys, "no column of sources"
    assert sure, "no column of confidence"
    bare = [
        next(iter(row.values()))
        for row in rows(table)
        if not (any(row[name] for name in of_keys) and any(row[name] for name in sure))
    ]
    assert not bare, f"rows without source or confidence: {bare}"


def test_every_key_is_used(trees: dict[str, ast.Module]) -> None:
    used = {key for table in TABLES for _, _, source, _ in columns(table) for key in split(source)}
    used |= {key for table in TABLES for key in cited_in_rows(table)}
    for name, tree in trees.items():
        if "/parts/" in name or "/published/" in name:
            text = ast.get_docstring(tree) or ""
            used |= set(CITED.findall(text)) | {key for key in keys() if key in text}
    unused = sorted(keys() - used)
    assert not unused, f"sources nobody cites: {unused}"


def test_every_key_cited_in_code_exists(trees: dict[str, ast.Module]) -> None:
    for name, tree in trees.items():
        if "/parts/" in name or "/published/" in name:
            missing = set(CITED.findall(ast.get_docstring(tree) or "")) - keys()
            assert not missing, f"{name} cites {missing}"


def test_every_source_says_what_and_how() -> None:
    sources = tomllib.loads((DATA / "sources.toml").read_text(encoding="utf-8"))
    wrong = [key for key, entry in sources.items() if not (entry.get("what") and entry.get("how"))]
    assert not wrong, f"no `what`, or not how it was had (READ, MEMORY): {wrong}"
