"""Counts, catalogue and filament curves as text for a terminal. No source: our layout."""

from lampwright.report import si
from lampwright.report.layout import (
    WIDTH,
    TextColumn,
    bullets,
    folding,
    heading,
    join,
    paragraph,
    right,
    table,
)
from lampwright.report.topics.doubts import FILLED
from lampwright.results.ranking import Catalogue, CountReport, Curves, FilamentCurve, SeriesLine
from lampwright.words import many


def count_text(report: CountReport, width: int = WIDTH) -> str:
    """Write how many circuits there are, and about how long a search of them takes."""
    helped = any(row.helper_lamps for row in report.rows)
    counts = ("extra parts", "diodes", "resistors", "wires", "joints", "circuits")
    headings = (*(("helper lamps",) if helped else ()), *counts)
    rows = [
        tuple(
            f"{n:,}"
            for n in (
                *((row.helper_lamps,) if helped else ()),
                row.extra_parts,
                row.diodes,
                row.resistors,
                row.wires,
                row.joints,
                row.circuits,
            )
        )
        for row in report.rows
    ]
    choices = many(report.choices, "choice")
    about = "very roughly" if report.is_rough else "about"
    said = (
        f"{many(report.total, 'circuit')}, each with up to {choices} of types and values; "
        f"a search takes {about} {si.duration(report.about_seconds)}."
    )
    return join(
        (
            paragraph(said, width),
            paragraph(f"{report.spec.title} ({report.spec.name})", width, "Spec: "),
            table(right(*headings), rows, width),
            _budget(report, width),
        )
    )


def catalogue_text(catalogue: Catalogue, width: int = WIDTH) -> str:
    """Write the catalogue: lamps, diodes, preferred values."""
    columns = [TextColumn("type"), TextColumn("volts"), *folding("rated", "cap", "filling", "source")]
    blocks = []
    for kind, title in (("lamp", "Lamps"), ("diode", "Diodes")):
        rows = [
            (line.type, line.system, line.rated, line.cap, line.filling, f"{line.source}, {line.confidence}")
            for line in catalogue.lines
            if line.kind == kind
        ]
        if rows:
            blocks += [heading(title, width), table(columns, rows, width)]
    if catalogue.series:
        blocks.append(heading("Preferred values", width))
        blocks.append("\n".join(bullets((_series(line) for line in catalogue.series), width)))
    return join((*blocks, "The curve of a lamp: lampwright parts TYPE"))


def curves_text(curves: Curves, width: int = WIDTH) -> str:
    """Write the curves of one type."""
    return join(block for curve in curves.curves for block in _curve(curve, width))


def _budget(report: CountReport, width: int) -> str:
    """Say whether the search keeps to its budget."""
    if report.total <= report.budget:
        return ""
    said = (
        f"That is beyond the budget of {many(report.budget, 'circuit')}: "
        "allow fewer extra parts, joints or wires, or raise --budget."
    )
    return paragraph(said, width)


def _series(line: SeriesLine) -> str:
    """Write one series."""
    within = "" if line.tolerance_percent is None else f" (±{line.tolerance_percent:g} %)"
    values = ", ".join(f"{value:g}" for value in line.values)
    return f"{line.name}{within}: {values}. Source: {line.source}, {line.confidence}"


def _curve(curve: FilamentCurve, width: int) -> list[str]:
    """Write one filament: what it was made from, then its points."""
    columns = right("volts", "amps", "watts", "kelvin", "light", "life")
    rows = [
        (
            f"{row.volts:.2f}",
            f"{row.amps:.3f}",
            f"{row.watts:.2f}",
            f"{row.kelvin:,.0f}",
            si.percent(row.flux),
            si.times(row.life),
        )
        for row in curve.rows
    ]
    return [
        heading(_title(curve), width),
        "\n".join(
            (
                paragraph(_facts(curve), width),
                paragraph(_filling(curve), width),
                paragraph(f"Source: {curve.source}, confidence {curve.confidence}", width),
            )
        ),
        table(columns, rows, width),
    ]


def _title(curve: FilamentCurve) -> str:
    """Name the filament, and the filling where there is a choice."""
    taken = "" if curve.filling_known else f", if {FILLED[curve.filling]}"
    return f"{curve.type} {curve.filament}, {curve.system} V system{taken}"


def _filling(curve: FilamentCurve) -> str:
    """Say what the bulb holds, and how that is known."""
    held = FILLED[curve.filling] if curve.filling_known else "gas or vacuum, both are tried"
    return f"Filling: {held} ({curve.filling_status}; confidence {curve.filling_confidence})"


def _facts(curve: FilamentCurve) -> str:
    """Say what the curve was made from."""
    way = "through the gas and the ends" if curve.filling == "gas" else "by the ends of the wire"
    cooled = f"{si.percent(curve.conducted_share)} of the heat conducted {way} at rated volts"
    rated = f"rated {si.watts(curve.rated_watts)} and {curve.rated_lumens:.3g} lm"
    felt = f"{si.ohms(curve.cold_ohms)} cold, {si.ohms(curve.hot_ohms)} hot"
    return f"{rated} at {si.volts(curve.test_volts)}, {curve.rated_kelvin:,.0f} K; {felt}; {cooled}"
