"""The partitions on which circuits can be placed, and what is asked on them.

States in which the same contacts are closed and the same parts have failed are one to any circuit: what is
asked alike in all of them is one requirement.

A partition is one way of joining terminals by wires: numbered vertices (blocks of terminals,
then joints) and, for every situation, which of them are grounded, live or open. Filaments that fail or lose
their ground in some state have copies of the vertices for themselves (see `solve.boundary`). Ways that
join supply to ground in some state are no partitions: no design may do that.
"""

from dataclasses import dataclass, replace

from lampwright.network.layout import partitions
from lampwright.problem.problem import Problem
from lampwright.problem.requirements import Requirement
from lampwright.solve.boundary import boundary_of
from lampwright.solve.compared import differing, is_raised

GROUND = 0
LIVE = 1


@dataclass(frozen=True)
class TerminalPartition:
    """One set of vertices. nodes: per situation and column 0 grounded, 1 live, 2 and up open groups.

    The first columns are the vertices; vertex v of filament f stands in column v + copy[f]. situation_of:
    per requirement, where in `nodes` it is judged; versus_of: where what it is compared with is.
    """

    block_of: tuple[int, ...]
    joints: int
    nodes: tuple[tuple[int, ...], ...]
    situation_of: tuple[int, ...]
    versus_of: tuple[int, ...]
    copy: tuple[int, ...]

    @property
    def blocks(self) -> int:
        """How many vertices are blocks of terminals; joints follow."""
        return max(self.block_of) + 1

    @property
    def vertices(self) -> int:
        """Blocks and joints."""
        return self.blocks + self.joints

    def column(self, part: int, vertex: int) -> int:
        """Where a part's vertex stands; filaments come first of all parts."""
        return vertex + (self.copy[part] if part < len(self.copy) else 0)

    def is_raised(self, s: int, t: int) -> bool:
        """Whether situation t is s with nothing lower and nothing else failed."""
        return is_raised(self.nodes[s], self.nodes[t], self.vertices)

    def differing(self, s: int, t: int) -> tuple[int, ...]:
        """The columns that are not the same node in both situations; open groups are their members."""
        return differing(self.nodes[s], self.nodes[t], self.vertices)


def joined_requirements(problem: Problem) -> tuple[Requirement, ...]:
    """All that the spec asks, comparisons last; what states that are one to any circuit ask alike is one."""
    alone = tuple(range(len(problem.layout.terminals)))
    found = _rows(problem, alone, 0)
    if found is None:
        raise ValueError("a control joins supply to ground: the loader refuses such specs")
    rows, states = found.nodes, problem.states
    joined: dict[tuple[object, ...], Requirement] = {}
    for one in (*problem.requirements, *problem.requirements.compared):
        shown = [(rows[at], states[at].opened, states[at].hung) for at in (*one.states, *one.versus)]
        key = *shown, one.filament, one.other, one.band
        before = joined.get(key)
        if before is not None:
            one = replace(before, states=before.states + one.states, versus=before.versus + one.versus)
        joined[key] = one
    return tuple(joined.values())


def partitions_of(problem: Problem, requirements: tuple[Requirement, ...]) -> tuple[TerminalPartition, ...]:
    """The partitions of a spec, fewest wires first."""
    found = []
    for block_of in partitions(problem.layout, problem.spec.bounds.wires):
        rows = _rows(problem, block_of, problem.spec.bounds.joints)
        if rows is not None:
            asked = [rows.nodes[one.state] for one in requirements]
            versus = [rows.nodes[(*one.versus, one.state)[0]] for one in requirements]
            nodes = tuple(dict.fromkeys((*asked, *versus)))
            at, other = (tuple(nodes.index(row) for row in some) for some in (asked, versus))
            joints = problem.spec.bounds.joints
            found.append(TerminalPartition(block_of, joints, nodes, at, other, rows.copy))
    return tuple(found)


@dataclass(frozen=True)
class NodeRows:
    """The node of every column in every state, open groups numbered as they appear; copies by filament."""

    nodes: tuple[tuple[int, ...], ...]
    copy: tuple[int, ...]


def _rows(problem: Problem, block_of: tuple[int, ...], joints: int) -> NodeRows | None:
    boundary = boundary_of(problem.spec, problem.states, problem.layout.terminals, block_of, joints)
    if boundary is None:
        return None
    rows = []
    for row in boundary.vertex_node.tolist():
        seen = list(dict.fromkeys(node for node in row if node > LIVE))
        rows.append(tuple(node if node <= LIVE else 2 + seen.index(node) for node in row))
    return NodeRows(tuple(rows), tuple(boundary.copy.tolist()))
