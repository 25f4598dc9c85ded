"""Rows as pieces of HTML for a notebook's cell: small, quiet, in the reader's own colours.

Text and lines take the colour of the page around them, so that a light and a dark notebook
both read; nothing is told by colour. Names go in escaped. Drawings have no ids, for many
cells are one page. No source: our layout.
"""

from collections.abc import Sequence
from typing import Any

from markupsafe import Markup

from lampwright.report import si
from lampwright.report.page.templates import macros
from lampwright.report.topics.parts import ranked
from lampwright.report.topics.states import folded, unfolded
from lampwright.results.design import Design
from lampwright.results.ranking import CheckReport, Ranking

MOST_ROWS = 20


def design_cell(design: Design, svg: str, cautions: Sequence[str]) -> str:
    """Write a design: its drawing, its parts, what its lamps do."""
    sheet = _sheet(design, svg, f"Design {design.rank}")
    return str(_macros().design(sheet, cautions))


def check_cell(report: CheckReport, svg: str) -> str:
    """Write what a check found, and the circuit."""
    return str(_macros().check(report, _sheet(report.design, svg, "Circuit")))


def ranking_cell(ranking: Ranking) -> str:
    """Write a ranking: its verdict, and its designs beside each other."""
    rows = [ranked(design, si.stops(design.margin_stops)) for design in ranking.designs[:MOST_ROWS]]
    return str(_macros().ranking(ranking, rows))


def table_cell(columns: Sequence[str], rows: Sequence[Sequence[str]], numbers: Sequence[int]) -> str:
    """Write a table; numbers: the places of the columns whose entries keep to the right."""
    return str(_macros().table(columns, rows, numbers))


def _sheet(design: Design, svg: str, name: str) -> Markup:
    lamps = folded(unfolded(design.states))
    lines = [(*row.setting, *row.cells) for row in lamps.rows]
    return Markup(_macros().sheet(name, design, Markup(svg), lamps, lines))


def _macros() -> Any:
    return macros("notebook.html")
