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

MOST_ROWS = 16


def atlas_text(atlas: Atlas, folder: str = "", width: int = WIDTH) -> str:
    """Write an atlas; folder: where all of it is kept."""
    rows = list(function_rows(atlas))
    span = f"{atlas.bound.low_volts:g}-{atlas.bound.high_volts:g} V"
    columns = [
        *folding("a lamp is lit with", "that is at"),
        TextColumn("lamps + diodes" if atlas.bound.diodes else "lamps"),
        *right("circuits", "stops"),
        TextColumn(span),
    ]
    more = len(rows) - MOST_ROWS
    shown = table(columns, rows[:MOST_ROWS], width) if rows else ""
    left = f"and {many(more, 'row')} more, on the page" if more > 0 else ""
    if any(row[-1] == NOMINAL for row in rows[:MOST_ROWS]):
        left = "\n".join((left, f"({NOMINAL}: lamps at the ends of their tolerances may miss)")).strip()
    none = "\n".join(clipped(text, width, "", 3) for text in none_words(atlas)[:2])
    several = f"{many(len(atlas.behaviours), 'behaviour')} of two or more lamps together: on the page."
    blocks = (
        heading("Atlas: what one lamp shows", width),
        paragraph(f"{bound_words(atlas.bound)}; {level_words(atlas.bound)}.", width),
        "\n".join(part for part in (shown, left) if part),
        none,
        paragraph(" ".join((size_sentence(atlas), several if atlas.behaviours else "")), width),
        f"Page      {folder}/page.html, poster.html" if folder else "",
        paragraph(atlas.verdict, width),
    )
    return join(blocks)
