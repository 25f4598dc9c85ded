"""Lines, lists and tables of a given width, without colour.

Every text of the report is made of these, so that no line is ever wider than asked. No
source: our layout.
"""

import re
import textwrap
from collections.abc import Iterable, Sequence
from io import StringIO
from typing import Literal

from msgspec import Struct
from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from lampwright.report.si import SPACE

WIDTH = 80
LONGEST = 100
GAP = 2
FOLDED = 8


class TextColumn(Struct, frozen=True):
    """One column: its heading, the side its entries keep to, whether long entries fold."""

    heading: str
    keep: Literal["left", "right"] = "left"
    folds: bool = False


def right(*headings: str) -> list[TextColumn]:
    """Columns of numbers."""
    return [TextColumn(heading, "right") for heading in headings]


def folding(*headings: str) -> list[TextColumn]:
    """Columns whose long entries fold."""
    return [TextColumn(heading, folds=True) for heading in headings]


def table(columns: Sequence[TextColumn], rows: Iterable[Sequence[str]], width: int) -> str:
    """Draw a table: headings, a rule, one line per row unless an entry must fold."""
    rows = [[unbroken(entry) for entry in row] for row in rows]
    cramped = _least_width(columns, rows) > width
    drawn = Table(box=box.SIMPLE_HEAD, show_edge=False, pad_edge=False, padding=(0, GAP - 1, 0, 0))
    for column in columns:
        drawn.add_column(
            Text(column.heading),
            justify=column.keep,
            vertical="top",
            no_wrap=not (column.folds or cramped),
            overflow="fold",
        )
    for row in rows:
        drawn.add_row(*(Text(entry) for entry in row))
    page = StringIO()
    Console(file=page, width=width, color_system=None, legacy_windows=False).print(drawn)
    return "\n".join(line.rstrip() for line in page.getvalue().splitlines())


def _least_width(columns: Sequence[TextColumn], rows: Sequence[Sequence[str]]) -> int:
    """Tell how wide a table must be for the entries of the columns that do not fold."""
    total = -GAP
    for place, column in enumerate(columns):
        longest = max((len(row[place]) for row in rows), default=0)
        heading = max(len(line) for line in column.heading.split("\n"))
        total += GAP + (max(heading, min(longest, FOLDED)) if column.folds else max(heading, longest))
    return total


def heading(text: str, width: int) -> str:
    """Draw a heading: the text on a rule that fills the line; folded where it is too long."""
    lines = textwrap.wrap(text, width - 6)
    ruled = [f"── {line} ".ljust(width, "─") for line in lines[:1]]
    return "\n".join(ruled + [f"   {line}" for line in lines[1:]])


def paragraph(text: str, width: int, lead: str = "") -> str:
    """Fold a text; its first line begins with the lead, the others stand under the text.

    However wide the terminal, no line of a text is longer than one reads with ease.
    """
    return textwrap.fill(
        unbroken(text),
        min(width, LONGEST),
        initial_indent=lead,
        subsequent_indent=" " * len(lead),
        break_on_hyphens=False,
    )


def clipped(text: str, width: int, lead: str, most: int) -> str:
    """Fold a text to a number of lines at most; one that is longer ends in dots."""
    lines = paragraph(text, width, lead).splitlines()
    if len(lines) > most:
        room = min(width, LONGEST) - 2
        lines[most - 1] = f"{lines[most - 1][:room].rstrip(' ,;:')} …"
    return "\n".join(lines[:most])


def unbroken(text: str) -> str:
    """Keep numbers and their units on one line.

    >>> unbroken("8 A at 13.5 V, 2 wires").replace(SPACE, "_")
    '8_A at 13.5_V, 2 wires'
    """
    return re.sub(r"(?<=\d) (?=[mkµ]?(?:V|A|W|Ω|lm|K|%)(?!\w))", SPACE, text)


def section(title: str, width: int, *lines: str) -> str:
    """Set lines under a heading."""
    return "\n".join((heading(title, width), *lines))


def hanging(lead: str, texts: Iterable[str], width: int) -> list[str]:
    """Fold texts beside a lead that stands before the first alone."""
    return [paragraph(text, width, " " * len(lead) if at else lead) for at, text in enumerate(texts)]


def lines_of(*blocks: str) -> int:
    """How many lines blocks take that are stacked."""
    return len(stacked(*blocks).splitlines())


def bullets(texts: Iterable[str], width: int, lead: str = "  - ") -> list[str]:
    """Fold texts as a list."""
    return [paragraph(text, width, lead) for text in texts]


def enough(texts: Sequence[str], most: int) -> tuple[str, ...]:
    """Keep the first few of a long list, and say how many more there are."""
    if len(texts) <= most + 1:
        return tuple(texts)
    return (*texts[:most], f"and {len(texts) - most:,} more")


def stacked(*blocks: str) -> str:
    """Set blocks under each other, one empty line between; nothing empty at the end.

    Spaces that must not break have done their work by then, and become plain ones.
    """
    return "\n\n".join(block for block in blocks if block).replace(SPACE, " ").rstrip("\n")


def join(blocks: Iterable[str]) -> str:
    """Set blocks under each other, one empty line between; ends in a newline."""
    return stacked(*blocks) + "\n"
