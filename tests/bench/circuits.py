"""Random circuits with a given number of unknown nodes, and the parts they are made of.

Vertex 0 is ground, 1 and 2 are live feeds, the rest unknown, each touched at least twice.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lampwright.parts.catalogue import diode_types, lamp_type
from lampwright.parts.diode import DiodeType
from lampwright.parts.filament import Filament
from lampwright.solve.laws import DIODE, FILAMENT, RESISTOR

VOLTS = 14.4
SPARE_PARTS = 4
"""Parts beyond the number of unknown nodes."""

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Circuits:
    """n fitted circuits of p parts between k unknown nodes.

    ends: (n, p, 2) vertices. node_of: (1, vertices) 0 ground, 1 supply, 2 and up unknown. kind,
    row, value: (n, p) what each part is, which type, and a resistor's siemens.
    """

    ends: NDArray[np.int8]
    node_of: NDArray[np.int8]
    kind: Ints
    row: Ints
    value: Floats

    @property
    def unknown(self) -> int:
        """The number of unknown nodes, k."""
        return len(self.node_of[0]) - 3

    def first(self, count: int) -> "Circuits":
        """The first so many."""
        parts = self.ends[:count], self.kind[:count], self.row[:count], self.value[:count]
        return Circuits(parts[0], self.node_of, *parts[1:])


def filament_types() -> list[Filament]:
    """Four bulbs, from 2 to 21 watts."""
    return [lamp_type(name, 12).filaments[0] for name in ("P21W", "R10W", "R5W", "W2.3W")]


def diode_models() -> list[DiodeType]:
    """Two rectifiers, for 1 and 3 amperes."""
    return [diode for diode in diode_types() if diode.name in ("1N4004", "1N5404")]


def random_circuits(count: int, unknown: int, *, diodes: bool, seed: int = 1, fits: int = 1) -> Circuits:
    """So many fitted circuits; with diodes, each has at least one.

    fits: so many of them in a row differ in types and ohms alone.
    """
    chance = np.random.default_rng(seed)
    graphs = -(-count // fits)
    parts, vertices = unknown + SPARE_PARTS, unknown + 3
    found: list[tuple[NDArray[np.int8], Ints]] = []
    while sum(len(ends) for ends, _ in found) < graphs:
        tail = chance.integers(0, vertices, (4 * graphs, parts))
        head = (tail + chance.integers(1, vertices, tail.shape)) % vertices
        shares = (0.5, 0.25, 0.25) if diodes else (0.75, 0.25, 0.0)
        kind = chance.choice([FILAMENT, RESISTOR, DIODE], tail.shape, p=shares).astype(np.int64)
        ends = np.stack([tail, head], axis=2)
        degrees = (ends.reshape(len(ends), -1, 1) == np.arange(3, vertices)).sum(axis=1)
        good = (degrees >= 2).all(axis=1) & ((kind == DIODE).any(axis=1) == diodes)
        found.append((ends[good].astype(np.int8), kind[good]))
    ends = np.concatenate([each for each, _ in found])[:graphs].repeat(fits, axis=0)[:count]
    kind = np.concatenate([each for _, each in found])[:graphs].repeat(fits, axis=0)[:count]
    types = np.where(kind == FILAMENT, len(filament_types()), np.where(kind == DIODE, len(diode_models()), 1))
    value = np.where(kind == RESISTOR, 10 ** -chance.uniform(0, 2, kind.shape), 1.0 * (kind == FILAMENT))
    node_of = np.array([[0, 1, 1, *range(2, 2 + unknown)]], np.int8)
    return Circuits(ends, node_of, kind, chance.integers(0, types), value)
