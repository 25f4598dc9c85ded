"""Trade-offs among designs, as plain rows.

Rows as in `store.result`, whose Ranking holds them. No source: our format.
"""

from dataclasses import dataclass
from typing import Literal

Aim = Literal["extra parts", "wires", "joints", "conductors", "margin", "faults"]


@dataclass(frozen=True)
class FrontPoint:
    """A design that no other beats: none is at least as good in every aim and better in one.

    `fault_score` is null where the design's faults were not worked out.
    """

    rank: int
    extra_parts: int
    wires: int
    conductors: int
    margin_stops: float
    fault_score: float | None


@dataclass(frozen=True)
class Front:
    """The Pareto front over extra parts, wires, conductors, margin and fault score.

    `preferred` is the order of aims by which the designs are ranked; `compared` designs were compared.
    """

    preferred: tuple[Aim, ...]
    compared: int
    points: tuple[FrontPoint, ...]
