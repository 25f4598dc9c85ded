"""Back-feed: current that runs the wrong way, and dead feeds that come alive through a circuit.

Two marks of a sneak path, a path that carries current where the sound circuit has none:
a part carries current against its sound direction (that of the same state; where it then
carries nothing, the only direction it ever has), or a terminal that nothing holds stands
above a quarter of the supply, fed through parts alone, and does not in the sound circuit.
The path is found from the supply down: no node on it stands above the one before.

Under 10 mA a part carries nothing. The two thresholds are our choice; no source.
"""

from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np

from lampwright.judge.every_state import Points
from lampwright.network.circuit import GROUND
from lampwright.solve.boundary import Boundary, Truths
from lampwright.solve.laws import Bytes, Floats

NOTHING_AMPS = 0.01
LIVE_SHARE = 0.25
ROUNDING_VOLTS = 1e-6

SneakKind = Literal["reversed", "made live"]


@dataclass(frozen=True)
class Sneak:
    """One sneak path in one state.

    kind: a part that carries current in reverse, or a terminal made live. at: index of
    the part, or of the terminal's vertex. path: names of nodes and parts in turn. size:
    amps reversed [A], or volts at the terminal [V].
    """

    kind: SneakKind
    at: int
    state: int
    path: tuple[str, ...]
    size: float


@dataclass(frozen=True)
class Network:
    """One circuit with a fault: what its states settle at, and what conducts.

    ends: (parts, 2). diodes: (parts,) conducts from the first end only. closed: (parts,)
    conducts at all.
    """

    boundary: Boundary
    points: Points
    ends: Bytes
    diodes: Truths
    closed: Truths
    refs: tuple[str, ...]
    nodes: tuple[str, ...]


def sound_ways(amps: Floats) -> Floats:
    """The sound direction (+1, -1, or 0 for none) of every part in every state, from sound amps."""
    ways = np.where(np.abs(amps) >= NOTHING_AMPS, np.sign(amps), 0.0)
    forth, back = (ways > 0).any(axis=0), (ways < 0).any(axis=0)
    usual = forth.astype(np.float64) - back
    return np.where(ways != 0, ways, usual)


def open_and_live(boundary: Boundary, points: Points, supply: float) -> Truths:
    """Where (states, vertices) nothing holds a vertex, and it stands above a quarter of the supply [V]."""
    live: Truths = (boundary.vertex_node >= 2) & (points.potential > LIVE_SHARE * supply)
    return live


def sneaks(
    network: Network, ways: Floats, was_live: Truths, terminals: tuple[int, ...], supply: float
) -> Iterator[Sneak]:
    """Every sneak path of every state.

    ways: of `sound_ways`; was_live: of the sound circuit's `open_and_live`; terminals: the
    vertices of the named terminals; supply [V].
    """
    amps = network.points.amps
    fine = ~network.boundary.shorted[:, None]
    against = (np.abs(amps) >= NOTHING_AMPS) & (ways * np.sign(amps) < 0) & fine
    for state, part in np.argwhere(against):
        walk = _Walk(network, int(state))
        yield Sneak(
            "reversed",
            int(part),
            int(state),
            walk.through(int(part)),
            float(abs(amps[state, part])),
        )
    vertices = was_live.shape[1]
    live = open_and_live(network.boundary, network.points, supply)[:, :vertices] & ~was_live & fine
    for state, vertex in np.argwhere(live):
        if int(vertex) in terminals:
            walk = _Walk(network, int(state))
            path = walk.to(int(vertex))
            if path:
                volts = float(network.points.potential[state, vertex])
                yield Sneak("made live", int(vertex), int(state), path, volts)


@dataclass(frozen=True)
class _Hop:
    """One part on a path, and the vertices at which the path meets it."""

    into: int
    part: int
    out: int


class _Walk:
    """Finds paths in one state."""

    def __init__(self, network: Network, state: int) -> None:
        self.network, self.state = network, state
        self.code = network.boundary.vertex_node[state]
        self.amps = network.points.amps[state]
        self.volts = network.points.potential[state]

    def through(self, part: int) -> tuple[str, ...]:
        """From the supply through a part that carries current to ground."""
        a, b = (int(end) for end in self.network.ends[part])
        hop = _Hop(a, part, b) if self.amps[part] > 0 else _Hop(b, part, a)
        above = self._hops(1, int(self.code[hop.into]), carrying=True)
        below = self._hops(int(self.code[hop.out]), 0, carrying=True)
        names = self._names([*above, hop, *below])
        return names if names[-1] == GROUND else (*names, GROUND)

    def to(self, vertex: int) -> tuple[str, ...]:
        """From the supply to a terminal; nothing where no part leads there."""
        hops = self._hops(1, int(self.code[vertex]), carrying=False)
        names = self._names(hops)
        last = self.network.nodes[vertex]
        return names if not names or names[-1] == last else (*names, last)

    def _hops(self, start: int, end: int, *, carrying: bool) -> list[_Hop]:
        """The shortest way down from one node (code) to another; empty where there is none."""
        came: dict[int, _Hop | None] = {start: None}
        queue = deque([start])
        while queue and end not in came:
            at = queue.popleft()
            for hop in self._leaving(at, carrying=carrying):
                node = int(self.code[hop.out])
                if node not in came:
                    came[node] = hop
                    queue.append(node)
        hops: list[_Hop] = []
        last = came.get(end)
        while last is not None:
            hops.insert(0, last)
            last = came[int(self.code[last.into])]
        return hops

    def _leaving(self, node: int, *, carrying: bool) -> Iterator[_Hop]:
        """Parts that lead from a node to one that is not above it."""
        network = self.network
        for part, (a, b) in enumerate(network.ends.tolist()):
            if not network.closed[part] or (carrying and abs(self.amps[part]) < NOTHING_AMPS):
                continue
            for into, out in ((a, b), (b, a)):
                if self.code[into] != node or self.code[out] == node:
                    continue
                if network.diodes[part] and into == b:
                    continue
                if self.volts[out] <= self.volts[into] + ROUNDING_VOLTS:
                    yield _Hop(into, part, out)

    def _names(self, hops: list[_Hop]) -> tuple[str, ...]:
        """Nodes and parts in turn; two nodes side by side are joined by a contact or by the fault."""
        names: list[str] = []
        for hop in hops:
            into, out = self.network.nodes[hop.into], self.network.nodes[hop.out]
            names += [into] if not names or names[-1] != into else []
            names += [self.network.refs[hop.part], out]
        return tuple(names)
