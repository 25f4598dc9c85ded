"""Lamp types that were offered and not taken, and what each misses by: the same words for text and page.

No source: our layout.
"""

from collections.abc import Sequence

from lampwright.report import si
from lampwright.report.layout import bullets, enough, heading, paragraph
from lampwright.results.design import Design
from lampwright.results.ranking import NotTaken

NOT_TAKEN_HEADING = "Offered, and in no choice that passes"
MOST_TOLD = 12
"""How many types the text tells of; the page and the JSON have all."""
HOW = (
    "Each was put in place of its lamp into every choice that passes, of the designs that no other beats, and"
    " judged at every corner; told is where it comes nearest. To try another: lampwright check SPEC --rank N"
    " --fit LAMP=TYPE"
)


def not_taken_words(rows: Sequence[NotTaken], designs: Sequence[Design]) -> tuple[str, ...]:
    """Each type with its lamp: what it misses by how much, and in which design."""
    return tuple(f"{one.lamp} {one.type}: {_misses(one)}; {_where(one, designs)}{_of(one)}" for one in rows)


def _misses(one: NotTaken) -> str:
    missed = one.missed
    if missed is None:
        return "; ".join(one.over) or "a rating is exceeded at some corner"
    gives = "" if one.gives is None else f" gives {si.percent(one.gives)} of rated light,"
    short = si.stops(-missed.margin_stops)
    said = f"{missed.lamp}, asked {missed.wanted} at {missed.state},{gives} {short} short at {missed.corner}"
    return "; ".join((said, *one.over))


def _where(one: NotTaken, designs: Sequence[Design]) -> str:
    """Name the design, and what is fitted otherwise than there, the type itself apart."""
    own = set()
    for part in designs[one.rank - 1].parts:
        own.add(f"{part.lamp or part.ref} {part.type or f'{part.ohms or 0.0:g} ohm'}")
    others = [what for what in one.fitted if what not in own and what != f"{one.lamp} {one.type}"]
    return f"design {one.rank}{' with ' * bool(others)}{', '.join(others)}"


def _of(one: NotTaken) -> str:
    """Say where not every choice was tried."""
    return f" (tried in {one.tried} of {one.choices})" if one.tried < one.choices else ""


def not_taken_text(rows: Sequence[NotTaken], designs: Sequence[Design], width: int) -> str:
    """Write what was offered and not taken."""
    if not rows:
        return ""
    lines = bullets(enough(not_taken_words(rows, designs), MOST_TOLD), width)
    return "\n".join((heading(NOT_TAKEN_HEADING, width), *lines, paragraph(HOW, width)))
