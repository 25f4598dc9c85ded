"""A spec made ready for judging: states, what they ask, what may be fitted, the limits."""

from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise, product
from math import prod

import numpy as np
from numpy.typing import NDArray

from lampwright.network.layout import LampSlot, Layout
from lampwright.network.netlist import Fitted, Netlist
from lampwright.network.zones import Zoned, has_rail
from lampwright.parts.catalogue import FILLINGS
from lampwright.parts.conduction import Filling
from lampwright.parts.filament import Filament
from lampwright.problem.demands import Demands, Fit, JudgingTables, Limits
from lampwright.problem.narrowing import narrowed
from lampwright.problem.requirements import FluxBands, Requirement, Requirements, requirements_of
from lampwright.results.ranking import SpecReference
from lampwright.solve.laws import Floats, Ints
from lampwright.solve.part_options import PartOptions, offered_parts, tabulate
from lampwright.solve.shelf import shelf_of
from lampwright.spec.model import Spec, plain_specs, terminals, with_helpers
from lampwright.spec.states import State, comparisons_of, expand_states

MOST_ROWS = 1_000_000
"""Choices of lamps' types that are made, at the most; a search of far fewer is refused already."""


@dataclass(frozen=True)
class Problem:
    """All that judging needs to know of one spec."""

    spec: Spec
    states: tuple[State, ...]
    layout: Layout
    part_options: PartOptions
    zoned: Zoned
    requirements: Requirements
    demands: Demands
    limits: Limits

    @property
    def volts(self) -> Floats:
        """Low, normal and high supply [V]."""
        return np.array(self.spec.supply.volts, np.float64)

    @property
    def tables(self) -> JudgingTables:
        """What judging reads of it."""
        return JudgingTables(self.demands, self.limits, self.volts, self.part_options.models)

    @cached_property
    def sound(self) -> "Problem":
        """The problem of the sound circuit: its first states, in which nothing has failed."""
        return with_states(self, lambda state: not state.failures)

    @cached_property
    def flux_bands(self) -> FluxBands:
        """What is asked as relative flux."""
        return self.requirements.flux_bands(self.part_options, self.volts)

    @cached_property
    def narrowed_bands(self) -> FluxBands:
        """Likewise, with what the comparisons leave of it."""
        options, off = self.part_options, self.spec.levels.off.high
        lumens = tuple(
            np.array([options.filaments[model].lumens for model in models])
            for models in options.filament_model
        )
        return narrowed(self.flux_bands, self.requirements.comparisons, lumens, self.layout.lamp_at, off)


@dataclass(frozen=True)
class Choice:
    """One type or value for every lamp, diode and resistor, as places on the part_options.

    A lamp's place says its filling too, where that is not known.
    """

    digits: tuple[int, ...]


def filament_models(problem: Problem, choice: Choice) -> tuple[int, ...]:
    """The row of every filament among the filaments offered, as chosen."""
    offered = zip(problem.part_options.filament_model, problem.layout.lamp_at, strict=True)
    return tuple(rows[choice.digits[lamp]] for rows, lamp in offered)


def layout_of(spec: Spec) -> Layout:
    """The terminals and lamps to be joined. Raises UnknownPart."""
    slots = []
    for lamp in spec.lamps:
        shared = len(lamp.filaments) > 1 and shelf_of(spec).lamp(lamp.choose[0]).shared_contact
        slots.append(LampSlot(lamp.name, lamp.filaments, lamp.common, shared, lamp.is_helper))
    return Layout(terminals(spec), tuple(slots))


def prepare(spec: Spec) -> Problem:
    """Make a spec ready for judging. Raises UnknownPart for a type not in the catalogue."""
    states, layout = expand_states(spec), layout_of(spec)
    part_options = offered_parts(spec)
    requirements = requirements_of(states, len(layout.filaments), comparisons_of(spec, states))
    return Problem(
        spec=spec,
        states=states,
        layout=layout,
        part_options=part_options,
        zoned=_zoned(spec),
        requirements=requirements,
        demands=_demands(spec, requirements, part_options),
        limits=_limits(spec, part_options),
    )


def helper_problems(problem: Problem) -> tuple[Problem, ...]:
    """The problem with no helper lamp, with one, and so on up to as many as the spec allows."""
    allowed = problem.spec.extras.lamps
    most = 0 if allowed is None else allowed.most
    return (problem, *(prepare(with_helpers(problem.spec, count)) for count in range(1, most + 1)))


