"""Two benches: the compiled solver in the twin's words, and a slow judge around the twin.

The slow judge shares the spec and the parts with what it is set against, and no more: it
finds what each state joins from the circuit's own names, solves with the twin, and reads
light from `parts.filament`.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from math import inf, log2

import networkx as nx
import numpy as np
import pytest
from numpy.typing import NDArray

from lampwright.network.circuit import Circuit, Part
from lampwright.parts.catalogue import diode_type
from lampwright.parts.diode import DiodeType, thermal_volts
from lampwright.parts.filament import Filament, relative_flux_at, relative_flux_of
from lampwright.problem.problem import Choice, Problem
from lampwright.solve import newton
from lampwright.solve.lane_newton import AT, new_lanes, set_lane, solve_lanes, start_lane, take_lane
from lampwright.solve.lanes import LANES
from lampwright.solve.laws import DIODE, FILAMENT, RESISTOR, Models, base_of, part_law
from lampwright.solve.part_options import tabulate
from lampwright.solve.twin import TwinPart, operating_point
from lampwright.spec.states import State

Floats = NDArray[np.float64]
Model = Filament | DiodeType | float
Corner = tuple[float, tuple[float, ...]]  # supply [V], a factor for every part

MOST_STOPS = 10.0
DARKEST_STOPS = -60.0  # as parts.curve_table says: below it dark is dark


@dataclass(frozen=True)
class CompiledPoint:
    """What the compiled solver left: potentials (nodes,) [V], amps (parts,) [A]."""

    potentials: Floats
    amps: Floats
    steps: int
    residual: float


@dataclass(frozen=True)
class Law:
    """Current [A] and conductance [S] of one part, (n,) each."""

    amps: Floats
    siemens: Floats


class Bench:
    """Solves circuits of twin parts with the compiled solver."""

    def __init__(
        self, filaments: Sequence[Filament], diodes: Sequence[DiodeType], most_volts: float = 14.4
    ) -> None:
        self.filaments, self.diodes = list(filaments), list(diodes)
        self.models: Models = tabulate(self.filaments, self.diodes, most_volts)
        self.work, self.lanes = newton.new_workspace(), new_lanes()

    def solve(
        self, parts: Sequence[TwinPart], nodes: int, volts: float, start: Sequence[float] | None = None
    ) -> CompiledPoint:
        reals, whole = self.work
        self._fit(parts)
        # deliberately not cold_start: whatever the start, the answer is one
        reals[newton.X + 2 : newton.X + nodes] = 0.5 * volts if start is None else np.asarray(start)
        steps, residual = newton.solve_bound(len(parts), nodes, volts, self.models.table, reals, whole)
        potentials = reals[newton.X : newton.X + nodes].copy()
        amps = reals[newton.CURRENT : newton.CURRENT + len(parts)].copy()
        return CompiledPoint(potentials, amps, int(steps), float(residual))

    def solve_eight(
        self, fits: Sequence[Sequence[TwinPart]], nodes: int, volts: Sequence[float], start: float = 0.5
    ) -> list[CompiledPoint]:
        """Solve up to eight fits of one circuit in lanes; start: that share of the supply at every node."""
        used = len(fits)
        for lane, (parts, supply) in enumerate(zip(fits, volts, strict=True)):
            self._fit(parts)
            set_lane(lane, len(parts), self.models, self.work, self.lanes)
            start_lane(lane, nodes, supply, self.lanes)
            first = AT + 2 * LANES + lane
            self.lanes.reals[first : AT + nodes * LANES : LANES] = start * supply
        failed = solve_lanes(used, len(fits[0]), nodes, self.models, self.work, self.lanes)
        return [self._taken(lane, fits[lane], nodes, bool(failed >> lane & 1)) for lane in range(used)]

    def _taken(self, lane: int, parts: Sequence[TwinPart], nodes: int, failed: bool) -> CompiledPoint:
        take_lane(lane, len(parts), nodes, self.models, self.work, self.lanes)
        potentials = self.work.reals[newton.X : newton.X + nodes].copy()
        amps = self.work.reals[newton.CURRENT : newton.CURRENT + len(parts)].copy()
        left_over = newton.LEAK * potentials
        for part, i in zip(parts, amps, strict=True):
            left_over[part.tail] += i
            left_over[part.head] -= i
        residual = float(np.abs(left_over[2:]).max(initial=0.0))
        return CompiledPoint(potentials, amps, -1 if failed else 1, residual)

    def _fit(self, parts: Sequence[TwinPart]) -> None:
        reals, whole = self.work
        for at, part in enumerate(parts):
            kind, row, value = self._coded(part)
            whole[[newton.KIND + at, newton.ROW + at, newton.TAIL + at, newton.HEAD + at]] = (
                kind,
                row,
                part.tail,
                part.head,
            )
            whole[newton.BASE + at] = base_of(kind, row, self.models.filaments)
            reals[newton.VALUE + at] = value

    def law(self, model: Model, volts: Floats, factor: float = 1.0) -> Law:
        """What the compiled law of one part says at each of the volts (n,)."""
        kind, row, value = self._coded(TwinPart(1, 0, model, factor))
        base = base_of(kind, row, self.models.filaments)
        said = [part_law(kind, base, value, float(v), self.models.table) for v in volts]
        return Law(np.array([amps for amps, _ in said]), np.array([siemens for _, siemens in said]))

    def _coded(self, part: TwinPart) -> tuple[int, int, float]:
        if isinstance(part.model, Filament):
            return FILAMENT, self.filaments.index(part.model), part.factor
        if isinstance(part.model, DiodeType):
            shift = part.model.emission * thermal_volts() * np.log(part.factor)
            return DIODE, self.diodes.index(part.model), float(shift)
        return RESISTOR, 0, part.factor / part.model


@pytest.fixture(scope="session")
def bench_type() -> type[Bench]:
    """Give the class, since a conftest cannot be imported."""
    return Bench


@dataclass(frozen=True)
class Drops:
    """Volts and amps of every part, (parts,) each, and the supply [V]."""

    volts: Floats
    amps: Floats
    supply: float


@dataclass(frozen=True)
class Slow:
    """The worst: margin (states, filaments), same (pairs,), load (parts,), control (controls,)."""

    margin: Floats
    same: Floats
    load: Floats
    control: Floats


def drawn(circuit: Circuit) -> list[Part]:
    return [*circuit.of_kind("filament"), *circuit.of_kind("diode"), *circuit.of_kind("resistor")]


def wired(circuit: Circuit) -> "nx.Graph[str]":
    graph: nx.Graph[str] = nx.Graph()
    graph.add_nodes_from(["31", "30"])
    for part in circuit.parts:
        graph.add_nodes_from([part.from_node, part.to_node])
        if part.kind == "wire":
            graph.add_edge(part.from_node, part.to_node)
    return graph


def node_ends(circuit: Circuit, state: State) -> tuple[tuple[int, int], ...]:
    """Ground 0, supply 1, and a number for every other group of names, in order of the parts."""
    graph = wired(circuit)
    graph.add_edges_from((contact.a, contact.b) for contact in state.contacts)
    groups = sorted(nx.connected_components(graph), key=lambda group: ("31" not in group, "30" not in group))
    number = {name: at for at, group in enumerate(groups) for name in group}
    return tuple((number[part.from_node], number[part.to_node]) for part in drawn(circuit))


class SlowJudge:
    """Judges one fitted circuit; each network is solved once for each corner."""

    def __init__(self, problem: Problem, circuit: Circuit, choice: Choice | None = None) -> None:
        """choice: says the lamps' fillings; without it each is the likelier one."""
        self.problem, self.circuit, self.choice = problem, circuit, choice
        self.models = self._models()
        self.filaments = [model for model in self.models if isinstance(model, Filament)]
        self.nominal = (1.0,) * len(self.models)
        self._known: dict[tuple[tuple[tuple[int, int], ...], Corner], Drops] = {}

    def _models(self) -> list[Model]:
        """What is fitted at each part, by the names in the circuit."""
        models: list[Model] = []
        lamps = [lamp.name for lamp in self.problem.spec.lamps]
        for at, part in enumerate(self.circuit.of_kind("filament")):
            lamp = lamps.index(part.lamp or "")
            types = self.problem.part_options.lamp_types[lamp]
            digit = types.index(part.type or "") if self.choice is None else self.choice.digits[lamp]
            assert types[digit] == part.type
            models.append(
                self.problem.part_options.filaments[self.problem.part_options.filament_model[at][digit]]
            )
        models.extend(diode_type(part.type or "") for part in self.circuit.of_kind("diode"))
        models.extend(part.ohms or inf for part in self.circuit.of_kind("resistor"))
        return models

    def point(self, state: State, corner: Corner) -> Drops:
        ends = node_ends(self.circuit, state)
        if (ends, corner) not in self._known:
            fitted = zip(ends, self.models, corner[1], strict=True)
            parts = [TwinPart(a, b, model, factor) for (a, b), model, factor in fitted]
            point = operating_point(parts, max(1, *(max(pair) for pair in ends)) + 1, corner[0])
            assert point.converged
            volts = np.array([point.potentials[a] - point.potentials[b] for a, b in ends])
            self._known[ends, corner] = Drops(volts, point.amps, corner[0])
        return self._known[ends, corner]

    def corners(self) -> Iterator[Corner]:
        """Nominal parts, then every part at either end of its tolerance, at three supplies."""
        ends: list[tuple[float, float]] = []
        for model in self.models:
            if isinstance(model, Filament):
                ends.append((1.0 - model.watts_tolerance, 1.0 + model.watts_tolerance))
            elif isinstance(model, DiodeType):
                ends.append((1.0 / model.spread, model.spread))
            else:
                share = self.problem.part_options.ohms_tolerance
                ends.append((1.0 / (1.0 + share), 1.0 / (1.0 - share)))
        for factors in [self.nominal, *product(*ends)]:
            for volts in self.problem.spec.supply.volts:
                yield volts, factors

    def light(self, state: State, drops: Drops) -> list[float]:
        """Margin of every filament [stops]."""
        margins = []
        for filament, band, volts in zip(self.filaments, state.bands, drops.volts, strict=False):
            if band is None:
                margins.append(MOST_STOPS)
                continue
            stops = log2(max(float(relative_flux_of(filament, volts)), 2.0**DARKEST_STOPS))
            low, high = log2(band.low) if band.low > 0.0 else -inf, log2(band.high)
            margins.append(min(MOST_STOPS, stops - low, high - stops))
            if band.of_full > 0.0:
                rated_or_across = min(1.0, float(relative_flux_of(filament, drops.supply)))
                margins[-1] = min(margins[-1], stops - log2(band.of_full) - log2(rated_or_across))
            if band.kelvin < inf:
                # a dark filament's light at its edge, by the temperature and not by the volts
                margins[-1] = min(margins[-1], log2(float(relative_flux_at(filament, band.kelvin))) - stops)
        return margins

    def same(self, state: State, drops: Drops) -> list[float]:
        """Margin of every pair whose light must match [stops]."""
        margins = []
        for check in state.same:
            pair = [(self.filaments[at], drops.volts[at]) for at in (check.first, check.second)]
            flux = [float(relative_flux_of(filament, volts)) for filament, volts in pair]
            a, b = (each * filament.lumens for each, (filament, _) in zip(flux, pair, strict=True))
            ratio = log2(a / b)
            within = min(ratio - log2(1.0 - check.within), log2(1.0 + check.within) - ratio, MOST_STOPS)
            margins.append(MOST_STOPS if max(flux) <= self.problem.spec.levels.off.high else within)
        return margins

    def loads(self, drops: Drops) -> list[float]:
        """Volts on filaments, amps through diodes, watts of resistors."""
        return [
            abs(v) if isinstance(model, Filament) else i if isinstance(model, DiodeType) else abs(v * i)
            for model, v, i in zip(self.models, drops.volts.tolist(), drops.amps.tolist(), strict=True)
        ]

    def room(self, loads: Sequence[float]) -> float:
        """How far the nearest rating of a part is; negative where one is passed."""
        limits = [
            1.2 * m.test_volts if isinstance(m, Filament)
            else m.max_amps if isinstance(m, DiodeType)
            else max(self.problem.part_options.watts)
            for m in self.models
        ]  # fmt: skip
        return float(np.min(np.array(limits) - np.array(loads)))

    def carried(self, state: State, drops: Drops) -> list[tuple[str, float]]:
        """What each contact carries: all that the wires beyond it take; each feed has one contact."""
        found = []
        for contact in state.contacts:
            far = contact.b if contact.a in ("30", "31") else contact.a
            wires = wired(self.circuit)
            block = nx.node_connected_component(wires, far) if far in wires else {far}
            parts = zip(drawn(self.circuit), drops.amps, strict=True)
            total = sum(i * ((p.from_node in block) - (p.to_node in block)) for p, i in parts)
            found.append((contact.control, abs(float(total))))
        return found

    def judgement(self) -> Slow:
        states, names = self.problem.states, [control.name for control in self.problem.spec.controls]
        margin = np.full((len(states), len(self.filaments)), MOST_STOPS)
        same = np.full(sum(len(state.same) for state in states), MOST_STOPS)
        load, control = np.full(len(self.models), -1.0), np.full(len(names), -1.0)
        for corner in self.corners():
            drops = [self.point(state, corner) for state in states]
            margin = np.minimum(margin, [self.light(s, d) for s, d in zip(states, drops, strict=True)])
            pairs = [each for s, d in zip(states, drops, strict=True) for each in self.same(s, d)]
            same = np.minimum(same, pairs)
            load = np.maximum(load, np.max([self.loads(each) for each in drops], axis=0))
            for state, each in zip(states, drops, strict=True):
                for name, amps in self.carried(state, each):
                    control[names.index(name)] = max(control[names.index(name)], amps)
        return Slow(margin, same, load, control)

    def nominal_margin(self) -> float:
        """The least of margins and room to ratings, parts nominal; any negative one will do."""
        least = MOST_STOPS
        for volts, state in product(self.problem.spec.supply.volts, self.problem.states):
            drops = self.point(state, (volts, self.nominal))
            room = self.room(self.loads(drops))
            least = min(least, room, *self.light(state, drops), *self.same(state, drops))
            if least < -1e-3:
                break
        return least


@pytest.fixture(scope="session")
def slow_judge_type() -> type[SlowJudge]:
    """Give the class, since a conftest cannot be imported."""
    return SlowJudge
