"""Rules that need no part's value: which node is higher, and what that lets lamps show.

They contain the refutations of `refute.rules` and are stronger: the order of potentials of
a state must serve all its lamps at once.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import permutations
from typing import ClassVar

import numpy as np

from lampwright.decide.asked import GROUND, LIVE, Want
from lampwright.decide.draft import Draft
from lampwright.decide.logic import Literal, implies


@dataclass(frozen=True)
class Ordered:
    """Potentials stand in an order."""

    name: ClassVar[str] = "ordered"
    claim: ClassVar[str] = "in every state each node has one potential, from ground's to the supply's"

    def build(self, draft: Draft) -> None:
        """No node is above itself, and what is above one node is above or level with no higher one."""
        for at, scene in enumerate(draft.scenes):
            for n, m in permutations(scene.every, 2):
                if n < m:
                    implies(draft.model, (draft.above(at, n, m), draft.above(at, m, n)), ())
                for between in scene.every:
                    if between not in (n, m):
                        split = draft.above(at, n, between), draft.above(at, between, m)
                        implies(draft.model, (draft.above(at, n, m),), split)


@dataclass(frozen=True)
class Descending:
    """Current enters and leaves."""

    name: ClassVar[str] = "descending"
    claim: ClassVar[str] = (
        "currents run down from supply to ground: a node between them that is fed feeds a lower one, and"
        " one that feeds is fed by a higher"
    )

    def build(self, draft: Draft) -> None:
        """Give every open node that current enters a way out, and the other way round."""
        for at, scene in enumerate(draft.scenes):
            for node in scene.free:
                inside = [v for v, n in enumerate(scene.nodes) if n == node]
                outside = [v for v, n in enumerate(scene.nodes) if n != node]
                pairs = [(v, u) for v in inside for u in outside]
                leaving = [draft.carries(at, v, u) for v, u in pairs]
                coming = [draft.carries(at, u, v) for v, u in pairs]
                for one in coming:
                    implies(draft.model, (one,), leaving)
                for one in leaving:
                    implies(draft.model, (one,), coming)


@dataclass(frozen=True)
class Glowing:
    """No glow without current."""

    name: ClassVar[str] = "glowing"
    claim: ClassVar[str] = "the ends of a lamp that must glow have different potentials"

    def build(self, draft: Draft) -> None:
        """Lift one end of every filament that must glow."""
        for want, asked, at in _judged(draft):
            if want.must_glow:
                for (a, b), take in draft.placement.filaments[want.filament].options:
                    lifted = draft.higher(at, a, b), draft.higher(at, b, a)
                    implies(draft.model, (asked, take), lifted)


@dataclass(frozen=True)
class Across:
    """A lamp between held nodes shows what is known."""

    name: ClassVar[str] = "across"
    claim: ClassVar[str] = "a lamp whose two ends have known potentials shows a known light, by its type"

    def build(self, draft: Draft) -> None:
        """Bar a filament from a pair where its light misses the band at some supply."""
        study = draft.study
        light = study.shelf.flux_at(study.volts)
        for want, asked, at in _judged(draft):
            if want.other is not None:
                continue
            nodes = draft.scenes[at].nodes
            shown = light[want.filament]
            low, high = (np.array(edge).reshape(shown.shape) for edge in (want.low, want.high))
            misses = (shown < low * (1 - 1e-9)) | (shown > high * (1 + 1e-9))
            for (a, b), take in draft.placement.filaments[want.filament].options:
                if {nodes[a], nodes[b]} == {GROUND, LIVE}:
                    for fits, missed in zip(draft.fits[draft.lamp_of(want.filament)], misses, strict=True):
                        if np.any(missed):
                            implies(draft.model, (asked, take, fits), ())


@dataclass(frozen=True)
class Monotone:
    """Raising terminals lowers nothing."""

    name: ClassVar[str] = "monotone"
    claim: ClassVar[str] = (
        "a lamp with an end grounded in two states is no darker where other terminals are higher, and with an"
        " end live no brighter"
    )

    def build(self, draft: Draft) -> None:
        """Bar a filament from the pairs on which two of its bands move the wrong way."""
        for one, other, s, t in _clashes(draft):
            for low, high, at, to in ((one, other, s, t), (other, one, t, s)):
                first, second = draft.scenes[at].nodes, draft.scenes[to].nodes
                if draft.board.is_raised(draft.scenes[at].situation, draft.scenes[to].situation):
                    bar = GROUND if draft.wants[low].is_above(draft.wants[high]) else LIVE
                    asked = draft.asked[low], draft.asked[high]
                    for pair, take in draft.placement.filaments[draft.wants[low].filament].options:
                        if any(first[end] == second[end] == bar for end in pair):
                            implies(draft.model, (*asked, take), ())


@dataclass(frozen=True)
class SameNet:
    """What differs must be felt."""

    name: ClassVar[str] = "same net"
    claim: ClassVar[str] = (
        "in one of two states that show a lamp differently, current runs at a terminal that is not alike in"
        " both: otherwise all currents would be the same"
    )

    def build(self, draft: Draft) -> None:
        """Ask for a current at some differing terminal."""
        for one, other, s, t in _clashes(draft):
            felt = [
                carried
                for v in draft.board.differing(draft.scenes[s].situation, draft.scenes[t].situation)
                for u in range(draft.board.vertices)
                if u != v
                for at in (s, t)
                for carried in (draft.carries(at, v, u), draft.carries(at, u, v))
            ]
            implies(draft.model, (draft.asked[one], draft.asked[other]), felt)


def _judged(draft: Draft) -> Iterator[tuple[Want, Literal, int]]:
    """Every want with its literal in every scene that judges it."""
    for number, (want, asked) in enumerate(zip(draft.wants, draft.asked, strict=True)):
        for at in draft.scenes_of(number):
            yield want, asked, at


def _clashes(draft: Draft) -> Iterator[tuple[int, int, int, int]]:
    """Pairs of wants with disjoint bands for one filament, with their scenes at one supply."""
    for one, first in enumerate(draft.wants):
        for other in range(one + 1, len(draft.wants)):
            if first.is_apart_from(draft.wants[other]):
                for s, t in zip(draft.scenes_of(one), draft.scenes_of(other), strict=True):
                    yield one, other, s, t
