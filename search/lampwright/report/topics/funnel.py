"""How the search went: what each stage refused, and whether the listing is complete.

No source: our layout.
"""

from collections.abc import Sequence

from lampwright.report import si
from lampwright.report.layout import bullets, enough, folding, heading, paragraph, right, stacked, table
from lampwright.results.ranking import PartCount, SearchReport, Stage
from lampwright.words import many

SETTINGS = 6
ONE = {"circuits": "circuit", "choices": "choice"}
UNCOVERED = "Nothing is asked of any lamp in these settings, which no row of the spec covers:"
UNEQUAL = "THESE SHOULD BE EQUAL, report this"


def search_text(search: SearchReport, ways: int, width: int) -> str:
    """Write the funnel, the listing's count, what was tried, and what no row of the spec covers.

    ways: in how many ways the spec can be taken.
    """
    return stacked(
        heading(f"Search: {si.duration(search.seconds)}", width),
        paragraph(counted_in(ways), width),
        _funnel(search.stages, width),
        "\n".join(paragraph(_listed(count), width) for count in search.part_counts),
        _tried(search, width),
        _uncovered(search.unconstrained, width),
    )


def counted_in(ways: int) -> str:
    """Say how often a circuit counts where the spec can be taken in several ways; nothing where in one."""
    if ways == 1:
        return ""
    said = f"The spec can be taken in {ways} ways. Here a circuit counts once for each in which it was tried"
    return f"{said}; after the last stage, once."


def reasons(stages: Sequence[Stage], width: int) -> str:
    """Say what the stages that removed something claim: why there is no circuit."""
    said = [f"{stage.name} ({stage.entered - stage.left:,}): {stage.claim}" for stage in removals(stages)]
    return "\n".join(("What removed candidates, and why:", *bullets(said, width))) if said else ""


def removals(stages: Sequence[Stage]) -> list[Stage]:
    """The stages that removed something."""
    return [stage for stage in stages if stage.left < stage.entered]


def removed(stage: Stage) -> str:
    """How much a stage removed."""
    return many(stage.entered - stage.left, ONE.get(stage.unit, stage.unit), stage.unit)


def listed_rows(counts: Sequence[PartCount]) -> list[tuple[str, ...]]:
    """Set the circuits listed beside those counted without listing; and whether that is all."""
    return [
        (
            many(count.extra_parts, "extra part"),
            f"{count.listed:,}",
            f"{count.orbits:,}",
            _complete(count),
        )
        for count in counts
    ]


def _complete(count: PartCount) -> str:
    if count.ruled_out:
        return "not needed, the bound rules them out"
    if not count.complete:
        return "no, the search stopped"
    return "yes" if count.listed == count.orbits else UNEQUAL


def stage_rows(stages: Sequence[Stage]) -> list[tuple[str, ...]]:
    """Each stage: what it claims, what is counted, how many entered and left it."""
    return [
        (stage.name, stage.claim, stage.unit, f"{stage.entered:,}", f"{stage.left:,}") for stage in stages
    ]


def _funnel(stages: Sequence[Stage], width: int) -> str:
    """Draw the table of stages; the unit is said where it changes."""
    columns = [*folding("stage", "counting"), *right("entered", "left", "removed")]
    rows = []
    unit = ""
    for stage in stages:
        said = stage.unit if stage.unit != unit else ""
        unit = stage.unit
        rows.append(
            (stage.name, said, f"{stage.entered:,}", f"{stage.left:,}", f"{stage.entered - stage.left:,}")
        )
    # where the bound rules all of them out, nothing entered any stage
    return table(columns, rows, width) if any(stage.entered for stage in stages) else ""


def _listed(count: PartCount) -> str:
    """Set the circuits listed beside those counted without listing."""
    parts = many(count.extra_parts, "extra part")
    if count.ruled_out:
        return f"{parts}: {count.orbits:,} counted circuits not listed, since the bound rules them out"
    if not count.complete:
        return f"{parts}: {count.listed:,} of {count.orbits:,} counted circuits listed, not complete"
    if count.listed != count.orbits:
        return f"{parts}: {count.listed:,} listed, {count.orbits:,} counted: {UNEQUAL}"
    return f"{parts}: {count.listed:,} listed = {count.orbits:,} counted, complete"


def _tried(search: SearchReport, width: int) -> str:
    """Say which types and values were tried."""
    lines = []
    if search.types:
        lines.append(paragraph(", ".join(search.types), width, "Types tried:  "))
    if search.values:
        lines.append(paragraph(values_tried(search), width, "Values tried: "))
    return "\n".join(lines)


def values_tried(search: SearchReport) -> str:
    """The values tried, in a list."""
    return ", ".join(si.ohms(value) for value in search.values)


def _uncovered(settings: Sequence[str], width: int) -> str:
    """Say in which settings nothing is asked of any lamp."""
    if not settings:
        return ""
    return "\n".join((paragraph(UNCOVERED, width), *bullets(enough(settings, SETTINGS), width)))
