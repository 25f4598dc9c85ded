"""One design as text: heading, parts, what the lamps do, loads, other choices. No source: our layout."""

from lampwright.report import si
from lampwright.report.layout import bullets, enough, heading, join, paragraph
from lampwright.report.schematic.text import schematic_text
from lampwright.report.topics.care import care_text
from lampwright.report.topics.doubts import doubts_text, types_text
from lampwright.report.topics.flashing import flashing_text
from lampwright.report.topics.parts import parts_table, ratings_lines
from lampwright.report.topics.states import state_tables
from lampwright.report.topics.wiring import wiring_text
from lampwright.results.design import Choice, Design

CHOICES = 3


def design_text(design: Design, title: str, width: int, faults: int = 0) -> str:
    """Write one design; with at most so many faults and all that goes with them, or none of it."""
    return join(
        (
            "\n".join(
                (
                    heading(f"{title}: {si.stops(design.margin_stops)} of margin", width),
                    *_made_of(design, width),
                )
            ),
            schematic_text(design, width=width),
            parts_table(design.parts, width),
            types_text(design.types, width),
            *state_tables(design.states, width),
            "\n".join((*ratings_lines(design.ratings, width), *_others(design, width))),
            *_beyond(design, width, faults),
        )
    ).rstrip("\n")


def _beyond(design: Design, width: int, faults: int) -> list[str]:
    """What only treated designs have: tolerance, faults, ratings, flashing, the wiring list."""
    if faults == 0:
        return []
    doubts = [] if design.care is None else [doubts_text(design.doubts, width)]
    care = [] if design.care is None else [care_text(design.care, design.states, width, faults)]
    wiring = [] if design.wiring is None else [wiring_text(design.wiring, width)]
    flashing = [] if design.flashing is None else [flashing_text(design.flashing, width)]
    return [*doubts, *care, *flashing, *wiring]


def _made_of(design: Design, width: int) -> list[str]:
    """Say what is counted, and which requirement is met by least."""
    counted = (
        si.many(design.extra_parts, "extra part"),
        si.many(design.wires, "wire"),
        si.many(design.joints, "joint"),
        si.many(design.conductors, "conductor"),
    )
    tightest = design.tightest
    return [
        paragraph(", ".join(counted), width),
        paragraph(f"{tightest.lamp} at {tightest.state}; {tightest.corner}", width, "Tightest: "),
    ]


def _others(design: Design, width: int) -> list[str]:
    """List the best few other choices, and count the other drawings."""
    lines = []
    if design.choices:
        lines.append("Other choices that pass, best first:")
        shown = [_choice(choice) for choice in design.choices]
        lines += bullets(enough(shown, CHOICES), width)
    if design.also_drawn_as:
        ways = si.many(len(design.also_drawn_as), "other way", "other ways")
        lines.append(paragraph(f"The same circuit can be drawn in {ways}, listed in ranking.json.", width))
    return lines


def _choice(choice: Choice) -> str:
    """Say one choice of types and values."""
    return f"{', '.join(choice.fitted)}: {si.stops(choice.margin_stops)}"
