"""An atlas on one screen: what one lamp shows, with how few parts, and what none shows; the verdict last.

No source: our layout.
"""

from lampwright.report.layout import (
    WIDTH,
    TextColumn,
    clipped,
    folding,
    heading,
    join,
    paragraph,
    right,
    table,
)
from lampwright.report.topics.atlas import (
    NOMINAL,
    bound_words,
    function_rows,
    level_words,
    none_words,
    size_sentence,
)
from lampwright.results.atlas import Atlas
from lampwright.words import many

MOST_LINES = 40
"""A screen."""
MOST_NONE = 6


def atlas_text(atlas: Atlas, folder: str = "", width: int = WIDTH) -> str:
    """Write an atlas, with as many functions as one screen has room for; folder: where all of it is kept."""
    rows = list(function_rows(atlas))
    for most in range(len(rows), 0, -1):
        text = _text(atlas, rows, most, folder, width)
        if len(text.splitlines()) <= MOST_LINES:
            return text
    return _text(atlas, rows, 0, folder, width)


def _text(atlas: Atlas, rows: list[tuple[str, ...]], most: int, folder: str, width: int) -> str:
    """Write it with so many rows."""
    columns = [
        *folding("a lamp is lit with", "that is at"),
        TextColumn("lamps + diodes" if atlas.bound.diodes else "lamps"),
        *right("circuits", "stops"),
        TextColumn(f"{atlas.bound.low_volts:g}-{atlas.bound.high_volts:g} V"),
    ]
    notes = [f"and {many(len(rows) - most, 'row')} more, on the page"] if most < len(rows) else []
    if any(row[-1] == NOMINAL for row in rows[:most]):
        notes.append(f"({NOMINAL}: lamps at the ends of their tolerances may miss)")
    several = f"{many(len(atlas.behaviours), 'behaviour')} of two or more lamps together: on the page."
    blocks = (
        heading("Atlas: what one lamp shows", width),
        paragraph(f"{bound_words(atlas.bound)}; {level_words(atlas.bound)}.", width),
        "\n".join([*([table(columns, rows[:most], width)] if most else []), *notes]),
        "\n".join(clipped(text, width, "", 3) for text in none_words(atlas, MOST_NONE)[:2]),
        paragraph(" ".join((size_sentence(atlas), several if atlas.behaviours else "")), width),
        f"Page      {folder}/page.html, poster.html" if folder else "",
        paragraph(atlas.verdict, width),
    )
    return join(blocks)
