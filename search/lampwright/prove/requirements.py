"""What a spec asks, state by state, and the partitions on which circuits can be placed.

A want is one cell of the behaviour table: a filament's band in a state, or two filaments
that must shine alike. States in which the same contacts are closed are one to any circuit,
so cells that ask the same of them are one want.

A partition is one way of joining terminals by wires: numbered vertices (blocks of terminals,
then joints) and, for every situation, which of them are grounded, live or open. Ways that
join supply to ground in some state are no partitions: no design may do that.
"""

from dataclasses import dataclass, replace

import numpy as np

from lampwright.network.layout import partitions
from lampwright.problem.edges import NOTHING, flux_edges
from lampwright.problem.problem import Problem
from lampwright.solve.boundary import boundary_of
from lampwright.spec.levels import ANY
from lampwright.spec.model import AskedBand

GROUND = 0
LIVE = 1


@dataclass(frozen=True)
class Want:
    """One thing that a spec asks.

    states: those that ask it, all one situation to a circuit. other None: the relative flux of
    `filament` must be from low to high, for each of its types at each supply, supplies
    fastest. Otherwise, one pair: the lumens of `filament` over those of `other` must be, unless
    both are off.
    """

    states: tuple[int, ...]
    filament: int
    other: int | None
    low: tuple[float, ...]
    high: tuple[float, ...]

    @property
    def must_glow(self) -> bool:
        """Whether it asks a filament for some light."""
        return self.other is None and min(self.low) > 0.0

    def is_above(self, other: "Want") -> bool:
        """Whether one filament must give more light here than there, whatever its type and the supply."""
        same = self.filament == other.filament and self.other is None and other.other is None
        return same and all(low > high for low, high in zip(self.low, other.high, strict=True))

    def is_apart_from(self, other: "Want") -> bool:
        """Whether one filament is asked for two bands that have nothing in common."""
        return self.is_above(other) or other.is_above(self)


@dataclass(frozen=True)
class TerminalPartition:
    """One set of vertices. nodes: per situation and vertex 0 grounded, 1 live, 2 and up open groups.

    situation_of: per want, where in `nodes` it is judged.
    """

    block_of: tuple[int, ...]
    joints: int
    nodes: tuple[tuple[int, ...], ...]
    situation_of: tuple[int, ...]

    @property
    def blocks(self) -> int:
        """How many vertices are blocks of terminals; joints follow."""
        return max(self.block_of) + 1

    @property
    def vertices(self) -> int:
        """Blocks and joints."""
        return self.blocks + self.joints

    def is_raised(self, s: int, t: int) -> bool:
        """Whether every vertex is as high in situation t as in s, or higher.

        Only where open terminals are not joined to each other: joining is no rise.
        """
        return all(
            len(_open(row)) == sum(n > LIVE for n in row) for row in (self.nodes[s], self.nodes[t])
        ) and all(_height(a) <= _height(b) for a, b in zip(self.nodes[s], self.nodes[t], strict=True))

    def differing(self, s: int, t: int) -> tuple[int, ...]:
        """The vertices that are not the same node in both situations; open groups are their members."""
        first, second = self.nodes[s], self.nodes[t]
        return tuple(v for v in range(self.vertices) if _company(first, v) != _company(second, v))


def _open(row: tuple[int, ...]) -> frozenset[int]:
    return frozenset(n for n in row if n > LIVE)


def _height(node: int) -> int:
    return {GROUND: 0, LIVE: 2}.get(node, 1)


def _company(row: tuple[int, ...], vertex: int) -> tuple[int, ...]:
    """What tells a vertex's node: held so, or open together with these."""
    node = row[vertex]
    return (node,) if node <= LIVE else (2, *(v for v, other in enumerate(row) if other == node))


