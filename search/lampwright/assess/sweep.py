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

from lampwright.assess.readings import StateReader
from lampwright.judge.judge import Judge
from lampwright.network.netlist import Netlist
from lampwright.parts.diode import DiodeType
from lampwright.parts.filament import Filament
from lampwright.problem.edges import flux_band
from lampwright.problem.problem import Choice, Problem, filament_models
from lampwright.results.design import Design
from lampwright.results.row import Ratio, written
from lampwright.results.trials import LevelBand, SupplyPoint, Sweep, SweepLine
from lampwright.solve.laws import Models
from lampwright.solve.part_options import tabulate
from lampwright.spec.model import AskedBand

BELOW, ABOVE = 0.75, 1.1
"""How far a sweep goes, as shares of the low and of the high supply."""


@lru_cache(maxsize=8)
def _tables(filaments: tuple[Filament, ...], diodes: tuple[DiodeType, ...], volts: float) -> Models:
    return tabulate(list(filaments), list(diodes), volts)


def sweep_of(judge: Judge, netlist: Netlist, choice: Choice, design: Design) -> Sweep | None:
    """Sweep the supply of a judged circuit; None where a point has no solution.

    Raises ShortedError where supply meets ground.
    """
    problem, reader = judge.problem, StateReader(judge, netlist, design)
    supplies = supplies_of(problem)
    # the part_options's own tables end at the high supply
    tables = _tables(problem.part_options.filaments, problem.part_options.diode_types, max(supplies))
    points = [reader.settled(choice, volts, tables) for volts in supplies]
    solved = [one for one in points if one is not None]
    if len(solved) < len(points):
        return None
    # (states, filaments, supplies), relative to rated
    flux = np.exp2(np.stack([one.stops[:, : len(problem.layout.filaments)] for one in solved], axis=-1))
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
        points=tuple(
            SupplyPoint(supply=volts, states=reader.rows(one, choice, volts))
            for volts, one in zip(supplies, solved, strict=True)
        ),
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
