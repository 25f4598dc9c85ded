"""Wires, fuses and what they do: currents, drops, the smallest sizes, and the judge once more.

The circuit is solved with its wires in place, in every state at high supply, with all
parts nominal and again with all at the end of their tolerance that takes most. A fuse is
chosen for every terminal that a contact or the battery feeds. A wire must carry its own
current and, where it belongs to a part next to a fed terminal, that terminal's fuse, so
that a short anywhere along it blows the fuse first. Among the sizes that do, wires are
made thicker, the greatest loss on the worst path first, until no lamp loses more than
`most_drop` in its wires, and thinner again where that was more than needed: at the end
no wire could be the next size down. Currents for this are those with the thickest wires,
which are the greatest.

Worked case: a 21 W lamp, 1.9 A, 4 m out and 4 m back in 0.75 mm² at 60 C: 0.46 V.

Source: S48, S49 for the share of a fuse; that the fuse protects the wire and half a volt
for a signal lamp are common practice.
"""

from dataclasses import dataclass, replace

import numpy as np

from lampwright.assess.wired_circuit import WiredCircuit, fit_wired, with_wires
from lampwright.judge.corners import set_pattern
from lampwright.judge.every_state import new_points, settle
from lampwright.judge.fitting import fit_choice
from lampwright.judge.judge import Judge, ShortedError, spread_of
from lampwright.network.circuit import GROUND
from lampwright.network.netlist import Netlist
from lampwright.network.wiring import Harness, harness_of
from lampwright.parts.fuses import BladeFuse, fuse_for
from lampwright.parts.wires import continuous_amps, ohms_per_metre
from lampwright.problem.problem import Choice, Problem, refilled
from lampwright.solve.laws import Floats, Ints
from lampwright.solve.newton import MOST_NODES, MOST_PARTS, new_workspace
from lampwright.spec.model import Wiring

LIVE = 1


@dataclass(frozen=True)
class FittedWire:
    """A wire of the harness: metres, mm² and ohms, its greatest current [A] and the state of that.

    stands: the greatest fuse [A] it must outlast, 0 for none; carries: what its size may
    carry for good [A].
    """

    metres: float
    area_mm2: float
    ohms: float
    amps: float
    state: int
    stands: float
    carries: float


@dataclass(frozen=True)
class LampWires:
    """The wires of one filament, by number, and the most they drop [V] together, and in which state."""

    filament: int
    wires: tuple[int, ...]
    drop: float
    state: int


@dataclass(frozen=True)
class Feed:
    """A terminal that is fed: its greatest load [A], the state, its fuse, the least its wires carry [A]."""

    terminal: int
    amps: float
    state: int
    fuse: BladeFuse | None
    carries: float


@dataclass(frozen=True)
class WiringPlan:
    """A design with its wires.

    wires: in order of the harness. met, margin: what the judge says with the wires in
    place; unsolved: how many operating points did not converge.
    """

    harness: Harness
    circuit: WiredCircuit
    wires: tuple[FittedWire, ...]
    lamps: tuple[LampWires, ...]
    feeds: tuple[Feed, ...]
    met: bool
    margin: float
    unsolved: int


class NoRoomError(Exception):
    """The circuit with its wires has more parts or vertices than the solver holds."""

    def __init__(self, circuit: WiredCircuit) -> None:
        """Say how large it is."""
        parts, nodes = len(circuit.netlist.ends), circuit.nodes
        super().__init__(
            f"with its wires the circuit has {parts} parts and {nodes} nodes; the solver holds"
            f" {MOST_PARTS} and {MOST_NODES}"
        )


def metres_between(wiring: Wiring, one: str, other: str) -> float:
    """The length [m] of a wire between two zones."""
    for first, second, metres in wiring.lengths:
        if {first, second} == {one, other}:
            return metres
    return wiring.length


def wire_up(
    problem: Problem, netlist: Netlist, choice: Choice, wiring: Wiring, refs: tuple[str, ...] = ()
) -> WiringPlan:
    """Choose wires and fuses for a circuit that its spec gives lengths for.

    refs: names of its diodes and resistors; D1, R1 and so on if left out. Raises
    NoRoomError where the solver has no room for the wires, ShortedError where contacts
    alone join supply and ground.
    """
    return _Fitter(problem, netlist, choice, wiring, refs).wiring_plan()


