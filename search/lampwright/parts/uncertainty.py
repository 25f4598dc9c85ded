"""How far the catalogue's own figures may be off, and a filament with such a figure.

A tolerance says how copies of a lamp differ; this says how wrong the row may be. The figures go
by the confidence of the row (`uncertainty.csv`), and are our own judgement.

Worked case: a lamp of medium confidence, lumens within 10 %: 10 % more light for the same watts
makes R5W some 50 K hotter and P21W 70 K, and darker at low volts, relative to rated.

Source: our own (`uncertainty.csv`); the spread of the share through gas as `conduction` says.
"""

from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from lampwright.parts.filament import Filament
from lampwright.parts.photometry import efficacy_bounds, kelvin_of_efficacy, tungsten_efficacy
from lampwright.parts.tables import read_table

PERCENT = 0.01


@dataclass(frozen=True)
class Uncertainty:
    """How far figures may be off, fractions [1], both ways."""

    lumens: float
    watts: float


@cache
def uncertainty_of(confidence: str) -> Uncertainty:
    """How far the figures of a row of this confidence may be off [1]; ValueError for another word."""
    for row in read_table("uncertainty.csv").rows:
        if row.text("trust") == confidence:
            return Uncertainty(PERCENT * row.number("lumens_pct"), PERCENT * row.number("watts_pct"))
    raise ValueError(f"uncertainty.csv: no confidence {confidence}")


@cache
def revalued(filament: Filament, lumens: float = 1.0, watts: float = 1.0, share: float = 0.0) -> Filament:
    """The filament with other figures, and the temperature that they then give.

    lumens, watts: factors [1] on the rated ones. share: added to the share of heat conducted [1].
    Scalars. The efficacy that the temperature follows from moves as lumens / watts / (1 - s), and
    stays within 1000 K and melting.
    """
    new_share = filament.conducted_share + share
    moved = lumens / watts * (1.0 - filament.conducted_share) / (1.0 - new_share)
    wanted = float(np.clip(moved * float(tungsten_efficacy(filament.rated_kelvin)), *efficacy_bounds()))
    return replace(
        filament,
        lumens=filament.lumens * lumens,
        watts=filament.watts * watts,
        conducted_share=new_share,
        rated_kelvin=kelvin_of_efficacy(wanted),
    )