def way_problems(problem: Problem) -> tuple[Problem, ...]:
    """The problem of each way in which the spec can be taken; itself where that leaves no choice.

    Of ways that ask the same of every circuit, the first.
    """
    if not problem.spec.ways:
        return (problem,)
    found: dict[frozenset[Hashable], Problem] = {}
    for spec in plain_specs(problem.spec):
        states, options = expand_states(spec), problem.part_options
        compared = comparisons_of(spec, states)
        requirements = requirements_of(states, len(problem.layout.filaments), compared)
        demands = _demands(spec, requirements, options)
        way = replace(problem, spec=spec, states=states, requirements=requirements, demands=demands)
        found.setdefault(asked_of_circuits(way), way)
    return tuple(found.values())


def asked_of_circuits(problem: Problem) -> frozenset[Hashable]:
    """All that a problem asks, each thing once, states told apart by what circuits feel of them alone."""
    felt = [
        (frozenset(frozenset((one.a, one.b)) for one in state.contacts), state.opened, state.hung)
        for state in problem.states
    ]
    asked = (
        (felt[one.state], one.filament, one.other, one.band, *(felt[at] for at in one.versus))
        for one in (*problem.requirements, *problem.requirements.compared)
    )
    return frozenset((*felt, *asked))


def with_filaments(problem: Problem, change: Callable[[str, Filament], Filament]) -> Problem:
    """The problem with other filaments: `change` gives them, from a type's name and its filament."""
    part_options, spec = problem.part_options, problem.spec
    names = {
        model: types[digit]
        for lamp, types in zip(spec.lamps, part_options.lamp_types, strict=True)
        for filament in lamp.filaments
        for digit, model in enumerate(part_options.filament_model[problem.layout.filaments.index(filament)])
    }
    filaments = tuple(change(names[model], one) for model, one in enumerate(part_options.filaments))
    models = tabulate(list(filaments), list(part_options.diode_types), spec.supply.volts[2])
    part_options = replace(part_options, filaments=filaments, models=models)
    limits = _limits(spec, part_options)._replace(watts=problem.limits.watts)
    return replace(
        problem,
        part_options=part_options,
        demands=_demands(spec, problem.requirements, part_options),
        limits=limits,
    )


def asking_only(problem: Problem, kept: Iterable[Requirement]) -> Problem:
    """A problem that asks these things and nothing else."""
    requirements = problem.requirements.only(kept)
    demands = _demands(problem.spec, requirements, problem.part_options)
    return replace(problem, requirements=requirements, demands=demands)


def with_states(problem: Problem, kept: Callable[[State], bool]) -> Problem:
    """The problem with some of its states alone, renumbered; itself where that is all."""
    states = tuple(state for state in problem.states if kept(state))
    if len(states) == len(problem.states):
        return problem
    number = {at: states.index(state) for at, state in enumerate(problem.states) if kept(state)}
    asked = (one for one in problem.requirements if one.state in number)
    every = tuple(replace(one, states=(number[one.state],)) for one in asked)
    compared = tuple(
        replace(one, first_state=number[one.first_state], second_state=number[one.second_state])
        for one in problem.requirements.comparisons
        if {one.first_state, one.second_state} <= set(number)
    )
    requirements = replace(problem.requirements, every=every, states=len(states), comparisons=compared)
    demands = _demands(problem.spec, requirements, problem.part_options)
    return replace(problem, states=states, requirements=requirements, demands=demands)


def _zoned(spec: Spec) -> Zoned:
    zone = dict(spec.place.zone_of)
    owner = {
        pair[1]: control.name for control in spec.controls for at in control.positions for pair in at.joins
    }
    owner |= {
        pair[0]: control.name for control in spec.controls for at in control.positions for pair in at.joins
    }
    lamps = tuple(zone.get(lamp.name, "") for lamp in spec.lamps for _ in lamp.filaments)
    pins = tuple(
        zone.get("supply", "") if has_rail(name) else zone.get(owner[name], "") for name in terminals(spec)
    )
    return Zoned(lamps, pins)


def _demands(spec: Spec, requirements: Requirements, part_options: PartOptions) -> Demands:
    volts = np.array(spec.supply.volts, np.float64)
    return requirements.demands(part_options.filaments, part_options.models, volts, spec.levels.off.high)


