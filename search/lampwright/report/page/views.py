"""The rows of the page's tables that concern the whole run. No source: our layout."""

from collections.abc import Sequence
from dataclasses import dataclass

from lampwright.report import si
from lampwright.report.explain.controls import ControlKind, Controls
from lampwright.report.topics.parts import to_fit
from lampwright.results.design import Design
from lampwright.results.ranking import PartCount, Stage

SELECTOR: ControlKind = "positions"


@dataclass(frozen=True)
class BenchControl:
    """A control the reader can operate: its name, kind, the terminals it feeds, its positions."""

    name: str
    kind: ControlKind
    feeds: tuple[str, ...]
    positions: tuple[str, ...]


@dataclass(frozen=True)
class RankedRow:
    """One design in the table of designs; `drawn` where it is on the page in full."""

    rank: int
    margin: str
    extra_parts: int
    wires: int
    joints: int
    conductors: int
    fit: str
    drawn: bool


@dataclass(frozen=True)
class ListedRow:
    """How many circuits with so many extra parts were listed, how many there are, and whether that is all."""

    size: str
    listed: str
    counted: str
    complete: str


@dataclass(frozen=True)
class Removal:
    """A stage that removed something: how much, and the claim by which."""

    name: str
    claim: str
    removed: str


def bench_controls(controls: Controls) -> tuple[BenchControl, ...]:
    """The controls in the spec's order, each with its positions in order."""
    positions: dict[str, dict[str, None]] = {}
    for situation in controls.situations:
        for name, position in situation.setting:
            positions.setdefault(name, {})[position] = None
    return tuple(
        BenchControl(name, _kind(name, controls), _feeds(name, controls), tuple(some))
        for name, some in positions.items()
    )


def _kind(name: str, controls: Controls) -> ControlKind:
    return next((feed.kind for feed in controls.feeds if feed.control == name), SELECTOR)


def _feeds(name: str, controls: Controls) -> tuple[str, ...]:
    return tuple(feed.terminal for feed in controls.feeds if feed.control == name)


def ranked_rows(designs: Sequence[Design], drawn: int) -> tuple[RankedRow, ...]:
    """Set the designs beside each other."""
    return tuple(
        RankedRow(
            rank=design.rank,
            margin=si.stops(design.margin_stops),
            extra_parts=design.extra_parts,
            wires=design.wires,
            joints=design.joints,
            conductors=design.conductors,
            fit=to_fit(design.parts),
            drawn=at < drawn,
        )
        for at, design in enumerate(designs)
    )


def listed_rows(counts: Sequence[PartCount]) -> tuple[ListedRow, ...]:
    """Set the circuits listed beside those counted without listing."""
    return tuple(
        ListedRow(
            si.many(count.extra_parts, "extra part"),
            f"{count.listed:,}",
            f"{count.orbits:,}",
            _complete(count),
        )
        for count in counts
    )


def _complete(count: PartCount) -> str:
    if count.ruled_out:
        return "not needed, the bound rules them out"
    if not count.complete:
        return "no, the search stopped"
    return "yes" if count.listed == count.orbits else "THESE SHOULD BE EQUAL, report this"


def removals(stages: Sequence[Stage]) -> tuple[Removal, ...]:
    """List the stages that removed something."""
    return tuple(
        Removal(stage.name, stage.claim, si.many(stage.entered - stage.left, _one(stage.unit), stage.unit))
        for stage in stages
        if stage.left < stage.entered
    )


def _one(unit: str) -> str:
    return unit.removesuffix("s")
