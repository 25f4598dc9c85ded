"""A circuit as a builder would list it: parts between named nodes.

Node names are the terminals' (`31` is ground) and `j1`, `j2`, ... for joints.
"""

from dataclasses import dataclass
from typing import Literal

Kind = Literal["filament", "resistor", "diode", "wire"]

GROUND = "31"
SUPPLY = "30"


@dataclass(frozen=True)
class Part:
    """One part between two nodes; a diode conducts from `from_node` to `to_node`.

    `lamp` is set for filaments, `type` for filaments and diodes, `ohms` (and, once
    chosen, `watts`) for resistors. A filament's `ref` is its name in the spec.
    """

    ref: str
    kind: Kind
    from_node: str
    to_node: str
    lamp: str | None = None
    type: str | None = None
    ohms: float | None = None
    watts: float | None = None


@dataclass(frozen=True)
class Circuit:
    """Parts in order: filaments, diodes, resistors, wires."""

    parts: tuple[Part, ...]

    def of_kind(self, kind: Kind) -> tuple[Part, ...]:
        """The parts of one kind, in order."""
        return tuple(part for part in self.parts if part.kind == kind)
