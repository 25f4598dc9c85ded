"""Where every part lies, as variables that can be fixed to a circuit and read from a solution.

A part is a filament, or a slot that may hold an extra part or nothing. It has one literal
for each pair of vertices it may join: unordered for filaments and resistors, ordered from
the anode for diodes. What circuits exist is thus as in `network.layout`, but that several
rules of the listing are left to rules here, and some out: a model may have more circuits
than are listed, never fewer.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations, permutations

import numpy as np
from ortools.sat.python import cp_model

from lampwright.network.layout import Layout
from lampwright.network.netlist import Netlist
from lampwright.prove.logic import Literal, any_of
from lampwright.prove.partitions import TerminalPartition
from lampwright.solve.laws import DIODE, FILAMENT, RESISTOR

Pair = tuple[int, int]


@dataclass(frozen=True)
class ExtraSlots:
    """Limits: slots for diodes, slots for resistors, extra parts in all."""

    diodes: int
    resistors: int
    most: int


@dataclass(frozen=True)
class PlacedPart:
    """One part: its kind, the pairs it may join, and a literal for each; slots may stay empty."""

    kind: int
    pairs: tuple[Pair, ...]
    takes: tuple[cp_model.IntVar, ...]

    @property
    def options(self) -> Iterator[tuple[Pair, cp_model.IntVar]]:
        """Pairs with their literals."""
        return zip(self.pairs, self.takes, strict=True)


class Placement:
    """The variables of one partition: filaments in order, then slots for diodes, then for resistors."""

    def __init__(
        self, model: cp_model.CpModel, layout: Layout, partition: TerminalPartition, extras: ExtraSlots
    ) -> None:
        """Make the variables; every filament lies somewhere, every slot somewhere or nowhere."""
        self.model, self.layout, self.partition, self.extras = model, layout, partition, extras
        self.pieces = (
            *(self._piece(FILAMENT, f"f{n}") for n in range(len(layout.filaments))),
            *(self._piece(DIODE, f"d{n}") for n in range(extras.diodes)),
            *(self._piece(RESISTOR, f"r{n}") for n in range(extras.resistors)),
        )
        self._links: dict[Pair, Literal] = {}

    def _piece(self, kind: int, name: str) -> PlacedPart:
        order = permutations if kind == DIODE else combinations
        pairs = tuple((a, b) for a, b in order(range(self.partition.vertices), 2))
        takes = tuple(self.model.new_bool_var(f"{name}@{a}-{b}") for a, b in pairs)
        if kind == FILAMENT:
            self.model.add_exactly_one(takes)
        else:
            self.model.add_at_most_one(takes)
        return PlacedPart(kind, pairs, takes)

    @cached_property
    def filaments(self) -> tuple[PlacedPart, ...]:
        """The filaments alone, in the layout's order."""
        return self.pieces[: len(self.layout.filaments)]

    @property
    def slots(self) -> tuple[PlacedPart, ...]:
        """The slots for extra parts."""
        return self.pieces[len(self.layout.filaments) :]

    def touches(self, piece: PlacedPart, vertex: int) -> list[cp_model.IntVar]:
        """The literals that put an end of a part on a vertex."""
        return [take for pair, take in piece.options if vertex in pair]

    def link(self, a: int, b: int) -> Literal:
        """Whether some part can carry current from column a to column b, which are of one copy."""
        if (a, b) not in self._links:
            copy = a - a % self.partition.vertices
            first, second = a - copy, b - copy
            ways = [
                take
                for part, piece in enumerate(self.pieces)
                if self.partition.column(part, 0) == copy
                for pair, take in piece.options
                if pair == (first, second) or (pair == (second, first) and piece.kind != DIODE)
            ]
            self._links[a, b] = any_of(self.model, ways)
        return self._links[a, b]

    def fixed(self, netlist: Netlist) -> Iterator[tuple[Literal, ...]]:
        """The literals that say where every part of a circuit lies, for each naming of the joints.

        The circuit's partition must be the partition's; an empty iterator means that it does not fit.
        """
        blocks, partition = self.partition.blocks, self.partition
        if netlist.partition != partition.block_of or netlist.joints > partition.joints:
            return
        if netlist.diodes > self.extras.diodes or netlist.resistors > self.extras.resistors:
            return
        for names in permutations(range(blocks, partition.vertices), netlist.joints):
            vertex = (*range(blocks), *names)
            ends = [(vertex[a], vertex[b]) for a, b in netlist.ends.tolist()]
            yield tuple(self._literals(ends, netlist))

    def _literals(self, ends: list[Pair], netlist: Netlist) -> Iterator[Literal]:
        count = len(self.layout.filaments)
        diodes = ends[count : count + netlist.diodes]
        resistors = ends[count + netlist.diodes :]
        drawn: list[Pair | None] = [*ends[:count]]
        for kind, most in ((diodes, self.extras.diodes), (resistors, self.extras.resistors)):
            pairs = sorted(pair if kind is diodes else (min(pair), max(pair)) for pair in kind)
            drawn += [*pairs, *[None] * (most - len(pairs))]
        for piece, lies in zip(self.pieces, drawn, strict=True):
            wanted = None if lies is None or piece.kind == DIODE else (min(lies), max(lies))
            wanted = lies if piece.kind == DIODE else wanted
            yield from (take if pair == wanted else ~take for pair, take in piece.options)

    def read(self, solver: cp_model.CpSolver) -> Netlist:
        """The circuit of a solution, without joints that nothing touches."""
        lying = [
            (piece.kind, pair) for piece in self.pieces for pair, take in piece.options if solver.value(take)
        ]
        blocks = self.partition.blocks
        touched = sorted({v for _, pair in lying for v in pair if v >= blocks})
        vertex = {v: v for v in range(blocks)} | {v: blocks + at for at, v in enumerate(touched)}
        ends = np.array([(vertex[a], vertex[b]) for _, (a, b) in lying], np.int8).reshape(-1, 2)
        kinds = [kind for kind, _ in lying]
        return Netlist(self.partition.block_of, len(touched), ends, kinds.count(DIODE), kinds.count(RESISTOR))
