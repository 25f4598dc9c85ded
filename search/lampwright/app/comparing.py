"""One circuit with other types and values, judged one by one: a table, and a plot of the margins."""

import importlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Any

from lampwright.app.checking import judge_circuit
from lampwright.app.circuit_builder import CircuitBuilder
from lampwright.app.notebook_table import Entry, NoLibraryError, Table
from lampwright.errors import Finding, InputError
from lampwright.problem.problem import layout_of
from lampwright.problem.reading import helped
from lampwright.spec.model import Spec

FOUND = ("meets", "margin_stops", "tightest", "state", "corner")
"""What is told of each choice beside itself."""


@dataclass(frozen=True)
class CompareTable(Table):
    """A row per choice of types and values: whether it meets the spec, its margin and where that is.

    values: how many of the first columns are the choice, and how many of those, at the end, are ohms.
    """

    choices: int = 0
    values: int = 0

    def plot(self, axes: Any = None) -> Any:
        """Draw the margins on axes of matplotlib, or new ones, over the first resistor or all choices.

        Above the line at 0 the spec is met. Raises NoLibraryError where there is no matplotlib.
        """
        if axes is None:
            try:
                pyplot = importlib.import_module("matplotlib.pyplot")
            except ImportError:
                raise NoLibraryError("plot", "matplotlib", ".to_frame()") from None
            axes = pyplot.subplots()[1]
        margin = self.columns.index("margin_stops")
        if self.values:
            first = self.choices - self.values
            for name, rows in self._lines(first):
                axes.plot([row[first] for row in rows], [row[margin] for row in rows], "o-", label=name)
            axes.set_xlabel(f"{self.columns[first]} [Ω]")
            if self.choices > 1:
                axes.legend()
        else:
            names = [" ".join(str(one) for one in row[: self.choices]) for row in self.rows]
            axes.plot(range(len(names)), [row[margin] for row in self.rows], "o")
            axes.set_xticks(range(len(names)), names)
            axes.set_xlabel(" ".join(self.columns[: self.choices]))
        axes.axhline(0.0, color="black", linewidth=0.8)
        axes.set_ylabel("margin [stops]")
        return axes

    def _lines(self, at: int) -> Iterator[tuple[str, list[tuple[Entry, ...]]]]:
        """The rows that differ in the column at this place alone, with what they share."""
        lines: dict[tuple[Entry, ...], list[tuple[Entry, ...]]] = {}
        for row in self.rows:
            lines.setdefault((*row[:at], *row[at + 1 : self.choices]), []).append(row)
        others = (*self.columns[:at], *self.columns[at + 1 : self.choices])
        for shared, rows in lines.items():
            name = ", ".join(f"{one} {value}" for one, value in zip(others, shared, strict=True))
            yield name, sorted(rows, key=lambda row: float(row[at] or 0.0))


def compare_circuit(
    spec: Spec,
    circuit: CircuitBuilder,
    types: Mapping[str, Sequence[str]],
    ohms: Mapping[str, Sequence[float]],
) -> CompareTable:
    """Judge a circuit with every choice of these types and ohms. Raises InputError as a check does."""
    empty = [name for name, some in (*types.items(), *ohms.items()) if isinstance(some, str) or not len(some)]
    if empty or not (types or ohms):
        place = f"compare: {empty[0]}" if empty else "compare"
        said, remedy = "there is nothing to compare", 'give lists, as types={"x": ["R5W", "R10W"]}'
        raise InputError([Finding(place, said, remedy)])
    spec = helped(spec, circuit.parts)
    layout = layout_of(spec)
    rows: list[tuple[Entry, ...]] = []
    for kinds in product(*types.values()):
        for values in product(*ohms.values()):
            fitted = circuit.fitted(
                dict(zip(types, kinds, strict=True)), dict(zip(ohms, map(float, values), strict=True))
            )
            report = judge_circuit(spec, fitted.under(layout), "compare")
            tight = report.design.tightest
            told = (report.meets, report.design.margin_stops, tight.lamp, tight.state, tight.corner)
            rows.append((*kinds, *map(float, values), *told))
    columns = (*types, *ohms, *FOUND)
    return CompareTable(columns, tuple(rows), len(types) + len(ohms), len(ohms))
