"""One fitted circuit on the bench, sound or with a fault, solved in every state at two supplies."""

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from lampwright.assess.alterations import Circuitry, Fault
from lampwright.assess.substitutes import Stock
from lampwright.judge.every_state import Points, new_points, settle
from lampwright.network.circuit import GROUND
from lampwright.problem.problem import Problem
from lampwright.solve.boundary import SOUND, Boundary, Damage, Truths, boundary_under
from lampwright.solve.laws import DIODE, FILAMENT, RESISTOR, Bytes, Floats, Ints, base_of
from lampwright.solve.newton import BASE, KIND, MOST_NODES, ROW, VALUE, new_workspace


@dataclass(frozen=True)
class Values:
    """What is fitted besides lamps: per diode its place among the stock's, per resistor ohms and watts."""

    diodes: tuple[int, ...]
    ohms: tuple[float, ...]
    watts: tuple[float, ...]


@dataclass(frozen=True)
class Settled:
    """All states of one circuit at one supply.

    ends: (parts, 2). kinds, closed, limits, signs: (parts,) kind in the solver, conducts
    at all, rating ([V] of filaments, [A] of diodes, [W] of resistors), -1 where the ends
    are the other way round than in the sound circuit. loads: (states, parts) in the
    rating's unit. control_amps: (states, controls), control_limits: (controls,) [A].
    lamp_rows: (filaments,) the stock's row of each filament, of the lamp an LED replaces.
    """

    boundary: Boundary
    points: Points
    ends: Bytes
    kinds: Ints
    closed: Truths
    limits: Floats
    signs: Floats
    loads: Floats
    control_amps: Floats
    control_limits: Floats
    lamp_rows: Ints


@dataclass(frozen=True)
class Pair:
    """The same circuit at the normal supply and at the high one."""

    normal: Settled
    high: Settled


@dataclass
class _Fitting:
    """Kind, row and value of every part, open to change by a fault."""

    kinds: Ints
    rows: Ints
    values: Floats
    limits: Floats
    ends: Bytes
    signs: Floats
    lamp_rows: Ints


def can_lift(circuit: Circuitry) -> bool:
    """Whether the solver has room for one node more, on which lost grounds hang together."""
    return circuit.netlist.blocks + circuit.netlist.joints + 3 <= MOST_NODES


