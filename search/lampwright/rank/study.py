"""A spec made ready for judging: states, what they ask, what may be fitted, the limits."""

from dataclasses import dataclass

import numpy as np

from lampwright.network.embed import Embedding, Fitted
from lampwright.network.layout import LampSlot, Layout
from lampwright.network.zones import Zoned, has_rail
from lampwright.parts.catalogue import lamp_type
from lampwright.rank.demands import Demands, Limits
from lampwright.rank.edges import edges_of
from lampwright.rank.fitting import Fit
from lampwright.solve.laws import Floats
from lampwright.solve.shelf import Shelf, stock_shelf
from lampwright.spec.model import Spec, terminals
from lampwright.spec.states import State, expand_states


@dataclass(frozen=True)
class Study:
    """All that judging needs to know of one spec."""

    spec: Spec
    states: tuple[State, ...]
    layout: Layout
    shelf: Shelf
    zoned: Zoned
    demands: Demands
    limits: Limits

    @property
    def volts(self) -> Floats:
        """Low, normal and high supply [V]."""
        return np.array(self.spec.supply.volts, np.float64)


@dataclass(frozen=True)
class Choice:
    """One type or value for every lamp, diode and resistor, as places on the shelf."""

    digits: tuple[int, ...]


def layout_of(spec: Spec) -> Layout:
    """The terminals and lamps to be joined. Raises UnknownPart."""
    slots = []
    for lamp in spec.lamps:
        shared = len(lamp.filaments) > 1 and lamp_type(lamp.choose[0], spec.supply.system).shared_contact
        slots.append(LampSlot(lamp.name, lamp.filaments, lamp.common, shared))
    return Layout(terminals(spec), tuple(slots))


def prepare(spec: Spec) -> Study:
    """Make a spec ready for judging. Raises UnknownPart for a type not in the catalogue."""
    states = expand_states(spec)
    shelf = stock_shelf(spec)
    return Study(
        spec,
        states,
        layout_of(spec),
        shelf,
        _zoned(spec),
        _demands(spec, states, shelf),
        _limits(spec, shelf),
    )


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


def _demands(spec: Spec, states: tuple[State, ...], shelf: Shelf) -> Demands:
    edges = edges_of(states, shelf.filaments, shelf.models, np.array(spec.supply.volts, np.float64))
    checks = [(at, check) for at, state in enumerate(states) for check in state.same]
    return Demands(
        edges.low_stops,
        edges.high_stops,
        edges.low_volts,
        edges.high_volts,
        np.array([check.first for _, check in checks], np.int64),
        np.array([check.second for _, check in checks], np.int64),
        np.array([at for at, _ in checks], np.int64),
        np.array([np.log2(1 - check.within) for _, check in checks], np.float64),
        np.array([np.log2(1 + check.within) for _, check in checks], np.float64),
        float(np.log2(spec.levels.off.high)),
    )


def _limits(spec: Spec, shelf: Shelf) -> Limits:
    return Limits(
        shelf.lamp_volts(),
        np.log2([filament.lumens for filament in shelf.filaments]),
        np.array([diode.max_amps for diode in shelf.diode_types], np.float64),
        max(shelf.watts, default=0.0),
        np.array([np.inf if c.most_amps is None else c.most_amps for c in spec.controls], np.float64),
    )


def fit_of(study: Study, diodes: int, resistors: int) -> Fit:
    """How choice numbers become models for circuits with so many diodes and resistors."""
    layout, shelf = study.layout, study.shelf
    most = max(len(types) for types in shelf.lamp_types)
    model = np.zeros((len(layout.filaments), most), np.int64)
    for at, rows in enumerate(shelf.filament_model):
        model[at, : len(rows)] = rows
    lamp_of = [at for at, lamp in enumerate(layout.lamps) for _ in lamp.filaments]
    sizes = [*map(len, shelf.lamp_types), *[len(shelf.diode_types)] * diodes, *[len(shelf.ohms)] * resistors]
    siemens = np.array([1.0 / ohms for ohms in shelf.ohms], np.float64)
    shape = tuple(sizes)
    digits = np.stack(np.unravel_index(np.arange(int(np.prod(shape))), shape), axis=1).astype(np.int64)
    return Fit(
        np.array(lamp_of, np.int64), model, siemens, np.array(sizes, np.int64), digits, diodes, resistors
    )


def choice_count(fit: Fit) -> int:
    """How many choices of types and values one circuit has."""
    return int(np.prod(fit.sizes))


def choice_of(number: int, fit: Fit) -> Choice:
    """The choice with this number; the last digit turns fastest."""
    return Choice(tuple(int(digit) for digit in np.unravel_index(number, tuple(fit.sizes))))


def number_of(choice: Choice, fit: Fit) -> int:
    """The number of a choice."""
    return int(np.ravel_multi_index(choice.digits, tuple(fit.sizes)))


def fitted(study: Study, embedding: Embedding, choice: Choice) -> Fitted:
    """The names and ohms of a choice."""
    lamps = len(study.layout.lamps)
    types = [study.shelf.lamp_types[at][digit] for at, digit in enumerate(choice.digits[:lamps])]
    diodes = choice.digits[lamps : lamps + embedding.diodes]
    values = choice.digits[lamps + embedding.diodes :]
    return Fitted(
        tuple(types[at] for at, lamp in enumerate(study.layout.lamps) for _ in lamp.filaments),
        tuple(study.shelf.diode_types[digit].name for digit in diodes),
        tuple(study.shelf.ohms[digit] for digit in values),
    )
