"""What a meter would read on a built circuit, sound and with each single fault, as spans.

Two kinds of reading. Ohms, cold, the supply off and the controls at rest, between two points: the
effective resistance of the network, which only grows with each resistance in it (Rayleigh), so that the span
is from all parts at their least to all at their most. Filaments are at room temperature; a diode is taken as
anything from a wire to a gap, for ohmmeters differ. Volts under power, from a point to ground or across a
part that is not at ground, in one setting: the operating point at every corner of the parts' tolerances, with
every filling that a bulb may have, the supply being set to normal as well as `SUPPLY_SHARE`. What hangs on
diodes alone may read anything up to the supply, for leakage and the meter then decide.

Where the spec has [wiring], a span has room on either side for what the wires of the parts at either lead
take (`wiring`), by the current in them: so much the volts at a lamp's pins may differ from those of its net.

Every span is wider by what the meter may be off, and ends where it shows a figure, so that a reading belongs
to all causes within whose spans it lies. Where the supply meets ground there are no volts: a fuse blows,
written as infinity.

Worked case: P21W (0.44 ohm cold) from 49a to 31 reads 0.1 to 0.8 ohm; with it open, what is beside it.

Source: Rayleigh's monotonicity law, P. G. Doyle and J. L. Snell, Random Walks and Electric Networks, 1984,
1.4; the meter's errors and the span of room temperature are our choice: cheap hand-held meters do better.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

import networkx as nx
import numpy as np

from lampwright.assess.faults.bench import Bench, Fitting
from lampwright.assess.faults.examine import FaultFinder
from lampwright.assess.faults.listing import Fault, circuitry_of
from lampwright.assess.faults.trials import PHYSICAL
from lampwright.judge.every_state import new_points, settle
from lampwright.judge.tolerances import tolerances_of
from lampwright.network.circuit import GROUND
from lampwright.network.netlist import Netlist
from lampwright.problem.problem import Choice, filament_models, refilled
from lampwright.results.design import Design
from lampwright.solve.boundary import GROUND_POINT, SUPPLY_POINT, Truths
from lampwright.solve.laws import DIODE, FILAMENT, RESISTOR, Bytes, Floats, Ints, base_of
from lampwright.solve.newton import BASE, KIND, ROW, VALUE, new_workspace

SUPPLY_SHARE = 0.01
"""How far the supply may be from normal while volts are read, a share of it."""
METER_VOLTS, METER_VOLTS_SHARE, STEP_VOLTS = 0.02, 0.005, 0.01
"""How far a reading of volts may be off: so many [V], a share besides; and the least that is shown [V]."""
METER_OHMS, METER_OHMS_SHARE, STEP_OHMS = 0.2, 0.01, 0.1
"""The same of ohms [ohm], the leads' own taken away."""
ROOM_SHARE = 0.1
"""How far a cold filament's resistance is from that at 20 C between 0 and 40 C, a share of it."""
CLOSED_SIEMENS = 1e6
"""A diode that an ohmmeter turns on, at its best."""
MOST_VARIED = 10
"""Parts whose tolerances are combined freely; with more, all stray together, and each against all others."""
ROUNDING = 1e-9
LEAST_AMPS = 1e-3
"""A lamp that takes less loses nothing in its wires."""
OHMS = -1
"""The state of a reading of ohms."""


@dataclass(frozen=True)
class Reading:
    """Where the meter's leads are, by vertex, and in which state of the problem, or OHMS."""

    state: int
    vertex: int
    to: int


@dataclass(frozen=True)
class Readings:
    """What every reading comes to under every cause; cause 0 is the sound circuit, nothing the matter.

    names: of the vertices; ground: the one of terminal 31. rest: the state whose controls are at rest.
    nominal: (readings,) of the sound circuit. low, high: (causes, readings) [V] or [ohm]; infinite where
    open, or where a fuse blows. wires: (readings,) what wires may take [V]; low and high have room for it.
    unsolved counts operating points without a solution.
    """

    readings: tuple[Reading, ...]
    causes: tuple[str, ...]
    names: tuple[str, ...]
    ground: int
    rest: int
    nominal: Floats
    low: Floats
    high: Floats
    wires: Floats
    unsolved: int


