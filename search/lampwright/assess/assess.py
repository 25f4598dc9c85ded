"""Taking a design as far as a careful auto electrician would: tolerance, faults, wiring, flashing, supply.

Each question is a call of its own. The first designs of a ranking are asked all of them; the others
would make a long run longer for nobody. A circuit that is checked always is.
"""

from msgspec import structs

from lampwright.assess.alterations import Circuitry
from lampwright.assess.behaviour import regulated, regulations
from lampwright.assess.endurance import endurance
from lampwright.assess.fault_bench import Values
from lampwright.assess.fault_rows import FaultWriter
from lampwright.assess.faults import FaultFinder
from lampwright.assess.flashing import flashing_of
from lampwright.assess.sweep import sweep_of
from lampwright.assess.tolerance import COPIES, SEED, ToleranceBench
from lampwright.assess.trial_rows import trial_rows
from lampwright.assess.trials import try_faults
from lampwright.assess.uncertainty import Doubter
from lampwright.assess.wiring import wiring_of
from lampwright.judge.judge import Judge
from lampwright.network.netlist import Netlist
from lampwright.parts.catalogue import LampType, lamp_type
from lampwright.problem.problem import Choice, fitted
from lampwright.results.care import CareReport, Tolerance
from lampwright.results.design import Design
from lampwright.results.trials import FaultTrial

ASSESSED = 20
"""How many designs of a ranking are assessed."""

TRIED = 5
"""How many designs of a ranking have their faults tried, for the page."""


class Assessor:
    """Assesses designs of one problem, which keep the names of their parts; curves are tabulated once.

    Every question raises ShortedError where contacts alone join the supply to ground.
    """

    def __init__(self, judge: Judge) -> None:
        """Assess what this judge judges."""
        self.judge, self.problem = judge, judge.problem
        self.finder, self.doubter = FaultFinder(judge.problem), Doubter(judge)

    def assess(self, design: Design, netlist: Netlist, choice: Choice) -> Design:
        """The design with all that its builder should know."""
        refs = tuple(part.ref for kind in ("diode", "resistor") for part in design.parts if part.kind == kind)
        return structs.replace(
            design,
            care=self.care(netlist, choice, design),
            wiring=wiring_of(self.problem, netlist, choice, refs),
            flashing=flashing_of(self.problem, netlist, choice),
            sweep=sweep_of(self.judge, netlist, choice),
            trials=self.trials(netlist, choice, design),
            doubts=self.doubter.doubts(netlist, choice, self.judge.judge(netlist, choice)),
        )

    def care(
        self, netlist: Netlist, choice: Choice, design: Design, copies: int = COPIES, seed: int = SEED
    ) -> CareReport:
        """Tolerance, faults, endurance and what codes say, in one report."""
        circuit = self.circuit_of(netlist, choice, design)
        found = self.finder.examine(circuit, self.values_of(netlist, choice, design))
        states = tuple(state.full_name for state in design.states)
        writer = FaultWriter(self.problem, circuit, states, self.finder.stock.led)
        diodes = tuple(self.problem.part_options.diode_types[at] for at in self._diodes(netlist, choice))
        marked = regulated(design.states, self.problem.spec.controls)
        return CareReport(
            tolerance=self.tolerance(netlist, choice, design, copies, seed),
            faults=writer.report(found),
            endurance=endurance(design.ratings, circuit.kinds, diodes, self.problem.spec, found.control_amps),
            regulated=marked,
            regulations=regulations(marked),
        )

    def tolerance(
        self, netlist: Netlist, choice: Choice, design: Design, copies: int = COPIES, seed: int = SEED
    ) -> Tolerance:
        """What tolerance, chance and age do to the margin."""
        refs = [part.ref for part in design.parts if part.kind != "wire"]
        return ToleranceBench(self.judge, netlist, choice, refs).tolerance(copies, seed)

    def score(self, netlist: Netlist, choice: Choice, design: Design) -> float:
        """The fault score alone, to break ties with."""
        circuit = self.circuit_of(netlist, choice, design)
        return self.finder.examine(circuit, self.values_of(netlist, choice, design)).score

    def trials(self, netlist: Netlist, choice: Choice, design: Design) -> tuple[FaultTrial, ...]:
        """The faults of one of the first designs of a ranking; a checked circuit has rank 0, and none."""
        if not 1 <= design.rank <= TRIED:
            return ()
        circuit = self.circuit_of(netlist, choice, design)
        values = self.values_of(netlist, choice, design)
        return trial_rows(self.problem, circuit, design, try_faults(self.finder, circuit, values))

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
