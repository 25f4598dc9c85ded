"""The value-free rules word for word, circuit by circuit, with networkx."""

from collections.abc import Container
from dataclasses import dataclass
from itertools import combinations

import networkx as nx
import numpy as np

from lampwright.graphs.listing import endpoints, list_blocks, open_listing
from lampwright.judge.judge import Judge
from lampwright.network.layout import Placing
from lampwright.problem.problem import Problem
from lampwright.refute.demand import demand_of
from lampwright.refute.rules import ACROSS, MONOTONE, PATH, RULES, SAME_NET, Rule

Ends = list[list[int]]


@dataclass(frozen=True)
class Faults:
    """What is wrong with one circuit.

    barred: by star, the rules that refuse its placing. undirected, directed: the rules that refuse what lies
    between where every part is whole, diodes read both ways and one way. damaged: those that refuse it where
    something has failed, too. live: by state, the parts that may carry current.
    """

    ends: Ends
    barred: tuple[tuple[Rule, ...], ...]
    undirected: tuple[Rule, ...]
    directed: tuple[Rule, ...]
    damaged: tuple[Rule, ...]
    live: tuple[frozenset[int], ...]

    def refuted_by(self, enabled: tuple[bool, ...]) -> Rule | None:
        """The first of the enabled rules that refutes it: by star, then what lies between, then failures."""
        for rules in (*self.barred, self.undirected, self.directed, self.damaged):
            for rule in rules:
                if enabled[RULES.index(rule)]:
                    return rule
        return None


class PlainRules:
    """The rules for one cell of a problem."""

    def __init__(self, problem: Problem, placing: Placing) -> None:
        boundary = Judge(problem).boundary(placing.partition, placing.cell.internal)
        assert boundary is not None, "no wire shorts the supply"
        self.cell, self.nodes, self.copy = placing.cell, boundary.vertex_node, boundary.copy.tolist()
        self.demand = demand_of(problem.narrowed_bands, boundary, self.cell.terminals)
        self.pair = {pair: at for at, pair in enumerate(combinations(range(self.cell.vertices), 2))}
        self.whole = [at for at, state in enumerate(problem.states) if not state.is_damaged]
        self.filaments = sum(star.edges for star in self.cell.stars)

    def every(self) -> list[Faults]:
        """All circuits of the cell, in the order of the listing."""
        listing = open_listing(self.cell)
        blocks = [endpoints(listing, block.options) for block in list_blocks(self.cell)]
        return [self.faults(ends) for block in blocks for ends in block.tolist()]

    def faults(self, ends: Ends) -> Faults:
        """All that is wrong with one circuit."""
        barred, filament = [], 0
        for star in self.cell.stars:
            placed = range(filament, filament + star.edges)
            filament += star.edges
            pairs = [(f, self.pair[min(ends[f]), max(ends[f])]) for f in placed]
            banned = ((ACROSS, self.demand.banned_across), (MONOTONE, self.demand.banned_monotone))
            barred.append(tuple(rule for rule, by in banned if any(by[f, pair] for f, pair in pairs)))
        both, live = (
            [self._live(ends, state, one_way) for state in range(len(self.nodes))] for one_way in (0, 1)
        )
        whole, every = self.whole, range(len(self.nodes))
        return Faults(
            ends,
            tuple(barred),
            undirected=self._between(ends, both, whole),
            directed=self._between(ends, live, whole),
            damaged=self._between(ends, live, every),
            live=tuple(live),
        )

    def _between(self, ends: Ends, live: list[frozenset[int]], states: Container[int]) -> tuple[Rule, ...]:
        """The rules that are broken in some of the states."""
        broken = []
        glow = zip(*np.nonzero(self.demand.glow), strict=True)
        if any(int(f) not in live[state] for state, f in glow if state in states):
            broken.append(PATH)
        for (s, t), apart in zip(self.demand.clash.tolist(), self.demand.apart.tolist(), strict=True):
            if s not in states or t not in states:
                continue
            touched = {self._column(p, v) for p in live[s] for v in ends[p]}
            if live[s] == live[t] and not any((apart >> v) & 1 for v in touched) and SAME_NET not in broken:
                broken.append(SAME_NET)
        return tuple(broken)

    def _column(self, part: int, vertex: int) -> int:
        """Where a part's vertex stands: filaments that fail or lose their ground have their own."""
        return vertex + (self.copy[part] if part < len(self.copy) else 0)

    def _live(self, ends: Ends, state: int, one_way: int) -> frozenset[int]:
        """The parts on simple live-to-ground paths; a part is a vertex in each of its directions."""
        graph: nx.DiGraph[int] = nx.DiGraph()
        graph.add_nodes_from((0, 1))
        for p, (a, b) in enumerate(ends):
            n, m = (int(self.nodes[state, self._column(p, end)]) for end in (a, b))
            if n != m:
                nx.add_path(graph, (n, 100 + 2 * p, m))
                if not one_way or not self.filaments <= p < self.filaments + self.cell.arcs:
                    nx.add_path(graph, (m, 101 + 2 * p, n))
        paths = nx.all_simple_paths(graph, 1, 0)
        return frozenset((at - 100) // 2 for path in paths for at in path if at >= 100)