def _limits(spec: Spec, part_options: PartOptions) -> Limits:
    return Limits(
        part_options.lamp_volts(),
        np.log2([filament.lumens for filament in part_options.filaments]),
        np.array([diode.max_amps for diode in part_options.diode_types], np.float64),
        max(part_options.watts, default=0.0),
        np.array([np.inf if c.most_amps is None else c.most_amps for c in spec.controls], np.float64),
    )


def fit_of(problem: Problem, diodes: int, resistors: int) -> Fit:
    """How choice numbers become models for circuits with these numbers of diodes and resistors.

    Lamps of one type have one filling, and some take one type: rows in which they differ are left out.
    """
    values = (len(problem.part_options.ohms),) * resistors
    return _fit(problem, _digits(problem, diodes, values), diodes, resistors)


def fit_of_types(problem: Problem, diodes: int, resistors: int) -> Fit:
    """The choices of types alone, each once, with 1 siemens for every resistor."""
    fit = _fit(problem, _digits(problem, diodes, (1,) * resistors), diodes, resistors)
    return fit._replace(siemens=np.ones(1)) if resistors else fit


def choices_of(problem: Problem, diodes: int, resistors: int) -> int:
    """How many choices `fit_of` would have, without making any but those of the lamps.

    Where lamps alone have more than `MOST_ROWS`, those in which lamps that must be alike differ count too.
    """
    options = problem.part_options
    rows = _lamp_rows(problem)
    lamps = prod(map(len, options.lamp_types)) if rows is None else len(rows)
    extras = (len(options.diode_types),) * diodes + (len(options.ohms),) * resistors
    return prod(extras, start=lamps)


def _digits(problem: Problem, diodes: int, values: tuple[int, ...]) -> Ints:
    """Every choice, (choices, digits); values: how many each resistor has."""
    lamps = _lamp_rows(problem)
    assert lamps is not None, "a search with so many choices is refused"
    extras = _every((len(problem.part_options.diode_types),) * diodes + values)
    return np.hstack([np.repeat(lamps, len(extras), axis=0), np.tile(extras, (len(lamps), 1))])


def _lamp_rows(problem: Problem) -> Ints | None:
    """The digits of lamps in all choices of their types, lamp by lamp; None for more than `MOST_ROWS`."""
    rows: Ints = np.zeros((1, 0), np.int64)
    for types in problem.part_options.lamp_types:
        if len(rows) * len(types) > MOST_ROWS:
            return None
        own = np.tile(np.arange(len(types)), len(rows))
        rows = np.column_stack([np.repeat(rows, len(types), axis=0), own])
        rows = rows[_are_filled_alike(problem, rows)]
    return rows


def fit_one(problem: Problem, choice: Choice, diodes: int, resistors: int) -> Fit:
    """A fit of one choice alone, as number 0."""
    return _fit(problem, np.array([choice.digits], np.int64).reshape(1, -1), diodes, resistors)


def _fit(problem: Problem, digits: Ints, diodes: int, resistors: int) -> Fit:
    layout, part_options = problem.layout, problem.part_options
    most = max(len(types) for types in part_options.lamp_types)
    model = np.zeros((len(layout.filaments), most), np.int64)
    for at, rows in enumerate(part_options.filament_model):
        model[at, : len(rows)] = rows
    sizes = [
        *map(len, part_options.lamp_types),
        *[len(part_options.diode_types)] * diodes,
        *[len(part_options.ohms)] * resistors,
    ]
    siemens = np.array([1.0 / ohms for ohms in part_options.ohms], np.float64)
    return Fit(
        lamp_of=np.array(layout.lamp_at, np.int64),
        model=model,
        siemens=siemens,
        sizes=np.array(sizes, np.int64),
        digits=digits,
        diodes=diodes,
        resistors=resistors,
    )


def _every(sizes: Sequence[int]) -> Ints:
    """All digits of these sizes, (count, digits), the last turning fastest."""
    shape = tuple(sizes)
    if not shape:
        return np.zeros((1, 0), np.int64)
    count = int(np.prod(shape, dtype=np.int64))
    return np.stack(np.unravel_index(np.arange(count), shape), axis=1).astype(np.int64)


