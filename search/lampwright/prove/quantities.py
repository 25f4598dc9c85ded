"""Volts and amps of a formulation, in whole steps.

A potential is the true one of the ideal circuit, rounded to a step of `VOLT`; a current's
size is rounded to a step of `AMP`. Rounding keeps order and equality, and a difference of
two rounded potentials is within one step of the true one: what a rule says of `size` steps
it must grant to one step more and one less.
"""

from dataclasses import dataclass

from ortools.sat.python import cp_model

from lampwright.prove.formulation import Formulation
from lampwright.prove.logic import Literal, both, flipped, given, implies
from lampwright.prove.placement import Piece
from lampwright.prove.requirements import GROUND, LIVE
from lampwright.solve.laws import DIODE

VOLT = 0.01
"""A step of potential [V]; the ideal circuit's differ from the solver's by far less."""

AMP = 0.0001
"""A step of current [A]."""

MOST_AMPS = 200.0
"""No current of a circuit within its ratings comes near this [A]."""


@dataclass(frozen=True)
class Branch:
    """A part in a scene: whether it carries current, at which vertex it is higher and lower, how much.

    size: steps of volts across it, 0 where nothing flows. amps: steps of current.
    """

    flows: Literal
    high: tuple[Literal, ...]
    low: tuple[Literal, ...]
    size: cp_model.LinearExprT
    amps: cp_model.LinearExprT


class BranchQuantities:
    """The numeric variables of a formulation, made as rules ask for them."""

    def __init__(self, formulation: Formulation) -> None:
        """Start with none."""
        self.formulation = formulation
        self.model = formulation.model
        self._potential: dict[tuple[int, int], cp_model.IntVar] = {}
        self._branch: dict[tuple[int, int], Branch] = {}
        self._reach: dict[tuple[int, int, int], Literal] = {}

    def top(self, scene: int) -> int:
        """The supply in steps."""
        return round(self.formulation.scenes[scene].volts / VOLT)

    def potential(self, scene: int, node: int) -> cp_model.LinearExprT:
        """The potential of a node in steps."""
        if node == GROUND or not self.formulation.scenes[scene].is_live:
            return 0
        if node == LIVE:
            return self.top(scene)
        key = scene, node
        if key not in self._potential:
            self._potential[key] = self.model.new_int_var(0, self.top(scene), f"{scene}: V{node}")
        return self._potential[key]

    def branch(self, scene: int, part: int) -> Branch:
        """Part number `part` in a scene."""
        key = scene, part
        if key not in self._branch:
            self._branch[key] = self._new_branch(scene, part)
        return self._branch[key]

    def _new_branch(self, scene: int, part: int) -> Branch:
        model, partition = self.model, self.formulation.partition
        if not self.formulation.scenes[scene].is_live:
            nowhere = (False,) * partition.vertices
            return Branch(False, nowhere, nowhere, 0, 0)
        name = f"{scene}/{part}"
        flows = model.new_bool_var(f"{name} flows")
        high = tuple(model.new_bool_var(f"{name} high {v}") for v in range(partition.vertices))
        low = tuple(model.new_bool_var(f"{name} low {v}") for v in range(partition.vertices))
        model.add(sum(high) == flows)
        model.add(sum(low) == flows)
        self._tie_ends(scene, self.formulation.placement.pieces[part], flows, high, low)
        top = self.top(scene)
        upper, lower, size = (model.new_int_var(0, top, f"{name} {word}") for word in ("up", "down", "size"))
        amps = model.new_int_var(0, round(MOST_AMPS / AMP), f"{name} amps")
        nodes = self.formulation.scenes[scene].nodes
        for v in range(partition.vertices):
            given(model, (high[v],), upper == self.potential(scene, nodes[v]))
            given(model, (low[v],), lower == self.potential(scene, nodes[v]))
        model.add(size == upper - lower)
        for idle in (upper, lower, amps):
            given(model, (~flows,), idle == 0)
        return Branch(flows, high, low, size, amps)

    def _tie_ends(
        self,
        scene: int,
        piece: Piece,
        flows: cp_model.IntVar,
        high: tuple[cp_model.IntVar, ...],
        low: tuple[cp_model.IntVar, ...],
    ) -> None:
        """Say at which end current enters, by where the part lies and which node is higher."""
        formulation, model = self.formulation, self.model
        for (a, b), take in piece.options:
            down = formulation.higher(scene, a, b)
            up = False if piece.kind == DIODE else formulation.higher(scene, b, a)
            for driven, first, second in ((down, a, b), (up, b, a)):
                implies(model, (take, driven), (high[first],))
                implies(model, (take, driven), (low[second],))
            implies(model, (take, flows), (down, up))
        for vertex in range(formulation.partition.vertices):
            touches = formulation.placement.touches(piece, vertex)
            implies(model, (high[vertex],), touches)
            implies(model, (low[vertex],), touches)

    def reach(self, scene: int, part: int, steps: int) -> Literal:
        """Whether a part's size is at least so many steps."""
        if steps <= 0:
            return True
        if steps > self.top(scene) or not self.formulation.scenes[scene].is_live:
            return False
        key = scene, part, steps
        if key not in self._reach:
            literal = self.model.new_bool_var(f"{scene}/{part} >= {steps}")
            size = self.branch(scene, part).size
            given(self.model, (literal,), size >= steps)
            given(self.model, (~literal,), size <= steps - 1)
            self._reach[key] = literal
        return self._reach[key]

    def leaving(self, scene: int, part: int, vertex: int) -> cp_model.LinearExprT:
        """The steps of current that a part takes from a vertex, negative where it gives."""
        branch = self.branch(scene, part)
        high, low = branch.high[vertex], branch.low[vertex]
        if high is False and low is False:
            return 0
        most = round(MOST_AMPS / AMP)
        taken = self.model.new_int_var(-most, most, f"{scene}/{part} from {vertex}")
        given(self.model, (high,), taken == branch.amps)
        given(self.model, (low,), taken == -branch.amps)
        given(self.model, (flipped(high), flipped(low)), taken == 0)
        return taken

    def judged_as(self, want: int, kind: int) -> Literal:
        """Whether a want is asked and its filament's lamp is of the type on offer with this number."""
        formulation = self.formulation
        return both(
            self.model,
            formulation.asked[want],
            formulation.fits[formulation.lamp_of(formulation.wants[want].filament)][kind],
        )
