"""A design's parts and ratings in words: what to fit between which nodes, and how hard it works.

No source: our layout.
"""

from collections.abc import Sequence

from lampwright.report import si
from lampwright.report.layout import TextColumn, folding, paragraph, table
from lampwright.results.design import Design, OtherChoice, PartRow, Rating, Ratings
from lampwright.words import many

ONE_WAY = "→"
BOTH_WAYS = "—"


def parts_table(parts: Sequence[PartRow], width: int) -> str:
    """Draw the table of parts; the arrow of a diode shows the way it conducts."""
    columns = [*folding("part", "fit", "from"), TextColumn(""), *folding("to")]
    return table(columns, part_rows(parts), width)


def part_rows(parts: Sequence[PartRow]) -> list[tuple[str, ...]]:
    """Each part: what to fit, from where, which way, to where."""
    return [(part.ref, fitted(part), part.from_node, way(part), part.to_node) for part in parts]


def joined_rows(parts: Sequence[PartRow]) -> list[tuple[str, ...]]:
    """Each part: what to fit, and the nodes it joins."""
    return [(part.ref, fitted(part), f"{part.from_node} {way(part)} {part.to_node}") for part in parts]


def way(part: PartRow) -> str:
    """The arrow of a diode, which conducts one way; a dash for what conducts both ways."""
    return ONE_WAY if part.kind == "diode" else BOTH_WAYS


def purchases(parts: Sequence[PartRow]) -> list[tuple[str, ...]]:
    """What to buy: how many, what, and for which parts; a lamp of several filaments is one lamp."""
    alike: dict[str, dict[str, None]] = {}
    for part in parts:
        if part.kind != "wire":
            whole = "lamp " + (part.type or "") if part.kind == "filament" else fitted(part)
            alike.setdefault(whole, {})[part.lamp or part.ref] = None
    return [(f"{len(serves)}", what, ", ".join(serves)) for what, serves in alike.items()]


def all_counts(design: Design) -> str:
    """Say what is all_counts of a design."""
    return ", ".join(
        (
            many(design.extra_parts, "extra part"),
            many(design.wires, "wire"),
            many(design.joints, "joint"),
            many(design.conductors, "conductor"),
        )
    )


def made_of(design: Design) -> str:
    """Say what is all_counts of a design, leaving out what there is none of."""
    counts = (
        (design.extra_parts, "extra part"),
        (design.helper_lamps, "helper lamp"),
        (design.wires, "link wire"),
        (design.joints, "joint"),
        (design.conductors, "conductor"),
    )
    said = [many(count, what) for count, what in counts if count]
    return ", ".join(said if design.extra_parts else ["Lamps and wire alone", *said])


def tightest(design: Design) -> str:
    """Say which requirement is met by least, and where."""
    return f"{design.tightest.lamp} at {design.tightest.state}; {design.tightest.corner}"


def choice_words(choice: OtherChoice) -> str:
    """Say one choice of types and values."""
    return f"{', '.join(choice.fitted)}: {si.stops(choice.margin_stops)}"


def ranked(design: Design, margin: str) -> tuple[str, ...]:
    """A design as a row of a table: rank, margin as it is written there, counts, and what to fit."""
    counts = (design.extra_parts, design.wires, design.joints, design.conductors)
    return (f"{design.rank}", margin, *(f"{count}" for count in counts), to_fit(design.parts))


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
    said = f"{'!' if _share(row) > 1.0 else ''}{row.ref} {_load(row, row.worst)}"
    return said if row.limit is None else f"{said} of {_load(row, row.limit)}"


def load_rows(ratings: Ratings, over: str) -> list[tuple[str, ...]]:
    """How hard everything works at worst, its limit, and where; over: how what is beyond it is written."""
    return [
        (
            row.ref,
            over.format(_load(row, row.worst)) if _share(row) > 1.0 else _load(row, row.worst),
            "none stated" if row.limit is None else _load(row, row.limit),
            f"{row.state}; {row.corner}",
        )
        for row in (*ratings.controls, *ratings.resistors, *ratings.diodes, *ratings.lamps)
    ]


def _load(row: Rating, value: float) -> str:
    return si.quantity(value, row.unit, 3 if row.unit == "V" else 2)