def _are_filled_alike(problem: Problem, lamps: Ints) -> NDArray[np.bool_]:
    """Whether lamps of one type have one filling, and lamps that must be alike one type.

    (rows,), for rows of the digits of the first lamps.
    """
    alike, first_lamps = np.ones(len(lamps), np.bool_), lamps.shape[1]
    for name in unsure_types(problem):
        seen = [
            np.any(
                [
                    np.array([own == (name, filling) for own in row])[lamps[:, at]]
                    for at, row in _offers(problem)[:first_lamps]
                ],
                axis=0,
            )
            for filling in FILLINGS
        ]
        alike &= ~(seen[0] & seen[1])
    names = [lamp.name for lamp in problem.spec.lamps]
    types = problem.part_options.lamp_types
    for group in problem.spec.alike:
        among = [at for at in map(names.index, group) if at < first_lamps]
        for one, other in pairwise(among):
            # as numbers: rows may be many
            number = {name: at for at, name in enumerate(dict.fromkeys((*types[one], *types[other])))}
            mine, theirs = (np.array([number[name] for name in types[at]]) for at in (one, other))
            alike &= mine[lamps[:, one]] == theirs[lamps[:, other]]
    return alike


def _offers(problem: Problem) -> list[tuple[int, list[tuple[str, Filling]]]]:
    """Every lamp's number and what it is offered: types with their fillings."""
    part_options = problem.part_options
    rows = zip(part_options.lamp_types, part_options.fillings, strict=True)
    return [(at, list(zip(types, fillings, strict=True))) for at, (types, fillings) in enumerate(rows)]


def unsure_types(problem: Problem) -> tuple[str, ...]:
    """The types on offer whose filling is not known, each once, in order."""
    names = [name for types in problem.part_options.lamp_types for name in types if types.count(name) > 1]
    return tuple(dict.fromkeys(names))


def assumed(problem: Problem, choice: Choice) -> tuple[tuple[str, Filling], ...]:
    """The types of a choice whose filling is not known, with the filling that the choice takes."""
    unsure = unsure_types(problem)
    taken = [row[digit] for (_, row), digit in zip(_offers(problem), choice.digits, strict=False)]
    return tuple(dict.fromkeys(one for one in taken if one[0] in unsure))


def refilled(problem: Problem, choice: Choice) -> tuple[Choice, ...]:
    """The same types and values in every filling that the lamps may have, the likeliest first."""
    offers, unsure = _offers(problem), [name for name, _ in assumed(problem, choice)]
    names = [row[digit][0] for (_, row), digit in zip(offers, choice.digits, strict=False)]
    options = [
        list(dict.fromkeys(own for _, row in offers for own in row if own[0] == name)) for name in unsure
    ]
    found = []
    for taken in product(*options):
        own = dict(taken)
        lamps = (
            row.index((name, own[name])) if name in own else digit
            for (_, row), name, digit in zip(offers, names, choice.digits, strict=False)
        )
        found.append(Choice((*lamps, *choice.digits[len(offers) :])))
    return tuple(found)


def choice_count(fit: Fit) -> int:
    """How many choices of types and values one circuit has."""
    return len(fit.digits)


def choice_of(number: int, fit: Fit) -> Choice:
    """The choice with this number; the last digit turns fastest."""
    return Choice(tuple(int(digit) for digit in fit.digits[number]))


def numbers_of(digits: Ints, fit: Fit) -> Ints:
    """The numbers (n,) of choices given by their digits, (n, digits); each must be one of the fit's."""
    sizes = tuple(int(size) for size in fit.sizes)
    codes = np.ravel_multi_index(tuple(fit.digits.T), sizes)
    found = np.searchsorted(codes, np.ravel_multi_index(tuple(digits.T), sizes))
    return np.asarray(found, np.int64)


def fitted(problem: Problem, netlist: Netlist, choice: Choice) -> Fitted:
    """The names and ohms of a choice."""
    lamps = len(problem.layout.lamps)
    types = [problem.part_options.lamp_types[at][digit] for at, digit in enumerate(choice.digits[:lamps])]
    diodes = choice.digits[lamps : lamps + netlist.diodes]
    values = choice.digits[lamps + netlist.diodes :]
    return Fitted(
        tuple(types[at] for at in problem.layout.lamp_at),
        tuple(problem.part_options.diode_types[digit].name for digit in diodes),
        tuple(problem.part_options.ohms[digit] for digit in values),
    )


def spec_reference(problem: Problem) -> SpecReference:
    """Which spec a result answers."""
    return SpecReference(name=problem.spec.name, title=problem.spec.title, digest=problem.spec.digest)
