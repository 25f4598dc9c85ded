"""Rules of volts alone: the order of potentials in figures, bands of light, lamps that match.

They hold for every resistance in the spec's range and every type on offer, with nominal
parts: each design is judged with such parts at every supply, so what no nominal part can do
is refuted.
"""

from dataclasses import dataclass
from itertools import permutations
from math import ceil, floor
from typing import ClassVar

import numpy as np

from lampwright.decide.asked import LIVE
from lampwright.decide.figures import VOLT, Figures
from lampwright.decide.logic import both, flipped, given, implies
from lampwright.parts.filament import relative_flux_of, volts_for_flux

SHARES = (1 / 8, 1 / 4, 3 / 8, 1 / 2, 5 / 8, 3 / 4, 7 / 8, 1.0)
"""Where the light of lamps that must match is compared, as parts of the supply."""


@dataclass(frozen=True)
class Ranked:
    """Potentials have the order of their nodes."""

    name: ClassVar[str] = "potentials"
    claim: ClassVar[str] = "a node above another has no lower potential"

    def build(self, figures: Figures) -> None:
        """Tie volts to order."""
        draft = figures.draft
        for at, scene in enumerate(draft.scenes):
            if not scene.is_live:
                continue
            for n, m in permutations(scene.every, 2):
                if n > LIVE or m > LIVE:
                    not_above = flipped(draft.above(at, n, m))
                    given(draft.model, (not_above,), figures.potential(at, n) <= figures.potential(at, m))


@dataclass(frozen=True)
class Bands:
    """Light is volts."""

    name: ClassVar[str] = "bands"
    claim: ClassVar[str] = "the volts across a lamp lie where its type gives the light that is asked"

    def build(self, figures: Figures) -> None:
        """Bound the size of every filament that is asked something, type by type."""
        study = figures.draft.study
        for number, want in enumerate(figures.draft.wants):
            if want.other is not None:
                continue
            for kind, model in enumerate(study.shelf.filament_model[want.filament]):
                judged = figures.judged_as(number, kind)
                for at in figures.draft.scenes_of(number):
                    cell = figures.draft.supply_of(at), want.states[0], want.filament, model
                    low, high = float(study.demands.low_volts[cell]), float(study.demands.high_volts[cell])
                    if low > 0.0:
                        enough = figures.reach(at, want.filament, ceil(low / VOLT) - 2)
                        implies(figures.model, (judged,), (enough,))
                    if np.isfinite(high):
                        over = figures.reach(at, want.filament, floor(high / VOLT) + 3)
                        implies(figures.model, (judged, over), ())


@dataclass(frozen=True)
class Rising:
    """Raising terminals lowers no potential."""

    name: ClassVar[str] = "rising"
    claim: ClassVar[str] = (
        "no potential is lower in a state, or at a supply, that holds every terminal as high or higher"
    )

    def build(self, figures: Figures) -> None:
        """Compare every vertex between two scenes."""
        draft = figures.draft
        for (s, low), (t, high) in permutations(enumerate(draft.scenes), 2):
            if low.volts <= high.volts and draft.board.is_raised(low.situation, high.situation):
                for vertex in range(draft.board.vertices):
                    first = figures.potential(s, low.nodes[vertex])
                    second = figures.potential(t, high.nodes[vertex])
                    if isinstance(first, int) and isinstance(second, int):
                        continue
                    given(draft.model, (), first <= second)


@dataclass(frozen=True)
class Matching:
    """Lamps that must match."""

    name: ClassVar[str] = "matching"
    claim: ClassVar[str] = "of two lamps that must match neither shines unless the other shines about as much"

    def build(self, figures: Figures) -> None:
        """From the least light of either follows the least of the other, type by type."""
        draft = figures.draft
        for number, want in enumerate(draft.wants):
            if want.other is not None:
                for at in draft.scenes_of(number):
                    self._follow(figures, number, at, want.filament, want.other, want.high[0])
                    self._follow(figures, number, at, want.other, want.filament, 1 / want.low[0])

    def _follow(self, figures: Figures, want: int, at: int, first: int, second: int, most: float) -> None:
        """Where the first shines and is not off, the second shines at least a `most`th as much."""
        draft, shelf = figures.draft, figures.draft.study.shelf
        off = draft.study.spec.levels.off.high
        steps = [round(share * figures.top(at)) for share in SHARES]
        for takes, model in zip(draft.fits[draft.lamp_of(first)], shelf.filament_model[first], strict=True):
            one = shelf.filaments[model]
            light = relative_flux_of(one, np.array([(k - 2) * VOLT for k in steps]))
            for other_takes, number in zip(
                draft.fits[draft.lamp_of(second)], shelf.filament_model[second], strict=True
            ):
                other = shelf.filaments[number]
                fitted = both(figures.model, takes, other_takes)
                volts = volts_for_flux(other, light * one.lumens / (most * other.lumens))
                for k, shines, least in zip(steps, light, volts, strict=True):
                    if shines > off * (1 + 1e-6):
                        enough = figures.reach(at, second, ceil(float(least) / VOLT) - 2)
                        asked = draft.asked[want], fitted, figures.reach(at, first, k)
                        implies(figures.model, asked, (enough,))
