"""Taking a design as far as a careful auto electrician would: tolerance, faults, wiring, flashing, supply.

Each question is a call of its own. The first designs of a ranking are asked all of them; the others
would make a long run longer for nobody. A circuit that is checked always is.
"""

from collections.abc import Sequence

from msgspec import structs

from lampwright.assess.behaviour import regulated, regulations
from lampwright.assess.endurance import endurance
from lampwright.assess.faults.examine import FaultFinder
from lampwright.assess.faults.listing import circuitry_of
from lampwright.assess.faults.trials import trials_of
from lampwright.assess.flashing import flashing_of
from lampwright.assess.readings import with_choices_read
from lampwright.assess.resistances import resistor_ranges
from lampwright.assess.sweep import sweep_of
from lampwright.assess.tolerance import COPIES, SEED, ToleranceBench
from lampwright.assess.uncertainty import Doubter
from lampwright.assess.wiring import wiring_of
from lampwright.judge.judge import Judge
from lampwright.judge.ranging import Ranger
from lampwright.network.netlist import Netlist
from lampwright.problem.problem import Choice
from lampwright.results.care import CareReport, Tolerance
from lampwright.results.design import Design, OtherChoice, ResistorRange
from lampwright.results.trials import FaultTrial, Sweep

ASSESSED = 20
"""How many designs of a ranking are assessed."""

TRIED = 5
"""How many designs of a ranking have their faults, supplies and other choices tried, for the page."""


class Assessor:
    """Assesses designs of one problem, which keep the names of their parts; curves are tabulated once.

    Every question raises ShortedError where contacts alone join the supply to ground.
    """

    def __init__(self, judge: Judge) -> None:
        """Assess what this judge judges."""
        self.judge, self.problem = judge, judge.problem
        self.doubter, self.ranger = Doubter(judge), Ranger(judge)
        # faults, wires and flashing are looked at in the circuit that is sound otherwise
        self.sound = judge.problem.sound
        self.finder = FaultFinder(self.sound)

    def assess(self, design: Design, netlist: Netlist, choice: Choice) -> Design:
        """The design with all that its builder should know."""
        refs = tuple(part.ref for kind in ("diode", "resistor") for part in design.parts if part.kind == kind)
        return structs.replace(
            design,
            care=self.care(netlist, choice, design),
            wiring=wiring_of(self.sound, netlist, choice, refs),
            flashing=flashing_of(self.sound, netlist, choice),
            sweep=self.sweep(netlist, choice, design),
            trials=self.trials(netlist, choice, design),
            resistors=self.resistors(netlist, choice, design),
            doubts=self.doubter.doubts(netlist, choice, self.judge.judge(netlist, choice)),
        )

    def sweep(self, netlist: Netlist, choice: Choice, design: Design) -> Sweep | None:
        """Light against the supply; of the first designs of a ranking with every state at every supply."""
        swept = sweep_of(self.judge, netlist, choice, design)
        return swept if swept is None or 1 <= design.rank <= TRIED else structs.replace(swept, points=None)

    def choices(self, netlist: Netlist, choices: Sequence[Choice], design: Design) -> tuple[OtherChoice, ...]:
        """The other choices of a design; of the first designs of a ranking with what they do."""
        read = design.rank <= TRIED
        return with_choices_read(self.judge, netlist, design, choices) if read else design.choices

    def resistors(self, netlist: Netlist, choice: Choice, design: Design) -> tuple[ResistorRange, ...]:
        """How far each resistor may stray; nothing for a circuit that misses the spec as it is."""
        refs = [part.ref for part in design.parts if part.kind == "resistor"]
        meets = design.margin_stops >= 0.0
        return resistor_ranges(self.ranger, netlist, choice, refs) if meets else ()

    def care(
        self, netlist: Netlist, choice: Choice, design: Design, copies: int = COPIES, seed: int = SEED
    ) -> CareReport:
        """Tolerance, faults, endurance and what codes say, in one report."""
        problem = self.problem
        circuit = circuitry_of(problem, netlist, choice, design.parts)
        found = self.finder.examine(circuit)
        diodes = tuple(problem.part_options.diode_types[at] for at in circuit.diodes)
        sound = design.states[: len(self.sound.states)]
        # codes of the road say nothing of a bench at school
        marked = regulated(sound, problem.spec.controls) if design.source == "battery" else ()
        return CareReport(
            tolerance=self.tolerance(netlist, choice, design, copies, seed),
            faults=self.finder.report(found),
            endurance=endurance(design.ratings, circuit.kinds, diodes, problem.spec, found.control_amps),
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
        return self.finder.examine(circuitry_of(self.problem, netlist, choice, design.parts)).score

    def trials(self, netlist: Netlist, choice: Choice, design: Design) -> tuple[FaultTrial, ...]:
        """The faults of one of the first designs of a ranking; a checked circuit has rank 0, and none."""
        if not 1 <= design.rank <= TRIED:
            return ()
        circuit = circuitry_of(self.problem, netlist, choice, design.parts)
        return trials_of(self.finder, circuit, design)
