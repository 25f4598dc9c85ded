"""Ranking, check and design as text for a terminal, with all there is; in short it is told by `report.brief`.

The verdict of a ranking stands last, where one is left who has seen all of it go by. No source: our layout.
"""

from lampwright.report import si
from lampwright.report.layout import (
    WIDTH,
    bullets,
    enough,
    folding,
    hanging,
    join,
    paragraph,
    right,
    section,
    stacked,
    table,
)
from lampwright.report.schematic.text import schematic_text
from lampwright.report.topics.care import care_text
from lampwright.report.topics.compared import compared_text
from lampwright.report.topics.doubts import doubts_text, hinges_text, types_text
from lampwright.report.topics.flashing import flashing_text
from lampwright.report.topics.front import front_text, order_text
from lampwright.report.topics.funnel import reasons, search_text
from lampwright.report.topics.not_taken import not_taken_text
from lampwright.report.topics.parts import (
    all_counts,
    choice_words,
    parts_table,
    ranked,
    ratings_lines,
    tightest,
)
from lampwright.report.topics.resistances import nonstandard_text, ranges_text
from lampwright.report.topics.shortfall import shortfall_text
from lampwright.report.topics.states import LEGEND, state_tables
from lampwright.report.topics.stock import stock_text
from lampwright.report.topics.takes import OTHER_WAYS, other_way_words, taken_words
from lampwright.report.topics.wiring import wiring_text
from lampwright.results.design import Design
from lampwright.results.ranking import CheckReport, Ranking, SpecReference
from lampwright.words import many

OVERVIEW = 20
CHOICES = 3
MARGIN = "doublings of light between the worst lamp, state and corner and the edge of what was asked"
FIRST_FAULTS = 4
CHECKED_FAULTS = 12


def ranking_text(ranking: Ranking, most: int = 5, width: int = WIDTH) -> str:
    """Write a ranking, with the best designs in full, at most `most`."""
    shown = ranking.designs[:most]
    total = len(ranking.designs)
    return join(
        (
            _spec(ranking.spec, width),
            nonstandard_text(ranking.nonstandard, width),
            hinges_text(ranking.hinges, width),
            shortfall_text(ranking.shortfall, width) if ranking.shortfall else "",
            order_text(ranking.front, width),
            _overview(ranking.designs, width),
            front_text(ranking.front, ranking.designs, width),
            *(_ranked(design, total, width) for design in shown),
            _more(total - len(shown), width),
            not_taken_text(ranking.not_taken, ranking.designs, width),
            stock_text(ranking.stock, width) if ranking.stock else "",
            _legend(width) if shown else "",
            _titled("Before you build", ranking.cautions, width),
            search_text(ranking.search, ranking.ways, width),
            "" if ranking.designs else reasons(ranking.search.stages, width),
            _made_by(ranking),
            section("Verdict", width, *hanging("Proved:  ", ranking.verdict.proved, width)),
            paragraph(ranking.verdict.text, width),
        )
    )


def _ranked(design: Design, total: int, width: int) -> str:
    """Write a ranked design; the first with what its builder should know beyond that it works."""
    return design_text(
        design, f"Design {design.rank} of {total:,}", width, FIRST_FAULTS if design.rank == 1 else 0
    )


def check_text(report: CheckReport, width: int = WIDTH) -> str:
    """Write what a check found."""
    return join(
        (
            paragraph(_judgement(report), width),
            "\n".join(bullets(report.failures, width)),
            _spec(report.spec, width),
            design_text(report.design, "Circuit", width, CHECKED_FAULTS),
            _legend(width),
            _titled("Remarks", report.remarks, width),
            _titled("Before you build", report.cautions, width),
            _made_by(report),
        )
    )


def _judgement(report: CheckReport) -> str:
    """Say in one sentence whether the circuit meets the spec."""
    if report.meets:
        return f"The circuit meets the spec, with {si.stops(report.design.margin_stops)} of margin."
    return f"The circuit does not meet the spec: {many(len(report.failures), 'failure')}."


def _spec(spec: SpecReference, width: int) -> str:
    """Name the spec."""
    return paragraph(f"{spec.title} ({spec.name})", width, "Spec:    ")


def _more(count: int, width: int) -> str:
    """Say how many designs are not shown."""
    if count == 0:
        return ""
    said = f"{many(count, 'more design is', 'more designs are')} in ranking.json; --most shows more here."
    return paragraph(said, width)


def _overview(designs: tuple[Design, ...], width: int) -> str:
    """Set the designs beside each other, where there is more than one."""
    if len(designs) < 2:
        return ""
    columns = right("rank", "margin", "extra", "wires", "joints", "conductors") + folding("to fit")
    rows = [ranked(design, f"{design.margin_stops:.2f}") for design in designs[:OVERVIEW]]
    return table(columns, rows, width)


def _legend(width: int) -> str:
    """Explain the tables once."""
    lines = [
        paragraph(meaning, width, f"  {shown:<10}  ") for shown, meaning in (*LEGEND, ("margin", MARGIN))
    ]
    return section("How to read the tables", width, *lines)


def _titled(title: str, texts: tuple[str, ...], width: int) -> str:
    """Write a list under its heading, if there is anything in it."""
    return section(title, width, *bullets(texts, width)) if texts else ""


def _made_by(result: Ranking | CheckReport) -> str:
    """Say which program, part data and spec made a result, by the beginnings of their digests."""
    return f"lampwright {result.program}, part data {result.part_data[:12]}, spec {result.spec.digest[:12]}"


def design_text(design: Design, title: str, width: int, faults: int = 0) -> str:
    """Write one design; with a limited number of faults and all that goes with them, or none of it."""
    return stacked(
        section(
            f"{title}: {si.stops(design.margin_stops)} of margin",
            width,
            paragraph(all_counts(design), width),
            paragraph(tightest(design), width, "Tightest: "),
            *hanging("Takes:    ", taken_words(design.takes), width),
        ),
        schematic_text(design, width=width),
        parts_table(design.parts, width),
        ranges_text(design.resistors, width),
        compared_text(design.compared, width),
        types_text(design.types, width),
        *state_tables(design.states, width),
        "\n".join((*ratings_lines(design.ratings, width), *_others(design, width))),
        *_beyond(design, width, faults),
    )


def _beyond(design: Design, width: int, faults: int) -> list[str]:
    """What only assessed designs have: tolerance, faults, ratings, flashing, the wiring list."""
    if faults == 0:
        return []
    doubts = [] if design.care is None else [doubts_text(design.doubts, width)]
    care = [] if design.care is None else [care_text(design.care, design.states, width, faults)]
    wiring = [] if design.wiring is None else [wiring_text(design.wiring, width)]
    flashing = [] if design.flashing is None else [flashing_text(design.flashing, width)]
    return [*doubts, *care, *flashing, *wiring]


def _others(design: Design, width: int) -> list[str]:
    """List the best few other choices, and count the other drawings."""
    lines = []
    if design.choices:
        lines.append("Other choices that pass, best first:")
        shown = [choice_words(choice) for choice in design.choices]
        lines += bullets(enough(shown, CHOICES), width)
    if design.other_ways:
        lines.append(OTHER_WAYS)
        lines += bullets(enough(other_way_words(design.other_ways), CHOICES), width)
    if design.also_drawn_as:
        ways = many(len(design.also_drawn_as), "other way", "other ways")
        lines.append(paragraph(f"The same circuit can be drawn in {ways}, listed in ranking.json.", width))
    return lines
