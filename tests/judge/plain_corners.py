"""Every corner of one fitted circuit in plain Python: the whole circuit solved anew in every state.

The twin of `lampwright.judge.all_corners`, which leaves out what carries nothing and solves states with one
live net once.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from lampwright.judge.corners import CAP, NOMINAL, SUPPLIES
from lampwright.judge.every_state import Points, new_points, settle
from lampwright.judge.fitting import fit_choice
from lampwright.judge.judge import spread_of
from lampwright.judge.tolerances import set_pattern
from lampwright.network.netlist import Netlist
from lampwright.problem.demands import Fit
from lampwright.problem.problem import Problem
from lampwright.solve.boundary import Boundary
from lampwright.solve.laws import DIODE, FILAMENT, Floats
from lampwright.solve.newton import KIND, ROW, new_workspace


@dataclass(frozen=True)
class Every:
    """What every corner says, as verdicts have it.

    lights (corners, states, filaments), pairs (corners, pairs), brighter (corners, comparisons):
    margins [stops]. loads (corners, states, parts). controls (corners, states, controls): amps [A].

    nominal: the states at normal supply and nominal parts. failed: points that did not settle.
    """

    lights: Floats
    pairs: Floats
    brighter: Floats
    loads: Floats
    controls: Floats
    nominal: Points
    failed: int


Noted = tuple[int, int, Points]
"""A corner, how many of its states did not settle, and where they are."""


class PlainCorners:
    """One fitted circuit."""

    def __init__(self, problem: Problem, netlist: Netlist, boundary: Boundary, fit: Fit) -> None:
        """Fit the one choice of a fit."""
        self.problem, self.netlist, self.boundary = problem, netlist, boundary
        self.work = new_workspace()
        fit_choice(0, fit, problem.part_options.models, self.work)
        self.parts = len(netlist.ends)
        self.kinds, self.rows = (
            [int(self.work.whole[at + p]) for p in range(self.parts)] for at in (KIND, ROW)
        )
        self.filaments = self.kinds.count(FILAMENT)

    def corners(self) -> Iterator[Noted]:
        """Every corner in turn."""
        states, vertices = self.boundary.vertex_node.shape
        spread = spread_of(self.problem, self.parts, self.work)
        for pattern in range(1 + 2 ** int(np.sum(spread.low != spread.high))):
            for supply in range(SUPPLIES):
                set_pattern(pattern, spread, self.work.reals)
                points = new_points(states, self.parts, vertices)
                failed = settle(
                    self.boundary.columns(self.netlist.ends[None]),
                    self.boundary.vertex_node,
                    float(self.problem.volts[supply]),
                    self.problem.part_options.models,
                    self.work,
                    points,
                )
                yield pattern * SUPPLIES + supply, failed, points

    def every(self) -> "Every":
        """What every corner says of everything."""
        found = list(self.corners())
        readings = (self.light, self.matching, self.brighter, self.loads, self.controls)
        lights, pairs, brighter, loads, controls = (
            np.array([read(corner, points) for corner, _, points in found]) for read in readings
        )
        nominal = next(points for corner, _, points in found if corner == NOMINAL)
        return Every(lights, pairs, brighter, loads, controls, nominal, sum(failed for _, failed, _ in found))

    def met(self, every: "Every") -> bool:
        """Whether every corner is met."""
        limits = self.problem.limits
        most = [
            limits.lamp_volts[row] + 1e-9
            if kind == FILAMENT
            else (limits.diode_amps[row] if kind == DIODE else limits.watts)
            for kind, row in zip(self.kinds, self.rows, strict=True)
        ]
        return (
            every.failed == 0
            and bool(np.all(every.lights >= 0.0))
            and bool(np.all(every.pairs >= 0.0))
            and bool(np.all(every.brighter >= 0.0))
            and bool(np.all(every.loads <= most))
            and bool(np.all(every.controls <= limits.control_amps))
        )

    def light(self, corner: int, points: Points) -> Floats:
        """The margin of every filament in every state."""
        demands, rows = self.problem.demands, self.rows[: self.filaments]
        at = np.arange(self.filaments)
        low, high = (
            edges[corner % SUPPLIES][:, at, rows] for edges in (demands.low_stops, demands.high_stops)
        )
        stops = points.stops[:, : self.filaments]
        margin = np.minimum(stops - low, high - stops)
        capped: Floats = np.minimum(margin, CAP)
        return capped

    def matching(self, corner: int, points: Points) -> Floats:
        """The margin of every pair of lamps that must match."""
        del corner
        demands, limits = self.problem.demands, self.problem.limits
        margins = np.full(len(demands.same_state), CAP)
        for pair, state in enumerate(demands.same_state):
            one, other = int(demands.same_first[pair]), int(demands.same_second[pair])
            stops = points.stops[state, [one, other]]
            if np.all(stops <= demands.off_stops):
                continue
            lumens = stops + limits.lumens_stops[[self.rows[one], self.rows[other]]]
            ratio = float(lumens[0] - lumens[1])
            margins[pair] = min(ratio - demands.same_low[pair], demands.same_high[pair] - ratio, CAP)
        return margins

    def brighter(self, corner: int, points: Points) -> Floats:
        """The margin of every comparison from state to state, by the rows of the spec."""
        del corner
        problem, names = self.problem, self.problem.layout.filaments
        lumens = [problem.part_options.filaments[row].lumens for row in self.rows[: self.filaments]]
        margins = []
        for row in problem.spec.brighter:
            one, other = names.index(row.lamp), names.index(row.than)
            for at, state in enumerate(problem.states):
                asked = all(dict(state.setting)[name] == position for name, position in row.when)
                if not asked or "open" in dict(state.phases).values():
                    continue
                elsewhere = dict(state.setting) | dict(row.versus)
                versus = next(
                    number
                    for number, its in enumerate(problem.states)
                    if dict(its.setting) == elsewhere and "open" not in dict(its.phases).values()
                )
                light = 2.0 ** points.stops[at, one] * lumens[one]
                least = max(2.0 ** points.stops[versus, other], problem.spec.levels.off.high)
                margins.append(min(CAP, np.log2(light / (least * lumens[other] * row.by))))
        return np.array(margins)

    def loads(self, corner: int, points: Points) -> Floats:
        """The load of every part in every state."""
        del corner
        kinds = np.array(self.kinds)
        watts = np.abs(points.volts * points.amps)
        return np.where(kinds == FILAMENT, np.abs(points.volts), np.where(kinds == DIODE, points.amps, watts))

    def controls(self, corner: int, points: Points) -> Floats:
        """The current of every control in every state, -1 where none is read."""
        del corner
        gates, ends = self.boundary.gates, self.netlist.ends
        states, vertices = self.boundary.vertex_node.shape
        found = np.full((states, len(self.problem.spec.controls)), -1.0)
        for state, control, beyond, exact in zip(
            gates.state, gates.control, gates.beyond, gates.exact, strict=True
        ):
            taken = np.zeros(vertices)
            np.add.at(taken, ends[:, 0], points.amps[state])
            np.subtract.at(taken, ends[:, 1], points.amps[state])
            fed = taken[[vertex for vertex in range(vertices) if (int(beyond) >> vertex) & 1]]
            amps = abs(fed.sum()) if exact else np.abs(fed).sum()
            found[state, control] = max(found[state, control], amps)
        return found