def readings_of(finder: FaultFinder, netlist: Netlist, choice: Choice, design: Design) -> Readings:
    """Every reading that may be taken on a design of the finder's problem, sound and under each fault."""
    return _Probe(finder, netlist, choice, design).readings()


def ohms_between(ends: Ints, siemens: Floats, one: int, other: int) -> float:
    """The effective resistance between two nodes of a network [ohm]; infinite where no way joins them.

    ends: (parts, 2) nodes from 0 up. siemens: (parts,), 0 where open.

    >>> round(ohms_between(np.array([[0, 1], [1, 2], [0, 2]]), np.array([1.0, 1.0, 0.5]), 0, 2), 6)
    1.0
    """
    if one == other:
        return 0.0
    laplacian = np.zeros((1 + max(int(ends.max(initial=0)), one, other),) * 2)
    for (a, b), value in zip(ends.tolist(), siemens.tolist(), strict=True):
        if a != b:
            laplacian[[a, b], [a, b]] += value
            laplacian[[a, b], [b, a]] -= value
    reached = _reached(laplacian, one)
    if other not in reached:
        return float(np.inf)
    inside = sorted(reached - {other})
    driven = (np.array(inside) == one).astype(np.float64)
    potentials = np.linalg.solve(laplacian[np.ix_(inside, inside)], driven)
    return float(potentials[inside.index(one)])


def _reached(laplacian: Floats, start: int) -> set[int]:
    reached, fresh = {start}, [start]
    while fresh:
        fresh = [int(n) for n in np.flatnonzero(laplacian[fresh.pop()] < 0.0) if n not in reached] + fresh
        reached.update(fresh)
    return reached


def _widened(low: Floats, high: Floats, most: float, share: float, step: float) -> Floats:
    """Spans with what a meter may be off on either side, outward to what it shows; the infinite stays so.

    What cannot be below 0 is not; a span that begins below it is of volts across a part.
    """
    known, far = (np.where(np.isinf(end), 0.0, np.abs(end)) for end in (low, high))
    least = low - most - share * known
    ends = np.where(low < 0.0, least, np.maximum(least, 0.0)), high + most + share * far
    return np.round(
        [np.floor(ends[0] / step + ROUNDING) * step, np.ceil(ends[1] / step - ROUNDING) * step], 6
    )


