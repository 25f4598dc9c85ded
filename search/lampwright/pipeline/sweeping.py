"""Flux against supply voltage, as rows for the page: every line once, with the states in which it holds."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from lampwright.network.embed import Embedding
from lampwright.parts.filament import Filament
from lampwright.pipeline.regulated import named
from lampwright.rank.edges import flux_band
from lampwright.rank.judge import Judge
from lampwright.rank.study import Choice, Study
from lampwright.rank.sweep import UnsolvedError, supplies_of, sweep_flux
from lampwright.spec.model import AskedBand
from lampwright.store.design import StateRow
from lampwright.store.rounding import written
from lampwright.store.trial_rows import LevelBand, Sweep, SweepLine


def sweep_rows(
    judge: Judge, embedding: Embedding, choice: Choice, states: Sequence[StateRow]
) -> Sweep | None:
    """Sweep the supply of a judged circuit with these states; None where a point has no solution.

    Raises ShortedError where supply meets ground.
    """
    study = judge.study
    supplies = supplies_of(study)
    try:
        flux = sweep_flux(judge, embedding, choice, supplies)
    except UnsolvedError:
        return None
    found: dict[tuple[str, str, tuple[float, ...], _Edges], list[str]] = {}
    lamp_of = [at for at, one in enumerate(study.layout.lamps) for _ in one.filaments]
    for lamp, name in enumerate(study.layout.filaments):
        for at, state in enumerate(study.states):
            band = state.bands[lamp]
            # rounded as they will be written: what reads alike is one line
            line = tuple(written("flux", float(value)) or 0.0 for value in flux[at, lamp])
            if band is None and max(line) <= study.spec.levels.off.high:
                continue
            model = study.shelf.filament_model[lamp][choice.digits[lamp_of[lamp]]]
            key = name, state.words[lamp], line, _edges(band, study.shelf.filaments[model], study, supplies)
            found.setdefault(key, []).append(named(states[at]))
    lines = tuple(
        SweepLine(name, word, tuple(states), line, edges.low, edges.high, edges.lows)
        for (name, word, line, edges), states in found.items()
    )
    return Sweep(supplies, tuple(float(volts) for volts in study.volts), _levels(study), lines)


@dataclass(frozen=True)
class _Edges:
    """The edges of a band that bound anything, and the low one at every supply where it hangs on it."""

    low: float | None = None
    high: float | None = None
    lows: tuple[float, ...] | None = None


def _edges(asked: AskedBand | None, filament: Filament, study: Study, supplies: tuple[float, ...]) -> _Edges:
    if asked is None:
        return _Edges()
    band = flux_band(asked, filament, float(study.volts[1]))
    low = band.low if band.low > 0.0 else None
    if asked.of_full == 0.0:
        return _Edges(low, _finite(band.high))
    lows = tuple(flux_band(asked, filament, volts).low for volts in supplies)
    return _Edges(low, _finite(band.high), tuple(written("low_fluxes", each) or 0.0 for each in lows))


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _levels(study: Study) -> tuple[LevelBand, ...]:
    """The spec's words, dark to bright."""
    levels = study.spec.levels
    bands = (("off", levels.off), ("dim", levels.dim), ("lit", levels.lit), ("full", levels.full))
    return tuple(LevelBand(word, band.low, _finite(band.high)) for word, band in bands)
