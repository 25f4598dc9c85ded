"""What may be joined: the terminals and the filaments of one search, and its cells.

A search over circuits is cut into cells: which terminals wires join (a partition),
how many joints, diodes and resistors exactly. Within a cell `graphs` lists every
placing of the labelled edges (filaments), arcs (diodes) and links (resistors) once.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import islice

from lampwright.graphs.cell import Cell, Star
from lampwright.graphs.partitions import terminal_partitions


@dataclass(frozen=True)
class LampSlot:
    """One lamp to place: its filaments, the terminal its common end is fixed to, if any.

    `shared` says that the filaments of the lamp share one contact; `alike` lamps, of one filament and the
    last ones, are told apart from no other of them.
    """

    lamp: str
    filaments: tuple[str, ...]
    common: str | None
    shared: bool
    alike: bool = False


@dataclass(frozen=True)
class Layout:
    """Terminal names, ground last, and the lamps in the order of the spec."""

    terminals: tuple[str, ...]
    lamps: tuple[LampSlot, ...]

    @cached_property
    def filaments(self) -> tuple[str, ...]:
        """All filament names, in order."""
        return tuple(name for lamp in self.lamps for name in lamp.filaments)

    @property
    def lamp_of(self) -> tuple[str, ...]:
        """The lamp of every filament, in order."""
        return tuple(lamp.lamp for lamp in self.lamps for _ in lamp.filaments)

    @property
    def lamp_at(self) -> tuple[int, ...]:
        """The place of every filament's lamp, in order."""
        return tuple(at for at, lamp in enumerate(self.lamps) for _ in lamp.filaments)

    @property
    def filaments_of(self) -> tuple[tuple[int, ...], ...]:
        """The places of every lamp's filaments, in order of the lamps."""
        numbers = iter(range(len(self.lamp_of)))
        return tuple(tuple(islice(numbers, len(lamp.filaments))) for lamp in self.lamps)


@dataclass(frozen=True)
class Placing:
    """One cell of the search: a partition of the terminals by wires, and a graph cell."""

    partition: tuple[int, ...]
    cell: Cell

    @property
    def blocks(self) -> int:
        """How many blocks of terminals the wires leave."""
        return max(self.partition) + 1

    @property
    def wires(self) -> int:
        """How many wires join terminals."""
        return len(self.partition) - self.blocks

    @property
    def extra_parts(self) -> int:
        """Diodes and resistors together."""
        return self.cell.arcs + self.cell.links


def _stars(layout: Layout, partition: tuple[int, ...]) -> tuple[Star, ...]:
    stars: list[Star] = []
    alike = sum(lamp.alike for lamp in layout.lamps)
    for lamp in layout.lamps[: len(layout.lamps) - alike]:
        hub = None if lamp.common is None else partition[layout.terminals.index(lamp.common)]
        if hub is not None or lamp.shared:
            stars.append(Star(len(lamp.filaments), hub))
        else:
            stars.extend(Star(1, None) for _ in lamp.filaments)
    if alike:
        stars.append(Star(alike, alike=True))
    return tuple(stars)


def partitions(layout: Layout, wires: int) -> Iterator[tuple[int, ...]]:
    """Every way in which up to `wires` wires join terminals, fewest wires first."""
    for count in range(min(wires, len(layout.terminals) - 1) + 1):
        for partition in terminal_partitions(len(layout.terminals), count):
            yield partition.block


def placings(
    layout: Layout, blocks: tuple[tuple[int, ...], ...], joints: int, diodes: int, resistors: int
) -> tuple[Placing, ...]:
    """The cells with exactly these numbers of diodes and resistors, and joints up to a limit."""
    return tuple(
        Placing(partition, Cell(max(partition) + 1, count, _stars(layout, partition), diodes, resistors))
        for partition in blocks
        for count in range(joints + 1)
    )
