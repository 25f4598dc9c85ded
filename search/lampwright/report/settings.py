"""Some of a design's states in as few words as say exactly which. No source: our layout.

States are folded as the truth tables are: with a switch and a lamp that only heeds it,
`brake on` stands for all its states, and `always` for every state there is.
"""

from collections.abc import Sequence

from lampwright.report.states import ANY, PHASE, STATE, TruthTable, folded, unfolded
from lampwright.report.states import Row as Line
from lampwright.results.design import StateRow

CHOSEN, LEFT = ("x",), ("",)


class Settings:
    """Says which states are meant, for one design."""

    def __init__(self, states: Sequence[StateRow]) -> None:
        """Take all states, in order."""
        self._names = [f"{state.state} ({state.phase})" if state.phase else state.state for state in states]
        self._table = unfolded(states) if states else TruthTable((), (), ())

    def said(self, chosen: Sequence[str]) -> str:
        """These states, named as in a result, in words."""
        among = set(chosen)
        rows = [
            Line(row.setting, CHOSEN if name in among else LEFT)
            for name, row in zip(self._names, self._table.rows, strict=True)
        ]
        whole = folded(TruthTable(self._table.controls, (), tuple(rows)))
        return "; ".join(self._line(row.setting) for row in whole.rows if row.cells == CHOSEN)

    def _line(self, setting: tuple[str, ...]) -> str:
        words, phase = [], ""
        for control, value in zip(self._table.controls, setting, strict=True):
            if control == PHASE:
                phase = f" ({value})" if value else ""
            elif control == STATE:
                words.append(value)
            elif value != ANY:
                words.append(f"{control} {value}")
        return (", ".join(words) or "always") + phase
