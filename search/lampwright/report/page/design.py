"""One design as the page shows it: drawing, states, margins, parts, loads, choices, explanation.

No source: our layout.
"""

from collections.abc import Sequence

from markupsafe import Markup

from lampwright.report.explain.controls import Controls, FeedName
from lampwright.report.explain.explain import explain_design
from lampwright.report.page.templates import rendered
from lampwright.report.schematic.feed import Feed
from lampwright.report.schematic.svg import Schematic
from lampwright.report.topics.states import folded, unfolded
from lampwright.results.design import Design
from lampwright.results.explanation_facts import StateName

SUPPLY = "30"
MOST_CHOICES = 10


def sheet_html(design: Design, drawn: Schematic, controls: Controls) -> Markup:
    """Write what the page says of one design."""
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


def feeds_of(design: Design, controls: Controls) -> tuple[Feed, ...]:
    """What stands behind the feeds of a drawing; the supply's terminal first where it may be used.

    A fuse has its rating where the wiring of the design is known.
    """
    fuses = {row.feed: row.fuse_amps for row in design.wiring.fuses} if design.wiring else {}
    feeds = tuple(
        Feed(feed.terminal, feed.control, feed.kind, _joins(feed, controls), fuses.get(feed.terminal))
        for feed in controls.feeds
    )
    is_used = any(SUPPLY in (part.from_node, part.to_node) for part in design.parts)
    supply = Feed(SUPPLY, "supply", "supply", fuse=fuses.get(SUPPLY))
    return (supply, *feeds) if is_used else feeds


def _joins(feed: FeedName, controls: Controls) -> tuple[str, ...]:
    """The terminals that the contacts of a feed's control join it to, in some state."""
    found = {
        other: None
        for situation in controls.situations
        for control, a, b in situation.closed
        if control == feed.control
        for one, other in ((a, b), (b, a))
        if one == feed.terminal
    }
    return tuple(found) or (SUPPLY,)
