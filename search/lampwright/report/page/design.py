"""One design as the page shows it: drawing, states, margins, parts, loads, choices, explanation.

No source: our layout.
"""

from collections.abc import Sequence

from markupsafe import Markup

from lampwright.report.explain.controls import Controls
from lampwright.report.explain.explain import explain_design
from lampwright.report.explain.statements import speaks_of
from lampwright.report.page.templates import rendered
from lampwright.report.schematic.svg import Schematic
from lampwright.report.topics.states import folded, unfolded
from lampwright.results.design import Design
from lampwright.results.explanation import Group, Statement, StateName
from lampwright.results.shortfall import NearMiss

MOST_CHOICES = 10


def near_html(near: NearMiss, drawn: tuple[Schematic, Schematic], controls: Controls) -> Markup:
    """Write what the page says of a circuit that misses the spec; drawn: as for a design."""
    return rendered("near.html", near=near, design=near.design, drawn=drawn, **_why(near.design, controls))


def sheet_html(design: Design, drawn: tuple[Schematic, Schematic], controls: Controls) -> Markup:
    """Write what the page says of one design; drawn: for wide screens, and for narrow ones."""
    return rendered(
        "design.html",
        design=design,
        drawn=drawn,
        table=folded(unfolded(design.states)),
        flashes=any(feed.kind == "flasher" for feed in controls.feeds),
        most_choices=MOST_CHOICES,
        **_why(design, controls),
    )


def _why(design: Design, controls: Controls) -> dict[str, object]:
    """What `why.html` takes: the explanation, where states stand, and of which lamps a statement speaks."""
    numbers = {StateName(state=row.state, phase=row.phase): at for at, row in enumerate(design.states)}
    lamps = [reading.lamp for reading in design.states[0].lamps]

    def at(states: Sequence[StateName]) -> str:
        return " ".join(str(numbers[state]) for state in states)

    def lamps_of(said: Statement, group: Group) -> str:
        own = (lamp in group.refs and speaks_of(said, lamp) for lamp in lamps)
        return " ".join(str(number) for number, is_own in enumerate(own) if is_own)

    return {"explanation": explain_design(design, controls), "at": at, "lamps_of": lamps_of}
