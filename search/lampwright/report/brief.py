"""A ranking in a minute: what to build or what would help, and the verdict last, all on one screen.

Never more than `MOST_LINES` lines: what is too long is folded, and says so. Everything else stands in
`report.text`. No source: our layout.
"""

from collections.abc import Iterator

from msgspec import Struct

from lampwright.report import si
from lampwright.report.explain.controls import Controls
from lampwright.report.layout import (
    WIDTH,
    TextColumn,
    clipped,
    folding,
    heading,
    join,
    lines_of,
    paragraph,
    table,
)
from lampwright.report.schematic.feed import feeds_of
from lampwright.report.schematic.text import schematic_text
from lampwright.report.topics.care import hot_words, worst_fault
from lampwright.report.topics.doubts import hangs_on
from lampwright.report.topics.flashing import late_words
from lampwright.report.topics.parts import joined_rows, made_of, tightest, to_fit
from lampwright.report.topics.resistances import nonstandard_words
from lampwright.report.topics.shortfall import PROOFS, in_short, short, suggestion_words
from lampwright.report.topics.states import short_tables
from lampwright.report.topics.takes import taken_words
from lampwright.report.topics.wiring import in_place
from lampwright.results.design import Design
from lampwright.results.ranking import Ranking, StockPlan, what_to_build
from lampwright.results.shortfall import NearMiss, Shortfall, Suggestion
from lampwright.words import many

MOST_LINES = 40
LEAST_TABLE = 7
"""So many lines of the table of states are kept for it, whatever the drawing takes."""

AS_MUCH = ((9, 3, True), (6, 3, True), (4, 3, True), (9, 3, False), (5, 3, False), (3, 1, False))
"""Changes told, near misses told, and whether the nearest is drawn: the first of these that fits."""

MOST_OF_A_TOPIC = 3
MOST_OF_A_VERDICT = 6
MOST_OF_A_PROOF = 5
MOST_OF_A_CHANGE = 4
IN_THE_WAY = "Some circuits give every lamp what is asked: a rating or the coupling stands in the way."
FEWEST_PARTS = 3


class Kept(Struct, frozen=True):
    """Where a result is kept, and what a command is given to speak of it again; nothing if it is not kept.

    controls: those of its spec, of which selectors are drawn.
    """

    folder: str = ""
    again: str = ""
    controls: Controls | None = None


LEAD = " " * 10
NOWHERE = Kept()


def brief_text(ranking: Ranking, width: int = WIDTH, kept: Kept = NOWHERE) -> str:
    """Write a ranking on one screen: the first design, or what would help, and the verdict last."""
    title = heading(ranking.spec.title, width)
    ending = [*_kept(ranking, width, kept), "", clipped(ranking.verdict.text, width, "", MOST_OF_A_VERDICT)]
    if ranking.designs:
        return join(_found(ranking, title, "\n".join(ending), width, kept.controls))
    return join(_none(ranking, title, "\n".join(ending), width))


def _kept(ranking: Ranking, width: int, kept: Kept) -> Iterator[str]:
    if kept.folder:
        read = " (with the cautions)" if ranking.designs else ""
        yield _topic("Page", f"{kept.folder}/page.html{read}", width)
    if kept.again:
        yield _topic("Why" if ranking.designs else "Why not", f"lampwright explain {kept.again}", width)
        yield _topic("More", "all there is to tell: the same command with --all", width)


def _topic(name: str, text: str, width: int) -> str:
    return clipped(text, width, f"{name:<{len(LEAD)}}", MOST_OF_A_TOPIC)


def _found(
    ranking: Ranking, title: str, ending: str, width: int, controls: Controls | None
) -> tuple[str, ...]:
    """The first design: its drawing, its states, what matters of it."""
    design = ranking.designs[0]
    count = f"Design {design.rank} of {len(ranking.designs):,}" if ranking.designs[1:] else "The design"
    made = made_of(design)
    head = "\n".join((title, clipped(f"{count}: {made[0].lower()}{made[1:]}.", width, "", 1)))
    tail = "\n".join((*_matters(ranking, design, width), ending))
    left = MOST_LINES - lines_of(head, "x", "x", tail) + 2
    tables = short_tables(design.states, width, MOST_LINES)
    has_selectors = controls is not None and any(one.kind == "positions" for one in controls.feeds)
    feeds = feeds_of(design, controls) if controls is not None and has_selectors else ()
    drawing = schematic_text(design, feeds, width).rstrip("\n")
    for drawn in (_squeezed(drawing, 1), _squeezed(drawing, 0)):
        if lines_of(drawn) + lines_of(tables) <= left:
            return head, drawn, tables, tail
    if lines_of(drawn) > left - LEAST_TABLE:
        drawn = _parts(design, width, left - LEAST_TABLE)
    return head, drawn, short_tables(design.states, width, left - lines_of(drawn)), tail


def _matters(ranking: Ranking, design: Design, width: int) -> Iterator[str]:
    """The few things to know of a design before it is built."""
    said = f"{si.stops(design.margin_stops)} (doublings of light) at worst: {tightest(design)}."
    yield _topic("Margin", said, width)
    if design.care:
        yield from (_topic("", said, width) for said in hangs_on(design.doubts))
    if design.takes:
        yield _topic("Takes", f"{'. '.join(taken_words(design.takes))}.", width)
    if design.care:
        yield _topic("Faults", f"The worst is {worst_fault(design.care.faults, design.states)}", width)
        yield from (_topic("Heat", f"{said}.", width) for said in hot_words(design.care.endurance)[:1])
    if design.flashing and late_words(design.flashing):
        yield _topic("Flashing", late_words(design.flashing), width)
    if design.wiring and design.wiring.margin_stops is not None:
        yield _topic("Wires", in_place(design.wiring), width)
    if ranking.stock:
        yield _topic("Box", _in_the_box(ranking.stock), width)
    if ranking.designs[1:]:
        yield _topic("Others", _others(ranking), width)


