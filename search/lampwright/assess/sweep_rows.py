"""Flux against supply voltage, as rows for the page: every line once, with the states in which it holds."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from lampwright.assess.sweep import UnsolvedError, supplies_of, sweep_flux
from lampwright.judge.judge import Judge
from lampwright.network.netlist import Netlist
from lampwright.parts.filament import Filament
from lampwright.problem.edges import flux_band
from lampwright.problem.problem import Choice, Problem
from lampwright.results.design import StateRow
from lampwright.results.row import Ratio, written
from lampwright.results.trials import LevelBand, Sweep, SweepLine
from lampwright.spec.model import AskedBand


def sweep_rows(judge: Judge, netlist: Netlist, choice: Choice, states: Sequence[StateRow]) -> Sweep | None:
    """Sweep the supply of a judged circuit with these states; None where a point has no solution.

    Raises ShortedError where supply meets ground.
    """
    problem = judge.problem
    supplies = supplies_of(problem)
    try:
        flux = sweep_flux(judge, netlist, choice, supplies)
    except UnsolvedError:
        return None
    found: dict[tuple[str, str, tuple[float, ...], _Edges], list[str]] = {}
    lamp_of = [at for at, one in enumerate(problem.layout.lamps) for _ in one.filaments]
    for lamp, name in enumerate(problem.layout.filaments):
        for at, state in enumerate(problem.states):
            band = state.bands[lamp]
            # rounded as they will be written: what reads alike is one line
            line = tuple(written(Ratio, float(value)) or 0.0 for value in flux[at, lamp])
            if band is None and max(line) <= problem.spec.levels.off.high:
                continue
            model = problem.part_options.filament_model[lamp][choice.digits[lamp_of[lamp]]]
            key = (
                name,
                state.words[lamp],
                line,
                _edges(band, problem.part_options.filaments[model], problem, supplies),
            )
            found.setdefault(key, []).append(states[at].full_name)
    lines = tuple(
        SweepLine(
            lamp=name,
            wanted=word,
            states=tuple(states),
            flux=line,
            low_flux=edges.low,
            high_flux=edges.high,
            low_fluxes=edges.lows,
        )
        for (name, word, line, edges), states in found.items()
    )
    return Sweep(
        supplies=supplies,
        volts=tuple(float(volts) for volts in problem.volts),
        levels=_levels(problem),
        lines=lines,
    )


@dataclass(frozen=True)
class _Edges:
    """The edges of a band that bound anything, and the low one at every supply where it hangs on it."""

    low: float | None = None
    high: float | None = None
    lows: tuple[float, ...] | None = None


def _edges(
    asked: AskedBand | None, filament: Filament, problem: Problem, supplies: tuple[float, ...]
) -> _Edges:
    if asked is None:
        return _Edges()
    band = flux_band(asked, filament, float(problem.volts[1]))
    low = band.low if band.low > 0.0 else None
    if asked.of_full == 0.0:
        return _Edges(low, _finite(band.high))
    lows = tuple(flux_band(asked, filament, volts).low for volts in supplies)
    return _Edges(low, _finite(band.high), tuple(written(Ratio, each) or 0.0 for each in lows))


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _levels(problem: Problem) -> tuple[LevelBand, ...]:
    """The spec's words, dark to bright."""
    levels = problem.spec.levels
    bands = (("off", levels.off), ("dim", levels.dim), ("lit", levels.lit), ("full", levels.full))
    return tuple(
        LevelBand(word=word, low_flux=band.low, high_flux=_finite(band.high)) for word, band in bands
    )
