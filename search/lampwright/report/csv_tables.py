"""Flat tables for a spreadsheet: the ranking by design and part, the wiring lists by design and wire.

Comma-separated, quoted where needed. Source: RFC 4180, with plain line feeds.
"""

import csv
from collections.abc import Iterable, Sequence
from io import StringIO

from lampwright.results.design import Design, PartRow
from lampwright.results.ranking import Ranking
from lampwright.results.row import Amps, Metres, Ohms, SquareMillimetres, Stops, Volts, Watts, written
from lampwright.results.wiring import WireRow, WiringList

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


WIRE_COLUMNS = (
    "rank",
    "wire",
    "net",
    "from",
    "to",
    "zone",
    "pin",
    "metres",
    "mm2",
    "awg",
    "ohms",
    "amps",
    "drop_volts",
    "fuse_amps",
    "carries_amps",
    "colour",
)


def ranking_csv(ranking: Ranking) -> str:
    """Write one row per design and part, numbers as in ranking.json, under one row of headings."""
    return _csv(COLUMNS, (_row(design, part) for design in ranking.designs for part in design.parts))


def _row(design: Design, part: PartRow) -> tuple[object, ...]:
    """Write one part of one design; what it has not is left empty."""
    return (
        design.rank,
        written(Stops, design.margin_stops),
        design.extra_parts,
        design.wires,
        design.joints,
        design.conductors,
        part.ref,
        part.kind,
        part.lamp,
        part.type,
        None if part.ohms is None else written(Ohms, part.ohms),
        None if part.watts is None else written(Watts, part.watts),
        part.from_node,
        part.to_node,
    )


def wiring_csv(lists: Sequence[WiringList]) -> str:
    """Write one row per design and wire, designs by rank from 1, under one row of headings; no colours."""
    rows = ((rank, *_wire(wire)) for rank, wiring in enumerate(lists, 1) for wire in wiring.wires)
    return _csv(WIRE_COLUMNS, rows)


def _wire(wire: WireRow) -> tuple[object, ...]:
    return (
        wire.number,
        wire.net,
        wire.from_node,
        wire.to_node,
        wire.zone,
        wire.pin,
        written(Metres, wire.metres),
        written(SquareMillimetres, wire.area_mm2),
        wire.awg,
        written(Ohms, wire.ohms),
        written(Amps, wire.amps),
        written(Volts, wire.drop_volts),
        written(Amps, wire.fuse_amps),
        written(Amps, wire.carries_amps),
        wire.colour,
    )


def _csv(columns: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    page = StringIO()
    writer = csv.writer(page, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows(rows)
    return page.getvalue()
