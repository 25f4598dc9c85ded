"""A model in the making: placements, what is asked, and in every scene which node is higher.

A scene is one situation of the partition at one supply. In it the nodes stand in an order of
potential, ground lowest and live highest, ties allowed: `above(scene, n, m)` says that n is
strictly higher. This is the ideal circuit, whose diodes block wholly and whose nodes leak
nothing; where a node floats, its potential is the limit of ever smaller leaks. The solver's
currents differ from it by less than a microampere.

Volts and amps are in whole steps: a potential is the true one, rounded to a step of `VOLT`; a
current's size is rounded to a step of `AMP`. Rounding keeps order and equality, and a difference
of two rounded potentials is within one step of the true one: what a rule says of `size` steps it
must grant to one step more and one less.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from ortools.sat.python import cp_model

from lampwright.problem.problem import Problem
from lampwright.problem.requirements import Requirement
from lampwright.prove.logic import Literal, both, flipped, given, implies
from lampwright.prove.partitions import GROUND, LIVE, TerminalPartition
from lampwright.prove.placement import ExtraSlots, Placement
from lampwright.prove.solver import go_on
from lampwright.solve.laws import DIODE

VOLT = 0.01
"""A step of potential [V]; the ideal circuit's differ from the solver's by far less."""

AMP = 0.0001
"""A step of current [A]."""

MOST_AMPS = 200.0
"""No current of a circuit within its ratings comes near this [A]."""


@dataclass(frozen=True)
class ModelScene:
    """One situation of a partition at one supply [V]. nodes: by column."""

    situation: int
    volts: float
    nodes: tuple[int, ...]

    @property
    def free(self) -> tuple[int, ...]:
        """The nodes whose potential is not given."""
        return tuple(sorted({node for node in self.nodes if node > LIVE}))

    @property
    def every(self) -> tuple[int, ...]:
        """All nodes."""
        return tuple(sorted(set(self.nodes)))

    @property
    def is_live(self) -> bool:
        """Whether anything is live."""
        return LIVE in self.nodes


@dataclass(frozen=True)
class BranchVariables:
    """A part in a scene: whether it carries current, at which vertex it is higher and lower, how much.

    size: steps of volts across it, 0 where nothing flows. amps: steps of current.
    """

    flows: Literal
    high: tuple[Literal, ...]
    low: tuple[Literal, ...]
    size: cp_model.LinearExprT
    amps: cp_model.LinearExprT


class Formulation:
    """What rules build on. asked: a literal per requirement; fits: per lamp, one per type on offer.

    Variables of order and of volts and amps are made as rules ask for them.
    """

    def __init__(
        self,
        problem: Problem,
        requirements: tuple[Requirement, ...],
        partition: TerminalPartition,
        extras: ExtraSlots,
        supplies: tuple[float, ...],
        check_cancelled: Callable[[], None] = go_on,
    ) -> None:
        """Make the variables that all rules share; check_cancelled: what it raises ends the making."""
        self.check_cancelled = check_cancelled
        self.problem, self.requirements, self.partition = problem, requirements, partition
        self.model = cp_model.CpModel()
        self.placement = Placement(self.model, problem.layout, partition, extras)
        self.asked = tuple(self.model.new_bool_var(f"asked {at}") for at in range(len(requirements)))
        self.fits = tuple(self._types(lamp) for lamp in range(len(problem.layout.lamps)))
        self.scenes = tuple(
            ModelScene(at, volts, nodes) for volts in supplies for at, nodes in enumerate(partition.nodes)
        )
        self._above: dict[tuple[int, int, int], Literal] = {}
        self._carries: dict[tuple[int, int, int], Literal] = {}
        self._potential: dict[tuple[int, int], cp_model.IntVar] = {}
        self._branch: dict[tuple[int, int], BranchVariables] = {}
        self._reach: dict[tuple[int, int, int], Literal] = {}

    def _types(self, lamp: int) -> tuple[Literal, ...]:
        offered = len(self.problem.part_options.lamp_types[lamp])
        if offered == 1:
            return (True,)
        takes = tuple(self.model.new_bool_var(f"type {lamp}={digit}") for digit in range(offered))
        self.model.add_exactly_one(takes)
        return takes

    def lamp_of(self, filament: int) -> int:
        """The lamp that a filament belongs to."""
        return [at for at, lamp in enumerate(self.problem.layout.lamps) for _ in lamp.filaments][filament]

    def scenes_of(self, requirement: int) -> tuple[int, ...]:
        """The scenes in which a requirement is judged, one for each supply."""
        return self._scenes_in(self.partition.situation_of[requirement])

    def versus_of(self, requirement: int) -> tuple[int, ...]:
        """The scenes of what it is compared with, likewise."""
        return self._scenes_in(self.partition.versus_of[requirement])

    def _scenes_in(self, situation: int) -> tuple[int, ...]:
        return tuple(at for at, scene in enumerate(self.scenes) if scene.situation == situation)

    def supply_of(self, scene: int) -> int:
        """Which of the spec's supplies a scene is at: low, normal, high."""
        return self.problem.spec.supply.volts.index(self.scenes[scene].volts)

    def above(self, scene: int, n: int, m: int) -> Literal:
        """Whether node n is strictly higher than node m."""
        if n in (m, GROUND) or m == LIVE or not self.scenes[scene].is_live:
            return False
        if n == LIVE and m == GROUND:
            return True
        key = scene, n, m
        if key not in self._above:
            self._above[key] = self.model.new_bool_var(f"{scene}: {n}>{m}")
        return self._above[key]

    def higher(self, scene: int, a: int, b: int) -> Literal:
        """Whether column a is strictly higher than column b."""
        nodes = self.scenes[scene].nodes
        return self.above(scene, nodes[a], nodes[b])

    def part_higher(self, scene: int, part: int, a: int, b: int) -> Literal:
        """Whether vertex a is strictly higher than vertex b to a part, which may have failed in the scene."""
        return self.higher(scene, self.partition.column(part, a), self.partition.column(part, b))

    def carries(self, scene: int, a: int, b: int) -> Literal:
        """Whether some part carries current from column a to column b."""
        key = scene, a, b
        if key not in self._carries:
            self.check_cancelled()
            higher = self.higher(scene, a, b)
            link = False if higher is False else self.placement.link(a, b)
            self._carries[key] = both(self.model, link, higher)
        return self._carries[key]

    def others(self, column: int) -> Iterator[int]:
        """The columns that parts join to this one: those of the same copy."""
        first = column - column % self.partition.vertices
        return (at for at in range(first, first + self.partition.vertices) if at != column)

    def top(self, scene: int) -> int:
        """The supply in steps."""
        return round(self.scenes[scene].volts / VOLT)

    def potential(self, scene: int, node: int) -> cp_model.LinearExprT:
        """The potential of a node in steps."""
        if node == GROUND or not self.scenes[scene].is_live:
            return 0
        if node == LIVE:
            return self.top(scene)
        key = scene, node
        if key not in self._potential:
            self._potential[key] = self.model.new_int_var(0, self.top(scene), f"{scene}: V{node}")
        return self._potential[key]

    def branch(self, scene: int, part: int) -> BranchVariables:
        """Part number `part` in a scene."""
        key = scene, part
        if key not in self._branch:
            self.check_cancelled()
            self._branch[key] = self._new_branch(scene, part)
        return self._branch[key]

    def _new_branch(self, scene: int, part: int) -> BranchVariables:
        model, partition = self.model, self.partition
        if not self.scenes[scene].is_live:
            nowhere = (False,) * partition.vertices
            return BranchVariables(False, nowhere, nowhere, 0, 0)
        name = f"{scene}/{part}"
        flows = model.new_bool_var(f"{name} flows")
        high = tuple(model.new_bool_var(f"{name} high {v}") for v in range(partition.vertices))
        low = tuple(model.new_bool_var(f"{name} low {v}") for v in range(partition.vertices))
        model.add(sum(high) == flows)
        model.add(sum(low) == flows)
        self._tie_ends(scene, part, flows, high, low)
        top = self.top(scene)
        upper, lower, size = (model.new_int_var(0, top, f"{name} {word}") for word in ("up", "down", "size"))
        amps = model.new_int_var(0, round(MOST_AMPS / AMP), f"{name} amps")
        nodes = self.scenes[scene].nodes
        for v in range(partition.vertices):
            potential = self.potential(scene, nodes[partition.column(part, v)])
            given(model, (high[v],), upper == potential)
            given(model, (low[v],), lower == potential)
        model.add(size == upper - lower)
        for idle in (upper, lower, amps):
            given(model, (~flows,), idle == 0)
        return BranchVariables(flows, high, low, size, amps)

    def _tie_ends(
        self,
        scene: int,
        part: int,
        flows: cp_model.IntVar,
        high: tuple[cp_model.IntVar, ...],
        low: tuple[cp_model.IntVar, ...],
    ) -> None:
        """Say at which end current enters, by where the part lies and which node is higher."""
        model, piece = self.model, self.placement.pieces[part]
        for (a, b), take in piece.options:
            down = self.part_higher(scene, part, a, b)
            up = False if piece.kind == DIODE else self.part_higher(scene, part, b, a)
            for driven, first, second in ((down, a, b), (up, b, a)):
                implies(model, (take, driven), (high[first],))
                implies(model, (take, driven), (low[second],))
            implies(model, (take, flows), (down, up))
        for vertex in range(self.partition.vertices):
            touches = self.placement.touches(piece, vertex)
            implies(model, (high[vertex],), touches)
            implies(model, (low[vertex],), touches)

    def reach(self, scene: int, part: int, steps: int) -> Literal:
        """Whether a part's size is at least this number of steps."""
        if steps <= 0:
            return True
        if steps > self.top(scene) or not self.scenes[scene].is_live:
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
        self.check_cancelled()
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

    def judged_as(self, requirement: int, kind: int) -> Literal:
        """Whether a requirement is asked and its lamp is of the type on offer with this number."""
        return both(
            self.model,
            self.asked[requirement],
            self.fits[self.lamp_of(self.requirements[requirement].filament)][kind],
        )

    def must_glow(self, number: int) -> bool:
        """Whether a requirement asks a filament for some light."""
        one = self.requirements[number]
        if one.other is not None:
            return bool(one.versus)
        return bool(self.problem.flux_bands.glow[one.state, one.filament])

    def is_above(self, number: int, other: int) -> bool:
        """Whether one filament must give more light by the first than by the other, whatever the type.

        Twice the same requirement: by it, in its own state than in that which it is compared with.
        """
        first, second = self.requirements[number], self.requirements[other]
        if number == other:
            return bool(first.versus) and first.filament == first.other
        same = first.filament == second.filament and first.other is None and second.other is None
        return same and bool(self.problem.flux_bands.always_above[first.filament, first.state, second.state])


@dataclass(frozen=True)
class ModelRule:
    """A family of conditions that every circuit meeting a spec satisfies.

    name: what reports call it. claim: what it says of every such circuit. build: adds its constraints.
    """

    name: str
    claim: str
    build: Callable[[Formulation], None]


def rule(name: str, claim: str) -> Callable[[Callable[[Formulation], None]], ModelRule]:
    """Make a rule of the function that adds its constraints."""
    return lambda build: ModelRule(name, claim, build)
