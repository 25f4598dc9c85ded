"""Flat tables for a spreadsheet: the ranking by design and part, the wiring lists by design and wire.

Comma-separated, quoted where needed. Source: RFC 4180, with plain line feeds.
"""

import csv
from collections.abc import Iterable, Sequence
from io import StringIO

from msgspec.structs import fields

from lampwright.report.topics.takes import taken_words
from lampwright.results.ranking import Ranking
from lampwright.results.row import Row, written
from lampwright.results.wiring import WiringList

DESIGN = ("rank", "margin_stops", "extra_parts", "wires", "joints", "conductors")
PART = ("ref", "kind", "lamp", "type", "ohms", "watts", "from_node", "to_node")
WIRE = (
    *("number", "net", "from_node", "to_node", "zone", "pin", "metres", "area_mm2", "awg", "ohms", "amps"),
    *("drop_volts", "fuse_amps", "carries_amps", "colour"),
)
NAMES = {"from_node": "from", "to_node": "to", "number": "wire", "area_mm2": "mm2"}
"""What a column is called where it is not called as its field is."""


def ranking_csv(ranking: Ranking) -> str:
    """Write one row per design and part, numbers as in ranking.json, under one row of headings.

    Where the spec leaves a choice, a column behind them says what each design takes; where helper lamps are
    used, another how many.
    """
    takes = ("takes",) if any(design.takes for design in ranking.designs) else ()
    helped = ("helper_lamps",) if any(design.helper_lamps for design in ranking.designs) else ()
    rows = (
        (
            *_cells(design, DESIGN),
            *_cells(part, PART),
            *[". ".join(taken_words(design.takes)) for _ in takes],
            *_cells(design, helped),
        )
        for design in ranking.designs
        for part in design.parts
    )
    return csv_text((*DESIGN, *PART, *takes, *helped), rows)


def wiring_csv(lists: Sequence[WiringList]) -> str:
    """Write one row per design and wire, designs by rank from 1, under one row of headings; no colours."""
    rows = ((rank, *_cells(wire, WIRE)) for rank, wiring in enumerate(lists, 1) for wire in wiring.wires)
    return csv_text(("rank", *WIRE), rows)


def _cells(row: Row, names: Sequence[str]) -> list[object]:
    """The figures of a row, with the digits that its file has; what it has not is left empty."""
    kinds = {field.name: field.type for field in fields(type(row))}
    values = ((kinds[name], getattr(row, name)) for name in names)
    return [written(kind, value) if isinstance(value, float) else value for kind, value in values]


def csv_text(names: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """Write rows under one row of headings."""
    page = StringIO()
    writer = csv.writer(page, lineterminator="\n")
    writer.writerow(NAMES.get(name, name) for name in names)
    writer.writerows(rows)
    return page.getvalue()
