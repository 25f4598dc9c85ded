"""Taking a design as far as a careful auto electrician would: tolerance, faults, wiring, flashing, supply.

The first designs of a ranking are taken so far; the others would make a long run longer
for nobody. A circuit that is checked always is.
"""

from dataclasses import replace

from lampwright.network.embed import Embedding
from lampwright.pipeline.caring import Carer
from lampwright.pipeline.doubting import doubt_rows
from lampwright.pipeline.flashing import flashing_rows
from lampwright.pipeline.sweeping import sweep_rows
from lampwright.pipeline.trying import trial_rows
from lampwright.pipeline.wiring import wiring_list
from lampwright.rank.doubts import Doubter
from lampwright.rank.judge import Judge
from lampwright.rank.study import Choice
from lampwright.rank.trials import try_faults
from lampwright.store.design import Design
from lampwright.store.trial_rows import FaultTrial

TREATED = 20
"""How many designs of a ranking are treated."""

TRIED = 5
"""How many designs of a ranking have their faults tried, for the page."""


class Treatment:
    """Treats designs of one study."""

    def __init__(self, judge: Judge) -> None:
        """Treat what this judge judges."""
        self.judge, self.study = judge, judge.study
        self.carer, self.doubter = Carer(judge), Doubter(judge)

    def treat(self, design: Design, embedding: Embedding, choice: Choice) -> Design:
        """The design with what its builder should know; its parts keep their names."""
        refs = tuple(part.ref for kind in ("diode", "resistor") for part in design.parts if part.kind == kind)
        return replace(
            design,
            care=self.carer.care(embedding, choice, design),
            wiring=wiring_list(self.study, embedding, choice, refs),
            flashing=flashing_rows(self.study, embedding, choice),
            sweep=sweep_rows(self.judge, embedding, choice, design.states),
            trials=self._trials(design, embedding, choice),
            doubts=doubt_rows(self.doubter.doubts(embedding, choice, self.judge.judge(embedding, choice))),
        )

    def _trials(self, design: Design, embedding: Embedding, choice: Choice) -> tuple[FaultTrial, ...]:
        """The faults of one of the first designs of a ranking; a checked circuit has rank 0, and none."""
        if not 1 <= design.rank <= TRIED:
            return ()
        circuit = self.carer.circuit_of(embedding, choice, design)
        values = self.carer.values_of(embedding, choice, design)
        return trial_rows(self.study, circuit, design, try_faults(self.carer.finder, circuit, values))