def _in_the_box(plan: StockPlan) -> str:
    """Say what to build, and how good that is where it is not proved the best."""
    return what_to_build(plan.builds, plan.items) if plan.builds and plan.status == "best" else plan.text


def _others(ranking: Ranking) -> str:
    """Say what the other designs are good for, by that of the greatest margin."""
    others = ranking.designs[1:]
    best = max(others, key=lambda design: (design.margin_stops, -design.rank))
    said = many(len(others), "more design")
    if best.margin_stops <= ranking.designs[0].margin_stops:
        return f"{said}, none of more margin."
    more = f"design {best.rank} has {si.stops(best.margin_stops)} of margin"
    with_what = many(best.extra_parts, "extra part")
    if best.helper_lamps > ranking.helper_lamps:
        with_what = f"{many(best.helper_lamps, 'helper lamp')} and {with_what}"
    return f"{said}; {more}, with {with_what}."


def _squeezed(drawing: str, most: int) -> str:
    """Leave out rows in which lines only pass, but for so many of those that stand together."""
    rows: list[str] = []
    passing = 0
    for row in drawing.splitlines():
        passing = passing + 1 if set(row) <= set("│╎ ") else 0
        if passing <= most:
            rows.append(row)
    return "\n".join(rows)


def _parts(design: Design, width: int, most: int) -> str:
    """List the parts, in so many lines, where a drawing would take more."""
    rows = joined_rows(design.parts)
    columns = folding("part", "fit", "joins")
    whole = table(columns, rows, width)
    if lines_of(whole) <= most:
        return whole
    for shown in range(len(rows) - 1, FEWEST_PARTS, -1):
        said = table(columns, rows[:shown], width)
        if lines_of(said) < most:
            break
    return f"{said}\n{many(len(rows) - shown, 'part')} left out; --all shows them."


def _none(ranking: Ranking, title: str, ending: str, width: int) -> tuple[str, ...]:
    """What would help, what conflicts, what comes nearest, the proof: as much as there is room for."""
    for changes, near, is_drawn in AS_MUCH:
        blocks = (
            title,
            _helps(ranking, width, changes),
            *(_short_of(ranking.shortfall, width, near, is_drawn) if ranking.shortfall else ()),
            "\n".join((*_proof(ranking, width), ending)),
        )
        if lines_of(*blocks) <= MOST_LINES:
            break
    return blocks


def _helps(ranking: Ranking, width: int, most: int) -> str:
    """The changes that help: another resistance, then changes of the spec, the first with what to write."""
    lines = [
        clipped(f"Fit {said}.", width, "  - ", MOST_OF_A_TOPIC)
        for said in (nonstandard_words(ranking.nonstandard) if ranking.nonstandard else ())[:1]
    ]
    changes = ranking.shortfall.suggestions if ranking.shortfall else ()
    for number, one in enumerate(changes[:most], 1):
        lines.append(clipped(suggestion_words(one), width, f"{number:>3}. ", 2))
        lines += _written(one, width) if number == 1 else []
    if changes[most:]:
        lines.append(f"     and {len(changes) - most} more; --all shows them, and what to write.")
    if lines:
        return "\n".join(("What would help, the least change first; each was tried:", *lines))
    if ranking.shortfall and ranking.shortfall.tried:
        return "What would help: none of the changes tried (--all lists them)."
    return ""


def _written(one: Suggestion, width: int) -> list[str]:
    """The lines of the spec that a change asks for, where they are short enough to be copied."""
    lines = one.spec_text.strip("\n").splitlines()
    room = width - max(len(line) for line in lines)
    if room < 0 or len(lines) > MOST_OF_A_CHANGE:
        return ["     (what to write in the spec: --all, or the page)"]
    return [" " * min(room, 7) + line for line in lines]


def _short_of(shortfall: Shortfall, width: int, most: int, is_drawn: bool) -> Iterator[str]:
    near = shortfall.near_misses[:most]
    if shortfall.takes:
        yield _topic("Told of", f"the nearest way. {'. '.join(taken_words(shortfall.takes))}.", width)
    if shortfall.conflict:
        yield _topic("Conflict", shortfall.conflict.text, width)
    elif any(not one.missed for one in near):
        yield _topic("Ratings", IN_THE_WAY, width)
    else:
        yield _topic("Looked at", shortfall.looked_at, width)
    if near:
        columns = [TextColumn(""), *folding("the nearest circuits miss", "by", "to fit")]
        yield table(columns, [_near(one) for one in near], width)
    if is_drawn and near:
        yield f"Circuit 1:\n{_squeezed(schematic_text(near[0].design, width=width).rstrip(chr(10)), 0)}"


def _near(one: NearMiss) -> tuple[str, ...]:
    by = short(one.design.margin_stops).removesuffix(" short") if one.missed else "a rating"
    return f"{one.design.rank}", in_short(one), by, to_fit(one.design.parts)


def _proof(ranking: Ranking, width: int) -> Iterator[str]:
    conflict = ranking.shortfall.conflict if ranking.shortfall else None
    told = [*ranking.verdict.proved, *([PROOFS[conflict.proof]] if conflict else [])]
    while len(told) > 1 and lines_of(paragraph("… " + " ".join(told), width, LEAD)) > MOST_OF_A_PROOF:
        told.pop(0)
    if told:
        more = "… " if len(told) < len(ranking.verdict.proved) + bool(conflict) else ""
        yield clipped(more + " ".join(told), width, f"{'Proof':<10}", MOST_OF_A_PROOF)
