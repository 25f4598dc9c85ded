"""A table a notebook shows, and hands on to pandas where that is installed."""

import importlib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from lampwright.errors import Finding, LampwrightError
from lampwright.report.layout import WIDTH, TextColumn
from lampwright.report.layout import table as drawn
from lampwright.report.notebook import table_cell
from lampwright.report.si import SPACE
from lampwright.report.topics.states import STATE, unfolded
from lampwright.report.topics.takes import taken_words
from lampwright.results.design import Design, StateRow

Entry = str | float | bool | None


class NoLibraryError(LampwrightError):
    """A library that hands on or draws tables is asked for, and is not installed."""

    def __init__(self, place: str, library: str, instead: str) -> None:
        """Say it in one line, with what would do."""
        said = f"it needs {library}, which is not installed here"
        self.findings = (Finding(place, said, f"pip install {library}; or use {instead}"),)
        super().__init__(str(self.findings[0]))


@dataclass(frozen=True)
class Table:
    """Named columns, and rows with an entry for each of them."""

    columns: tuple[str, ...]
    rows: tuple[tuple[Entry, ...], ...]

    def to_frame(self) -> Any:
        """Give the table as a pandas DataFrame. Raises NoLibraryError where there is no pandas."""
        try:
            pandas = importlib.import_module("pandas")
        except ImportError:
            raise NoLibraryError("to_frame", "pandas", ".rows") from None
        return pandas.DataFrame([list(row) for row in self.rows], columns=list(self.columns))

    def __str__(self) -> str:
        """Draw the table as text."""
        numbers = self._numbers()
        columns = [
            TextColumn(name, "right" if at in numbers else "left", folds=name == STATE)
            for at, name in enumerate(self.columns)
        ]
        return drawn(columns, _texts(self.rows), WIDTH).replace(SPACE, " ")

    def _repr_html_(self) -> str:
        return table_cell(self.columns, _texts(self.rows), self._numbers())

    def _numbers(self) -> tuple[int, ...]:
        """The places of the columns that hold numbers."""
        return tuple(at for at in range(len(self.columns)) if any(_is_number(row[at]) for row in self.rows))


def _is_number(cell: Entry) -> bool:
    return isinstance(cell, int | float) and not isinstance(cell, bool)


def designs_table(designs: Sequence[Design]) -> Table:
    """One row per design: its size, margin and tightest requirement, and what is fitted, part by part."""
    fitted = [
        {part.lamp or part.ref: part.type or part.ohms for part in one.parts if part.kind != "wire"}
        for one in designs
    ]
    refs = tuple(dict.fromkeys(ref for one in fitted for ref in one))
    takes = ("takes",) if any(one.takes for one in designs) else ()
    helped = ("helper_lamps",) if any(one.helper_lamps for one in designs) else ()
    sizes = ("rank", "extra_parts", "wires", "joints", "conductors", "margin_stops")
    rows = (
        (
            *(getattr(one, size) for size in sizes),
            one.tightest.lamp,
            one.tightest.state,
            one.tightest.corner,
            *(what.get(ref) for ref in refs),
            *[". ".join(taken_words(one.takes)) for _ in takes],
            *[one.helper_lamps for _ in helped],
        )
        for one, what in zip(designs, fitted, strict=True)
    )
    return Table((*sizes, "tightest", "state", "corner", *refs, *takes, *helped), tuple(rows))


def words_table(states: Sequence[StateRow]) -> Table:
    """One row per state and phase: the controls, and what each lamp does, in words."""
    if not states:
        return Table((), ())
    whole = unfolded(states)
    rows = (tuple(word.replace(SPACE, " ") for word in (*row.setting, *row.cells)) for row in whole.rows)
    return Table((*whole.controls, *whole.lamps), tuple(rows))


def readings_table(states: Sequence[StateRow]) -> Table:
    """One row per state, phase and lamp: volts [V], amps [A], flux relative to rated, and what was wanted."""
    columns = ("state", "phase", "lamp", "volts", "amps", "flux", "level", "wanted", "meets", "margin_stops")
    rows = (
        (
            state.state,
            state.phase,
            one.lamp,
            one.volts,
            one.amps,
            one.flux,
            one.level,
            one.wanted,
            one.meets,
            one.margin_stops,
        )
        for state in states
        for one in state.lamps
    )
    return Table(columns, tuple(rows))


def _texts(rows: Sequence[Sequence[Entry]]) -> list[tuple[str, ...]]:
    return [tuple(_text(cell) for cell in row) for row in rows]


def _text(cell: Entry) -> str:
    """Say an entry: yes or no, a number of four decimals at most, nothing for None."""
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    return f"{round(cell, 4):g}" if isinstance(cell, float) else str(cell)
