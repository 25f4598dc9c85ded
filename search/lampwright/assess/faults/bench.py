"""One fitted circuit on the bench, sound or with a fault, solved in every state."""

from dataclasses import dataclass, replace

import numpy as np

from lampwright.assess.faults.listing import Circuitry, Fault
from lampwright.assess.faults.substitutes import Stock
from lampwright.caches import remembered
from lampwright.judge.every_state import Points, new_points, settle
from lampwright.network.circuit import GROUND
from lampwright.problem.problem import Problem
from lampwright.solve.boundary import SOUND, Boundary, Damage, Truths, boundary_under
from lampwright.solve.laws import DIODE, FILAMENT, RESISTOR, Bytes, Floats, Ints, base_of
from lampwright.solve.newton import BASE, KIND, MOST_NODES, ROW, VALUE, new_workspace

NORMAL, HIGH = 1, 2
"""At the normal supply lamps are read, at the high one loads."""


@dataclass
class Fitting:
    """A circuit as a fault leaves it.

    ends: (parts, 2). kinds, rows, values, limits, signs: (parts,) kind, row and value in the
    solver, rating ([V] of filaments, [A] of diodes, [W] of resistors), -1 where the ends are
    the other way round than in the sound circuit. lamp_rows: (filaments,) the stock's row of
    each filament, of the lamp an LED replaces.
    """

    kinds: Ints
    rows: Ints
    values: Floats
    limits: Floats
    ends: Bytes
    signs: Floats
    lamp_rows: Ints
    boundary: Boundary

    @property
    def closed(self) -> Truths:
        """Which parts conduct at all (parts,)."""
        found: Truths = ~((self.kinds == RESISTOR) & (self.values == 0.0))
        return found


@dataclass(frozen=True)
class Settled:
    """All states of one circuit at one supply.

    loads: (states, parts) in the rating's unit. control_amps: (states, controls) [A].
    """

    fitting: Fitting
    points: Points
    loads: Floats
    control_amps: Floats

    @property
    def shorted(self) -> Truths:
        """Where (states,) the supply meets ground, and nothing else is said."""
        return self.fitting.boundary.shorted


def can_lift(circuit: Circuitry) -> bool:
    """Whether the solver has room for one node more, on which lost grounds hang together."""
    return circuit.netlist.blocks + circuit.netlist.joints + 3 <= MOST_NODES


