"""The value-free rules as the listing takes them: bars on what is placed, and a sieve for the rest.

Rules run in the order of `rules.RULES`, cheap ones first; a circuit counts for the
first that refutes it. What the first two refuse is barred before it is listed. The others
are asked first with diodes read as undirected edges, which can only let more through; what is
left is asked again with their direction, and then where something has failed.
"""

import numpy as np
from numpy.typing import NDArray

from lampwright.graphs.cell import Cell
from lampwright.graphs.options import OptionTable
from lampwright.graphs.sieve import Between, EdgeSieve, labelled_pairs, sieve_of
from lampwright.refute.demand import Demand
from lampwright.refute.rules import ACROSS, MONOTONE, PATH, RULES, SAME_NET

Bytes = NDArray[np.int8]
Enabled = tuple[bool, ...]


def bars_of(cell: Cell, tables: tuple[OptionTable, ...], demand: Demand, enabled: Enabled) -> Bytes:
    """By star and option 0, or the rule that refutes every circuit with that option: its place plus one."""
    coordinate, pair_of = labelled_pairs(cell, tables)
    bars = np.zeros((len(cell.stars), pair_of.shape[1]), np.int8)
    # a later rule writes first, an earlier one over it
    for rule, banned in ((MONOTONE, demand.banned_monotone), (ACROSS, demand.banned_across)):
        at = RULES.index(rule)
        for filament, star in enumerate(coordinate if enabled[at] else ()):
            bars[star][banned[filament][pair_of[filament]] == 1] = at + 1
    return bars


def sieve_for(
    cell: Cell, tables: tuple[OptionTable, ...], demand: Demand, vertex_node: Bytes, enabled: Enabled
) -> EdgeSieve:
    """The rules `path` and `same net` for a cell whose vertices are these nodes, (states, vertices)."""
    path, same_net = (at + 1 if enabled[at] else 0 for at in map(RULES.index, (PATH, SAME_NET)))
    asked = Between(vertex_node, demand.glow, demand.clash, demand.apart, path, same_net)
    return sieve_of(cell, tables, asked)


def refuted_by(cut: NDArray[np.int64], sifted: NDArray[np.int64]) -> tuple[int, ...]:
    """How many circuits each rule refuted: by what the listing cut, and the numbers of what was sifted."""
    counts = np.bincount(sifted, minlength=1 + len(RULES))
    counts[: len(cut)] += cut
    return tuple(int(count) for count in counts[1:])
