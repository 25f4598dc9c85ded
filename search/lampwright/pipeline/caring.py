"""All that a careful builder asks of one judged design, worked out and written as rows."""

import numpy as np

from lampwright.network.embed import Embedding
from lampwright.parts.catalogue import LampType, lamp_type
from lampwright.parts.tables import constant
from lampwright.pipeline.care_endurance import endurance
from lampwright.pipeline.care_faults import FaultWriter
from lampwright.pipeline.regulated import named, regulated, regulations
from lampwright.rank.alterations import Circuitry
from lampwright.rank.fault_bench import Values
from lampwright.rank.faults import FaultFinder
from lampwright.rank.judge import Judge
from lampwright.rank.study import Choice, fitted
from lampwright.rank.tolerance import SUPPLY, ToleranceBench
from lampwright.store.care import AgedMargin, CareReport, CopyYield, Tolerance, ToleranceCost
from lampwright.store.design import Design

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


class Carer:
    """Takes care of designs of one study; curves of other types are tabulated once."""

    def __init__(self, judge: Judge) -> None:
        """Care for what this judge judges."""
        self.judge, self.study = judge, judge.study
        self.finder = FaultFinder(judge.study)

    def care(
        self, embedding: Embedding, choice: Choice, design: Design, copies: int = COPIES, seed: int = SEED
    ) -> CareReport:
        """Every row about one judged design. Raises ShortedError where supply meets ground."""
        circuit = self.circuit_of(embedding, choice, design)
        found = self.finder.examine(circuit, self.values_of(embedding, choice, design))
        writer = FaultWriter(
            self.study, circuit, tuple(named(state) for state in design.states), self.finder.stock.led
        )
        diodes = tuple(self.study.shelf.diode_types[at] for at in self._diodes(embedding, choice))
        marked = regulated(design.states, self.study.spec.controls)
        return CareReport(
            self._tolerance(ToleranceBench(self.judge, embedding, choice), design, circuit, copies, seed),
            writer.report(found),
            endurance(design.ratings, circuit.kinds, diodes, self.study.spec, found.control_amps),
            marked,
            regulations(marked),
        )

    def score(self, embedding: Embedding, choice: Choice, design: Design) -> float:
        """The fault score alone, to break ties with."""
        circuit = self.circuit_of(embedding, choice, design)
        return self.finder.examine(circuit, self.values_of(embedding, choice, design)).score

    def _kinds(self, choice: Choice) -> tuple[LampType, ...]:
        system = self.study.spec.supply.system
        offered = zip(self.study.shelf.lamp_types, choice.digits, strict=False)
        return tuple(lamp_type(types[digit], system) for types, digit in offered)

    def _diodes(self, embedding: Embedding, choice: Choice) -> tuple[int, ...]:
        return choice.digits[len(self.study.layout.lamps) :][: embedding.diodes]

    def values_of(self, embedding: Embedding, choice: Choice, design: Design) -> Values:
        """What is fitted besides lamps."""
        resistors = [part for part in design.parts if part.kind == "resistor"]
        watts = tuple(part.watts or self.study.limits.watts for part in resistors)
        ohms = fitted(self.study, embedding, choice).ohms
        return Values(self._diodes(embedding, choice), ohms, watts)

    def circuit_of(self, embedding: Embedding, choice: Choice, design: Design) -> Circuitry:
        """The circuit as the faults see it, its parts and nodes named as in the design."""
        parts = [part for part in design.parts if part.kind != "wire"]
        known = dict(zip(self.study.layout.terminals, embedding.partition, strict=True))
        names = {vertex: name for name, vertex in reversed(known.items())}
        for part, (tail, head) in zip(parts, embedding.ends.tolist(), strict=True):
            ends = part.from_node, part.to_node
            # a drawn part may name its ends the other way round
            straight = known.get(ends[0], tail) == tail and known.get(ends[1], head) == head
            for vertex, name in zip((tail, head), ends if straight else ends[::-1], strict=True):
                names.setdefault(vertex, name)
        nodes = [
            names.get(v, f"j{v - embedding.blocks + 1}") for v in range(embedding.blocks + embedding.joints)
        ]
        return Circuitry(
            embedding,
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
            3 * (1 + 2**varied),
            design.margin_stops,
            tuple(
                ToleranceCost(
                    "supply" if cost.part == SUPPLY else circuit.refs[cost.part],
                    spans[cost.part + 1],
                    cost.without,
                    cost.cost,
                )
                for cost in costs
            ),
            circuit.refs[dearest.part] if dearest.cost > 0.0 else "",
            CopyYield(
                drawn.copies,
                drawn.good,
                drawn.low,
                drawn.high,
                drawn.confidence,
                drawn.seed,
                drawn.least,
                drawn.median,
                SPREAD,
            ),
            tuple(
                AgedMargin("all" if one.part < 0 else circuit.refs[one.part], one.margin, one.met)
                for one in aged
            ),
            constant("aged_amps"),
            constant("aged_light"),
            (FLUX,),
        )

    def _spans(self, circuit: Circuitry) -> tuple[str, ...]:
        """The tolerance of the supply, then of every part, in words."""
        low, _, high = self.study.spec.supply.volts
        filaments = [filament for kind in circuit.kinds for filament in kind.filaments]
        diodes, resistors = circuit.embedding.diodes, circuit.embedding.resistors
        return (
            f"{low:g} to {high:g} V",
            *(f"±{100 * filament.watts_tolerance:.0f} % watts" for filament in filaments),
            *["up to the data sheet's drop"] * diodes,
            *[f"±{100 * self.study.shelf.ohms_tolerance:.0f} % ohms"] * resistors,
        )
