"""A circuit with its wires as small resistors, ready for the solver and the judge.

Every pin of the harness is a vertex and every wire a resistor between two, so that each
terminal is a block of its own. A wire that ends at one end of one part carries that
part's current and nothing else: such wires, on both sides, are one resistor in series
with the part, which saves the solver vertices and changes no current.

A lamp between 54 and 31 with a wire of 0.1 ohm on either side: a lamp and 0.2 ohm.
"""

from dataclasses import dataclass

import numpy as np

from lampwright.network.layout import Layout
from lampwright.network.netlist import Netlist
from lampwright.network.wiring import Harness, PartEnd
from lampwright.problem.demands import Fit
from lampwright.problem.problem import Choice, Problem, filament_models
from lampwright.solve.newton import MOST_NODES, MOST_PARTS


@dataclass(frozen=True)
class WiredCircuit:
    """A circuit whose last resistors are wires.

    netlist: every terminal its own block. ohms: of the resistors that are wires, in
    order. carrier: for each wire of the harness the part of the netlist that carries
    its current.
    """

    netlist: Netlist
    ohms: tuple[float, ...]
    carrier: tuple[int, ...]

    @property
    def own_parts(self) -> int:
        """How many parts are no wires."""
        return len(self.netlist.ends) - len(self.ohms)

    @property
    def nodes(self) -> int:
        """How many nodes the solver may need: all vertices but ground, open, and the supply."""
        return self.netlist.blocks + self.netlist.joints + 1

    @property
    def is_within_room(self) -> bool:
        """Whether the solver has room for all parts and nodes."""
        return self.nodes <= MOST_NODES and len(self.netlist.ends) <= MOST_PARTS


def with_wires(netlist: Netlist, harness: Harness, layout: Layout, ohms: tuple[float, ...]) -> WiredCircuit:
    """Put wires of these ohms [ohm], in order of the harness, into a circuit."""
    at = {end: pin for pin, one in enumerate(harness.pins) for end in one.ends}
    parts = len(netlist.ends)
    leads: list[list[int]] = [[] for _ in range(parts)]
    trunks = []
    for number, wire in enumerate(harness.wires):
        far = harness.pins[wire.far]
        if far.terminal is None and len(far.ends) == 1 and len(harness.meeting(wire.far)) == 1:
            leads[far.ends[0].part].append(number)
            at[far.ends[0]] = wire.near
        else:
            trunks.append(number)
    vertices = _Vertices(harness, len(layout.terminals))
    ends = [[vertices.of(at[PartEnd(part, side)]) for side in (0, 1)] for part in range(parts)]
    carrier = [0] * len(harness.wires)
    added: list[list[int]] = []
    values = []
    for part, own in enumerate(leads):
        if own:
            between = vertices.new()
            added.append([between, ends[part][1]])
            ends[part][1] = between
            values.append(sum(ohms[number] for number in own))
            for number in own:
                carrier[number] = part
    for number in trunks:
        wire = harness.wires[number]
        carrier[number] = parts + len(added)
        added.append([vertices.of(wire.near), vertices.of(wire.far)])
        values.append(ohms[number])
    wired = Netlist(
        tuple(range(len(layout.terminals))),
        vertices.count - len(layout.terminals),
        np.array([*ends, *added], np.int8).reshape(-1, 2),
        netlist.diodes,
        netlist.resistors + len(added),
    )
    return WiredCircuit(wired, tuple(values), tuple(carrier))


class _Vertices:
    """Numbers vertices: terminals first, other pins and the points within leads as they are met."""

    def __init__(self, harness: Harness, terminals: int) -> None:
        self._harness = harness
        self._number: dict[int, int] = {}
        self.count = terminals

    def of(self, pin: int) -> int:
        terminal = self._harness.pins[pin].terminal
        if terminal is not None:
            return terminal
        if pin not in self._number:
            self._number[pin] = self.new()
        return self._number[pin]

    def new(self) -> int:
        self.count += 1
        return self.count - 1


def fit_wired(problem: Problem, circuit: WiredCircuit, choice: Choice) -> Fit:
    """One choice of types and values, and the wires' ohms after its resistors'."""
    layout, part_options = problem.layout, problem.part_options
    lamps, diodes = len(layout.lamps), circuit.netlist.diodes
    model = [[row] for row in filament_models(problem, choice)]
    own = [part_options.ohms[digit] for digit in choice.digits[lamps + diodes :]]
    siemens = [1.0 / ohms for ohms in (*own, *circuit.ohms)]
    digits = [*[0] * lamps, *choice.digits[lamps : lamps + diodes], *range(len(siemens))]
    return Fit(
        lamp_of=np.array(layout.lamp_at, np.int64),
        model=np.array(model, np.int64),
        siemens=np.array(siemens, np.float64),
        sizes=np.ones(len(digits), np.int64),
        digits=np.array([digits], np.int64),
        diodes=diodes,
        resistors=len(siemens),
    )
