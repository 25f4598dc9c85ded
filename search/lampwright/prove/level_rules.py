"""Rules of volts alone: the order of potentials in quantities, bands of light, lamps that match.

They hold for every resistance in the spec's range and every type on offer, with nominal
parts: each design is judged with such parts at every supply, so what no nominal part can do
is refuted.
"""

from dataclasses import dataclass
from itertools import permutations
from math import ceil, floor
from typing import ClassVar

import numpy as np

from lampwright.parts.filament import relative_flux_of, volts_for_flux
from lampwright.prove.logic import both, flipped, given, implies
from lampwright.prove.quantities import VOLT, BranchQuantities
from lampwright.prove.requirements import LIVE

SHARES = (1 / 8, 1 / 4, 3 / 8, 1 / 2, 5 / 8, 3 / 4, 7 / 8, 1.0)
"""Where the light of lamps that must match is compared, as parts of the supply."""


@dataclass(frozen=True)
class Ranked:
    """Potentials have the order of their nodes."""

    name: ClassVar[str] = "potentials"
    claim: ClassVar[str] = "a node above another has no lower potential"

    def build(self, quantities: BranchQuantities) -> None:
        """Tie volts to order."""
        formulation = quantities.formulation
        for at, scene in enumerate(formulation.scenes):
            if not scene.is_live:
                continue
            for n, m in permutations(scene.every, 2):
                if n > LIVE or m > LIVE:
                    not_above = flipped(formulation.above(at, n, m))
                    given(
                        formulation.model,
                        (not_above,),
                        quantities.potential(at, n) <= quantities.potential(at, m),
                    )


@dataclass(frozen=True)
class Bands:
    """Light is volts."""

    name: ClassVar[str] = "bands"
    claim: ClassVar[str] = "the volts across a lamp lie where its type gives the light that is asked"

    def build(self, quantities: BranchQuantities) -> None:
        """Bound the size of every filament that is asked something, type by type."""
        problem = quantities.formulation.problem
        for number, want in enumerate(quantities.formulation.wants):
            if want.other is not None:
                continue
            for kind, model in enumerate(problem.part_options.filament_model[want.filament]):
                judged = quantities.judged_as(number, kind)
                for at in quantities.formulation.scenes_of(number):
                    cell = quantities.formulation.supply_of(at), want.states[0], want.filament, model
                    low, high = (
                        float(problem.demands.low_volts[cell]),
                        float(problem.demands.high_volts[cell]),
                    )
                    if low > 0.0:
                        enough = quantities.reach(at, want.filament, ceil(low / VOLT) - 2)
                        implies(quantities.model, (judged,), (enough,))
                    if np.isfinite(high):
                        over = quantities.reach(at, want.filament, floor(high / VOLT) + 3)
                        implies(quantities.model, (judged, over), ())


@dataclass(frozen=True)
class Rising:
    """Raising terminals lowers no potential."""

    name: ClassVar[str] = "rising"
    claim: ClassVar[str] = (
        "no potential is lower in a state, or at a supply, that holds every terminal as high or higher"
    )

    def build(self, quantities: BranchQuantities) -> None:
        """Compare every vertex between two scenes."""
        formulation = quantities.formulation
        for (s, low), (t, high) in permutations(enumerate(formulation.scenes), 2):
            if low.volts <= high.volts and formulation.partition.is_raised(low.situation, high.situation):
                for vertex in range(formulation.partition.vertices):
                    first = quantities.potential(s, low.nodes[vertex])
                    second = quantities.potential(t, high.nodes[vertex])
                    if isinstance(first, int) and isinstance(second, int):
                        continue
                    given(formulation.model, (), first <= second)


@dataclass(frozen=True)
class Matching:
    """Lamps that must match."""

    name: ClassVar[str] = "matching"
    claim: ClassVar[str] = "of two lamps that must match neither shines unless the other shines about as much"

    def build(self, quantities: BranchQuantities) -> None:
        """From the least light of either follows the least of the other, type by type."""
        formulation = quantities.formulation
        for number, want in enumerate(formulation.wants):
            if want.other is not None:
                for at in formulation.scenes_of(number):
                    self._follow(
                        quantities=quantities,
                        want=number,
                        at=at,
                        first=want.filament,
                        second=want.other,
                        most=want.high[0],
                    )
                    self._follow(
                        quantities=quantities,
                        want=number,
                        at=at,
                        first=want.other,
                        second=want.filament,
                        most=1 / want.low[0],
                    )

    def _follow(
        self, quantities: BranchQuantities, want: int, at: int, first: int, second: int, most: float
    ) -> None:
        """Where the first shines and is not off, the second shines at least a `most`th as much."""
        formulation, part_options = quantities.formulation, quantities.formulation.problem.part_options
        off = formulation.problem.spec.levels.off.high
        steps = [round(share * quantities.top(at)) for share in SHARES]
        for takes, model in zip(
            formulation.fits[formulation.lamp_of(first)], part_options.filament_model[first], strict=True
        ):
            one = part_options.filaments[model]
            light = relative_flux_of(one, np.array([(k - 2) * VOLT for k in steps]))
            for other_takes, number in zip(
                formulation.fits[formulation.lamp_of(second)],
                part_options.filament_model[second],
                strict=True,
            ):
                other = part_options.filaments[number]
                fitted = both(quantities.model, takes, other_takes)
                volts = volts_for_flux(other, light * one.lumens / (most * other.lumens))
                for k, shines, least in zip(steps, light, volts, strict=True):
                    if shines > off * (1 + 1e-6):
                        enough = quantities.reach(at, second, ceil(float(least) / VOLT) - 2)
                        asked = formulation.asked[want], fitted, quantities.reach(at, first, k)
                        implies(quantities.model, asked, (enough,))
