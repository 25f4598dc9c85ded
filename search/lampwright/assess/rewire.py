"""What each state joins once a fault has added a link or taken a contact away.

`solve.boundary` refuses a circuit in which wires and contacts alone join the supply to
ground; a fault may well do that, in some states and not in others, so here such states
are marked and the rest are numbered all the same. Without a fault both say the same.

Worked case: terminals 54 and 31, a switch from the supply to 54. Off, 54 is open (2);
on, it is live (1); on and 54 bridged to 31, the state is shorted.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lampwright.network.circuit import GROUND, SUPPLY
from lampwright.problem.problem import Problem
from lampwright.solve.laws import Bytes, Ints

Truths = NDArray[np.bool_]
Edge = tuple[int, int]

GROUND_POINT = 0
SUPPLY_POINT = 1
FIRST_POINT = 2
"""Points are ground, the supply and then the vertices: blocks first, joints after."""


@dataclass(frozen=True)
class Damage:
    """What a fault does to wires and contacts.

    joins: pairs of vertices that became one. dead: the control whose contacts with the
    supply never close ("" for none). rail_lost: terminal 30 is cut from the supply.
    """

    joins: tuple[Edge, ...] = ()
    dead: str = ""
    rail_lost: bool = False


@dataclass(frozen=True)
class Wiring:
    """The boundary of every state, with the contacts of every control.

    vertex_node: (states, vertices) 0 ground, 1 supply, 2 and up open groups. shorted:
    (states,) where the supply meets ground; the row says nothing then. gate_state,
    gate_control: (gates,). beyond: (gates, vertices) what is fed through the contact.
    exact: (gates,) false where a second path runs beside it and the sum of sizes is an
    upper bound.
    """

    vertex_node: Bytes
    shorted: Truths
    gate_state: Ints
    gate_control: Ints
    beyond: Truths
    exact: Truths


def _roots(size: int, edges: list[Edge]) -> list[int]:
    """For every point the least point it is joined to."""
    root = list(range(size))
    for a, b in edges:
        low, high = sorted((root[a], root[b]))
        if low != high:
            root = [low if at == high else at for at in root]
    return root


class Rewirer:
    """Wires one circuit's vertices state by state."""

    def __init__(self, problem: Problem, partition: tuple[int, ...], joints: int) -> None:
        """Take the terminals in the partition's order."""
        names = problem.layout.terminals
        self.vertices = max(partition) + 1 + joints
        point = {name: FIRST_POINT + block for name, block in zip(names, partition, strict=True)}
        self._rails: list[Edge] = [(GROUND_POINT, point[GROUND])] if GROUND in point else []
        self._live: list[Edge] = [(SUPPLY_POINT, point[SUPPLY])] if SUPPLY in point else []
        # a contact with 30 begins at the battery, whatever became of the terminal
        point[SUPPLY] = SUPPLY_POINT
        numbers = {control.name: at for at, control in enumerate(problem.spec.controls)}
        self._contacts = [
            [(numbers[c.control], c.control, (point[c.a], point[c.b])) for c in state.contacts]
            for state in problem.states
        ]

    def wire(self, damage: Damage) -> Wiring:
        """The boundary under some damage."""
        rows: list[list[int]] = []
        shorted: list[bool] = []
        gates: list[tuple[int, int, list[bool], bool]] = []
        always = [*self._rails, *([] if damage.rail_lost else self._live)]
        always += [(FIRST_POINT + a, FIRST_POINT + b) for a, b in damage.joins]
        for state, contacts in enumerate(self._contacts):
            closed = [
                (control, edge)
                for control, name, edge in contacts
                if not (name == damage.dead and SUPPLY_POINT in edge)
            ]
            root = _roots(FIRST_POINT + self.vertices, [*always, *(edge for _, edge in closed)])
            shorted.append(root[SUPPLY_POINT] == GROUND_POINT)
            rows.append(_codes(root))
            for at, (control, edge) in enumerate(closed):
                others = [one for n, (_, one) in enumerate(closed) if n != at]
                beyond, exact = self._beyond([*always, *others], edge)
                gates.append((state, control, beyond, exact))
        return Wiring(
            vertex_node=np.array(rows, np.int8),
            shorted=np.array(shorted, np.bool_),
            gate_state=np.array([gate[0] for gate in gates], np.int64),
            gate_control=np.array([gate[1] for gate in gates], np.int64),
            beyond=np.array([gate[2] for gate in gates], np.bool_).reshape(-1, self.vertices),
            exact=np.array([gate[3] for gate in gates], np.bool_),
        )

    def _beyond(self, edges: list[Edge], contact: Edge) -> tuple[list[bool], bool]:
        """The vertices on the far side of a contact from the rails, and whether it is the only way there."""
        size, vertices = FIRST_POINT + self.vertices, range(self.vertices)
        root = _roots(size, edges)
        sides = [root[end] for end in contact]
        if sides[0] != sides[1]:
            rails = [(root[GROUND_POINT] == side) + (root[SUPPLY_POINT] == side) for side in sides]
            far = sides[0] if rails[0] <= rails[1] else sides[1]
            return [root[FIRST_POINT + vertex] == far for vertex in vertices], True
        # a second path runs beside it: what hangs on it without the rails bounds its current
        loose = [edge for edge in (*edges, contact) if min(edge) >= FIRST_POINT]
        root = _roots(size, loose)
        hung = {root[end] for end in contact if end >= FIRST_POINT}
        return [root[FIRST_POINT + vertex] in hung for vertex in vertices], False


def _codes(root: list[int]) -> list[int]:
    """Solver codes of the vertices: the rails keep theirs, other groups count up from 2."""
    codes = {GROUND_POINT: 0, root[SUPPLY_POINT]: 1}
    for point in root[FIRST_POINT:]:
        codes.setdefault(point, len(codes) if root[SUPPLY_POINT] else len(codes) + 1)
    return [codes[point] for point in root[FIRST_POINT:]]
