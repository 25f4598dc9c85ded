"""How sure the figures are, and what a margin hangs on: as text, and as rows for the page.

No source: our layout.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from lampwright.report import si
from lampwright.report.layout import Column, bullets, heading, paragraph, table
from lampwright.report.topics.parts import to_fit
from lampwright.results.doubts import Doubt, DoubtCase, TypeNote
from lampwright.results.hinges import HingeDesign, Hinges

HEADING = "What the margin hangs on"
HINGES_HEADING = "Circuits that hang on what a bulb holds"
SURE = "No uncertain figure of the catalogue costs more than a few hundredths of a stop."
HOW = (
    "Each figure is moved as far as its row may be off, all else being equal, and the circuit judged again at"
    " every corner. The margin above is already the worst of gas and vacuum."
)
FILLED = {"gas": "gas-filled", "vacuum": "vacuum"}


@dataclass(frozen=True)
class DoubtLine:
    """One uncertain figure in words."""

    figure: str
    span: str
    confidence: str
    cases: str
    cost: str
    turns: bool


def doubt_lines(doubts: Sequence[Doubt]) -> tuple[DoubtLine, ...]:
    """Each uncertain figure in words."""
    return tuple(
        DoubtLine(
            figure=f"{one.figure} of {one.of}" if one.figure != "filling" else f"what {one.of} holds",
            span=one.span,
            confidence=one.confidence,
            cases="; ".join(_case(case) for case in one.cases),
            cost=si.stops(one.cost_stops),
            turns=one.turns,
        )
        for one in doubts
    )


def _case(case: DoubtCase) -> str:
    word = "" if case.meets else " (misses)"
    return f"{FILLED.get(case.value, case.value)}: {case.margin_stops:.2f}{word}"


def type_words(types: Sequence[TypeNote]) -> tuple[str, ...]:
    """What the catalogue says of each type, and how sure it is."""
    return tuple(_type(one) for one in types)


def _type(one: TypeNote) -> str:
    if not one.filling:
        return f"{one.type}: {one.confidence} confidence"
    held = f"{one.filling}, not known which" if " or " in one.filling else FILLED[one.filling]
    return f"{one.type}: figures of {one.confidence} confidence; {held} ({one.filling_confidence})"


def types_text(types: Sequence[TypeNote], width: int) -> str:
    """Write how sure the figures of the types are."""
    if not types:
        return ""
    lines = bullets(type_words(types), width)
    return "\n".join((paragraph("How sure the catalogue is of these types:", width), *lines))


def doubts_text(doubts: Sequence[Doubt], width: int) -> str:
    """Write what the margin hangs on."""
    if not doubts:
        return paragraph(SURE, width)
    columns = [Column("figure", folds=True), Column("may be off", folds=True)]
    columns += [Column("margin then", folds=True), Column("costs", "right")]
    rows = [
        (("! " if one.turns else "") + one.figure, one.span, one.cases, one.cost)
        for one in doubt_lines(doubts)
    ]
    turned = [one.figure for one in doubt_lines(doubts) if one.turns]
    lead = [paragraph(f"Whether the spec is met hangs on {', '.join(turned)}.", width)] if turned else []
    return "\n".join(
        (heading(HEADING, width), *lead, "", table(columns, rows, width), "", paragraph(HOW, width))
    )


def hinges_text(hinges: Hinges | None, width: int) -> str:
    """Write which circuits hang on what a bulb holds."""
    if hinges is None:
        return ""
    lines = bullets(hinge_words(hinges), width)
    more = hinges.circuits - len(hinges.designs)
    rest = [paragraph(f"{si.many(more, 'more circuit')} of this kind.", width)] if more > 0 else []
    return "\n".join((heading(HINGES_HEADING, width), paragraph(hinges.text, width), *lines, *rest))


def hinge_words(hinges: Hinges) -> tuple[str, ...]:
    """Each circuit that hangs on what a bulb holds, in words."""
    return tuple(_hinge(one) for one in hinges.designs)


def _hinge(one: HingeDesign) -> str:
    joined = "; ".join(
        f"{part.ref} {part.type or ''} {part.from_node} — {part.to_node}".replace("  ", " ")
        for part in one.parts
    )
    cases = "; ".join(
        f"{' and '.join(case.assumes)}: {case.margin_stops:.2f} stops{'' if case.meets else ' (misses)'}"
        for case in one.cases
    )
    return f"{to_fit(one.parts)}: {joined}. With {cases}"
