"""What a circuit does in every state, at any supply and with any choice of parts, as rows of a design.

The judge's own solver, parts nominal. Lamps are read as in a design's states; words are those of the spec's
levels, `full` being measured by what the lamp gives straight across that supply. No source: the judge's.
"""

from collections.abc import Iterator, Sequence

import numpy as np
from msgspec import structs

from lampwright.judge.design_rows import chosen_watts, drawn_parts, part_of, with_filaments
from lampwright.judge.every_state import Points, new_points, settle
from lampwright.judge.fitting import fit_choice
from lampwright.judge.judge import Judge, ShortedError
from lampwright.network.circuit import Circuit
from lampwright.network.netlist import Netlist, draw, number_nodes
from lampwright.parts.filament import kelvin_of
from lampwright.problem.edges import full_light
from lampwright.problem.problem import Choice, Problem, filament_models, fit_one, fitted
from lampwright.results.design import Design, OtherChoice, PartRow
from lampwright.results.trials import StateReading
from lampwright.solve.laws import Floats, Models
from lampwright.solve.newton import new_workspace
from lampwright.spec.levels import DARK, level_name

NORMAL = 1
MOST_READ = 10
"""So many other choices of a design are read."""


class StateReader:
    """Reads the states of one circuit, whose design names its nodes and parts.

    Raises ShortedError where contacts alone join the supply to ground.
    """

    def __init__(self, judge: Judge, netlist: Netlist, design: Design) -> None:
        """Find the vertex of every node, and in which direction each part is counted."""
        boundary = judge.boundary(netlist.partition, netlist.joints)
        if boundary is None:
            raise ShortedError
        self.judge, self.netlist, self.design, self.boundary = judge, netlist, design, boundary
        self.work = new_workspace()
        vertex = _vertices_of(judge.problem, design.parts)
        self.vertices = [vertex[reading.node] for reading in design.states[0].nodes]
        self.ends = np.array(
            [(vertex[part.from_node], vertex[part.to_node]) for part in design.parts if part.kind != "wire"]
        )
        self.signs = np.where(self.ends[:, 0] == netlist.ends[:, 0], 1.0, -1.0)

    def settled(self, choice: Choice, volts: float, models: Models) -> Points | None:
        """Every state of the circuit with a choice at a supply [V]; None where one has no solution."""
        fit = fit_one(self.judge.problem, choice, self.netlist.diodes, self.netlist.resistors)
        fit_choice(0, fit, models, self.work)
        states, columns = self.boundary.vertex_node.shape
        points = new_points(states, len(self.netlist.ends), columns)
        ends = self.boundary.columns(self.netlist.ends[None])
        failed = settle(ends, self.boundary.vertex_node, volts, models, self.work, points)
        return None if failed else points

    def rows(self, points: Points, choice: Choice, volts: float) -> tuple[StateReading, ...]:
        """Settled states as rows. volts: the supply [V]."""
        problem = self.judge.problem
        models = filament_models(problem, choice)
        filaments = [problem.part_options.filaments[model] for model in models]
        full = [float(full_light(one, np.array([volts]))[0]) for one in filaments]
        lamp_volts = np.abs(points.volts[:, : len(filaments)])
        kelvins = np.array([kelvin_of(one, lamp_volts[:, at]) for at, one in enumerate(filaments)]).T
        return tuple(
            StateReading(
                state=state.full_name,
                flux=tuple(np.exp2(points.stops[at, : len(filaments)]).tolist()),
                levels=tuple(self._levels(at, points.stops[at], kelvins[at], full)),
                kelvin=tuple(round(float(kelvin)) for kelvin in kelvins[at]),
                volts=tuple(self._volts(at, points.potential[at], vertex, volts) for vertex in self.vertices),
                across=tuple(self._across(at, points, volts).tolist()),
                amps=tuple((points.amps[at] * self.signs).tolist()),
            )
            for at, state in enumerate(problem.states)
        )

    def _levels(self, at: int, stops: Floats, kelvins: Floats, full: Sequence[float]) -> Iterator[str]:
        for lamp, (kelvin, most) in enumerate(zip(kelvins, full, strict=True)):
            asked = self.judge.problem.states[at].bands[lamp]
            if asked is not None and np.isfinite(asked.kelvin) and kelvin <= asked.kelvin:
                yield DARK
            else:
                yield level_name(self.judge.problem.spec.levels, 2.0 ** float(stops[lamp]), most)

    def _across(self, at: int, points: Points, volts: float) -> Floats:
        """The volts of every part [V]; what is open has those across its holder."""
        across: Floats = points.volts[at] * self.signs
        for opened in self.judge.problem.states[at].opened:
            tail, head = (
                self._volts(at, points.potential[at], int(vertex), volts) for vertex in self.ends[opened]
            )
            across[opened] = tail - head
        return across

    def _volts(self, at: int, potential: Floats, vertex: int, volts: float) -> float:
        """The potential of a vertex [V]; one that no part touches has that of what contacts join it to."""
        codes = self.boundary.vertex_node[at]
        code = codes[vertex]
        if code == 1:
            return volts
        return float(potential[codes == code].max(initial=0.0)) if code else 0.0


def _vertices_of(problem: Problem, drawn: Sequence[PartRow]) -> dict[str, int]:
    """The vertex of every node of a circuit, by the name under which it is drawn."""
    circuit = Circuit(tuple(part_of(row) for row in drawn))
    return {node.name: node.vertex for node in number_nodes(circuit, problem.layout)}


def with_choices_read(
    judge: Judge, netlist: Netlist, design: Design, choices: Sequence[Choice]
) -> tuple[OtherChoice, ...]:
    """The other choices of a design, the first few with their parts and what every state does with them.

    choices: those of `design.choices`, in their order.
    """
    problem, reader = judge.problem, StateReader(judge, netlist, design)
    volts = float(problem.volts[NORMAL])
    told = list(design.choices)
    for at, choice in enumerate(choices[:MOST_READ]):
        points = reader.settled(choice, volts, problem.part_options.models)
        if points is None:
            continue
        watts = chosen_watts(problem, netlist, choice, judge.judge(netlist, choice))
        parts = drawn_parts(draw(netlist, fitted(problem, netlist, choice), problem.layout), watts)
        rated = with_filaments(structs.replace(design, parts=parts), problem.layout, problem.spec)
        states = reader.rows(points, choice, volts)
        told[at] = structs.replace(told[at], parts=rated.parts, states=states)
    return tuple(told)
