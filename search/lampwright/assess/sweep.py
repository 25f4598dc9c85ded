"""Light against the supply: one fitted circuit, its parts nominal, in every state at many supplies.

The judge asks whether a lamp keeps its band at three supplies; this shows how near it comes
in between and beyond, as the curve of every filament, each line once with the states in which it
holds. No source: the judge's own solver.
"""

import math
from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from msgspec import structs

from lampwright.judge.every_state import new_points, settle
from lampwright.judge.fitting import fit_choice
from lampwright.judge.judge import Judge, ShortedError
from lampwright.network.netlist import Netlist
from lampwright.parts.diode import DiodeType
from lampwright.parts.filament import Filament
from lampwright.problem.edges import flux_band
from lampwright.problem.problem import Choice, Problem, filament_models, fit_one
from lampwright.results.row import Ratio, written
from lampwright.results.trials import LevelBand, Sweep, SweepLine
from lampwright.solve.laws import Floats, Models
from lampwright.solve.newton import new_workspace
from lampwright.solve.part_options import tabulate
from lampwright.spec.model import AskedBand

BELOW, ABOVE = 0.75, 1.1
"""How far a sweep goes, as shares of the low and of the high supply."""


@lru_cache(maxsize=8)
def _tables(filaments: tuple[Filament, ...], diodes: tuple[DiodeType, ...], volts: float) -> Models:
    return tabulate(list(filaments), list(diodes), volts)


def sweep_of(judge: Judge, netlist: Netlist, choice: Choice) -> Sweep | None:
    """Sweep the supply of a judged circuit; None where a point has no solution.

    Raises ShortedError where supply meets ground.
    """
    problem = judge.problem
    supplies = supplies_of(problem)
    flux = _flux(judge, netlist, choice, supplies)
    if flux is None:
        return None
    found: dict[SweepLine, list[str]] = {}
    models = filament_models(problem, choice)
    for lamp, name in enumerate(problem.layout.filaments):
        for at, state in enumerate(problem.states):
            band = state.bands[lamp]
            # rounded as they will be written: what reads alike is one line
            line = tuple(written(Ratio, float(value)) or 0.0 for value in flux[at, lamp])
            if band is None and max(line) <= problem.spec.levels.off.high:
                continue
            bare = SweepLine(
                lamp=name, wanted=state.words[lamp], states=(), flux=line, low_flux=None, high_flux=None
            )
            full = _edged(bare, band, problem.part_options.filaments[models[lamp]], problem, supplies)
            found.setdefault(full, []).append(state.full_name)
    return Sweep(
        supplies=supplies,
        volts=tuple(float(volts) for volts in problem.volts),
        levels=_levels(problem),
        lines=tuple(structs.replace(line, states=tuple(states)) for line, states in found.items()),
    )


def supplies_of(problem: Problem) -> tuple[float, ...]:
    """Supplies [V], rising: the spec's three, four below, two between each two, two above; to the millivolt.

    Of a spec whose supplies are equal there are fewer.
    """
    low, normal, high = (float(volts) for volts in problem.volts)
    every = [
        *np.linspace(BELOW * low, low, 5),
        *np.linspace(low, normal, 4),
        *np.linspace(normal, high, 4),
        *np.linspace(high, ABOVE * high, 3),
    ]
    return tuple(sorted({round(float(volts), 3) for volts in every}))


def _flux(judge: Judge, netlist: Netlist, choice: Choice, supplies: tuple[float, ...]) -> Floats | None:
    """Flux relative to rated [1]: (states, filaments, supplies); None where a point has no solution.

    Raises ShortedError where supply meets ground.
    """
    problem = judge.problem
    boundary = judge.boundary(netlist.partition, netlist.joints)
    if boundary is None:
        raise ShortedError
    # the part_options's own tables end at the high supply
    models = _tables(problem.part_options.filaments, problem.part_options.diode_types, max(supplies))
    fit = fit_one(problem, choice, netlist.diodes, netlist.resistors)
    work = new_workspace()
    fit_choice(0, fit, models, work)
    states, vertices = boundary.vertex_node.shape
    filaments = len(problem.layout.filaments)
    flux = np.zeros((states, filaments, len(supplies)))
    for at, volts in enumerate(supplies):
        points = new_points(states, len(netlist.ends), vertices)
        if settle(boundary.columns(netlist.ends[None]), boundary.vertex_node, volts, models, work, points):
            return None
        flux[:, :, at] = np.exp2(points.stops[:, :filaments])
    return flux


def _edged(
    line: SweepLine, asked: AskedBand | None, filament: Filament, problem: Problem, supplies: Sequence[float]
) -> SweepLine:
    """The line with the edges that bound anything, and the low one at every supply where it hangs on it."""
    if asked is None:
        return line
    band = flux_band(asked, filament, float(problem.volts[1]))
    low, high = band.low if band.low > 0.0 else None, _finite(band.high)
    lows = None
    if asked.of_full != 0.0:
        each = (flux_band(asked, filament, volts).low for volts in supplies)
        lows = tuple(written(Ratio, low) or 0.0 for low in each)
    return structs.replace(line, low_flux=low, high_flux=high, low_fluxes=lows)


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _levels(problem: Problem) -> tuple[LevelBand, ...]:
    """The spec's words, dark to bright."""
    levels = problem.spec.levels
    bands = (("off", levels.off), ("dim", levels.dim), ("lit", levels.lit), ("full", levels.full))
    return tuple(
        LevelBand(word=word, low_flux=band.low, high_flux=_finite(band.high)) for word, band in bands
    )