class Bench:
    """Solves one circuit, sound or altered."""

    def __init__(self, problem: Problem, stock: Stock, circuit: Circuitry, values: Values) -> None:
        """Set the circuit up with the types its lamps have."""
        self.problem, self.stock, self.circuit, self.values = problem, stock, circuit, values
        self._boundary = lru_cache(maxsize=256)(self._boundary_under)
        self._work = new_workspace()
        self._limits = problem.limits.control_amps
        self.unsolved = 0

    def sound(self) -> Pair:
        """The circuit as designed."""
        return self._settle(self._fitting(), self._boundary(SOUND))

    def under(self, fault: Fault) -> Pair:
        """The circuit with a fault."""
        fitting = self._fitting()
        if fault.swap is not None:
            self._fit_lamp(fitting, fault.lamp, self.stock.rows(fault.swap))
        if fault.led:
            self._fit_led(fitting, fault)
        if fault.opened:
            opened = list(fault.opened)
            fitting.kinds[opened], fitting.values[opened] = RESISTOR, 0.0
        boundary = self._boundary(fault.damage)
        if fault.lifted:
            boundary = self._lift(fitting, fault.lifted, boundary)
        return self._settle(fitting, boundary)

    def _boundary_under(self, damage: Damage) -> Boundary:
        problem, netlist = self.problem, self.circuit.netlist
        return boundary_under(
            damage,
            problem.spec,
            problem.states,
            problem.layout.terminals,
            netlist.partition,
            joints=netlist.joints,
            every_contact=True,
        )

    def _fitting(self) -> _Fitting:
        circuit, values, stock = self.circuit, self.values, self.stock
        rows = [row for kind in circuit.kinds for row in stock.rows(kind)]
        filaments, diodes, resistors = len(rows), len(values.diodes), len(values.ohms)
        kinds = [FILAMENT] * filaments + [DIODE] * diodes + [RESISTOR] * resistors
        limits = [
            *stock.lamp_volts[rows],
            *(stock.diodes[at].max_amps for at in values.diodes),
            *values.watts,
        ]
        return _Fitting(
            kinds=np.array(kinds, np.int64),
            rows=np.array([*rows, *values.diodes, *[0] * resistors], np.int64),
            values=np.array([*[1.0] * filaments, *[0.0] * diodes, *(1.0 / ohms for ohms in values.ohms)]),
            limits=np.array(limits, np.float64),
            ends=circuit.netlist.ends.copy(),
            signs=np.ones(len(kinds)),
            lamp_rows=np.array(rows, np.int64),
        )

    def _fit_lamp(self, fitting: _Fitting, lamp: int, rows: tuple[int, ...]) -> None:
        parts = list(self.circuit.lamps[lamp])
        fitting.rows[parts] = fitting.lamp_rows[parts] = rows
        fitting.limits[parts] = self.stock.lamp_volts[list(rows)]

    def _fit_led(self, fitting: _Fitting, fault: Fault) -> None:
        parts = list(self.circuit.lamps[fault.lamp])
        fitting.kinds[parts], fitting.rows[parts] = DIODE, len(self.stock.diodes) - 1
        fitting.values[parts], fitting.limits[parts] = 0.0, np.inf
        turned = fitting.ends[parts, 0] != np.array([plus for plus, _ in fault.led])
        fitting.ends[parts] = np.array(fault.led, np.int8)
        fitting.signs[parts] = np.where(turned, -1.0, 1.0)

    def _lift(self, fitting: _Fitting, parts: tuple[int, ...], boundary: Boundary) -> Boundary:
        """Move the ends at ground of some parts to a new vertex, the last."""
        names = self.problem.layout.terminals
        ground = self.circuit.netlist.partition[names.index(GROUND)]
        vertices = boundary.vertex_node.shape[1]
        chosen = fitting.ends[list(parts)]
        fitting.ends[list(parts)] = np.where(chosen == ground, vertices, chosen).astype(np.int8)
        free = boundary.vertex_node.max(axis=1, keepdims=True) + 1
        nodes = np.concatenate([boundary.vertex_node, np.maximum(free, 2)], axis=1).astype(np.int8)
        return replace(boundary, vertex_node=nodes)

    def _settle(self, fitting: _Fitting, boundary: Boundary) -> Pair:
        return Pair(*(self._at(fitting, boundary, float(self.problem.volts[at])) for at in (1, 2)))

    def _at(self, fitting: _Fitting, boundary: Boundary, volts: float) -> Settled:
        models, (reals, whole) = self.stock.models, self._work
        parts = len(fitting.kinds)
        whole[KIND : KIND + parts], whole[ROW : ROW + parts] = fitting.kinds, fitting.rows
        for part in range(parts):
            whole[BASE + part] = base_of(fitting.kinds[part], fitting.rows[part], models.filaments)
        reals[VALUE : VALUE + parts] = fitting.values
        points = new_points(len(boundary.vertex_node), parts, boundary.vertex_node.shape[1])
        self.unsolved += settle(fitting.ends[None], boundary.vertex_node, volts, models, self._work, points)
        size = np.abs(points.volts)
        loads = np.where(fitting.kinds == FILAMENT, size, np.abs(points.amps))
        loads = np.where(fitting.kinds == RESISTOR, size * np.abs(points.amps), loads)
        closed: Truths = ~((fitting.kinds == RESISTOR) & (fitting.values == 0.0))
        return Settled(
            boundary=boundary,
            points=points,
            ends=fitting.ends,
            kinds=fitting.kinds,
            closed=closed,
            limits=fitting.limits,
            signs=fitting.signs,
            loads=loads,
            control_amps=self._control_amps(fitting.ends, boundary, points),
            control_limits=self._limits,
            lamp_rows=fitting.lamp_rows,
        )

    def _control_amps(self, ends: Bytes, boundary: Boundary, points: Points) -> Floats:
        """What the contacts of each control carry in each state (states, controls) [A]."""
        taken = np.zeros(boundary.vertex_node.shape)
        for part, (a, b) in enumerate(ends.tolist()):
            taken[:, a] += points.amps[:, part]
            taken[:, b] -= points.amps[:, part]
        gates = boundary.gates
        at = taken[gates.state] * (gates.beyond[:, None] >> np.arange(boundary.vertex_node.shape[1]) & 1)
        amps = np.where(gates.exact == 1, np.abs(at.sum(axis=1)), np.abs(at).sum(axis=1))
        carried = np.zeros((len(boundary.shorted), len(self.problem.spec.controls)))
        np.maximum.at(carried, (gates.state, gates.control), amps)
        return carried
