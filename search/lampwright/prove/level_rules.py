"""Rules of volts alone: the order of potentials in quantities, bands of light, lamps that match.

They hold for every resistance in the spec's range and every type on offer, with nominal
parts: each design is judged with such parts at every supply, so what no nominal part can do
is refuted.
"""

from dataclasses import dataclass
from itertools import permutations, product
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
        if requirement.other is not None and not requirement.versus:
            ends, band = (requirement.filament, requirement.other), requirement.band
            for at in formulation.scenes_of(number):
                _follow(formulation, Follows(number, at, ends[0], at, ends[1], 1 / band.high))
                _follow(formulation, Follows(number, at, ends[1], at, ends[0], band.low))


@rule(
    "brighter",
    "a lamp that must be so many times as bright as another, or as itself elsewhere, is that at each supply,"
    " and as many times as bright as what counts as off",
)
def brighter(formulation: Formulation) -> None:
    """From the light of what it is compared with follows the least of the brighter one, type by type."""
    for number, one in enumerate(formulation.requirements):
        if one.other is not None and one.versus:
            scenes = zip(formulation.scenes_of(number), formulation.versus_of(number), strict=True)
            for at, to in scenes:
                _follow(formulation, Follows(number, to, one.other, at, one.filament, one.band.low))


@dataclass(frozen=True)
class Follows:
    """That a filament in one scene gives at least `by` times the light of another in a scene of its own.

    Only where that one is not off; in a comparison, what is off gives the most that counts as off.
    """

    requirement: int
    scene: int
    filament: int
    then_scene: int
    then: int
    by: float


def _follow(formulation: Formulation, one: Follows) -> None:
    """Bind the least light of the one that follows to that of the first, type by type and step by step."""
    options, off = formulation.problem.part_options, formulation.problem.spec.levels.off.high
    compared = bool(formulation.requirements[one.requirement].versus)
    steps = [round(share * formulation.top(one.scene)) for share in SHARES]
    fits = (
        zip(formulation.fits[formulation.lamp_of(at)], options.filament_model[at], strict=True)
        for at in (one.filament, one.then)
    )
    for (takes, model), (other_takes, number) in product(*fits):
        first, second = options.filaments[model], options.filaments[number]
        asked = formulation.asked[one.requirement], both(formulation.model, takes, other_takes)
        light = relative_flux_of(first, np.array([(k - 2) * VOLT for k in steps]))
        light = np.append(light, off * (1 - 1e-6))
        volts = volts_for_flux(second, light * first.lumens * one.by / second.lumens)
        enough = [
            formulation.reach(one.then_scene, one.then, ceil(float(least) / VOLT) - 2) for least in volts
        ]
        for k, shines, then in zip(steps, light[:-1], enough[:-1], strict=True):
            if shines > off * (1 + 1e-6):
                reached = formulation.reach(one.scene, one.filament, k)
                implies(formulation.model, (*asked, reached), (then,))
        if compared:
            implies(formulation.model, asked, (enough[-1],))