class Bench:
    """Solves one circuit, sound or altered."""

    def __init__(self, problem: Problem, stock: Stock, circuit: Circuitry) -> None:
        """Set the circuit up with the types its lamps have."""
        self.problem, self.stock, self.circuit = problem, stock, circuit
        self._boundary = remembered(256, self._boundary_under)
        self._work = new_workspace()
        self.unsolved = 0

    def fit(self, fault: Fault | None) -> Fitting:
        """The circuit with a fault, or sound."""
        fitting = self._sound()
        if fault is None:
            return fitting
        if fault.swap is not None:
            self._fit_lamp(fitting, fault.lamp, self.stock.rows(fault.swap))
        if fault.led:
            self._fit_led(fitting, fault)
        if fault.opened:
            opened = list(fault.opened)
            fitting.kinds[opened], fitting.values[opened] = RESISTOR, 0.0
        fitting.boundary = self._boundary(fault.damage)
        if fault.lifted:
            self._lift(fitting, fault.lifted)
        return fitting

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

    def _sound(self) -> Fitting:
        circuit, stock = self.circuit, self.stock
        rows = [row for kind in circuit.kinds for row in stock.rows(kind)]
        filaments, diodes, resistors = len(rows), len(circuit.diodes), len(circuit.ohms)
        kinds = [FILAMENT] * filaments + [DIODE] * diodes + [RESISTOR] * resistors
        limits = [
            *stock.lamp_volts[rows],
            *(stock.diodes[at].max_amps for at in circuit.diodes),
            *circuit.watts,
        ]
        return Fitting(
            kinds=np.array(kinds, np.int64),
            rows=np.array([*rows, *circuit.diodes, *[0] * resistors], np.int64),
            values=np.array([*[1.0] * filaments, *[0.0] * diodes, *(1.0 / ohms for ohms in circuit.ohms)]),
            limits=np.array(limits, np.float64),
            ends=circuit.netlist.ends.copy(),
            signs=np.ones(len(kinds)),
            lamp_rows=np.array(rows, np.int64),
            boundary=self._boundary(SOUND),
        )

    def _fit_lamp(self, fitting: Fitting, lamp: int, rows: tuple[int, ...]) -> None:
        parts = list(self.circuit.lamps[lamp])
        fitting.rows[parts] = fitting.lamp_rows[parts] = rows
        fitting.limits[parts] = self.stock.lamp_volts[list(rows)]

    def _fit_led(self, fitting: Fitting, fault: Fault) -> None:
        parts = list(self.circuit.lamps[fault.lamp])
        fitting.kinds[parts] = DIODE
        fitting.rows[parts] = self.stock.led_row(self.circuit.kinds[fault.lamp])
        fitting.values[parts], fitting.limits[parts] = 0.0, np.inf
        turned = fitting.ends[parts, 0] != np.array([plus for plus, _ in fault.led])
        fitting.ends[parts] = np.array(fault.led, np.int8)
        fitting.signs[parts] = np.where(turned, -1.0, 1.0)

    def _lift(self, fitting: Fitting, parts: tuple[int, ...]) -> None:
        """Move the ends at ground of some parts to a new vertex, the last."""
        ground = self.circuit.netlist.partition[self.problem.layout.terminals.index(GROUND)]
        node = fitting.boundary.vertex_node
        chosen = fitting.ends[list(parts)]
        fitting.ends[list(parts)] = np.where(chosen == ground, node.shape[1], chosen).astype(np.int8)
        free = np.maximum(node.max(axis=1, keepdims=True) + 1, 2)
        nodes = np.concatenate([node, free], axis=1).astype(np.int8)
        fitting.boundary = replace(fitting.boundary, vertex_node=nodes)

    def settle(self, fitting: Fitting, supply: int) -> Settled:
        """Solve every state at the normal or the high supply."""
        models, (reals, whole) = self.stock.models, self._work
        node, kinds, parts = fitting.boundary.vertex_node, fitting.kinds, len(fitting.kinds)
        whole[KIND : KIND + parts], whole[ROW : ROW + parts] = kinds, fitting.rows
        for part in range(parts):
            whole[BASE + part] = base_of(kinds[part], fitting.rows[part], models.filaments)
        reals[VALUE : VALUE + parts] = fitting.values
        points = new_points(len(node), parts, node.shape[1])
        volts = float(self.problem.volts[supply])
        self.unsolved += settle(fitting.ends[None], node, volts, models, self._work, points)
        size = np.abs(points.volts)
        loads = np.where(kinds == FILAMENT, size, np.abs(points.amps))
        loads = np.where(kinds == RESISTOR, size * np.abs(points.amps), loads)
        return Settled(fitting, points, loads, self._control_amps(fitting, points))

    def _control_amps(self, fitting: Fitting, points: Points) -> Floats:
        """What the contacts of each control carry in each state (states, controls) [A]."""
        boundary = fitting.boundary
        taken = np.zeros(boundary.vertex_node.shape)
        for part, (a, b) in enumerate(fitting.ends.tolist()):
            taken[:, a] += points.amps[:, part]
            taken[:, b] -= points.amps[:, part]
        gates = boundary.gates
        at = taken[gates.state] * (gates.beyond[:, None] >> np.arange(boundary.vertex_node.shape[1]) & 1)
        amps = np.where(gates.exact == 1, np.abs(at.sum(axis=1)), np.abs(at).sum(axis=1))
        carried = np.zeros((len(boundary.shorted), len(self.problem.spec.controls)))
        np.maximum.at(carried, (gates.state, gates.control), amps)
        return carried
