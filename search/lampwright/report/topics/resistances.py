"""How far resistors may stray, and circuits that need a value that is not listed: as text and for the page.

No source: our layout.
"""

from collections.abc import Sequence

from lampwright.report import si
from lampwright.report.layout import bullets, heading, paragraph
from lampwright.results.design import ResistorRange
from lampwright.results.ranking import NonstandardDesign, NonstandardResistor, Nonstandards
from lampwright.words import listed, many

NONSTANDARD_HEADING = "Circuits that need another resistance"
HOW = "at every corner of tolerance, supply and filling"
HOW_EACH = f"each with the others as they are, {HOW}"


def _range_words(ranges: Sequence[ResistorRange]) -> tuple[str, ...]:
    """Say of every resistor from where to where it works."""
    return tuple(_range(one) for one in ranges)


def _range(one: ResistorRange) -> str:
    ends = f"{one.ref} ({si.ohms(one.ohms)}) works anywhere from {si.ohms(one.low)} to {si.ohms(one.high)}"
    return f"{ends}, all that the spec allows" if one.whole else ends


def ranges_text(ranges: Sequence[ResistorRange], width: int) -> str:
    """Write from where to where the resistors of a design work."""
    if not ranges:
        return ""
    return paragraph(ranges_sentence(ranges), width)


def ranges_sentence(ranges: Sequence[ResistorRange]) -> str:
    """Say in one sentence from where to where the resistors of a design work."""
    return f"{listed(_range_words(ranges))}, {HOW if len(ranges) == 1 else HOW_EACH}."


def nonstandard_text(found: Nonstandards | None, width: int) -> str:
    """Write which circuits need a resistance that is not listed, and how to make it."""
    if found is None:
        return ""
    lines = bullets(nonstandard_words(found), width)
    more = found.circuits - len(found.designs)
    rest = [paragraph(f"{many(more, 'more circuit')} of this kind.", width)] if more > 0 else []
    return "\n".join((heading(NONSTANDARD_HEADING, width), paragraph(found.text, width), *lines, *rest))


def nonstandard_words(found: Nonstandards) -> tuple[str, ...]:
    """Each circuit that needs a resistance that is not listed, in words."""
    return tuple(_nonstandard(one) for one in found.designs)


def _nonstandard(one: NonstandardDesign) -> str:
    joined = "; ".join(
        " ".join((part.ref, *([part.type] if part.type else []), part.from_node, "—", part.to_node))
        for part in one.parts
    )
    made = "; ".join(_made(resistor) for resistor in one.resistors)
    return f"{joined}. {made}. {si.stops(one.margin_stops)} of margin"


def _made(one: NonstandardResistor) -> str:
    where = f"{one.ref} from {si.ohms(one.low)} to {si.ohms(one.high)}"
    if not one.made_of:
        return f"{where}, which no two listed values make"
    if len(one.made_of) == 1:
        return f"{where}: {si.ohms(one.ohms)}"
    made = " and ".join(si.ohms(ohms) for ohms in one.made_of)
    return f"{where}: {made} in {one.joined} ({si.ohms(one.ohms)})"
