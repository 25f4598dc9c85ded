"""The ranking as a flat table for a spreadsheet: one row per design and part.

Comma-separated, quoted where needed. Source: RFC 4180, with plain line feeds.
"""

import csv
from io import StringIO

from lampwright.results.design import Design, PartRow
from lampwright.results.ranking import Ranking
from lampwright.results.rounding import written

COLUMNS = (
    "rank",
    "margin_stops",
    "extra_parts",
    "wires",
    "joints",
    "conductors",
    "ref",
    "kind",
    "lamp",
    "type",
    "ohms",
    "watts",
    "from",
    "to",
)


def ranking_csv(ranking: Ranking) -> str:
    """Write one row per design and part, numbers as in ranking.json, under one row of headings."""
    page = StringIO()
    writer = csv.writer(page, lineterminator="\n")
    writer.writerow(COLUMNS)
    writer.writerows(_row(design, part) for design in ranking.designs for part in design.parts)
    return page.getvalue()


def _row(design: Design, part: PartRow) -> list[str]:
    """Write one part of one design; what it has not is left empty."""
    entries = (
        design.rank,
        written("margin_stops", design.margin_stops),
        design.extra_parts,
        design.wires,
        design.joints,
        design.conductors,
        part.ref,
        part.kind,
        part.lamp,
        part.type,
        None if part.ohms is None else written("ohms", part.ohms),
        None if part.watts is None else written("watts", part.watts),
        part.from_node,
        part.to_node,
    )
    return ["" if entry is None else str(entry) for entry in entries]