class _Probe:
    """One design with the meter's leads at it."""

    def __init__(self, finder: FaultFinder, netlist: Netlist, choice: Choice, design: Design) -> None:
        self.problem = problem = finder.problem
        self.circuit = circuitry_of(problem, netlist, choice, design.parts)
        self.choices = refilled(problem, choice)
        self.bench = Bench(problem, finder.stock, self.circuit)
        faults = [one for one in finder.faults(self.circuit) if one.kind in PHYSICAL]
        self.causes: list[Fault | None] = [None, *faults]
        self.ground = netlist.partition[problem.layout.terminals.index(GROUND)]
        self.points = [v for v in range(len(self.circuit.nodes)) if v != self.ground]
        self.across = self._across()
        self.wire_ohms = self._wire_ohms(design)
        self.rest = min(range(len(problem.states)), key=lambda at: len(problem.states[at].contacts))
        self.states = self._told_states()
        self._tolerances = tolerances_of(problem)
        self._work = new_workspace()
        self.unsolved = 0

    def readings(self) -> Readings:
        pairs = [Reading(OHMS, one, self.ground) for one in self.points]
        pairs += [Reading(OHMS, one, other) for one, other in combinations(self.points, 2)]
        powered = [Reading(state, *pair) for state in self.states for pair in self._powered()]
        fittings = [self.bench.fit(fault) for fault in self.causes]
        cold = [self._ohms(fitting, pairs) for fitting in fittings]
        hot = [self._volts(fitting) for fitting in fittings]
        spans = np.concatenate([np.array(cold), np.array(hot).reshape(len(fittings), 2, -1)], axis=2)
        return Readings(
            readings=(*pairs, *powered),
            causes=tuple("" if fault is None else fault.what for fault in self.causes),
            names=self.circuit.nodes,
            ground=self.ground,
            rest=self.rest,
            nominal=np.concatenate([self._cold_nominal(fittings[0], pairs), self._nominal(fittings[0])]),
            low=spans[:, 0],
            high=spans[:, 1],
            wires=np.concatenate([np.zeros(len(pairs)), self._nominal_loss(fittings[0])]),
            unsolved=self.unsolved,
        )

    def _powered(self) -> list[tuple[int, int]]:
        """Where volts are read: every point to ground, then across parts that are not at ground."""
        return [*((one, self.ground) for one in self.points), *self.across]

    def _across(self) -> list[tuple[int, int]]:
        """The ends of parts neither of which is at ground, each pair once."""
        sets = {frozenset(pair): pair for pair in reversed(self._ends_of().tolist())}
        return sorted((a, b) for a, b in sets.values() if a != b and self.ground not in (a, b))

    def _ends_of(self) -> Ints:
        """The vertices (parts, 2) of all parts."""
        return np.asarray(self.bench.fit(None).ends, dtype=np.int64)

    def _wire_ohms(self, design: Design) -> Floats:
        """What the wires of every part come to: of a lamp what they take at the most to its amps then [ohm].

        Of resistors and diodes, which the wiring has no such figure of, the most of any lamp.
        """
        ohms: dict[str, float] = {}
        amps = {(row.state, part.ref): abs(part.amps) for row in design.states for part in row.parts}
        amps |= {(row.full_name, part.ref): abs(part.amps) for row in design.states for part in row.parts}
        for row in design.wiring.lamps if design.wiring else ():
            ohms[row.lamp] = row.drop_volts / max(amps.get((row.state, row.lamp), 0.0), LEAST_AMPS)
        most = max(ohms.values(), default=0.0)
        return np.array([ohms.get(ref, most) for ref in self.circuit.refs])

    def _loss(self, fitting: Fitting, amps: Floats) -> Floats:
        """What wires may take of every reading (states, readings) with these amps (states, parts) [V]."""
        lost = np.abs(amps) * self.wire_ohms
        # a fault may give an end a vertex of its own
        at = np.zeros((len(lost), 1 + max(int(fitting.ends.max(initial=0)), len(self.circuit.nodes))))
        for part, ends in enumerate(fitting.ends.tolist()):
            for end in ends:
                at[:, end] = np.maximum(at[:, end], lost[:, part])
        # what is measured to ground has its black lead where ground is
        ends = [(one, one if other == self.ground else other) for one, other in self._powered()]
        return np.stack([np.maximum(at[:, one], at[:, other]) for one, other in ends], axis=1)

    def _told_states(self) -> list[int]:
        """The states in which anything is live, each once; by how many controls are moved."""
        node = self.bench.fit(None).boundary.vertex_node
        order = sorted(range(len(node)), key=lambda at: len(self.problem.states[at].phases))
        first = {node[at].tobytes(): at for at in reversed(order) if (node[at] == SUPPLY_POINT).any()}
        return sorted(first.values(), key=lambda at: (self._moved(at), at))

    def _moved(self, state: int) -> int:
        """How many controls are not as they are at rest."""
        rest, here = self.problem.states[self.rest].setting, self.problem.states[state].setting
        return sum(one != other for one, other in zip(rest, here, strict=True))

    def _siemens(self, fitting: Fitting, choice: Choice, way: float) -> Floats:
        """What every part conducts, cold: nominal with way 0, the least with -1, the most with 1."""
        options, out = self.problem.part_options, fitting.values.copy()
        rows = filament_models(self.problem, choice)
        stray = (1.0 + way * self._tolerances.filaments[list(rows)]) / (1.0 - way * ROOM_SHARE)
        out[: len(rows)] = stray / np.array([options.filaments[row].cold_ohms for row in rows])
        out[fitting.kinds == DIODE] = CLOSED_SIEMENS if way > 0 else 0.0
        out[fitting.kinds == RESISTOR] /= 1.0 - way * self._tolerances.ohms
        out[~fitting.closed] = 0.0
        return out

    def _ohms(self, fitting: Fitting, pairs: list[Reading]) -> Floats:
        """Spans (2, pairs) of the ohms between points, with the meter's error."""
        codes, ends = self._codes(fitting)
        every = [[self._siemens(fitting, choice, way) for choice in self.choices] for way in (1.0, -1.0)]
        low, high = (
            [[ohms_between(ends, siemens, *self._at(pair, codes)) for pair in pairs] for siemens in some]
            for some in every
        )
        least, most = np.min(low, axis=0), np.max(high, axis=0)
        return _widened(least, most, METER_OHMS, METER_OHMS_SHARE, STEP_OHMS)

    def _cold_nominal(self, fitting: Fitting, pairs: list[Reading]) -> Floats:
        codes, ends = self._codes(fitting)
        siemens = self._siemens(fitting, self.choices[0], 0.0)
        return np.array([ohms_between(ends, siemens, *self._at(pair, codes)) for pair in pairs])

    def _codes(self, fitting: Fitting) -> tuple[Bytes, Ints]:
        """The nodes of vertices at rest, and those of parts' ends."""
        codes = fitting.boundary.vertex_node[self.rest]
        return codes, codes[fitting.ends].astype(np.int64)

    def _at(self, pair: Reading, codes: Bytes) -> tuple[int, int]:
        return int(codes[pair.vertex]), int(codes[pair.to])

    def _nominal(self, fitting: Fitting) -> Floats:
        volts = float(self.problem.volts[1])
        return next(self._solved(fitting, self.choices[0], [fitting.values], (volts,)))[0].ravel()

    def _nominal_loss(self, fitting: Fitting) -> Floats:
        volts = float(self.problem.volts[1])
        return next(self._solved(fitting, self.choices[0], [fitting.values], (volts,)))[1].ravel()

    def _volts(self, fitting: Fitting) -> Floats:
        """Spans (2, states, points) of the volts at points, with the meter's error."""
        normal = float(self.problem.volts[1])
        supplies = (normal * (1.0 - SUPPLY_SHARE), normal * (1.0 + SUPPLY_SHARE))
        low = np.full((len(self.states), len(self._powered())), np.inf)
        high = np.full(low.shape, -np.inf)
        for choice in self.choices:
            for volts, lost in self._solved(fitting, choice, list(self._patterns(fitting, choice)), supplies):
                np.minimum(low, volts - lost, out=low)
                np.maximum(high, volts + lost, out=high)
        count = len(self.points)
        low[:, :count] = np.maximum(low[:, :count], 0.0)
        loose = self._loose(fitting)
        either = (
            np.array([loose[:, self._places(pair)].any(axis=1) for pair in self.across])
            .reshape(-1, len(low))
            .T
        )
        to_ground = np.concatenate([loose, np.zeros_like(either)], axis=1)
        low[to_ground], high[to_ground] = 0.0, supplies[1]
        between = np.concatenate([np.zeros_like(loose), either], axis=1)
        low[between], high[between] = -supplies[1], supplies[1]
        spans = _widened(low, high, METER_VOLTS, METER_VOLTS_SHARE, STEP_VOLTS)
        spans[:, fitting.boundary.shorted[self.states]] = np.inf
        return spans

    def _places(self, pair: tuple[int, int]) -> list[int]:
        return [self.points.index(one) for one in pair]

    def _loose(self, fitting: Fitting) -> Truths:
        """Which points (states, points) hang on diodes alone: the meter's own resistance then decides."""
        resistive = fitting.closed & (fitting.kinds != DIODE)
        loose = np.zeros((len(self.states), len(self.points)), np.bool_)
        for at, state in enumerate(self.states):
            codes = fitting.boundary.vertex_node[state]
            ends = codes[fitting.ends]
            joined: nx.Graph[int] = nx.Graph(ends[resistive].tolist())
            joined.add_nodes_from(codes.tolist())
            diodes = set(ends[fitting.kinds == DIODE].ravel().tolist())
            held = {GROUND_POINT, SUPPLY_POINT}
            for some in nx.connected_components(joined):
                if some & diodes and not some & held:
                    loose[at] |= np.isin(codes[self.points], list(some))
        return loose

    def _patterns(self, fitting: Fitting, choice: Choice) -> Iterator[Floats]:
        """The parts' values at every corner of their tolerances."""
        low, high = self._ends(fitting, choice)
        varied = np.flatnonzero(low != high)
        if len(varied) <= MOST_VARIED:
            for number in range(1 << len(varied)):
                values = low.copy()
                chosen = varied[(number >> np.arange(len(varied)) & 1).astype(bool)]
                values[chosen] = high[chosen]
                yield values
            return
        for one, other in ((low, high), (high, low)):
            yield one
            for part in varied:
                values = one.copy()
                values[part] = other[part]
                yield values

    def _ends(self, fitting: Fitting, choice: Choice) -> tuple[Floats, Floats]:
        """The least and the most of every part's value as the solver takes it."""
        low, high = fitting.values.copy(), fitting.values.copy()
        rows = list(filament_models(self.problem, choice))
        lamps, diodes = fitting.kinds == FILAMENT, fitting.kinds == DIODE
        share = np.zeros(len(low))
        share[: len(rows)] = self._tolerances.filaments[rows]
        shift = self._tolerances.diodes[fitting.rows[diodes]]
        low[lamps], high[lamps] = 1.0 - share[lamps], 1.0 + share[lamps]
        low[diodes], high[diodes] = -shift, shift
        resistors = fitting.kinds == RESISTOR
        low[resistors] /= 1.0 + self._tolerances.ohms
        high[resistors] /= 1.0 - self._tolerances.ohms
        return low, high

    def _solved(
        self, fitting: Fitting, choice: Choice, patterns: list[Floats], supplies: tuple[float, ...]
    ) -> Iterator[tuple[Floats, Floats]]:
        """The volts (states, readings) of the states told, and what wires may take, by pattern and supply."""
        models, (reals, whole) = self.problem.part_options.models, self._work
        node, parts = np.ascontiguousarray(fitting.boundary.vertex_node[self.states]), len(fitting.kinds)
        rows = fitting.rows.copy()
        filaments = filament_models(self.problem, choice)
        rows[: len(filaments)] = filaments
        whole[KIND : KIND + parts], whole[ROW : ROW + parts] = fitting.kinds, rows
        for part in range(parts):
            whole[BASE + part] = base_of(fitting.kinds[part], rows[part], models.filaments)
        joined = node[:, :, None] == node[:, None, self.points]
        for values in patterns:
            reals[VALUE : VALUE + parts] = values
            for volts in supplies:
                points = new_points(len(node), parts, node.shape[1])
                self.unsolved += settle(fitting.ends[None], node, volts, models, self._work, points)
                found = np.where(joined, points.potential[:, :, None], 0.0).max(axis=1)
                found[node[:, self.points] == SUPPLY_POINT] = volts
                found[node[:, self.points] == GROUND_POINT] = 0.0
                one, other = np.array([self._places(pair) for pair in self.across]).reshape(-1, 2).T
                volts_of = np.concatenate([found, found[:, one] - found[:, other]], axis=1)
                yield volts_of, self._loss(fitting, points.amps)
