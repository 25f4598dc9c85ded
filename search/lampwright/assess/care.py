"""All that a careful builder asks of one judged design, worked out and written as rows."""

import numpy as np

from lampwright.assess.alterations import Circuitry
from lampwright.assess.endurance_rows import endurance
from lampwright.assess.fault_bench import Values
from lampwright.assess.fault_rows import FaultWriter
from lampwright.assess.faults import FaultFinder
from lampwright.assess.regulated import regulated, regulations
from lampwright.assess.tolerance import SUPPLY, ToleranceBench
from lampwright.judge.judge import Judge
from lampwright.network.netlist import Netlist
from lampwright.parts.catalogue import LampType, lamp_type
from lampwright.parts.tables import constant
from lampwright.problem.problem import Choice, fitted
from lampwright.results.care import AgedMargin, CareReport, CopyYield, Tolerance, ToleranceCost
from lampwright.results.design import Design

COPIES = 1000
"""Copies drawn for the yield: with all of them good, the true share is at least 99.6 %."""

SEED = 1934
"""Where the draw begins; any number would do, and the same one makes results repeatable."""

SPREAD = (
    "parts independent and uniform within tolerance, for want of published spreads:"
    " filaments in watts, resistors in ohms, diodes in the logarithm of saturation current"
)
FLUX = (
    "The tolerance of luminous flux is not in the levels: they are relative to each lamp's own rated light."
)


class Assessor:
    """Takes care of designs of one problem; curves of other types are tabulated once."""

    def __init__(self, judge: Judge) -> None:
        """Care for what this judge judges."""
        self.judge, self.problem = judge, judge.problem
        self.finder = FaultFinder(judge.problem)

    def care(
        self, netlist: Netlist, choice: Choice, design: Design, copies: int = COPIES, seed: int = SEED
    ) -> CareReport:
        """Every row about one judged design. Raises ShortedError where supply meets ground."""
        circuit = self.circuit_of(netlist, choice, design)
        found = self.finder.examine(circuit, self.values_of(netlist, choice, design))
        writer = FaultWriter(
            self.problem, circuit, tuple(state.full_name for state in design.states), self.finder.stock.led
        )
        diodes = tuple(self.problem.part_options.diode_types[at] for at in self._diodes(netlist, choice))
        marked = regulated(design.states, self.problem.spec.controls)
        return CareReport(
            tolerance=self._tolerance(
                ToleranceBench(self.judge, netlist, choice), design, circuit, copies, seed
            ),
            faults=writer.report(found),
            endurance=endurance(design.ratings, circuit.kinds, diodes, self.problem.spec, found.control_amps),
            regulated=marked,
            regulations=regulations(marked),
        )

    def score(self, netlist: Netlist, choice: Choice, design: Design) -> float:
        """The fault score alone, to break ties with."""
        circuit = self.circuit_of(netlist, choice, design)
        return self.finder.examine(circuit, self.values_of(netlist, choice, design)).score

    def _kinds(self, choice: Choice) -> tuple[LampType, ...]:
        system = self.problem.spec.supply.system
        offered = zip(self.problem.part_options.lamp_types, choice.digits, strict=False)
        return tuple(lamp_type(types[digit], system) for types, digit in offered)

    def _diodes(self, netlist: Netlist, choice: Choice) -> tuple[int, ...]:
        return choice.digits[len(self.problem.layout.lamps) :][: netlist.diodes]

    def values_of(self, netlist: Netlist, choice: Choice, design: Design) -> Values:
        """What is fitted besides lamps."""
        resistors = [part for part in design.parts if part.kind == "resistor"]
        watts = tuple(part.watts or self.problem.limits.watts for part in resistors)
        ohms = fitted(self.problem, netlist, choice).ohms
        return Values(self._diodes(netlist, choice), ohms, watts)

    def circuit_of(self, netlist: Netlist, choice: Choice, design: Design) -> Circuitry:
        """The circuit as the faults see it, its parts and nodes named as in the design."""
        parts = [part for part in design.parts if part.kind != "wire"]
        known = dict(zip(self.problem.layout.terminals, netlist.partition, strict=True))
        names = {vertex: name for name, vertex in reversed(known.items())}
        for part, (tail, head) in zip(parts, netlist.ends.tolist(), strict=True):
            ends = part.from_node, part.to_node
            # a drawn part may name its ends the other way round
            straight = known.get(ends[0], tail) == tail and known.get(ends[1], head) == head
            for vertex, name in zip((tail, head), ends if straight else ends[::-1], strict=True):
                names.setdefault(vertex, name)
        nodes = [names.get(v, f"j{v - netlist.blocks + 1}") for v in range(netlist.blocks + netlist.joints)]
        return Circuitry(
            netlist,
            tuple(part.ref for part in parts),
            tuple(nodes),
            self.finder.lamps,
            self._kinds(choice),
        )

    def _tolerance(
        self, bench: ToleranceBench, design: Design, circuit: Circuitry, copies: int, seed: int
    ) -> Tolerance:
        costs = bench.costs()
        drawn, aged = bench.drawn_yield(copies, seed), bench.aged()
        varied = int(np.sum(bench.spread.low != bench.spread.high))
        spans = self._spans(circuit)
        dearest = max((cost for cost in costs if cost.part != SUPPLY), key=lambda cost: cost.cost)
        return Tolerance(
            corners=3 * (1 + 2**varied),
            margin_stops=design.margin_stops,
            costs=tuple(
                ToleranceCost(
                    ref="supply" if cost.part == SUPPLY else circuit.refs[cost.part],
                    span=spans[cost.part + 1],
                    margin_without=cost.without,
                    cost_stops=cost.cost,
                )
                for cost in costs
            ),
            costliest=circuit.refs[dearest.part] if dearest.cost > 0.0 else "",
            drawn=CopyYield(
                copies=drawn.copies,
                good=drawn.good,
                share_low=drawn.low,
                share_high=drawn.high,
                confidence_level=drawn.confidence,
                seed=drawn.seed,
                least_margin=drawn.least,
                median_margin=drawn.median,
                spread=SPREAD,
            ),
            aged=tuple(
                AgedMargin(
                    ref="all" if one.part < 0 else circuit.refs[one.part],
                    margin_stops=one.margin,
                    meets=one.met,
                )
                for one in aged
            ),
            aged_current=constant("aged_amps"),
            aged_light=constant("aged_light"),
            remarks=(FLUX,),
        )

    def _spans(self, circuit: Circuitry) -> tuple[str, ...]:
        """The tolerance of the supply, then of every part, in words."""
        low, _, high = self.problem.spec.supply.volts
        filaments = [filament for kind in circuit.kinds for filament in kind.filaments]
        diodes, resistors = circuit.netlist.diodes, circuit.netlist.resistors
        return (
            f"{low:g} to {high:g} V",
            *(f"±{100 * filament.watts_tolerance:.0f} % watts" for filament in filaments),
            *["up to the data sheet's drop"] * diodes,
            *[f"±{100 * self.problem.part_options.ohms_tolerance:.0f} % ohms"] * resistors,
        )
