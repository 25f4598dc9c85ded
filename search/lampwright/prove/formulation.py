"""A model in the making: placements, what is asked, and in every scene which node is higher.

A scene is one situation of the partition at one supply. In it the nodes stand in an order of
potential, ground lowest and live highest, ties allowed: `above(scene, n, m)` says that n is
strictly higher. This is the ideal circuit, whose diodes block wholly and whose nodes leak
nothing; where a node floats, its potential is the limit of ever smaller leaks. The solver's
currents differ from it by less than a microampere.
"""

from dataclasses import dataclass

from ortools.sat.python import cp_model

from lampwright.problem.problem import Problem
from lampwright.prove.logic import Literal, both
from lampwright.prove.placement import Extras, Placement
from lampwright.prove.requirements import GROUND, LIVE, TerminalPartition, Want


@dataclass(frozen=True)
class Scene:
    """One situation of a partition at one supply [V]."""

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


class Formulation:
    """What rules build on. asked: a literal per want; fits: per lamp, one per type on offer."""

    def __init__(
        self,
        problem: Problem,
        wants: tuple[Want, ...],
        partition: TerminalPartition,
        extras: Extras,
        supplies: tuple[float, ...],
    ) -> None:
        """Make the variables that all rules share."""
        self.problem, self.wants, self.partition = problem, wants, partition
        self.model = cp_model.CpModel()
        self.placement = Placement(self.model, problem.layout, partition, extras)
        self.asked = tuple(self.model.new_bool_var(f"asked {at}") for at in range(len(wants)))
        self.fits = tuple(self._types(lamp) for lamp in range(len(problem.layout.lamps)))
        self.scenes = tuple(
            Scene(at, volts, nodes) for volts in supplies for at, nodes in enumerate(partition.nodes)
        )
        self._above: dict[tuple[int, int, int], Literal] = {}
        self._carries: dict[tuple[int, int, int], Literal] = {}

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

    def scenes_of(self, want: int) -> tuple[int, ...]:
        """The scenes in which a want is judged, one for each supply."""
        situation = self.partition.situation_of[want]
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
        """Whether vertex a is strictly higher than vertex b."""
        nodes = self.scenes[scene].nodes
        return self.above(scene, nodes[a], nodes[b])

    def carries(self, scene: int, a: int, b: int) -> Literal:
        """Whether some part carries current from vertex a to vertex b."""
        key = scene, a, b
        if key not in self._carries:
            higher = self.higher(scene, a, b)
            link = False if higher is False else self.placement.link(a, b)
            self._carries[key] = both(self.model, link, higher)
        return self._carries[key]
