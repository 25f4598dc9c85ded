"""Why no circuit meets the spec and what comes nearest, as the page shows it. No source: our layout."""

import re
from dataclasses import dataclass

from markupsafe import Markup

from lampwright.report import si
from lampwright.report.explain.controls import Controls
from lampwright.report.page.design import feeds_of
from lampwright.report.schematic.svg import schematic_svg
from lampwright.report.topics.parts import BOTH_WAYS, ONE_WAY, fitted, to_fit
from lampwright.report.topics.shortfall import PROOFS, MissedLine, in_short, missed_lines, short
from lampwright.results.design import PartRow
from lampwright.results.shortfall import NearMiss, Requirement, Shortfall, Suggestion


@dataclass(frozen=True)
class ConflictView:
    """The conflict in words, its requirements, and how it is proved."""

    text: str
    requirements: tuple[Requirement, ...]
    said: tuple[str, ...]


@dataclass(frozen=True)
class NearRow:
    """A near miss in the table."""

    rank: int
    margin: str
    misses: str
    fit: str


@dataclass(frozen=True)
class JoinRow:
    """One part of the nearest circuit and the nodes it joins."""

    ref: str
    fit: str
    ends: str


@dataclass(frozen=True)
class BestView:
    """The nearest circuit: its drawing, what it does wrong, its parts."""

    said: str
    svg: Markup
    wide: str
    missed: tuple[MissedLine, ...]
    over: tuple[str, ...]
    joins: tuple[JoinRow, ...]


@dataclass(frozen=True)
class SuggestionView:
    """A change of the spec that helps."""

    change: str
    margin: str
    spec_text: str
    verified: str
    fit: str


@dataclass(frozen=True)
class ShortfallView:
    """Everything the page says of a search that found nothing."""

    conflict: ConflictView | None
    looked_at: str
    near: tuple[NearRow, ...]
    best: BestView | None
    suggestions: tuple[SuggestionView, ...]
    tried: tuple[str, ...]


def shortfall_view(shortfall: Shortfall, controls: Controls) -> ShortfallView:
    """Work out what the page says; the controls are the spec's."""
    near, conflict = shortfall.near_misses, shortfall.conflict
    return ShortfallView(
        conflict=None
        if conflict is None
        else ConflictView(conflict.text, conflict.requirements, (PROOFS[conflict.proof], *conflict.checked)),
        looked_at=shortfall.looked_at,
        near=tuple(_row(one) for one in near),
        best=_best(near[0], controls) if near else None,
        suggestions=tuple(_suggestion(one) for one in shortfall.suggestions),
        tried=shortfall.tried,
    )


def _row(near: NearMiss) -> NearRow:
    margin = si.stops(near.design.margin_stops)
    return NearRow(near.design.rank, margin, in_short(near), to_fit(near.design.parts))


def _best(near: NearMiss, controls: Controls) -> BestView:
    design = near.design
    svg = schematic_svg(design, feeds_of(design, controls))
    wide = re.search(r'viewBox="\S+ \S+ ([\d.]+) ', svg)
    return BestView(
        said=short(design.margin_stops) if near.missed else "over its ratings",
        svg=Markup(svg),
        wide=wide[1] if wide else "400",
        missed=missed_lines(near),
        over=near.over,
        joins=tuple(_join(part) for part in design.parts),
    )


def _join(part: PartRow) -> JoinRow:
    way = ONE_WAY if part.kind == "diode" else BOTH_WAYS
    return JoinRow(part.ref, fitted(part), f"{part.from_node} {way} {part.to_node}")


def _suggestion(one: Suggestion) -> SuggestionView:
    margin, fit = si.stops(one.margin_stops), to_fit(one.design.parts)
    return SuggestionView(one.change, margin, one.spec_text.strip("\n"), one.verified, fit)
