"""The partitions on which circuits can be placed, and what is asked on them.

States in which the same contacts are closed and the same parts have failed are one to any circuit: what is
asked alike in all of them is one requirement. States in which filaments are open or a ground is lost are no
situations here: leaving out what is asked in them can only let more through.

A partition is one way of joining terminals by wires: numbered vertices (blocks of terminals,
then joints) and, for every situation, which of them are grounded, live or open. Ways that
join supply to ground in some state are no partitions: no design may do that.
"""

from dataclasses import dataclass, replace

from lampwright.network.layout import partitions
from lampwright.problem.problem import Problem
from lampwright.problem.requirements import Requirement
from lampwright.solve.boundary import boundary_of

GROUND = 0
LIVE = 1


@dataclass(frozen=True)
class TerminalPartition:
    """One set of vertices. nodes: per situation and vertex 0 grounded, 1 live, 2 and up open groups.

    situation_of: per requirement, where in `nodes` it is judged.
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


def joined_requirements(problem: Problem) -> tuple[Requirement, ...]:
    """All that the spec asks; what states that are one to any circuit ask alike is one requirement."""
    alone = tuple(range(len(problem.layout.terminals)))
    rows = _rows(problem, alone, 0)
    if rows is None:
        raise ValueError("a control joins supply to ground: the loader refuses such specs")
    joined: dict[tuple[object, ...], Requirement] = {}
    for one in problem.requirements:
        state = problem.states[one.state]
        key = rows[one.state], state.opened, state.hung, one.filament, one.other, one.band
        before = joined.get(key)
        joined[key] = one if before is None else replace(before, states=(*before.states, *one.states))
    return tuple(joined.values())


def undamaged(problem: Problem) -> tuple[Requirement, ...]:
    """Those of the joined requirements that a situation can hold."""
    every = joined_requirements(problem)
    return tuple(one for one in every if not problem.states[one.state].is_damaged)


def partitions_of(problem: Problem, requirements: tuple[Requirement, ...]) -> tuple[TerminalPartition, ...]:
    """The partitions of a spec, fewest wires first."""
    found = []
    for block_of in partitions(problem.layout, problem.spec.bounds.wires):
        rows = _rows(problem, block_of, problem.spec.bounds.joints)
        if rows is not None:
            asked = [rows[one.state] for one in requirements]
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
    for row in boundary.vertex_node[:, : boundary.vertices].tolist():
        seen = list(dict.fromkeys(node for node in row if node > LIVE))
        rows.append(tuple(node if node <= LIVE else 2 + seen.index(node) for node in row))
    return tuple(rows)
