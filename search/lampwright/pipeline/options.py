"""What a user may ask of a search besides its spec. No source: our choice of defaults."""

from dataclasses import dataclass
from pathlib import Path

BUDGET = 50_000_000


@dataclass(frozen=True)
class SearchOptions:
    """How, and how far, to search.

    out: folder under which the result folder, named like the spec, is made.
    most: most designs to rank.
    workers: number of processes.
    extra_parts: most resistors and diodes together; None as the spec says.
    time_limit: stop after so many seconds, keeping what was found; None without end.
    fresh: forget what an earlier run of the same search has stored.
    budget: refuse a search of more circuits than this.
    scheduler: address of a Dask scheduler whose workers do the work; None for this machine.
    """

    out: Path = Path("results")
    most: int = 5
    workers: int = 1
    extra_parts: int | None = None
    time_limit: float | None = None
    fresh: bool = False
    budget: int = BUDGET
    scheduler: str | None = None
