"""Taking a design as far as a careful auto electrician would: tolerance, faults, wiring, flashing, supply.

The first designs of a ranking are taken so far; the others would make a long run longer
for nobody. A circuit that is checked always is.
"""

from msgspec.structs import replace

from lampwright.assess.care import Assessor
from lampwright.assess.doubt_rows import doubt_rows
from lampwright.assess.flashing import flashing_of
from lampwright.assess.sweep_rows import sweep_rows
from lampwright.assess.trial_rows import trial_rows
from lampwright.assess.trials import try_faults
from lampwright.assess.uncertainty import Doubter
from lampwright.assess.wiring import wiring_of
from lampwright.judge.judge import Judge
from lampwright.network.netlist import Netlist
from lampwright.problem.problem import Choice
from lampwright.results.design import Design
from lampwright.results.trials import FaultTrial

TREATED = 20
"""How many designs of a ranking are treated."""

TRIED = 5
"""How many designs of a ranking have their faults tried, for the page."""


class Treatment:
    """Treats designs of one problem."""

    def __init__(self, judge: Judge) -> None:
        """Treat what this judge judges."""
        self.judge, self.problem = judge, judge.problem
        self.assessor, self.doubter = Assessor(judge), Doubter(judge)

    def treat(self, design: Design, netlist: Netlist, choice: Choice) -> Design:
        """The design with what its builder should know; its parts keep their names."""
        refs = tuple(part.ref for kind in ("diode", "resistor") for part in design.parts if part.kind == kind)
        return replace(
            design,
            care=self.assessor.care(netlist, choice, design),
            wiring=wiring_of(self.problem, netlist, choice, refs),
            flashing=flashing_of(self.problem, netlist, choice),
            sweep=sweep_rows(self.judge, netlist, choice, design.states),
            trials=self._trials(design, netlist, choice),
            doubts=doubt_rows(self.doubter.doubts(netlist, choice, self.judge.judge(netlist, choice))),
        )

    def _trials(self, design: Design, netlist: Netlist, choice: Choice) -> tuple[FaultTrial, ...]:
        """The faults of one of the first designs of a ranking; a checked circuit has rank 0, and none."""
        if not 1 <= design.rank <= TRIED:
            return ()
        circuit = self.assessor.circuit_of(netlist, choice, design)
        values = self.assessor.values_of(netlist, choice, design)
        return trial_rows(self.problem, circuit, design, try_faults(self.assessor.finder, circuit, values))
