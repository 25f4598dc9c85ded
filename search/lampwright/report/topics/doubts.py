"""How sure the figures are, and what a margin hangs on: as text, and as rows for the page.

No source: our layout.
"""

from collections.abc import Sequence

from lampwright.report import si
from lampwright.report.layout import bullets, folding, heading, paragraph, right, table
from lampwright.report.topics.parts import to_fit
from lampwright.results.care import Doubt, DoubtCase, TypeNote
from lampwright.results.ranking import HingeDesign, Hinges
from lampwright.words import many

HEADING = "What the margin hangs on"
HINGES_HEADING = "Circuits that hang on what a bulb holds"
SURE = "No uncertain figure of the catalogue costs more than a few hundredths of a stop."
HOW = (
    "Each figure is moved as far as its row may be off, all else being equal, and the circuit judged again at"
    " every corner. The margin above is already the worst of gas and vacuum."
)
FILLED = {"gas": "gas-filled", "vacuum": "vacuum"}


def doubt_rows(doubts: Sequence[Doubt], turning: str = "! {}") -> list[tuple[str, ...]]:
    """Each uncertain figure in words; turning: how one is written that decides whether the spec is met."""
    return [
        (
            turning.format(_figure(one)) if one.turns else _figure(one),
            one.span,
            "; ".join(_case(case) for case in one.cases),
            si.stops(one.cost_stops),
        )
        for one in doubts
    ]


def hangs_on(doubts: Sequence[Doubt]) -> tuple[str, ...]:
    """Say in a sentence which uncertain figure a margin hangs on; of those that decide the verdict speaks."""
    if any(one.turns for one in doubts):
        return ()
    if not doubts:
        return ("No uncertain figure of the catalogue moves it much.",)
    first = doubts[0]
    return (f"Most uncertain: {_figure(first)} ({first.span}), worth {si.stops(first.cost_stops)}.",)


def _figure(one: Doubt) -> str:
    return f"what {one.of} holds" if one.figure == "filling" else f"{one.figure} of {one.of}"


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
    columns = folding("figure", "may be off", "margin then") + right("costs")
    turned = [_figure(one) for one in doubts if one.turns]
    lead = [paragraph(f"Whether the spec is met hangs on {', '.join(turned)}.", width)] if turned else []
    return "\n".join(
        (
            heading(HEADING, width),
            *lead,
            "",
            table(columns, doubt_rows(doubts), width),
            "",
            paragraph(HOW, width),
        )
    )


def hinges_text(hinges: Hinges | None, width: int) -> str:
    """Write which circuits hang on what a bulb holds."""
    if hinges is None:
        return ""
    lines = bullets(hinge_words(hinges), width)
    more = hinges.circuits - len(hinges.designs)
    rest = [paragraph(f"{many(more, 'more circuit')} of this kind.", width)] if more > 0 else []
    return "\n".join((heading(HINGES_HEADING, width), paragraph(hinges.text, width), *lines, *rest))


def hinge_words(hinges: Hinges) -> tuple[str, ...]:
    """Each circuit that hangs on what a bulb holds, in words."""
    return tuple(_hinge(one) for one in hinges.designs)


def _hinge(one: HingeDesign) -> str:
    joined = "; ".join(
        " ".join((part.ref, *([part.type] if part.type else []), part.from_node, "—", part.to_node))
        for part in one.parts
    )
    cases = "; ".join(
        f"{' and '.join(case.assumes)}: {case.margin_stops:.2f} stops{'' if case.meets else ' (misses)'}"
        for case in one.cases
    )
    return f"{to_fit(one.parts)}: {joined}. With {cases}"
