"""The words for a lamp, and the bands of relative flux they stand for.

A steady word is one band in every phase. With one flasher on, a word may differ by
phase: `flash` is lit in the closed phase and off in the open one, `counterflash` the
other way round, and a pair as `lit/dim` names both, closed first.

    >>> phase_word("counterflash", "open"), phase_word("lit/dim", "open"), phase_word("full", "open")
    ('lit', 'dim', 'full')
    >>> level_name(DEFAULT_LEVELS, 0.7), level_name(DEFAULT_LEVELS, 0.2)
    ('full', 'between')
"""

from math import inf
from typing import Literal

from lampwright.spec.model import Band, Levels

FlashPhase = Literal["closed", "open"]

ANY = "any"
STEADY = ("off", "dim", "lit", "full", ANY)
FLASHING = {"flash": ("lit", "off"), "counterflash": ("off", "lit")}

DEFAULT_LEVELS = Levels(off=Band(0.0, 0.005), dim=Band(0.01, 0.15), lit=Band(0.25, inf), full=Band(0.60, inf))


def is_steady(word: str) -> bool:
    """Whether a word asks the same in both phases of a flasher."""
    return word in STEADY


def phase_word(word: str, phase: FlashPhase) -> str:
    """Return the steady word that `word` asks for in one phase of the flasher."""
    if is_steady(word):
        return word
    closed, opened = FLASHING[word] if word in FLASHING else word.split("/")
    return closed if phase == "closed" else opened


def band_of(levels: Levels, word: str) -> Band | None:
    """Return the band of a steady word; None for `any`, which asks nothing."""
    bands = {"off": levels.off, "dim": levels.dim, "lit": levels.lit, "full": levels.full}
    return bands.get(word)


def meet(first: Band, second: Band) -> Band:
    """Return what two bands have in common; where that is nothing, low is not under high."""
    return Band(max(first.low, second.low), min(first.high, second.high))


def is_empty(band: Band) -> bool:
    """Whether no flux, or a single point only, lies in the band."""
    return not band.low < band.high


def level_name(levels: Levels, flux: float) -> str:
    """Return the word a relative flux deserves: off, dim, lit, full or between; full wins over lit."""
    for word, band in (("full", levels.full), ("lit", levels.lit), ("dim", levels.dim), ("off", levels.off)):
        if band.low <= flux <= band.high:
            return word
    return "between"
