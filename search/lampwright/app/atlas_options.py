"""How an atlas is wanted; light, for the command line."""

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True)
class AtlasOptions:
    """What an atlas is taken over, where it is kept, and how long it may take.

    types: of the lamps, None for the usual ones. out: None for a folder of its own in `results/atlas`.
    workers: threads. time_limit: [s].
    """

    feeds: int
    lamps: int
    always_live: bool = False
    joints: int = 2
    diodes: int = 0
    types: tuple[str, ...] | None = None
    system: float = 12.0
    workers: int = 1
    time_limit: float | None = None
    out: Path | None = None

    def folder(self, name: str) -> Path:
        """Where an atlas of this name is kept."""
        return self.out or Path("results") / "atlas" / name
