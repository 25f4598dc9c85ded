"""How a worksheet is wanted, and what came of it; light, for the command line."""

from dataclasses import dataclass
from pathlib import Path

from lampwright.words import Paper


@dataclass(frozen=True)
class WorksheetOptions:
    """How a worksheet is wanted: the hardest grade asked, the seed, on what paper, in which file.

    to: None for the folder of the first spec's result under `out`, as pages, and as PDFs where that can be.
    """

    out: Path = Path("results")
    grade: int = 3
    seed: int = 1
    paper: Paper = "A4"
    to: Path | None = None


@dataclass(frozen=True)
class WorksheetFiles:
    """The files that were written, none where nothing fits the grade; told: what else is to be said."""

    files: tuple[Path, ...]
    told: tuple[str, ...]
