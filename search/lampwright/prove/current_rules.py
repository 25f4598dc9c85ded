"""Rules of amps: the curves of lamps and diodes, Ohm's law for any resistance, Kirchhoff's.

They hold for every resistance in the spec's range, listed or not, and for every type on
offer, with nominal parts (`level_rules` says why that is sound).
"""

from math import ceil, floor, sqrt

import numpy as np
from ortools.sat.python import cp_model

from lampwright.parts.diode import DiodeType, diode_amps, thermal_volts
from lampwright.parts.filament import amps_of
from lampwright.prove.formulation import AMP, VOLT, Formulation, rule
from lampwright.prove.logic import flipped, given
from lampwright.solve.laws import DIODE, RESISTOR, Floats

SHARES = (1 / 64, *(k / 32 for k in range(1, 32)))
"""Where lamp curves are looked at besides the edges of bands, as parts of the supply."""

DIODE_VOLTS = (0.4, 0.5, 0.6, 0.66, 0.72, 0.78, 0.84, 0.9, 1.0, 1.2)
"""Where diode curves are looked at [V]."""

OHM_CELLS = 4
"""Into how many parts a range of resistance is cut."""

SCALE = 10_000
"""Ohms are whole numbers of this part of a step of volts per step of amps."""


@rule("lamp curves", "a lamp's current is that of its type at its volts")
def lamp_curves(formulation: Formulation) -> None:
    """Enclose every filament's current between its curve's values at the steps around its volts."""
    part_options = formulation.problem.part_options
    for filament in range(len(formulation.problem.layout.filaments)):
        fits = formulation.fits[formulation.lamp_of(filament)]
        for at, scene in enumerate(formulation.scenes):
            if not scene.is_live:
                continue
            steps = _steps(formulation, filament, at)
            for takes, model in zip(fits, part_options.filament_model[filament], strict=True):
                volts = np.array([*((k - 1) * VOLT for k in steps), *(k * VOLT for k in steps)])
                amps = amps_of(part_options.filaments[model], np.maximum(volts, 0.0)) / AMP
                branch = formulation.branch(at, filament)
                for place, k in enumerate(steps):
                    reached = formulation.reach(at, filament, k)
                    least, most = floor(amps[place]), ceil(amps[len(steps) + place])
                    given(formulation.model, (takes, reached), branch.amps >= least)
                    given(formulation.model, (takes, flipped(reached)), branch.amps <= most)


def _steps(formulation: Formulation, filament: int, at: int) -> list[int]:
    """Where the curve is looked at: parts of the supply, and the edges of this filament's bands."""
    problem, top = formulation.problem, formulation.top(at)
    supply = formulation.supply_of(at)
    edges = [table[supply, :, filament] for table in (problem.demands.low_volts, problem.demands.high_volts)]
    models = list(problem.part_options.filament_model[filament])
    volts = np.unique(np.concatenate([edge[:, models].ravel() for edge in edges]))
    inner = [round(v / VOLT) for v in volts if 0.0 < v < top * VOLT]
    return sorted({*(round(share * top) for share in SHARES), *inner, top + 1} - {0})


@rule(
    "resistances",
    "a resistor has one resistance in all states, any within the spec's range, and keeps to its watts",
)
def resistances(formulation: Formulation) -> None:
    """Cut the range into parts; in the one taken, bound volts by amps both ways."""
    offered = formulation.problem.spec.extras.resistors
    slots = [at for at, piece in enumerate(formulation.placement.pieces) if piece.kind == RESISTOR]
    if offered is None:
        return
    edges = np.geomspace(offered.ohms[0] * (1 - 1e-9), offered.ohms[1] * (1 + 1e-9), OHM_CELLS + 1)
    for slot in slots:
        cells = [formulation.model.new_bool_var(f"ohms {slot}/{cell}") for cell in range(OHM_CELLS)]
        formulation.model.add_exactly_one(cells)
        for cell, low, high in zip(cells, edges[:-1].tolist(), edges[1:].tolist(), strict=True):
            for at, scene in enumerate(formulation.scenes):
                if scene.is_live:
                    _bound(formulation, (at, slot), cell, low, high)


def _bound(
    formulation: Formulation,
    key: tuple[int, int],
    cell: cp_model.IntVar,
    low: float,
    high: float,
) -> None:
    branch, watts, model = (
        formulation.branch(*key),
        formulation.problem.limits.watts,
        formulation.model,
    )
    conditions = cell, branch.flows
    # a step of volts and one of amps are granted either way
    least, most = floor(SCALE * low * AMP / VOLT), ceil(SCALE * high * AMP / VOLT)
    given(model, conditions, SCALE * branch.size + SCALE + least >= least * branch.amps)
    given(model, conditions, SCALE * branch.size <= most * branch.amps + SCALE + most)
    given(model, conditions, branch.size <= ceil(sqrt(watts * high) / VOLT) + 1)


@rule("diode curves", "a diode's current is that of some type on offer at its volts, within its rating")
def diode_curves(formulation: Formulation) -> None:
    """Enclose the current of every diode between the least and the most of all types."""
    types = formulation.problem.part_options.diode_types
    if not types:
        return
    steps = [round(volts / VOLT) for volts in DIODE_VOLTS]
    below, beyond = (np.array([(k - grant) * VOLT for k in steps]) for grant in (1, 0))
    least = np.min([_amps(below, one) for one in types], axis=0) / AMP
    most = np.max([_amps(beyond, one) for one in types], axis=0) / AMP
    rated = ceil(max(one.max_amps for one in types) / AMP)
    for part, piece in enumerate(formulation.placement.pieces):
        if piece.kind != DIODE:
            continue
        for at, scene in enumerate(formulation.scenes):
            if not scene.is_live:
                continue
            branch = formulation.branch(at, part)
            given(formulation.model, (), branch.amps <= rated)
            for k, low, high in zip(steps, least, most, strict=True):
                reached = formulation.reach(at, part, k)
                given(formulation.model, (reached,), branch.amps >= min(floor(low), rated + 1))
                given(formulation.model, (flipped(reached),), branch.amps <= min(ceil(high), rated))


def _amps(volts: Floats, diode: DiodeType) -> Floats:
    return diode_amps(volts, diode.saturation_amps, diode.emission, diode.series_ohms, thermal_volts())


@rule("balance", "the currents at a node that is neither supply nor ground sum to nothing")
def balance(formulation: Formulation) -> None:
    """Sum the currents at every open node; each was rounded by half a step."""
    partition, parts = formulation.partition, range(len(formulation.placement.pieces))
    slack = len(parts) // 2 + 1
    for at, scene in enumerate(formulation.scenes):
        for node in scene.free if scene.is_live else ():
            inside = [
                (part, vertex)
                for vertex in range(partition.vertices)
                for part in parts
                if scene.nodes[partition.column(part, vertex)] == node
            ]
            total = sum(formulation.leaving(at, part, vertex) for part, vertex in inside)
            given(formulation.model, (), total <= slack)
            given(formulation.model, (), total >= -slack)
