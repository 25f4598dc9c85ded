"""Flux against supply voltage, as rows for the page: every line once, with the states in which it holds."""

import math
from collections.abc import Sequence

from lampwright.network.embed import Embedding
from lampwright.pipeline.regulated import named
from lampwright.rank.judge import Judge
from lampwright.rank.study import Choice, Study
from lampwright.rank.sweep import UnsolvedError, supplies_of, sweep_flux
from lampwright.spec.model import Band
from lampwright.store.design import StateRow
from lampwright.store.rounding import written
from lampwright.store.trial_rows import LevelBand, Sweep, SweepLine

Edges = tuple[float | None, float | None]


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
    found: dict[tuple[str, str, tuple[float, ...], Edges], list[str]] = {}
    for lamp, name in enumerate(study.layout.filaments):
        for at, state in enumerate(study.states):
            band = state.bands[lamp]
            # rounded as they will be written: what reads alike is one line
            line = tuple(written("flux", float(value)) or 0.0 for value in flux[at, lamp])
            if band is None and max(line) <= study.spec.levels.off.high:
                continue
            key = name, state.words[lamp], line, _edges(band)
            found.setdefault(key, []).append(named(states[at]))
    lines = tuple(
        SweepLine(name, word, tuple(states), line, *edges)
        for (name, word, line, edges), states in found.items()
    )
    return Sweep(supplies, tuple(float(volts) for volts in study.volts), _levels(study), lines)


def _edges(band: Band | None) -> Edges:
    """The edges of a band that bound anything."""
    if band is None:
        return None, None
    return band.low if band.low > 0.0 else None, _finite(band.high)


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _levels(study: Study) -> tuple[LevelBand, ...]:
    """The spec's words, dark to bright."""
    levels = study.spec.levels
    bands = (("off", levels.off), ("dim", levels.dim), ("lit", levels.lit), ("full", levels.full))
    return tuple(LevelBand(word, band.low, _finite(band.high)) for word, band in bands)
