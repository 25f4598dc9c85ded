"""Rules that need no part's value: which node is higher, and what that lets lamps show.

They contain the refutations of `refute.rules` and are stronger: the order of potentials of
a state must serve all its lamps at once.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations, permutations, product

import numpy as np

from lampwright.prove.formulation import Formulation, rule
from lampwright.prove.logic import Literal, implies
from lampwright.prove.partitions import GROUND, LIVE

SLACK = 1e-5
"""Share of light that is granted where lamps are compared: the judge reads tables."""


@rule("ordered", "in every state each node has one potential, from ground's to the supply's")
def ordered(formulation: Formulation) -> None:
    """No node is above itself, and what is above one node is above or level with no higher one."""
    for at, scene in enumerate(formulation.scenes):
        for n, m in permutations(scene.every, 2):
            if n < m:
                implies(formulation.model, (formulation.above(at, n, m), formulation.above(at, m, n)), ())
            for between in scene.every:
                if between not in (n, m):
                    split = formulation.above(at, n, between), formulation.above(at, between, m)
                    implies(formulation.model, (formulation.above(at, n, m),), split)


@rule(
    "descending",
    "currents run down from supply to ground: a node between them that is fed feeds a lower one, and"
    " one that feeds is fed by a higher",
)
def descending(formulation: Formulation) -> None:
    """Give every open node that current enters a way out, and the other way round."""
    for at, scene in enumerate(formulation.scenes):
        for node in scene.free:
            inside = [v for v, n in enumerate(scene.nodes) if n == node]
            pairs = [(v, u) for v in inside for u in formulation.others(v) if scene.nodes[u] != node]
            leaving = [formulation.carries(at, v, u) for v, u in pairs]
            coming = [formulation.carries(at, u, v) for v, u in pairs]
            for one in coming:
                implies(formulation.model, (one,), leaving)
            for one in leaving:
                implies(formulation.model, (one,), coming)


@rule("glowing", "the ends of a lamp that must glow have different potentials")
def glowing(formulation: Formulation) -> None:
    """Lift one end of every filament that must glow."""
    for number, asked, at in _judged(formulation):
        if formulation.must_glow(number):
            filament = formulation.requirements[number].filament
            for (a, b), take in formulation.placement.filaments[filament].options:
                ways = (a, b), (b, a)
                lifted = [formulation.part_higher(at, filament, *way) for way in ways]
                implies(formulation.model, (asked, take), lifted)


@rule("across", "a lamp whose two ends have known potentials shows a known light, by its type")
def across(formulation: Formulation) -> None:
    """Bar a filament from a pair where its light misses the band at some supply."""
    problem = formulation.problem
    for number, asked, at in _judged(formulation):
        requirement = formulation.requirements[number]
        if requirement.other is not None:
            continue
        nodes = formulation.scenes[at].nodes
        misses = problem.flux_bands.misses(requirement.filament, requirement.state)
        for (a, b), take in formulation.placement.filaments[requirement.filament].options:
            ends = {nodes[formulation.partition.column(requirement.filament, end)] for end in (a, b)}
            if ends == {GROUND, LIVE}:
                for fits, missed in zip(
                    formulation.fits[formulation.lamp_of(requirement.filament)], misses, strict=True
                ):
                    if np.any(missed):
                        implies(formulation.model, (asked, take, fits), ())
    _across_compared(formulation)


def _across_compared(formulation: Formulation) -> None:
    """Bar a filament from a pair where what it gives leaves too little room for what is compared with it."""
    options, off = formulation.problem.part_options, formulation.problem.spec.levels.off.high
    for number, one in enumerate(formulation.requirements):
        if one.other is None or not one.versus:
            continue
        first, second = (
            [
                (fits, options.filaments[model].lumens, across)
                for fits, model, across in zip(
                    formulation.fits[formulation.lamp_of(filament)],
                    options.filament_model[filament],
                    formulation.problem.flux_bands.across[filament],
                    strict=True,
                )
            ]
            for filament in (one.filament, one.other)
        )
        scenes = zip(formulation.scenes_of(number), formulation.versus_of(number), strict=True)
        for (at, to), (fits, lumens, most), (other_fits, other_lumens, light) in product(
            scenes, first, second
        ):
            supply, by = formulation.supply_of(at), one.band.low * (1.0 - SLACK)
            asked = formulation.asked[number], fits, other_fits
            if most[supply] * lumens < by * off * other_lumens:
                implies(formulation.model, asked, ())
            if most[supply] * lumens < by * light[supply] * other_lumens:
                for take in _straight(formulation, one.other, to):
                    implies(formulation.model, (*asked, take), ())


def _straight(formulation: Formulation, filament: int, at: int) -> Iterator[Literal]:
    """The places of a filament straight across the supply in a scene."""
    nodes = formulation.scenes[at].nodes
    for pair, take in formulation.placement.filaments[filament].options:
        if {nodes[formulation.partition.column(filament, end)] for end in pair} == {GROUND, LIVE}:
            yield take


@rule(
    "monotone",
    "a lamp with an end grounded in two states is no darker where other terminals are higher, and with an"
    " end live no brighter",
)
def monotone(formulation: Formulation) -> None:
    """Bar a filament from the pairs on which two of its bands move the wrong way."""
    for clash in _clashes(formulation):
        for at, to, bar in ((clash.more, clash.less, GROUND), (clash.less, clash.more, LIVE)):
            first, second = formulation.scenes[at], formulation.scenes[to]
            if formulation.partition.is_raised(first.situation, second.situation):
                for pair, take in formulation.placement.filaments[clash.filament].options:
                    ends = [formulation.partition.column(clash.filament, end) for end in pair]
                    if any(first.nodes[end] == second.nodes[end] == bar for end in ends):
                        implies(formulation.model, (*clash.asked, take), ())


@rule(
    "same net",
    "in one of two states that show a lamp differently, current runs at a terminal that is not alike in"
    " both: otherwise all currents would be the same",
)
def same_net(formulation: Formulation) -> None:
    """Ask for a current at some differing terminal."""
    for clash in _clashes(formulation):
        scenes = clash.more, clash.less
        felt = [
            carried
            for v in formulation.partition.differing(*(formulation.scenes[at].situation for at in scenes))
            for u in formulation.others(v)
            for at in scenes
            for carried in (formulation.carries(at, v, u), formulation.carries(at, u, v))
        ]
        implies(formulation.model, clash.asked, felt)


def _judged(formulation: Formulation) -> Iterator[tuple[int, Literal, int]]:
    """Every requirement's number with its literal in every scene that judges it."""
    for number, asked in enumerate(formulation.asked):
        for at in formulation.scenes_of(number):
            yield number, asked, at


@dataclass(frozen=True)
class Clash:
    """What asks more light of a filament in one scene than in another, both at one supply."""

    asked: tuple[Literal, ...]
    filament: int
    more: int
    less: int


def _clashes(formulation: Formulation) -> Iterator[Clash]:
    """Pairs of requirements with disjoint bands for one filament, and lamps brighter than themselves."""
    for one, other in combinations(range(len(formulation.requirements)), 2):
        for high, low in ((one, other), (other, one)):
            if formulation.is_above(high, low):
                asked = formulation.asked[high], formulation.asked[low]
                for pair in zip(formulation.scenes_of(high), formulation.scenes_of(low), strict=True):
                    yield Clash(asked, formulation.requirements[high].filament, *pair)
    for number, literal in enumerate(formulation.asked):
        if formulation.is_above(number, number):
            for pair in zip(formulation.scenes_of(number), formulation.versus_of(number), strict=True):
                yield Clash((literal,), formulation.requirements[number].filament, *pair)
