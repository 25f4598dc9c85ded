"""An atlas as a flat table: a row for each option of each behaviour, and one for each that none shows.

Comma-separated, quoted where needed. Source: RFC 4180, with plain line feeds.
"""

from lampwright.report.csv_tables import csv_text
from lampwright.report.topics.atlas import circuit_words
from lampwright.results.atlas import Atlas, AtlasEntry, AtlasOption
from lampwright.results.row import Stops, written

HEADS = (
    *("functions", "shows", "lit_with", "images", "lamps", "diodes", "joints", "circuits", "held_circuits"),
    *("holds", "margin_stops", "judged_stops", "circuit"),
)


def atlas_csv(atlas: Atlas) -> str:
    """Write the table under one row of headings; what none shows has no parts."""
    return csv_text(
        HEADS,
        (
            (*_behaviour(entry), *_option(option))
            for entry in (*atlas.functions, *atlas.behaviours)
            for option in entry.options or (None,)
        ),
    )


def _behaviour(entry: AtlasEntry) -> tuple[object, ...]:
    return (
        " ".join(f"{one.number}" for one in entry.functions),
        entry.words,
        "; ".join(" ".join(one.lit_with) for one in entry.functions),
        entry.images,
    )


def _option(option: AtlasOption | None) -> tuple[object, ...]:
    if option is None:
        return ("",) * 9
    return (
        *(option.lamps, option.diodes, option.joints, option.circuits, option.held_circuits),
        "yes" if option.holds else "no",
        written(Stops, option.margin_stops),
        written(Stops, option.judged_stops),
        circuit_words(option.parts),
    )
