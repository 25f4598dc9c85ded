"""One design as the page shows it: drawing, states, margins, parts, loads, choices, explanation.

No source: our layout.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from lampwright.report import si
from lampwright.report.explain.controls import Controls, FeedName
from lampwright.report.explain.explain import explain_design
from lampwright.report.page.beyond import FlashingView, WiringView, flashing_view, wiring_view
from lampwright.report.schematic.feed import Feed
from lampwright.report.schematic.svg import schematic_svg
from lampwright.report.topics.doubts import DoubtLine, doubt_lines, type_words
from lampwright.report.topics.margins import MarginTable, margin_table
from lampwright.report.topics.parts import BOTH_WAYS, ONE_WAY, fitted
from lampwright.report.topics.states import TruthTable, folded, unfolded
from lampwright.report.topics.sweep import SweepView, sweep_view
from lampwright.results.design import Choice, Design, PartRow, Rating
from lampwright.results.explanation import Explanation
from lampwright.results.explanation_facts import StateName

SUPPLY = "30"
MOST_CHOICES = 10


@dataclass(frozen=True)
class Purchase:
    """Something to buy: how many, what, and which parts of the drawing it becomes."""

    count: int
    what: str
    serves: str


@dataclass(frozen=True)
class Connection:
    """One part and the nodes it joins."""

    ref: str
    fit: str
    from_node: str
    way: str
    to_node: str


@dataclass(frozen=True)
class Load:
    """How hard something works at worst, against its limit, and where."""

    ref: str
    worst: str
    limit: str
    state: str
    corner: str
    share: float
    over: bool


@dataclass(frozen=True)
class SceneView:
    """A scene of the explanation: the numbers of its states, its title and what is so."""

    states: str
    title: str
    texts: tuple[str, ...]


@dataclass(frozen=True)
class FlashView:
    """What a flasher changes: the numbers of its two states, and what changes."""

    states: str
    text: str


@dataclass(frozen=True)
class GroupView:
    """Parts that act on each other, explained."""

    title: str
    text: str
    scenes: tuple[SceneView, ...]
    flashes: tuple[FlashView, ...]


@dataclass(frozen=True)
class DesignView:
    """Everything the page says of one design."""

    rank: int
    margin: str
    made_of: str
    tightest: str
    svg: Markup
    wide: str
    table: TruthTable
    margins: MarginTable
    purchases: tuple[Purchase, ...]
    connections: tuple[Connection, ...]
    loads: tuple[Load, ...]
    choices: tuple[Choice, ...]
    more_choices: int
    drawings: int
    principles: tuple[str, ...]
    groups: tuple[GroupView, ...]
    volts: str
    wiring: WiringView | None
    flashing: FlashingView | None
    sweep: SweepView | None
    flashes: bool
    faults: int
    types: tuple[str, ...]
    doubts: tuple[DoubtLine, ...]
    is_treated: bool


def design_view(design: Design, controls: Controls) -> DesignView:
    """Work out what the page says of one design."""
    explanation = explain_design(design, controls)
    numbers = {StateName(state=row.state, phase=row.phase): at for at, row in enumerate(design.states)}
    tightest = design.tightest
    svg = schematic_svg(design, feeds_of(design, controls))
    return DesignView(
        rank=design.rank,
        margin=si.stops(design.margin_stops),
        made_of=_made_of(design),
        tightest=f"{tightest.lamp} at {tightest.state}; {tightest.corner}",
        svg=Markup(svg),
        wide=_wide(svg),
        table=folded(unfolded(design.states)),
        margins=margin_table(design),
        purchases=tuple(_purchases(design.parts)),
        connections=tuple(_connection(part) for part in design.parts),
        loads=tuple(_loads(design)),
        choices=design.choices[:MOST_CHOICES],
        more_choices=max(0, len(design.choices) - MOST_CHOICES),
        drawings=len(design.also_drawn_as),
        principles=tuple(principle.text for principle in explanation.principles),
        groups=_groups(explanation, numbers),
        volts=si.volts(explanation.volts),
        wiring=wiring_view(design.wiring),
        flashing=flashing_view(design.flashing),
        sweep=sweep_view(design),
        flashes=any(feed.kind == "flasher" for feed in controls.feeds),
        faults=len(design.trials),
        types=type_words(design.types),
        doubts=doubt_lines(design.doubts),
        is_treated=design.care is not None,
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
        for contact in situation.closed
        if contact.control == feed.control
        for one, other in ((contact.a, contact.b), (contact.b, contact.a))
        if one == feed.terminal
    }
    return tuple(found) or (SUPPLY,)


def _wide(svg: str) -> str:
    """The width of a drawing in pixels, as it says itself."""
    said = re.search(r'viewBox="\S+ \S+ ([\d.]+) ', svg)
    return said[1] if said else "400"


def _made_of(design: Design) -> str:
    """Say what is counted, leaving out what there is none of."""
    counted = (
        (design.extra_parts, "extra part"),
        (design.wires, "link wire"),
        (design.joints, "joint"),
        (design.conductors, "conductor"),
    )
    said = [si.many(count, what) for count, what in counted if count]
    return ", ".join(said) if design.extra_parts else ", ".join(("Lamps and wire alone", *said))


def _purchases(parts: Sequence[PartRow]) -> Iterator[Purchase]:
    """List what to buy: a lamp of several filaments is one lamp, parts alike are one line."""
    alike: dict[str, dict[str, None]] = {}
    for part in parts:
        if part.kind != "wire":
            whole = "lamp " + (part.type or "") if part.kind == "filament" else fitted(part)
            alike.setdefault(whole, {})[part.lamp or part.ref] = None
    for what, serves in alike.items():
        yield Purchase(len(serves), what, ", ".join(serves))


def _connection(part: PartRow) -> Connection:
    way = ONE_WAY if part.kind == "diode" else BOTH_WAYS
    return Connection(part.ref, fitted(part), part.from_node, way, part.to_node)


def _loads(design: Design) -> Iterator[Load]:
    ratings = design.ratings
    for row in (*ratings.controls, *ratings.resistors, *ratings.diodes, *ratings.lamps):
        yield _load(row)


def _load(row: Rating) -> Load:
    digits = 3 if row.unit == "V" else 2
    share = row.worst / row.limit if row.limit else 0.0
    limit = "none stated" if row.limit is None else si.quantity(row.limit, row.unit, digits)
    worst = si.quantity(row.worst, row.unit, digits)
    return Load(
        ref=row.ref,
        worst=worst,
        limit=limit,
        state=row.state,
        corner=row.corner,
        share=round(min(1.0, share), 3),
        over=share > 1.0,
    )


def _groups(explanation: Explanation, numbers: dict[StateName, int]) -> tuple[GroupView, ...]:
    return tuple(
        GroupView(
            ", ".join(group.refs),
            group.text,
            tuple(
                SceneView(
                    " ".join(str(numbers[state]) for state in scene.states),
                    f"With {scene.title}" if scene.title else "At all times",
                    tuple(statement.text for statement in scene.statements),
                )
                for scene in group.scenes
            ),
            tuple(
                FlashView(f"{numbers[flash.closed]} {numbers[flash.open]}", flash.text)
                for flash in group.flashes
            ),
        )
        for group in explanation.groups
    )
