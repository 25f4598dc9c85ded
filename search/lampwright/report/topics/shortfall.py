"""Why no circuit meets the spec and what comes nearest, as text for a terminal. No source: our layout."""

from collections.abc import Sequence

from lampwright.report import si
from lampwright.report.layout import (
    TextColumn,
    bullets,
    enough,
    folding,
    heading,
    paragraph,
    right,
    stacked,
    table,
)
from lampwright.report.schematic.text import schematic_text
from lampwright.report.topics.parts import parts_table, to_fit
from lampwright.report.topics.states import said_of, state_tables
from lampwright.report.topics.takes import taken_words
from lampwright.results.shortfall import Conflict, NearMiss, Shortfall, Suggestion
from lampwright.words import beyond

PROOFS = {
    "all values": "Proved for the lamp types that the spec offers, and all values of other parts.",
    "listed values": "Proved for the listed types and values, which says nothing of others.",
}
INDENT = " " * 5
SHOWN = 2
"""Of what a circuit does wrong, so much stands in the table."""


HOW = "Each was tried. Write its lines in place of those in the spec, or beside them where the spec has none."


def shortfall_text(shortfall: Shortfall, width: int) -> str:
    """Write what would help, why there is no circuit, and which come nearest."""
    return stacked(
        paragraph(told_of(shortfall), width),
        _suggestions(shortfall.suggestions, width),
        _tried(shortfall.tried, width),
        _conflict(shortfall.conflict, width),
        _nearest(shortfall, width),
        *(_best(near, width) for near in shortfall.near_misses[:1]),
    )


def told_of(shortfall: Shortfall) -> str:
    """Say of which way the rest is told, where the spec leaves a choice."""
    if not shortfall.takes:
        return ""
    return f"Told of the way to take the spec that comes nearest. {'. '.join(taken_words(shortfall.takes))}."


def short(margin: float) -> str:
    """Say by how much a requirement is missed; or, where none is, what margin there is.

    >>> [short(margin).replace(si.SPACE, " ") for margin in (-3.048, -58.0, 0.5)]
    ['3.05 stops short', '10 stops or more short', 'met']
    """
    return "met" if margin >= 0.0 else f"{si.stops(-margin)} short"


def missed_rows(near: NearMiss) -> list[tuple[str, str, str, str, str]]:
    """What a near miss misses, worst first: lamp, word, settings, by how much at worst, the corner."""
    grouped: dict[tuple[str, str], list[int]] = {}
    for at, one in enumerate(near.missed):
        grouped.setdefault((one.lamp, one.wanted), []).append(at)
    rows = []
    for (lamp, wanted), places in grouped.items():
        worst = near.missed[places[0]]
        said = said_of(near.design.states, (near.missed[at].state for at in places))
        rows.append((lamp, wanted, said, short(worst.margin_stops), worst.corner))
    return rows


def in_short(near: NearMiss) -> str:
    """What a near miss does wrong, for a table: each lamp with its word, then what is over its rating."""
    said = [f"{lamp} {wanted} ({settings})" for lamp, wanted, settings, *_ in missed_rows(near)]
    ratings = near.design.ratings.over
    over = [beyond(one.ref, one.worst, one.limit, one.unit) for one in ratings]
    return "; ".join(enough([*said, *over, *near.over[len(ratings) :]], SHOWN))


def near_rows(near_misses: Sequence[NearMiss]) -> list[tuple[str, ...]]:
    """Each near miss: its number, margin, what it does wrong, and what to fit."""
    return [
        (
            f"{near.design.rank}",
            si.stops(near.design.margin_stops),
            in_short(near),
            to_fit(near.design.parts),
        )
        for near in near_misses
    ]


def wrongs(near: NearMiss) -> tuple[str, ...]:
    """What a near miss does wrong, in full, worst first."""
    missed = (
        f"{lamp}, asked {wanted}: {settings}; at worst {by}, at {corner}"
        for lamp, wanted, settings, by, corner in missed_rows(near)
    )
    return (*missed, *near.over)


def nearest_title(near: NearMiss) -> str:
    """Name the nearest circuit by what is wrong with it."""
    said = short(near.design.margin_stops) if near.missed else "over its ratings"
    return f"The nearest circuit: {said}"


def proofs(conflict: Conflict) -> tuple[str, ...]:
    """How a conflict is proved, and how it was found and checked."""
    return (PROOFS[conflict.proof], *conflict.checked)


def _conflict(conflict: Conflict | None, width: int) -> str:
    if conflict is None:
        return ""
    return "\n".join(
        (heading("What conflicts", width), paragraph(conflict.text, width), *bullets(proofs(conflict), width))
    )


def _nearest(shortfall: Shortfall, width: int) -> str:
    lines = [
        heading("What comes nearest", width),
        paragraph(shortfall.looked_at, width, "Looked at: "),
    ]
    if shortfall.near_misses:
        columns = [TextColumn(""), *right("margin"), *folding("misses", "to fit")]
        rows = [
            (f"{near.design.rank}", _margin(near), in_short(near), to_fit(near.design.parts))
            for near in shortfall.near_misses
        ]
        lines += ["", table(columns, rows, width)]
    return "\n".join(lines)


def _margin(near: NearMiss) -> str:
    margin = near.design.margin_stops
    return f"{margin:.2f}" if margin > -10.0 else "< -10"


def _best(near: NearMiss, width: int) -> str:
    """Write the nearest circuit in full: drawing, parts, what the lamps do, what is missed and exceeded."""
    design = near.design
    return stacked(
        heading(nearest_title(near), width),
        schematic_text(design, width=width),
        parts_table(design.parts, width),
        *state_tables(design.states, width),
        "\n".join(("What it does wrong, worst first:", *bullets(wrongs(near), width))),
    )


def _suggestions(suggestions: Sequence[Suggestion], width: int) -> str:
    if not suggestions:
        return ""
    blocks = [_suggestion(one, number, width) for number, one in enumerate(suggestions, 1)]
    return "\n".join(
        (heading("What would help, the least change first", width), paragraph(HOW, width), *blocks)
    )


def suggestion_words(one: Suggestion) -> str:
    """A change in words, and the margin with it."""
    return f"{one.change}: {si.stops(one.margin_stops)} of margin"


def _suggestion(one: Suggestion, number: int, width: int) -> str:
    lead = f"{number:>3}. "
    lines = [
        paragraph(suggestion_words(one), width, lead),
    ]
    lines += [f"{INDENT}  {line}".rstrip() for line in one.spec_text.strip("\n").splitlines()]
    lines.append(paragraph(f"({one.verified}; {to_fit(one.design.parts)})", width, INDENT))
    return "\n".join(lines)


def _tried(tried: Sequence[str], width: int) -> str:
    return "\n".join(("Changes tried:", *bullets(tried, width))) if tried else ""
