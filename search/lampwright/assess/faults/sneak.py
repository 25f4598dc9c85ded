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

import numpy as np

from lampwright.assess.faults.bench import Settled
from lampwright.assess.faults.listing import Circuitry
from lampwright.network.circuit import GROUND
from lampwright.problem.problem import Problem
from lampwright.results.care import SneakPath
from lampwright.solve.boundary import Truths
from lampwright.solve.laws import DIODE, Floats

NOTHING_AMPS = 0.01
LIVE_SHARE = 0.25
ROUNDING_VOLTS = 1e-6
LOST = "lost ground"
Hop = tuple[int, int, int]
"""One part on a path between the vertices at which the path meets it: into, part, out."""


def sound_ways(amps: Floats) -> Floats:
    """The sound direction (+1, -1, or 0 for none) of every part in every state, from sound amps."""
    ways = np.where(np.abs(amps) >= NOTHING_AMPS, np.sign(amps), 0.0)
    forth, back = (ways > 0).any(axis=0), (ways < 0).any(axis=0)
    usual = forth.astype(np.float64) - back
    return np.where(ways != 0, ways, usual)


def open_and_live(settled: Settled, supply: float) -> Truths:
    """Where (states, vertices) nothing holds a vertex, and it stands above a quarter of the supply [V]."""
    held = settled.fitting.boundary.vertex_node < 2
    live: Truths = ~held & (settled.points.potential > LIVE_SHARE * supply)
    return live


def sneak_paths(
    problem: Problem, circuit: Circuitry, settled: Settled, ways: Floats, was_live: Truths
) -> tuple[SneakPath, ...]:
    """Every sneak path at the normal supply, with the states in which it carries and the worst of them.

    ways: of `sound_ways`; was_live: of the sound circuit's `open_and_live`.
    """
    amps, potential = settled.points.amps, settled.points.potential
    fine = ~settled.shorted[:, None]
    against = (np.abs(amps) >= NOTHING_AMPS) & (ways * settled.fitting.signs * np.sign(amps) < 0) & fine
    seen: dict[tuple[str, int, tuple[str, ...]], list[tuple[int, float]]] = {}
    for state, part in np.argwhere(against).tolist():
        path = _Walk(circuit, settled, state).through(part)
        seen.setdefault(("reversed", part, path), []).append((state, float(abs(amps[state, part]))))
    vertices = was_live.shape[1]
    live = open_and_live(settled, float(problem.volts[1]))[:, :vertices] & ~was_live & fine
    for state, vertex in np.argwhere(live).tolist():
        if vertex in circuit.netlist.partition:
            path = _Walk(circuit, settled, state).to(vertex)
            if path:
                seen.setdefault(("made live", vertex, path), []).append(
                    (state, float(potential[state, vertex]))
                )
    return tuple(
        SneakPath(
            kind="reversed" if kind == "reversed" else "made live",
            at=circuit.refs[at] if kind == "reversed" else circuit.nodes[at],
            path=path,
            amps=max(size for _, size in sizes) if kind == "reversed" else None,
            volts=None if kind == "reversed" else max(size for _, size in sizes),
            states=tuple(problem.states[state].full_name for state, _ in sizes),
        )
        for (kind, at, path), sizes in seen.items()
    )


class _Walk:
    """Finds paths in one state."""

    def __init__(self, circuit: Circuitry, settled: Settled, state: int) -> None:
        self.refs, self.nodes, self.fitting = circuit.refs, (*circuit.nodes, LOST), settled.fitting
        self.code = settled.fitting.boundary.vertex_node[state]
        self.amps = settled.points.amps[state]
        self.volts = settled.points.potential[state]

    def through(self, part: int) -> tuple[str, ...]:
        """From the supply through a part that carries current to ground."""
        a, b = (int(end) for end in self.fitting.ends[part])
        hop = (a, part, b) if self.amps[part] > 0 else (b, part, a)
        above = self._hops(1, int(self.code[hop[0]]), carrying=True)
        below = self._hops(int(self.code[hop[2]]), 0, carrying=True)
        names = self._names([*above, hop, *below])
        return names if names[-1] == GROUND else (*names, GROUND)

    def to(self, vertex: int) -> tuple[str, ...]:
        """From the supply to a terminal; nothing where no part leads there."""
        hops = self._hops(1, int(self.code[vertex]), carrying=False)
        names = self._names(hops)
        last = self.nodes[vertex]
        return names if not names or names[-1] == last else (*names, last)

    def _hops(self, start: int, end: int, *, carrying: bool) -> list[Hop]:
        """The shortest way down from one node (code) to another; empty where there is none."""
        came: dict[int, Hop | None] = {start: None}
        queue = deque([start])
        while queue and end not in came:
            at = queue.popleft()
            for hop in self._leaving(at, carrying=carrying):
                node = int(self.code[hop[2]])
                if node not in came:
                    came[node] = hop
                    queue.append(node)
        hops: list[Hop] = []
        last = came.get(end)
        while last is not None:
            hops.insert(0, last)
            last = came[int(self.code[last[0]])]
        return hops

    def _leaving(self, node: int, *, carrying: bool) -> Iterator[Hop]:
        """Parts that lead from a node to one that is not above it."""
        fitting = self.fitting
        closed = fitting.closed
        for part, (a, b) in enumerate(fitting.ends.tolist()):
            if not closed[part] or (carrying and abs(self.amps[part]) < NOTHING_AMPS):
                continue
            for into, out in ((a, b), (b, a)):
                if self.code[into] != node or self.code[out] == node:
                    continue
                if fitting.kinds[part] == DIODE and into == b:
                    continue
                if self.volts[out] <= self.volts[into] + ROUNDING_VOLTS:
                    yield into, part, out

    def _names(self, hops: list[Hop]) -> tuple[str, ...]:
        """Nodes and parts in turn; two nodes side by side are joined by a contact or by the fault."""
        names: list[str] = []
        for tail, part, head in hops:
            into = self.nodes[tail]
            names += [into] if not names or names[-1] != into else []
            names += [self.refs[part], self.nodes[head]]
        return tuple(names)
