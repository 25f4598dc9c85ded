"""One fitted circuit on the bench, sound or with a fault, solved in every state at two supplies."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from lampwright.assess.alterations import SOUND, Circuitry, Fault
from lampwright.assess.rewire import Rewirer, Truths, Wiring
from lampwright.assess.substitutes import Stock
from lampwright.judge.every_state import Points, new_points, settle
from lampwright.network.circuit import GROUND
from lampwright.problem.problem import Problem
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

    wiring: Wiring
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
        netlist = circuit.netlist
        rewirer = Rewirer(problem, netlist.partition, netlist.joints)
        self.wire = lru_cache(maxsize=256)(rewirer.wire)
        self._work = new_workspace()
        self._limits = problem.limits.control_amps
        self.unsolved = 0

    def sound(self) -> Pair:
        """The circuit as designed."""
        return self._settle(self._fitting(), self.wire(SOUND))

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
        wiring = self.wire(fault.damage)
        if fault.lifted:
            wiring = self._lift(fitting, fault.lifted, wiring)
        return self._settle(fitting, wiring)

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

    def _lift(self, fitting: _Fitting, parts: tuple[int, ...], wiring: Wiring) -> Wiring:
        """Move the ends at ground of some parts to a new vertex, the last."""
        names = self.problem.layout.terminals
        ground = self.circuit.netlist.partition[names.index(GROUND)]
        vertices = wiring.vertex_node.shape[1]
        chosen = fitting.ends[list(parts)]
        fitting.ends[list(parts)] = np.where(chosen == ground, vertices, chosen).astype(np.int8)
        free = wiring.vertex_node.max(axis=1, keepdims=True) + 1
        nodes = np.concatenate([wiring.vertex_node, np.maximum(free, 2)], axis=1).astype(np.int8)
        beyond = np.concatenate([wiring.beyond, np.zeros((len(wiring.beyond), 1), np.bool_)], axis=1)
        return Wiring(
            vertex_node=nodes,
            shorted=wiring.shorted,
            gate_state=wiring.gate_state,
            gate_control=wiring.gate_control,
            beyond=beyond,
            exact=wiring.exact,
        )

    def _settle(self, fitting: _Fitting, wiring: Wiring) -> Pair:
        return Pair(*(self._at(fitting, wiring, float(self.problem.volts[at])) for at in (1, 2)))

    def _at(self, fitting: _Fitting, wiring: Wiring, volts: float) -> Settled:
        models, (reals, whole) = self.stock.models, self._work
        parts = len(fitting.kinds)
        whole[KIND : KIND + parts], whole[ROW : ROW + parts] = fitting.kinds, fitting.rows
        for part in range(parts):
            whole[BASE + part] = base_of(fitting.kinds[part], fitting.rows[part], models.filaments)
        reals[VALUE : VALUE + parts] = fitting.values
        points = new_points(len(wiring.vertex_node), parts, wiring.vertex_node.shape[1])
        self.unsolved += settle(fitting.ends[None], wiring.vertex_node, volts, models, self._work, points)
        size = np.abs(points.volts)
        loads = np.where(fitting.kinds == FILAMENT, size, np.abs(points.amps))
        loads = np.where(fitting.kinds == RESISTOR, size * np.abs(points.amps), loads)
        closed: Truths = ~((fitting.kinds == RESISTOR) & (fitting.values == 0.0))
        return Settled(
            wiring=wiring,
            points=points,
            ends=fitting.ends,
            kinds=fitting.kinds,
            closed=closed,
            limits=fitting.limits,
            signs=fitting.signs,
            loads=loads,
            control_amps=self._control_amps(fitting.ends, wiring, points),
            control_limits=self._limits,
            lamp_rows=fitting.lamp_rows,
        )

    def _control_amps(self, ends: Bytes, wiring: Wiring, points: Points) -> Floats:
        """What the contacts of each control carry in each state (states, controls) [A]."""
        taken = np.zeros(wiring.vertex_node.shape)
        for part, (a, b) in enumerate(ends.tolist()):
            taken[:, a] += points.amps[:, part]
            taken[:, b] -= points.amps[:, part]
        at = taken[wiring.gate_state] * wiring.beyond
        amps = np.where(wiring.exact, np.abs(at.sum(axis=1)), np.abs(at).sum(axis=1))
        carried = np.zeros((len(wiring.shorted), len(self.problem.spec.controls)))
        np.maximum.at(carried, (wiring.gate_state, wiring.gate_control), amps)
        return carried
