"""The operating points of a circuit under each of its physical faults, state by state, as rows for the page.

What `examine` counts and compares is here kept whole, so that a fault can be looked at: the
same bench, the same faults, the same reading of light. Other types and substitutes are left
out: they are another circuit rather than a broken one.
"""

from collections.abc import Iterator

import numpy as np

from lampwright.assess.faults.bench import NORMAL, Bench, Settled
from lampwright.assess.faults.examine import FaultFinder
from lampwright.assess.faults.light import LEVELS
from lampwright.assess.faults.listing import Circuitry, Fault
from lampwright.network.circuit import GROUND, SUPPLY
from lampwright.parts.filament import kelvin_of
from lampwright.problem.problem import Problem
from lampwright.results.design import Design, StateRow
from lampwright.results.trials import FaultTrial, TrialState
from lampwright.solve.boundary import SUPPLY_POINT
from lampwright.solve.laws import FILAMENT, Bytes, Floats, Ints

PHYSICAL = (
    "filament open",
    "lamp missing",
    "part open",
    "part shorted",
    "fuse blown",
    "ground lost at lamp",
    "ground lost in zone",
    "feeds bridged",
)

SAME_VOLTS, SAME_AMPS = 1e-3, 1e-4
"""Below these a reading is the sound circuit's."""


def trials_of(finder: FaultFinder, circuit: Circuitry, design: Design) -> tuple[FaultTrial, ...]:
    """Try every physical fault of a design; its nodes bear the names a search gives them."""
    bench = Bench(finder.problem, finder.stock, circuit)
    told = _Told(finder, circuit, design)
    return tuple(
        FaultTrial(
            kind=fault.kind,
            fault=fault.what,
            gone=tuple(circuit.refs[part] for part in fault.opened),
            loose=tuple(circuit.refs[part] for part in fault.lifted),
            nodes=_concerned(finder.problem, circuit, fault),
            states=tuple(told.altered(fault, bench.settle(bench.fit(fault), NORMAL))),
        )
        for fault in finder.faults(circuit)
        if fault.kind in PHYSICAL
    )


def _concerned(problem: Problem, circuit: Circuitry, fault: Fault) -> tuple[str, ...]:
    """The terminals whose fuse is blown, or that are bridged."""
    if fault.damage.rail_lost:
        return (SUPPLY,)
    if fault.damage.dead:
        control = next(one for one in problem.spec.controls if one.name == fault.damage.dead)
        fed = [end for at in control.positions for pair in at.joins if SUPPLY in pair for end in pair]
        return tuple(name for name in dict.fromkeys(fed) if name != SUPPLY)
    if fault.kind != "feeds bridged":
        return ()
    ((one, other),) = fault.damage.joins
    names = zip(problem.layout.terminals, circuit.netlist.partition, strict=True)
    return tuple(name for name, block in names if block in (one, other) and name != GROUND)


class _Told:
    """Tells states in the design's own order of things: per node its vertex, per part its direction."""

    def __init__(self, finder: FaultFinder, circuit: Circuitry, design: Design) -> None:
        self.light, self.supply, self.states = (
            finder.light,
            float(finder.problem.volts[NORMAL]),
            design.states[: len(finder.problem.states)],
        )
        netlist = circuit.netlist
        vertex = {f"j{n + 1}": netlist.blocks + n for n in range(netlist.joints)}
        vertex |= zip(finder.problem.layout.terminals, netlist.partition, strict=True)
        self.nodes = [reading.node for reading in design.states[0].nodes]
        self.vertices = [vertex[node] for node in self.nodes]
        parts = [part for part in design.parts if part.kind != "wire"]
        tails = netlist.ends[:, 0].tolist()
        self.signs = np.array(
            [1.0 if vertex[part.from_node] == tail else -1.0 for part, tail in zip(parts, tails, strict=True)]
        )

    def altered(self, fault: Fault, settled: Settled) -> Iterator[TrialState]:
        """The states in which anything reads otherwise than in the sound circuit."""
        lights, points, kelvin = self.light.read(settled), settled.points, self._kelvin(settled)
        for at, sound in enumerate(self.states):
            if settled.shorted[at]:
                yield TrialState(
                    state=sound.full_name,
                    shorted=True,
                    flux=(),
                    levels=(),
                    volts=(),
                    live=(),
                    amps=(),
                    loose_volts=(),
                )
                continue
            codes = settled.fitting.boundary.vertex_node[at]
            volts = np.array([self._volts(codes, points.potential[at], vertex) for vertex in self.vertices])
            live = [
                node
                for node, vertex in zip(self.nodes, self.vertices, strict=True)
                if codes[vertex] == SUPPLY_POINT
            ]
            across, amps = points.volts[at] * self.signs, points.amps[at] * self.signs
            if not _is_sound(volts, across, amps, live, sound):
                yield TrialState(
                    state=sound.full_name,
                    shorted=False,
                    flux=tuple(np.exp2(lights.stops[at]).tolist()),
                    levels=tuple(LEVELS[level] for level in lights.level[at]),
                    volts=tuple(volts.tolist()),
                    live=tuple(live),
                    amps=tuple(amps.tolist()),
                    loose_volts=tuple(across[list(fault.lifted)].tolist()),
                    kelvin=tuple(kelvin[at].tolist()),
                )

    def _kelvin(self, settled: Settled) -> Ints:
        """How hot every filament is in every state, (states, filaments) [K]; one that is out is cold."""
        rows = settled.fitting.lamp_rows
        is_dead = (settled.fitting.kinds[: len(rows)] != FILAMENT) | settled.shorted[:, None]
        volts = np.where(is_dead, 0.0, np.abs(settled.points.volts[:, : len(rows)]))
        lamps = (self.light.stock.filaments[row] for row in rows)
        # all states of a filament at once: it is a root that is sought
        found = [kelvin_of(one, own) for one, own in zip(lamps, volts.T, strict=True)]
        return np.asarray(np.rint(np.stack(found, axis=1)), np.int64)

    def _volts(self, codes: Bytes, solved: Floats, vertex: int) -> float:
        """The potential of a vertex [V]; one that no part touches has that of what contacts join it to."""
        code = codes[vertex]
        if code == SUPPLY_POINT:
            return self.supply
        return float(solved[codes == code].max()) if code else 0.0


def _is_sound(volts: Floats, across: Floats, amps: Floats, live: list[str], sound: StateRow) -> bool:
    """Whether everything reads as in the sound circuit."""
    near = [
        (volts, [one.volts for one in sound.nodes], SAME_VOLTS),
        (across, [one.volts for one in sound.parts], SAME_VOLTS),
        (amps, [one.amps for one in sound.parts], SAME_AMPS),
    ]
    return live == [one.node for one in sound.nodes if one.held == "live"] and all(
        bool(np.all(np.abs(now - was) < most)) for now, was, most in near
    )
