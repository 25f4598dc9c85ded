"""How a sheet for the bench is wanted, and what came of it; light, for the command line."""

from dataclasses import dataclass
from pathlib import Path

from lampwright.words import Paper


@dataclass(frozen=True)
class SheetFiles:
    """The files that were written, and, where a PDF was left out, why and what would do."""

    files: tuple[Path, ...]
    left_out: str


@dataclass(frozen=True)
class SheetOptions:
    """How a sheet is wanted: for which coupling (None: the usual one), on what paper, in which file.

    to: None for the result's folder under `out`, as a page, and as a PDF where that can be made.
    """

    out: Path = Path("results")
    coupling: str | None = None
    paper: Paper = "A4"
    to: Path | None = None
