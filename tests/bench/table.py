"""What a bench hands back, as a table of 80 columns on the terminal or as a page of Markdown."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum
from pathlib import Path

from rich import box
from rich.console import Console
from rich.table import Table

WIDTH = 80
HEADINGS = ("what", "measured", "target", "met")
WIDTHS = (26, 35, 11, 4)


class Size(IntEnum):
    """How much is measured: a smoke test, some three minutes, or all of it."""

    TINY = 0
    QUICK = 1
    FULL = 2


@dataclass(frozen=True)
class Row:
    """One measurement; where there is a target, whether it is met."""

    what: str
    measured: str
    target: str = ""
    met: bool | None = None

    @property
    def cells(self) -> tuple[str, str, str, str]:
        """The row as text."""
        return self.what, self.measured, self.target, {None: "", True: "yes", False: "NO"}[self.met]


@dataclass(frozen=True)
class Section:
    """All rows of one bench. circumstances: when, on what and under which load they were measured."""

    name: str
    circumstances: str
    rows: tuple[Row, ...]


def drawn(sections: Sequence[Section]) -> Table:
    """One table of all sections."""
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0), pad_edge=False, show_edge=False)
    for heading, width in zip(HEADINGS, WIDTHS, strict=True):
        table.add_column(heading, width=width, overflow="fold")
    for section in sections:
        table.add_section()
        table.add_row(f"[bold]{section.name}[/bold]", f"[dim]{section.circumstances}[/dim]")
        for row in section.rows:
            table.add_row(*row.cells)
    return table


def show(sections: Sequence[Section]) -> None:
    """Print the table."""
    Console(width=WIDTH, highlight=False).print(drawn(sections))


def save(sections: Sequence[Section], path: Path) -> None:
    """Write the sections into a page; sections of other benches that it has are kept."""
    head = "# Measured\n\nWritten by `python tests/bench --save`; `README.md` explains the rows.\n"
    kept: dict[str, str] = {}
    if path.exists():
        _, *parts = re.split(r"^## ", path.read_text(encoding="utf-8"), flags=re.MULTILINE)
        kept = {part.partition("\n")[0]: part.rstrip("\n") for part in parts}
    for section in sections:
        kept[section.name] = _markdown(section)
    text = head + "".join(f"\n## {part}\n" for part in kept.values())
    path.write_text(text, encoding="utf-8")


def _markdown(section: Section) -> str:
    rows = [HEADINGS, ("---",) * len(HEADINGS), *(row.cells for row in section.rows)]
    lines = ["| " + " | ".join(cells) + " |" for cells in rows]
    return "\n".join((section.name, "", f"{section.circumstances}.", "", *lines))


def rate(number: float, noun: str = "") -> str:
    """So many a second, with three digits and a prefix."""
    for size, prefix in ((1e9, " G"), (1e6, " M"), (1e3, " k")):
        if number >= size:
            return f"{number / size:.3g}{prefix}{noun}/s"
    return f"{number:.3g} {noun}/s"
