"""Rules of volts alone: the order of potentials in quantities, bands of light, lamps that match.

They hold for every resistance in the spec's range and every type on offer, with nominal
parts: each design is judged with such parts at every supply, so what no nominal part can do
is refuted.
"""

from itertools import permutations
from math import ceil, floor

import numpy as np

from lampwright.parts.filament import relative_flux_of, volts_for_flux
from lampwright.prove.formulation import VOLT, Formulation, rule
from lampwright.prove.logic import both, flipped, given, implies
from lampwright.prove.partitions import LIVE

SHARES = (1 / 8, 1 / 4, 3 / 8, 1 / 2, 5 / 8, 3 / 4, 7 / 8, 1.0)
"""Where the light of lamps that must match is compared, as parts of the supply."""


@rule("potentials", "a node above another has no lower potential")
def ranked(formulation: Formulation) -> None:
    """Tie volts to order."""
    for at, scene in enumerate(formulation.scenes):
        if not scene.is_live:
            continue
        for n, m in permutations(scene.every, 2):
            if n > LIVE or m > LIVE:
                not_above = flipped(formulation.above(at, n, m))
                given(
                    formulation.model,
                    (not_above,),
                    formulation.potential(at, n) <= formulation.potential(at, m),
                )


@rule("bands", "the volts across a lamp lie where its type gives the light that is asked")
def bands(formulation: Formulation) -> None:
    """Bound the size of every filament that is asked something, type by type."""
    problem = formulation.problem
    for number, requirement in enumerate(formulation.requirements):
        if requirement.other is not None:
            continue
        for kind, model in enumerate(problem.part_options.filament_model[requirement.filament]):
            judged = formulation.judged_as(number, kind)
            for at in formulation.scenes_of(number):
                cell = formulation.supply_of(at), requirement.state, requirement.filament, model
                low, high = (
                    float(problem.demands.low_volts[cell]),
                    float(problem.demands.high_volts[cell]),
                )
                if low > 0.0:
                    enough = formulation.reach(at, requirement.filament, ceil(low / VOLT) - 2)
                    implies(formulation.model, (judged,), (enough,))
                if np.isfinite(high):
                    over = formulation.reach(at, requirement.filament, floor(high / VOLT) + 3)
                    implies(formulation.model, (judged, over), ())


@rule(
    "rising", "no potential is lower in a state, or at a supply, that holds every terminal as high or higher"
)
def rising(formulation: Formulation) -> None:
    """Compare every vertex between two scenes."""
    for (s, low), (t, high) in permutations(enumerate(formulation.scenes), 2):
        if low.volts <= high.volts and formulation.partition.is_raised(low.situation, high.situation):
            for first_node, second_node in sorted(set(zip(low.nodes, high.nodes, strict=True))):
                first = formulation.potential(s, first_node)
                second = formulation.potential(t, second_node)
                if isinstance(first, int) and isinstance(second, int):
                    continue
                given(formulation.model, (), first <= second)


@rule("matching", "of two lamps that must match neither shines unless the other shines about as much")
def matching(formulation: Formulation) -> None:
    """From the least light of either follows the least of the other, type by type."""
    for number, requirement in enumerate(formulation.requirements):
        if requirement.other is not None:
            for at in formulation.scenes_of(number):
                _follow(
                    formulation=formulation,
                    requirement=number,
                    at=at,
                    first=requirement.filament,
                    second=requirement.other,
                    most=requirement.band.high,
                )
                _follow(
                    formulation=formulation,
                    requirement=number,
                    at=at,
                    first=requirement.other,
                    second=requirement.filament,
                    most=1 / requirement.band.low,
                )


def _follow(
    formulation: Formulation, requirement: int, at: int, first: int, second: int, most: float
) -> None:
    """Where the first shines and is not off, the second shines at least a `most`th as much."""
    part_options = formulation.problem.part_options
    off = formulation.problem.spec.levels.off.high
    steps = [round(share * formulation.top(at)) for share in SHARES]
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
            fitted = both(formulation.model, takes, other_takes)
            volts = volts_for_flux(other, light * one.lumens / (most * other.lumens))
            for k, shines, least in zip(steps, light, volts, strict=True):
                if shines > off * (1 + 1e-6):
                    enough = formulation.reach(at, second, ceil(float(least) / VOLT) - 2)
                    asked = formulation.asked[requirement], fitted, formulation.reach(at, first, k)
                    implies(formulation.model, asked, (enough,))
