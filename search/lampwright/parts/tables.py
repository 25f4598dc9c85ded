"""The data files of the catalogue: how they are read, their digest, and the error for a part in none of them.

Every file is a CSV whose `# column:` lines give each column's name, unit, source keys
and meaning, in the order of the columns; the keys are those of `sources.toml`. A blank
cell is a figure nobody printed. Nothing is read before it is asked for, and everything
is read once. No source: our own layout.
"""

import csv
import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from importlib import resources
from importlib.resources.abc import Traversable

import numpy as np
from numpy.typing import NDArray

from lampwright.errors import LampwrightError, one_line

Floats = NDArray[np.float64]

MOST_KNOWN = 12
"""So many known names are told where none is near."""
COLUMN_MARK = "# column:"


@dataclass(frozen=True)
class DataColumn:
    """A column's name, unit, source keys (or `common practice`) and meaning."""

    name: str
    unit: str
    source: str
    meaning: str


@dataclass(frozen=True)
class DataRow:
    """One line of a table; cells are read by the column's name."""

    names: tuple[str, ...]
    cells: tuple[str, ...]

    def text(self, column: str) -> str:
        """The cell as printed; `` where it is blank."""
        return self.cells[self.names.index(column)]

    def number(self, column: str) -> float:
        """The cell as a number, in the column's unit; a blank cell is a ValueError."""
        return float(self.text(column))

    def number_or_none(self, column: str) -> float | None:
        """The cell as a number, in the column's unit; None where it is blank."""
        said = self.text(column)
        return float(said) if said else None


@dataclass(frozen=True)
class DataTable:
    """A data file: its columns and its rows."""

    columns: tuple[DataColumn, ...]
    rows: tuple[DataRow, ...]

    def numbers(self, column: str) -> Floats:
        """One column as an array of shape (rows,), in its unit; NaN where blank."""
        return np.array([float(row.text(column) or "nan") for row in self.rows])


def _folder() -> Traversable:
    return resources.files("lampwright.parts") / "data"


def data_files() -> tuple[str, ...]:
    """Names of all data files, sorted; text, no unit."""
    return tuple(sorted(f.name for f in _folder().iterdir() if f.name.endswith((".csv", ".toml"))))


@cache
def read_table(name: str) -> DataTable:
    """The table in the data file `name`; units and meanings are its columns'."""
    lines = (_folder() / name).read_text(encoding="utf-8").splitlines()
    columns = tuple(
        DataColumn(*(cell.strip() for cell in line.removeprefix(COLUMN_MARK).split("|", 3)))
        for line in lines
        if line.startswith(COLUMN_MARK)
    )
    header, *body = csv.reader(line for line in lines if not line.startswith("#"))
    if tuple(header) != tuple(column.name for column in columns):
        raise ValueError(f"{name}: the columns described are not the columns there are")
    return DataTable(columns, tuple(DataRow(tuple(header), tuple(cells)) for cells in body))


@cache
def constant(name: str) -> float:
    """A named constant of `constants.csv`, a scalar in the unit given there."""
    for row in read_table("constants.csv").rows:
        if row.text("name") == name:
            return row.number("value")
    raise ValueError(f"constants.csv: no constant {name}")


@cache
def part_data_digest() -> str:
    """SHA-256 (hexadecimal) over the names and texts of all data files, in sorted order; no unit.

    Line ends count as one newline, so a checkout with other line ends has the same digest.
    """
    whole = hashlib.sha256()
    for name in data_files():
        text = (_folder() / name).read_text(encoding="utf-8").replace("\r\n", "\n")
        whole.update(f"{name}\0{len(text)}\0{text}".encode())
    return whole.hexdigest()


class UnknownPart(LampwrightError, LookupError):  # noqa: N818 - reads as the sentence it raises
    """No such type; says what was asked and which names come near.

    asked: what was read. near: known names like it, best first. said and remedy: the message in two.
    """

    def __init__(
        self, kind: str, asked: str, known: Sequence[str], remark: str = "", remedy: str = ""
    ) -> None:
        """Compose the message from the kind of part, the name asked for and the names known, or a remedy."""
        self.asked = asked
        self.near = tuple(get_close_matches(asked.upper(), [*known], n=4, cutoff=0.5))
        self.said = f'"{asked}" is no {kind}' + (f" ({remark})" if remark else "")
        some = self.near or (*known[:MOST_KNOWN], *["..."] * (len(known) > MOST_KNOWN))
        self.remedy = remedy or ("nearest: " if self.near else "known: ") + ", ".join(some)
        super().__init__(one_line(f"{self.said}; {self.remedy}"))
