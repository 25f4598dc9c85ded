"""What a circuit does as the eye sees it, at every supply and whatever its lamps hold.

A lamp burns if its light is what the spec calls lit, is dark if it cannot be seen to glow, and glows
faintly in between; near an edge, or where supplies or fillings differ, it is unsure. Parts are nominal; the
bench of the faults solves it. Source: the edge of a glow is that of `report.glow`; the room left beside it is
our choice.
"""

from dataclasses import replace
from itertools import product

import numpy as np

from lampwright.app.checking import choice_of_parts, study_of
from lampwright.assess.faults.bench import Bench, Settled
from lampwright.assess.faults.examine import FaultFinder
from lampwright.assess.faults.listing import Fault, circuitry_of
from lampwright.judge.design_rows import drawn_parts, part_of
from lampwright.network.circuit import Circuit
from lampwright.network.circuit_file import ordered_circuit
from lampwright.network.netlist import netlist_of
from lampwright.parts.filament import volts_at
from lampwright.problem.problem import refilled
from lampwright.results.design import PartRow
from lampwright.results.worksheet import LightWord
from lampwright.solve.laws import FILAMENT
from lampwright.spec.model import BehaviourRow, Spec, Zones
from lampwright.teaching.lights import Lights, Seen

LOW, NORMAL, HIGH = 0, 1, 2
DARK_KELVIN, GLOWING_KELVIN = 750.0, 850.0
"""Below the first dark for certain, above the second glowing: the Draper point, 798 K, lies between."""
ROOM = 1e-9


def asking_nothing_of(spec: Spec) -> Spec:
    """The spec with its supply, controls and lamps, that asks nothing."""
    return replace(
        spec,
        behaviour=(BehaviourRow(1, (), ()),),
        same=(),
        brighter=(),
        ways=(),
        alike=(),
        place=Zones((), None),
        wiring=None,
        stock=None,
    )


class Observer:
    """Simulates circuits of the parts of one circuit, which is the first to be seen."""

    def __init__(self, spec: Spec, circuit: Circuit) -> None:
        """Take the parts; the spec asks nothing. Raises InputError for types not in the catalogue."""
        self.problem = study_of(spec, circuit, "worksheet").sound
        self.finder = FaultFinder(self.problem)
        self.choice = choice_of_parts(self.problem, circuit)
        edges = DARK_KELVIN, GLOWING_KELVIN
        self._edges = np.array(
            [[float(volts_at(one, kelvin)) for one in self.finder.stock.filaments] for kelvin in edges]
        )

    def __call__(self, parts: tuple[PartRow, ...]) -> Seen | None:
        """What these parts do; None where the supply is shorted or a point is not solved."""
        layout = self.problem.layout
        circuit = ordered_circuit([part_of(one) for one in parts], layout)
        netlist, rows = netlist_of(circuit, layout), drawn_parts(circuit, ())
        benches = [
            Bench(self.problem, self.finder.stock, circuitry_of(self.problem, netlist, one, rows))
            for one in refilled(self.problem, self.choice)
        ]
        faults = [None, *(Fault("filament open", "", opened=(at,)) for at in range(len(layout.filaments)))]
        seen = []
        is_safe = True
        for fault in faults:
            every = [
                bench.settle(bench.fit(fault), supply)
                for bench, supply in product(benches, (LOW, NORMAL, HIGH))
            ]
            if any(one.shorted.any() for one in every):
                return None
            is_safe = is_safe and (fault is not None or all(self._is_safe(one) for one in every))
            seen.append(self._agreed([self._lights(one) for one in every]))
        if any(bench.unsolved for bench in benches):
            return None
        return Seen(seen[0], tuple(seen[1:]), is_safe)

    def _is_safe(self, settled: Settled) -> bool:
        """Whether nothing carries more than its rating."""
        inside = (settled.loads <= settled.fitting.limits + ROOM).all()
        return bool(inside and (settled.control_amps <= self.problem.limits.control_amps + ROOM).all())

    def _lights(self, settled: Settled) -> list[list[LightWord]]:
        rows, levels = settled.fitting.lamp_rows, self.problem.spec.levels
        is_open = settled.fitting.kinds[: len(rows)] != FILAMENT
        flux = np.exp2(settled.points.stops[:, : len(rows)])
        volts = np.where(is_open, 0.0, np.abs(settled.points.volts[:, : len(rows)]))
        dark, glowing = (self._edges[at][rows] for at in (0, 1))

        def word(state: int, at: int) -> LightWord:
            if volts[state, at] <= dark[at]:
                return "dark"
            if flux[state, at] >= levels.lit.low:
                return "burns"
            faint = volts[state, at] >= glowing[at] and flux[state, at] <= levels.dim.high
            return "glows" if faint else "unsure"

        return [[word(state, at) for at in range(len(rows))] for state in range(len(flux))]

    def _agreed(self, every: list[list[list[LightWord]]]) -> tuple[Lights, ...]:
        """What is so at every supply and in every filling; all else is unsure."""
        first = every[0]
        return tuple(
            tuple(
                light if all(one[state][at] == light for one in every) else "unsure"
                for at, light in enumerate(lights)
            )
            for state, lights in enumerate(first)
        )