def wants_of(problem: Problem) -> tuple[Want, ...]:
    """Everything the spec asks, in order of states and filaments, then what must match."""
    alone = tuple(range(len(problem.layout.terminals)))
    rows = _rows(problem, alone, 0)
    if rows is None:
        raise ValueError("a control joins supply to ground: the loader refuses such specs")
    asked: dict[tuple[tuple[int, ...], int, int | None, AskedBand], list[int]] = {}
    for at, state in enumerate(problem.states):
        for filament, band in enumerate(state.bands):
            if band not in (None, NOTHING):
                asked.setdefault((rows[at], filament, None, band), []).append(at)
    for at, state in enumerate(problem.states):
        for check in state.same:
            ratio = AskedBand(1.0 - check.within, 1.0 + check.within)
            asked.setdefault((rows[at], check.first, check.second, ratio), []).append(at)
    return tuple(
        _want(problem, tuple(states), filament, other, band)
        for (_, filament, other, band), states in asked.items()
    )


def _want(
    problem: Problem, states: tuple[int, ...], filament: int, other: int | None, band: AskedBand
) -> Want:
    if other is not None:
        return Want(states, filament, other, (band.low,), (band.high,))
    types = [problem.part_options.filaments[model] for model in problem.part_options.filament_model[filament]]
    edges = flux_edges([band], types, problem.volts)
    return Want(
        states, filament, other, tuple(edges.low.ravel().tolist()), tuple(edges.high.ravel().tolist())
    )


def asking_only(problem: Problem, wants: tuple[Want, ...]) -> Problem:
    """A problem that asks these things and nothing else."""
    cells = {(state, want.filament) for want in wants if want.other is None for state in want.states}
    pairs = {(s, want.filament, want.other) for want in wants if want.other is not None for s in want.states}
    kept = np.array(
        [[(s, f) in cells for f in range(len(problem.layout.filaments))] for s in range(len(problem.states))]
    ).reshape(problem.demands.low_stops.shape[1:3])
    old = problem.demands
    matching = np.array(
        [key in pairs for key in zip(old.same_state, old.same_first, old.same_second, strict=True)], np.bool_
    )
    demands = old._replace(
        low_stops=np.where(kept[:, :, None], old.low_stops, -np.inf),
        high_stops=np.where(kept[:, :, None], old.high_stops, np.inf),
        low_volts=np.where(kept[:, :, None], old.low_volts, 0.0),
        high_volts=np.where(kept[:, :, None], old.high_volts, np.inf),
        same_first=old.same_first[matching],
        same_second=old.same_second[matching],
        same_state=old.same_state[matching],
        same_low=old.same_low[matching],
        same_high=old.same_high[matching],
    )
    states = tuple(
        replace(
            state,
            words=tuple(word if on else ANY for word, on in zip(state.words, kept[at], strict=True)),
            bands=tuple(band if on else None for band, on in zip(state.bands, kept[at], strict=True)),
            same=tuple(check for check in state.same if (at, check.first, check.second) in pairs),
        )
        for at, state in enumerate(problem.states)
    )
    return replace(problem, states=states, demands=demands)


def partitions_of(problem: Problem, wants: tuple[Want, ...]) -> tuple[TerminalPartition, ...]:
    """The partitions of a spec, fewest wires first."""
    found = []
    for block_of in partitions(problem.layout, problem.spec.bounds.wires):
        rows = _rows(problem, block_of, problem.spec.bounds.joints)
        if rows is not None:
            asked = [rows[want.states[0]] for want in wants]
            nodes = tuple(dict.fromkeys(asked))
            found.append(
                TerminalPartition(
                    block_of, problem.spec.bounds.joints, nodes, tuple(nodes.index(row) for row in asked)
                )
            )
    return tuple(found)


def _rows(problem: Problem, block_of: tuple[int, ...], joints: int) -> tuple[tuple[int, ...], ...] | None:
    """The node of every vertex in every state, open groups numbered as they appear."""
    boundary = boundary_of(problem.spec, problem.states, problem.layout.terminals, block_of, joints)
    if boundary is None:
        return None
    rows = []
    for row in boundary.vertex_node.tolist():
        seen = list(dict.fromkeys(node for node in row if node > LIVE))
        rows.append(tuple(node if node <= LIVE else 2 + seen.index(node) for node in row))
    return tuple(rows)
