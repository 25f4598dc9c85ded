"""Taking a design as far as a careful auto electrician would: tolerance, faults, wiring, flashing.

The first designs of a ranking are taken so far; the others would make a long run longer
for nobody. A circuit that is checked always is.
"""

from dataclasses import replace

from lampwright.network.embed import Embedding
from lampwright.pipeline.caring import Carer
from lampwright.pipeline.flashing import flashing_rows
from lampwright.pipeline.wiring import wiring_list
from lampwright.rank.judge import Judge
from lampwright.rank.study import Choice
from lampwright.store.design import Design

TREATED = 20
"""How many designs of a ranking are treated."""


class Treatment:
    """Treats designs of one study."""

    def __init__(self, judge: Judge) -> None:
        """Treat what this judge judges."""
        self.judge, self.study = judge, judge.study
        self.carer = Carer(judge)

    def treat(self, design: Design, embedding: Embedding, choice: Choice) -> Design:
        """The design with what its builder should know; its parts keep their names."""
        refs = tuple(part.ref for kind in ("diode", "resistor") for part in design.parts if part.kind == kind)
        return replace(
            design,
            care=self.carer.care(embedding, choice, design),
            wiring=wiring_list(self.study, embedding, choice, refs),
            flashing=flashing_rows(self.study, embedding, choice),
        )