@dataclass(frozen=True)
class _Flow:
    """Sizes of currents: wires (points, wires) and fed terminals (points, terminals) [A].

    A point is a state, nominal, and again with the parts that take most.
    """

    wires: Floats
    terminals: Floats
    states: int

    def worst(self, of: Floats) -> tuple[float, int]:
        """The greatest of a column and its state."""
        at = int(np.argmax(of))
        return float(of[at]), at % self.states


class _Fitter:
    """Fits sizes to the wires of one circuit."""

    def __init__(
        self, problem: Problem, netlist: Netlist, choice: Choice, wiring: Wiring, refs: tuple[str, ...]
    ) -> None:
        self.problem, self.netlist, self.choice, self.wiring = problem, netlist, choice, wiring
        self.harness = harness_of(netlist, problem.layout, problem.zoned, refs)
        # wires have no wattage: the limit is for resistors that are parts, looked at afterwards
        self.judge = Judge(replace(problem, limits=problem.limits._replace(watts=np.inf)))
        pins = self.harness.pins
        self.metres = np.array(
            [metres_between(wiring, pins[w.near].zone, pins[w.far].zone) for w in self.harness.wires]
        )
        self.per_metre = np.array([ohms_per_metre(area, wiring.celsius) for area in wiring.sizes])
        self.carries = np.array([continuous_amps(area) for area in wiring.sizes])
        self.paths = [self.harness.wires_of(part) for part in range(len(netlist.ends))]
        # low edges of full differ by model and supply; all are above off or none
        asked = (problem.demands.low_stops > problem.demands.off_stops).any(axis=(0, 3))
        self.asked = np.where(asked.any(axis=0), asked, True)

    def wiring_plan(self) -> WiringPlan:
        """Sizes, then everything that follows from them."""
        thickest = np.full(len(self.metres), len(self.per_metre) - 1)
        flow = self._flow(self._wired(thickest))
        sizes = self._sizes(flow, self._stands(self._feeds(flow, thickest)))
        circuit = self._wired(sizes)
        flow = self._flow(circuit)
        feeds = self._feeds(flow, sizes)
        fits = [fit_wired(self.problem, circuit, one) for one in refilled(self.problem, self.choice)]
        judged = [self.judge.judge_fit(circuit.netlist, fit, len(circuit.ohms)) for fit in fits]
        own = slice(circuit.own_parts - self.netlist.resistors, circuit.own_parts)
        cool = all(np.all(one.verdicts.load[own] <= self.problem.limits.watts) for one in judged)
        return WiringPlan(
            harness=self.harness,
            circuit=circuit,
            wires=self._fitted(flow, sizes, self._stands(feeds)),
            lamps=self._lamps(flow, sizes),
            feeds=feeds,
            met=all(one.met for one in judged) and cool,
            margin=min(one.margin for one in judged),
            unsolved=sum(one.unconverged for one in judged),
        )

    def _wired(self, sizes: Ints) -> WiredCircuit:
        ohms = tuple(float(value) for value in self.metres * self.per_metre[sizes])
        circuit = with_wires(self.netlist, self.harness, self.problem.layout, ohms)
        if not circuit.is_within_room:
            raise NoRoomError(circuit)
        return circuit

    def _flow(self, circuit: WiredCircuit) -> _Flow:
        """Solve every state at high supply: nominal parts, then those that take most."""
        problem, parts = self.problem, len(circuit.netlist.ends)
        boundary = self.judge.boundary(circuit.netlist.partition, circuit.netlist.joints)
        if boundary is None:
            raise ShortedError
        work = new_workspace()
        fit_choice(0, fit_wired(problem, circuit, self.choice), problem.part_options.models, work)
        spread = spread_of(problem, parts, work, len(circuit.ohms))
        varied = int(np.sum(spread.low != spread.high))
        states, vertices = boundary.vertex_node.shape
        amps = []
        for pattern in dict.fromkeys((0, 1 << varied)):
            set_pattern(pattern, spread, work.reals)
            out = new_points(states, parts, vertices)
            ends = circuit.netlist.ends
            settle(
                ends[None],
                boundary.vertex_node,
                float(problem.volts[2]),
                problem.part_options.models,
                work,
                out,
            )
            amps.append(out.amps)
        every = np.concatenate(amps)
        live = np.tile(boundary.vertex_node == LIVE, (len(amps), 1))
        leaving = np.zeros((len(every), len(problem.layout.terminals)))
        for part, (tail, head) in enumerate(circuit.netlist.ends):
            for vertex, sign in ((tail, 1.0), (head, -1.0)):
                if vertex < leaving.shape[1]:
                    leaving[:, vertex] += sign * every[:, part]
        fed = np.where(live[:, : leaving.shape[1]], np.abs(leaving), 0.0)
        return _Flow(np.abs(every[:, list(circuit.carrier)]), fed, states)

    def _feeds(self, flow: _Flow, sizes: Ints) -> tuple[Feed, ...]:
        """Every terminal that is live in some state and takes current then, with its fuse."""
        feeds = []
        for terminal, name in enumerate(self.problem.layout.terminals):
            amps, state = flow.worst(flow.terminals[:, terminal])
            if name != GROUND and amps > 0.0:
                wires = self._behind(terminal)
                carries = min(float(self.carries[sizes[wire]]) for wire in wires)
                feeds.append(Feed(terminal, amps, state, fuse_for(amps), carries))
        return tuple(feeds)

    def _behind(self, terminal: int) -> tuple[int, ...]:
        """The wires of all parts next to a terminal."""
        parts = [n for n in range(len(self.paths)) if terminal in self.harness.terminals_of(n)]
        return tuple(sorted({wire for part in parts for wire in self.paths[part]}))

    def _stands(self, feeds: tuple[Feed, ...]) -> Floats:
        """The greatest fuse [A] that every wire must outlast."""
        stands = np.zeros(len(self.metres))
        for feed in feeds:
            for wire in self._behind(feed.terminal):
                stands[wire] = max(stands[wire], feed.fuse.amps if feed.fuse else 0.0)
        return stands

    def _sizes(self, flow: _Flow, stands: Floats) -> Ints:
        """For every wire the smallest sufficient size, or the largest where none suffices."""
        last = len(self.per_metre) - 1
        needed = np.maximum(flow.wires.max(axis=0), stands)
        least = np.array(
            [next((n for n, a in enumerate(self.carries) if a >= need), last) for need in needed]
        )
        sizes = least.copy()
        while True:
            drops = [
                self._drop(filament, flow, sizes) for filament in range(len(self.problem.layout.filaments))
            ]
            worst = int(np.argmax([volts for volts, _ in drops]))
            if drops[worst][0] <= self.wiring.most_drop:
                break
            loss = self._losses(flow, sizes).max(axis=0)
            thin = [wire for wire in self.paths[worst] if sizes[wire] < last]
            if not thin:
                return sizes
            sizes[max(thin, key=lambda wire: float(loss[wire]))] += 1
        return self._thinned(flow, sizes, least)

    def _thinned(
        self,
        flow: _Flow,
        sizes: Ints,
        least: Ints,
    ) -> Ints:
        """Take a size off every wire that stays sufficient without it, the last wire first."""
        for wire in reversed(range(len(sizes))):
            while sizes[wire] > least[wire]:
                trial = sizes.copy()
                trial[wire] -= 1
                filaments = range(len(self.problem.layout.filaments))
                if any(self._drop(f, flow, trial)[0] > self.wiring.most_drop for f in filaments):
                    break
                sizes = trial
        return sizes

    def _losses(self, flow: _Flow, sizes: Ints) -> Floats:
        """Volts dropped, (points, wires)."""
        losses: Floats = flow.wires * (self.metres * self.per_metre[sizes])
        return losses

    def _drop(self, filament: int, flow: _Flow, sizes: Ints) -> tuple[float, int]:
        """The most volts in a filament's wires where light is asked of it, and the state."""
        losses = self._losses(flow, sizes)[:, list(self.paths[filament])].sum(axis=1)
        asked = np.tile(self.asked[:, filament], len(losses) // flow.states)
        return flow.worst(np.where(asked, losses, 0.0))

    def _fitted(self, flow: _Flow, sizes: Ints, stands: Floats) -> tuple[FittedWire, ...]:
        wires = []
        for number, metres in enumerate(self.metres):
            size = int(sizes[number])
            amps, state = flow.worst(flow.wires[:, number])
            ohms = float(metres * self.per_metre[size])
            area, carries = self.wiring.sizes[size], float(self.carries[size])
            wires.append(
                FittedWire(
                    metres=float(metres),
                    area_mm2=area,
                    ohms=ohms,
                    amps=amps,
                    state=state,
                    stands=float(stands[number]),
                    carries=carries,
                )
            )
        return tuple(wires)

    def _lamps(self, flow: _Flow, sizes: Ints) -> tuple[LampWires, ...]:
        return tuple(
            LampWires(filament, self.paths[filament], *self._drop(filament, flow, sizes))
            for filament in range(len(self.problem.layout.filaments))
        )
