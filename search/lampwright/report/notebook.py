"""Rows as pieces of HTML for a notebook's cell: small, quiet, in the reader's own colours.

Text and lines take the colour of the page around them, so that a light and a dark notebook
both read; nothing is told by colour. Names go in escaped. Drawings lose their ids, for many
cells are one page. No source: our layout.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from jinja2 import Environment, StrictUndefined
from markupsafe import Markup

from lampwright.report import si
from lampwright.report.topics.parts import BOTH_WAYS, ONE_WAY, fitted, to_fit
from lampwright.report.topics.states import folded, unfolded
from lampwright.results.design import Design, PartRow
from lampwright.results.ranking import CheckReport, Ranking

MOST_ROWS = 20
COLUMNS = ("rank", "margin", "extra parts", "wires", "joints", "conductors", "to fit")
IDS = re.compile(r'(?<=[\w"]) (?:id|aria-labelledby)="[^"]*"(?=[^<>]*>)')
"""Where they stand inside a tag; within texts and values a drawing writes < and > and " as entities."""


@dataclass(frozen=True)
class Sheet:
    """A design as a cell shows it."""

    title: str
    made_of: str
    tightest: str
    svg: Markup
    parts: tuple[tuple[str, ...], ...]
    columns: tuple[str, ...]
    lines: tuple[tuple[str, ...], ...]


def design_cell(design: Design, svg: str, cautions: Sequence[str]) -> str:
    """Write a design: its drawing, its parts, what its lamps do."""
    return str(_macros().design(_sheet(design, svg, f"Design {design.rank}"), cautions))


def check_cell(report: CheckReport, svg: str) -> str:
    """Write what a check found, and the circuit."""
    said = "The circuit meets the spec." if report.meets else "The circuit does not meet the spec."
    sheet = _sheet(report.design, svg, "Circuit")
    return str(_macros().check(said, report.failures, sheet, report.remarks, report.cautions))


def ranking_cell(ranking: Ranking) -> str:
    """Write a ranking: its verdict, and its designs beside each other."""
    rows = [_ranked(design) for design in ranking.designs[:MOST_ROWS]]
    more = len(ranking.designs) - len(rows)
    verdict, title = ranking.verdict, ranking.spec.title
    return str(_macros().ranking(verdict.text, title, verdict.proved, COLUMNS, rows, more, ranking.cautions))


def table_cell(columns: Sequence[str], rows: Sequence[Sequence[str]], numbers: Sequence[int]) -> str:
    """Write a table; numbers: the places of the columns whose entries keep to the right."""
    return str(_macros().table(columns, rows, numbers))


def _sheet(design: Design, svg: str, name: str) -> Sheet:
    counted = (
        si.many(design.extra_parts, "extra part"),
        si.many(design.wires, "wire"),
        si.many(design.joints, "joint"),
        si.many(design.conductors, "conductor"),
    )
    tightest = design.tightest
    lamps = folded(unfolded(design.states))
    return Sheet(
        title=f"{name}: {si.stops(design.margin_stops)} of margin",
        made_of=", ".join(counted),
        tightest=f"{tightest.lamp} at {tightest.state}; {tightest.corner}",
        svg=Markup(IDS.sub("", svg)),
        parts=tuple(_part(part) for part in design.parts),
        columns=(*lamps.controls, *lamps.lamps),
        lines=tuple((*row.setting, *row.cells) for row in lamps.rows),
    )


def _part(part: PartRow) -> tuple[str, ...]:
    way = ONE_WAY if part.kind == "diode" else BOTH_WAYS
    return (part.ref, fitted(part), part.from_node, way, part.to_node)


def _ranked(design: Design) -> tuple[str, ...]:
    counts = (design.extra_parts, design.wires, design.joints, design.conductors)
    margin = si.stops(design.margin_stops)
    return (str(design.rank), margin, *(str(count) for count in counts), to_fit(design.parts))


@cache
def _macros() -> Any:
    """The pieces of the template, with every value escaped and no name left undefined."""
    text = (files("lampwright.report") / "page" / "notebook.html").read_text(encoding="utf-8")
    made = Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    return made.from_string(text).module
