"""A design's parts and ratings in words: what to fit between which nodes, and how hard it works.

No source: our layout.
"""

from collections.abc import Sequence

from lampwright.report import si
from lampwright.report.layout import Column, paragraph, table
from lampwright.results.design import PartRow, Rating, Ratings

ONE_WAY = "→"
BOTH_WAYS = "—"


def parts_table(parts: Sequence[PartRow], width: int) -> str:
    """Draw the table of parts; the arrow of a diode shows the way it conducts."""
    columns = [
        Column("part", folds=True),
        Column("fit", folds=True),
        Column("from", folds=True),
        Column(""),
        Column("to", folds=True),
    ]
    rows = [
        (
            part.ref,
            fitted(part),
            part.from_node,
            ONE_WAY if part.kind == "diode" else BOTH_WAYS,
            part.to_node,
        )
        for part in parts
    ]
    return table(columns, rows, width)


def fitted(part: PartRow) -> str:
    """Say what to fit: `lamp P21/5W (rear)`, `resistor 4.7 Ω, 10 W`, `diode 1N5404`, `wire`.

    In brackets the name of the lamp, where its filament is called something else.
    """
    if part.kind == "filament":
        bulb = f"lamp {part.type}" if part.type else "lamp"
        return bulb if part.lamp in (None, part.ref) else f"{bulb} ({part.lamp})"
    words: list[str] = [part.kind]
    if part.type is not None:
        words.append(part.type)
    if part.ohms is not None:
        words.append(si.ohms(part.ohms))
    said = " ".join(words)
    return f"{said}, {si.watts(part.watts)}" if part.watts is not None else said


def to_fit(parts: Sequence[PartRow]) -> str:
    """List in one line what a design is made of, one entry per lamp."""
    bought = {part.lamp or part.ref: part for part in parts if part.kind != "wire"}
    return ", ".join(
        part.type or (si.ohms(part.ohms) if part.ohms is not None else part.kind) for part in bought.values()
    )


def ratings_lines(ratings: Ratings, width: int) -> list[str]:
    """Say how hard each control and extra part works at worst; of the lamps, only the hardest driven."""
    kinds = (
        ("controls   ", ratings.controls),
        ("resistors  ", ratings.resistors),
        ("diodes     ", ratings.diodes),
        ("lamps      ", _shown(ratings.lamps)),
    )
    lead = "Worst load  "
    lines = []
    for kind, rows in kinds:
        if rows:
            lines.append(paragraph("; ".join(_rating(row) for row in rows), width, lead + kind))
            lead = " " * len(lead)
    return lines


def _shown(lamps: tuple[Rating, ...]) -> tuple[Rating, ...]:
    """Keep the lamp nearest to its limit, and all that are beyond."""
    beyond = tuple(row for row in lamps if _share(row) > 1.0)
    return beyond or tuple(sorted(lamps, key=_share, reverse=True)[:1])


def _share(row: Rating) -> float:
    """Tell the worst value as a share of the limit; zero where nothing limits."""
    return row.worst / row.limit if row.limit else 0.0


def _rating(row: Rating) -> str:
    """Say one rating: `brake 1.9 A of 8 A`, with a mark where it is exceeded."""
    mark = "!" if _share(row) > 1.0 else ""
    digits = 3 if row.unit == "V" else 2
    said = f"{mark}{row.ref} {si.quantity(row.worst, row.unit, digits)}"
    if row.limit is None:
        return said
    return f"{said} of {si.quantity(row.limit, row.unit, digits)}"
