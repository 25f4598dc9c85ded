"""One design as the page shows it: drawing, states, margins, parts, loads, choices, explanation.

No source: our layout.
"""

from collections.abc import Sequence

from markupsafe import Markup

from lampwright.report.explain.controls import Controls
from lampwright.report.explain.explain import explain_design
from lampwright.report.page.templates import rendered
from lampwright.report.schematic.svg import Schematic
from lampwright.report.topics.states import folded, unfolded
from lampwright.results.design import Design
from lampwright.results.explanation import StateName
from lampwright.results.shortfall import NearMiss

MOST_CHOICES = 10


def near_html(near: NearMiss, drawn: tuple[Schematic, Schematic]) -> Markup:
    """Write what the page says of a circuit that misses the spec; drawn: as for a design."""
    return rendered("near.html", near=near, design=near.design, drawn=drawn)


def sheet_html(design: Design, drawn: tuple[Schematic, Schematic], controls: Controls) -> Markup:
    """Write what the page says of one design; drawn: for wide screens, and for narrow ones."""
    explanation = explain_design(design, controls)
    numbers = {StateName(state=row.state, phase=row.phase): at for at, row in enumerate(design.states)}

    def at(states: Sequence[StateName]) -> str:
        return " ".join(str(numbers[state]) for state in states)

    return rendered(
        "design.html",
        design=design,
        explanation=explanation,
        at=at,
        drawn=drawn,
        table=folded(unfolded(design.states)),
        flashes=any(feed.kind == "flasher" for feed in controls.feeds),
        most_choices=MOST_CHOICES,
    )
