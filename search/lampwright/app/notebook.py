"""What search and check give a person in a notebook: the same rows, which draw themselves.

Each class is the stored row it extends, field for field: whatever takes the row takes it,
and it is written to JSON as the row is. What a row may not know, the spec it answers, it
keeps beside its fields. Text is what the commands print.
"""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, overload

from msgspec import structs

from lampwright.app.circuit_builder import CircuitBuilder
from lampwright.app.drawing import drawing, write_drawing
from lampwright.app.explaining import explain_row
from lampwright.app.keeping import save_ranking
from lampwright.app.notebook_table import Table, designs_table, readings_table, words_table
from lampwright.problem.reading import helped
from lampwright.report import si
from lampwright.report.brief import brief_text
from lampwright.report.explain.text import explanation_text
from lampwright.report.layout import WIDTH
from lampwright.report.notebook import check_cell, design_cell, ranking_cell
from lampwright.report.text import check_text, design_text
from lampwright.results.design import Design
from lampwright.results.ranking import CheckReport, Ranking
from lampwright.searching.verdict import CAUTIONS_OF
from lampwright.spec.model import Spec

SPEC = "answers"


class FoundDesign(Design, frozen=True, kw_only=True, dict=True):
    """A design that draws and explains itself; `as_found_design` makes it.

    Its spec stands beside the fields, so that it is not written with the row.
    """

    @property
    def _spec(self) -> Spec:
        spec: Spec = vars(self)[SPEC]
        return spec

    def __reduce__(self) -> tuple[Callable[[Design, Spec], Design], tuple[Design, Spec]]:
        """Copy the spec with the fields."""
        return as_found_design, (Design(**structs.asdict(self)), self._spec)

    def table(self) -> Table:
        """What the lamps do: a row per state and phase, a column per control and lamp."""
        return words_table(self.states)

    def readings(self) -> Table:
        """Volts, amps and light: a row per state, phase and lamp."""
        return readings_table(self.states)

    def to_frame(self) -> Any:
        """The readings as a pandas DataFrame. Raises NoLibraryError where there is no pandas."""
        return self.readings().to_frame()

    def circuit(self) -> CircuitBuilder:
        """Its circuit, to check with other parts, to solve, or to save as a circuit file."""
        return CircuitBuilder.of_design(self, self._spec.types)

    def explain(self) -> str:
        """Why it works, state by state, in words."""
        return explanation_text(explain_row(self, self._spec))

    def svg(self) -> str:
        """The schematic, as the text of an SVG."""
        return drawing(self, self._spec).svg

    def _bare_svg(self) -> str:
        """The schematic without ids, for one page may show many."""
        return drawing(self, self._spec, ids=False).svg

    def draw(self, to: Path | str, width: int | None = None) -> None:
        """Draw the schematic into a file that ends in .svg, .png or .pdf; one that is there is replaced.

        width: pixels, of a PNG alone. Raises InputError for another ending or no such folder,
        NoPictureError for PNG and PDF without the extra `picture`, StoreError where it cannot be written.
        """
        write_drawing(drawing(self, self._spec), Path(to), width)

    def __str__(self) -> str:
        """Write the design as the command prints it."""
        return design_text(self, f"Design {self.rank}", WIDTH)

    def __repr__(self) -> str:
        """Say shortly which design this is."""
        return f"<design {self.rank} of {self._spec.name}: {_margin(self)}>"

    def _repr_svg_(self) -> str:
        return self.svg()

    def _repr_html_(self) -> str:
        return design_cell(self, self._bare_svg(), CAUTIONS_OF[self.source])


class Found(Ranking, frozen=True, kw_only=True, dict=True):
    """A ranking whose designs draw and explain themselves: a sequence of them, best first.

    Without a design it is false; `verdict` says whether that is proved, or the search was stopped.
    """

    designs: tuple[FoundDesign, ...]

    def __reduce__(self) -> tuple[Callable[[Ranking, Spec], Ranking], tuple[Ranking, Spec]]:
        """Copy the spec with the fields."""
        return as_found, (Ranking(**structs.asdict(self)), vars(self)[SPEC])

    @property
    def best(self) -> FoundDesign:
        """The first design. Raises IndexError, with the verdict, where there is none."""
        return self[0]

    def __len__(self) -> int:
        """How many designs there are."""
        return len(self.designs)

    def __iter__(self) -> Iterator[FoundDesign]:
        """The designs, best first."""
        return iter(self.designs)

    @overload
    def __getitem__(self, at: int) -> FoundDesign: ...
    @overload
    def __getitem__(self, at: slice) -> tuple[FoundDesign, ...]: ...
    def __getitem__(self, at: int | slice) -> FoundDesign | tuple[FoundDesign, ...]:
        """The design at this place, the best at 0, or those of a slice. Raises IndexError beyond the last."""
        try:
            return self.designs[at]
        except IndexError:
            raise IndexError(f"there is no design {at}: {self.verdict.text}") from None

    def to_frame(self) -> Any:
        """A pandas DataFrame with a row per design. Raises NoLibraryError where there is no pandas."""
        return designs_table(self.designs).to_frame()

    def save(self, to: Path | str) -> None:
        """Keep it as `lampwright search` does: in a folder; or one file that ends in .json, .csv or .html.

        Files that are there are replaced. Raises InputError for another ending, StoreError where it
        cannot be written.
        """
        save_ranking(self, vars(self)[SPEC], Path(to))

    def __str__(self) -> str:
        """Write the ranking as `lampwright search` prints it."""
        return brief_text(self)

    def __repr__(self) -> str:
        """Say the verdict."""
        return f"<ranking of {self.spec.name}: {self.verdict.text}>"

    def _repr_html_(self) -> str:
        return ranking_cell(self)


class Checked(CheckReport, frozen=True, kw_only=True):
    """A check whose circuit draws and explains itself."""

    design: FoundDesign

    def to_frame(self) -> Any:
        """The readings as a pandas DataFrame. Raises NoLibraryError where there is no pandas."""
        return self.design.to_frame()

    def __str__(self) -> str:
        """Write the check as `lampwright check` prints it."""
        return check_text(self)

    def __repr__(self) -> str:
        """Say what was found."""
        return f"<check against {self.spec.name}: {'meets' if self.meets else 'does not meet'} the spec>"

    def _repr_svg_(self) -> str:
        return self.design.svg()

    def _repr_html_(self) -> str:
        return check_cell(self, self.design._bare_svg())


def as_found(ranking: Ranking, spec: Spec) -> Found:
    """Give a ranking of this spec the means to draw itself."""
    designs = tuple(as_found_design(design, helped(spec, design.parts)) for design in ranking.designs)
    found = Found(**{**structs.asdict(ranking), "designs": designs})
    vars(found)[SPEC] = spec
    return found


def as_checked(report: CheckReport, spec: Spec) -> Checked:
    """Give a check against this spec the means to draw itself."""
    return Checked(**{**structs.asdict(report), "design": as_found_design(report.design, spec)})


def as_found_design(design: Design, spec: Spec) -> FoundDesign:
    """Give a design that answers this spec the means to draw itself."""
    found = FoundDesign(**structs.asdict(design))
    vars(found)[SPEC] = spec
    return found


def _margin(design: Design) -> str:
    return f"{si.stops(design.margin_stops)} of margin".replace(si.SPACE, " ")
