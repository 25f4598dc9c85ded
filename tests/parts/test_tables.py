"""The data files: every column described, every source known, one digest."""

import csv
import hashlib
import re
import tomllib
from importlib import resources
from pathlib import Path

import pytest

from lampwright.parts import conduction
from lampwright.parts.tables import (
    DataColumn,
    constant,
    data_files,
    part_data_digest,
    read_table,
)

FOLDER = resources.files("lampwright.parts") / "data"
PUBLISHED = Path(__file__).parents[1] / "published"
NOT_KEYS = {"this file", "sources.toml", "common practice", "see source"}
CSVS = [name for name in data_files() if name.endswith(".csv")]


def keys(cell: str) -> set[str]:
    return {key.strip() for key in cell.split(";")} - NOT_KEYS - {""}


def used(name: str) -> set[str]:
    table = read_table(name)
    sources = [column.name for column in table.columns if column.name.endswith("source")]
    cells = [row.text(column) for row in table.rows for column in sources]
    return set().union(*(keys(cell) for cell in [column.source for column in table.columns] + cells))


@pytest.mark.parametrize("name", CSVS)
def test_every_column_has_unit_source_and_meaning(name: str) -> None:
    for column in read_table(name).columns:
        assert all((column.name, column.unit, column.source, column.meaning)), column.name


def test_every_source_key_is_used_and_exists() -> None:
    in_data = set().union(*(used(name) for name in CSVS))
    there = set(tomllib.loads((FOLDER / "sources.toml").read_text(encoding="utf-8")))
    assert in_data <= there, "every key that data use exists"
    told = (*PUBLISHED.glob("*.py"), Path(conduction.__file__))
    checks = "".join(path.read_text(encoding="utf-8") for path in told)
    cited = {key for key in there if re.search(rf"\b{re.escape(key)}\b", checks)}
    assert in_data | cited == there, "and every key is used, by data or by a published check"


def test_every_source_says_what_where_and_how() -> None:
    sources = tomllib.loads((FOLDER / "sources.toml").read_text(encoding="utf-8"))
    for key, entry in sources.items():
        assert set(entry) == {"what", "where", "how"}, key
        assert all(entry.values()), key


@pytest.mark.parametrize("name", CSVS)
def test_cells_match_a_plain_reader(name: str) -> None:
    lines = (FOLDER / name).read_text(encoding="utf-8").splitlines()
    plain = list(csv.DictReader(line for line in lines if not line.startswith("#")))
    table = read_table(name)
    assert [[row.text(c.name) for c in table.columns] for row in table.rows] == [
        list(r.values()) for r in plain
    ]


def test_every_row_says_how_it_was_read_and_how_sure_it_is() -> None:
    for name in CSVS:
        names = [column.name for column in read_table(name).columns]
        assert any(n.endswith("status") for n in names), name
        for column in (n for n in names if n.endswith("confidence")):
            said = {row.text(column) for row in read_table(name).rows}
            assert said <= {"high", "medium-high", "medium", "low", ""}, name


def test_digest_is_the_hash_of_the_files() -> None:
    whole = hashlib.sha256()
    for path in sorted(
        (p for p in FOLDER.iterdir() if p.name.endswith((".csv", ".toml"))), key=lambda p: p.name
    ):
        text = path.read_text(encoding="utf-8")
        whole.update(path.name.encode() + b"\0" + str(len(text)).encode() + b"\0" + text.encode())
    assert part_data_digest() == whole.hexdigest()
    part_data_digest.cache_clear()
    assert part_data_digest() == whole.hexdigest(), "read again, the same"


def test_constants_by_name() -> None:
    assert constant("conducted_share_gas") == 0.22
    assert constant("cold_kelvin") == 293.15
    with pytest.raises(ValueError, match="no constant nonesuch"):
        constant("nonesuch")


def test_a_column_line_has_four_fields() -> None:
    assert read_table("wattages.csv").columns[0] == DataColumn(
        "watts", "W", "common practice", "power rating"
    )
