"""Every column of the part data has a unit and a source; every source key exists and is used."""

import ast
import csv
import io
import re
import tokenize
import tomllib
from functools import cache
from pathlib import Path

import pytest

DATA = Path(__file__).parents[2] / "search" / "lampwright" / "parts" / "data"
MARK = "# column:"
NO_KEY = {"common practice", "this file"}
"""What may stand for a key: a fact of the trade without a source; a column this file itself explains."""
KEYS_OF_ROWS = {"sources.toml", "see source"}
"""A column of keys; a column whose source each row names."""
CITED = re.compile(r"\bS\d{1,3}\b(?!\.\d|\()")
"""A numbered key; not a paragraph of a standard such as S5.5.7 or S4(b)."""
NO_CITATION = {"CRC-32"}
"""What is written like a named key and is none: a checksum."""
TABLES = sorted(DATA.glob("*.csv"))


@cache
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


@cache
def named() -> re.Pattern[str]:
    """Match what is written like a named key: a body that some key begins with, then its number."""
    bodies = {key.partition("-")[0] for key in keys() if "-" in key}
    return re.compile(rf"\b(?:{'|'.join(sorted(bodies))})-[A-Z0-9]+(?:-[A-Z0-9]+)*\b")


def prose(path: Path) -> str:
    """Collect what a file says to its reader: docstrings and comments of code, all of a data file."""
    text = path.read_text(encoding="utf-8")
    if path.suffix != ".py":
        return text
    kinds = ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef
    said = [ast.get_docstring(node) or "" for node in ast.walk(ast.parse(text)) if isinstance(node, kinds)]
    tokens = tokenize.generate_tokens(io.StringIO(text).readline)
    return "\n".join([*said, *(token.string for token in tokens if token.type == tokenize.COMMENT)])


def citations(path: Path) -> set[str]:
    """Collect the keys that a file's prose cites, numbered and named."""
    text = path.read_text(encoding="utf-8")
    if not (CITED.search(text) or named().search(text)):
        return set()
    said = prose(path)
    return set(CITED.findall(said)) | (set(named().findall(said)) - NO_CITATION)


@pytest.fixture(scope="module")
def cited(root: Path, python_files: tuple[Path, ...]) -> dict[str, set[str]]:
    """Collect what every Python file and every data file cites."""
    files = [root / path for path in python_files] + TABLES
    return {path.relative_to(root).as_posix(): citations(path) for path in files}


def test_every_key_is_used(cited: dict[str, set[str]], root: Path) -> None:
    used = {key for table in TABLES for _, _, source, _ in columns(table) for key in split(source)}
    used |= {key for table in TABLES for key in cited_in_rows(table)}
    used |= {key for found in cited.values() for key in found}
    published = "\n".join(prose(path) for path in (root / "tests" / "published").glob("*.py"))
    unused = sorted(key for key in keys() - used if key not in published)
    assert not unused, f"sources nobody cites: {unused}"


def test_every_key_cited_exists(cited: dict[str, set[str]]) -> None:
    missing = {name: sorted(found - keys()) for name, found in cited.items() if found - keys()}
    assert not missing, f"keys that sources.toml has not: {missing}"


@pytest.mark.parametrize(
    ("said", "keys_in_it"),
    [
        ("halves life (S37): 14.2", {"S37"}),
        ("FMVSS 108 S5.5.7 and S4(b); an S-8 bulb", set()),
        ("limits of IEC-60228 and UN-R148", {"IEC-60228", "UN-R148"}),
        ("UN R37, CIE 1924, CRC-32", set()),
    ],
)
def test_what_is_a_citation(said: str, keys_in_it: set[str], tmp_path: Path) -> None:
    for written in (f'"""{said}"""\n', f"x = 1  # {said}\n"):
        path = tmp_path / "one.py"
        path.write_text(written, encoding="utf-8")
        assert citations(path) == keys_in_it
    path.write_text(f'terminal = "{said}"\n', encoding="utf-8")
    assert citations(path) == set(), "a string of code cites nothing"


def said_of(status: str) -> tuple[str, str]:
    """Split a status into what was READ and what is from MEMORY; each word takes in its own clause."""
    clauses = [clause.strip() for clause in status.split(";")]
    read = "; ".join(clause for clause in clauses if "READ" in clause)
    return read, "; ".join(clause for clause in clauses if "MEMORY" in clause)


def recalled(status: str, deciding: tuple[re.Pattern[str], ...]) -> bool:
    """Tell whether a deciding figure is from MEMORY, as far as a status shows it.

    It is where all of the row is, where a clause from MEMORY names such a figure, and where
    the rest is and no clause that was READ names each of them. Without figures to decide, as in a
    table of one figure a row, any MEMORY at all makes it so.
    """
    read, memory = said_of(status)
    if not memory:
        return False
    if not deciding or not read or status.startswith("MEMORY"):
        return True
    names = [word for word in deciding if not word.search(read)]
    return bool(names) if "rest MEMORY" in memory else any(word.search(memory) for word in deciding)


DECIDING = tuple(
    re.compile(said) for said in (r"\b(?:V|volts)\b", r"\b(?:A|W|amps|watts)\b", r"\b(?:cp|lm|MSCD|flux)\b")
)
"""What decides how sure a lamp's row is: volts, watts or amps, lumens or candlepower."""
OTHERS = {"lamps_r37.csv": DECIDING, "lamps_sae.csv": DECIDING}
SURE = {"status": "confidence", "rho_status": "rho_confidence", "eps_status": "eps_confidence"}
"""Which column of confidence goes with which of status, where they are called otherwise in some table."""


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_no_figure_from_memory_is_sure(table: Path) -> None:
    names = rows(table)[0].keys()
    pairs = [(said, sure) for said, sure in SURE.items() if said in names and sure in names]
    assert pairs or table.name == "diodes.csv", "no status with a confidence beside it"
    wrong = [
        next(iter(row.values()))
        for row in rows(table)
        for said, sure in pairs
        if row[sure] == "high" and recalled(row[said], OTHERS.get(table.name, ()))
    ]
    assert not wrong, f"a deciding figure is from MEMORY, and the row is called high: {wrong}"


@pytest.mark.parametrize(
    ("status", "from_memory"),
    [
        ("READ V, A, cp, life; filament MEMORY", False),
        ("READ (cp +/-12 %, A +/-7 %, 500 h, C-2R); bulb, base MEMORY", False),
        ("READ 6.3 V, 0.15 A, 0.52 cp, 3000 h; rest MEMORY", False),
        ("READ 6.3 V, 0.25 A; rest MEMORY", True),
        ("READ V, A; MSCD, life MEMORY", True),
        ("MEMORY; 460 lm also READ in a trade page", True),
        ("READ 0.41 A, 41 lm, 300 h; MSCD = lm/4pi; design V MEMORY (12 V 5 W class)", True),
        ("READ (nominal W, flux, cap); max W = nominal x (1+tol)", False),
        ("MEMORY", True),
    ],
)
def test_what_is_recalled_of_a_lamp(status: str, from_memory: bool) -> None:
    assert recalled(status, DECIDING) is from_memory
    assert recalled(status, ()) is ("MEMORY" in status), "of other tables any MEMORY counts"


def test_every_source_says_what_and_how() -> None:
    sources = tomllib.loads((DATA / "sources.toml").read_text(encoding="utf-8"))
    wrong = [key for key, entry in sources.items() if not (entry.get("what") and entry.get("how"))]
    assert not wrong, f"no `what`, or not how it was had (READ, MEMORY): {wrong}"
