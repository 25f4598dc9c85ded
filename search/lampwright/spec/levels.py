"""The words for a lamp, and the bands they stand for.

A steady word is one band in every phase. With one flasher on, a word may differ by
phase: `flash` is lit in the closed phase and off in the open one, `counterflash` the
other way round, and a pair as `lit/dim` names both, closed first.

Bands are relative flux, with two exceptions. `full` asks for a share of full light: what
the same lamp gives straight across the supply, its rated light at most. So a lamp straight
across a weak supply is full, and one that gives its share of rated light is full at any.
`dark` is a filament too cold to glow, in kelvin: `off` gives no useful light, and may be a
dull red thread.

    >>> phase_word("counterflash", "open"), phase_word("lit/dim", "open"), phase_word("full", "open")
    ('lit', 'dim', 'full')
    >>> level_name(DEFAULT_LEVELS, 0.7), level_name(DEFAULT_LEVELS, 0.2)
    ('full', 'between')
    >>> level_name(DEFAULT_LEVELS, 0.4), level_name(DEFAULT_LEVELS, 0.4, full_light=0.6)
    ('lit', 'full')
"""

from math import inf
from typing import Literal

from lampwright.spec.model import AskedBand, Band, Levels

FlashPhase = Literal["closed", "open"]

ANY = "any"
DARK = "dark"
STEADY = (DARK, "off", "dim", "lit", "full", ANY)
FLASHING = {"flash": ("lit", "off"), "counterflash": ("off", "lit")}

MOST_DARK_KELVIN = 1100.0
"""As far as `dark` may be moved [K]: no lamp gives a ten-thousandth of its rated light there."""

DEFAULT_LEVELS = Levels(off=Band(0.0, 0.005), dim=Band(0.01, 0.15), lit=Band(0.25, inf), full=Band(0.60, inf))


def is_steady(word: str) -> bool:
    """Whether a word asks the same in both phases of a flasher."""
    return word in STEADY


def phase_words(word: str) -> tuple[str, ...]:
    """Return the steady words that `word` asks for in the closed and the open phase of the flasher."""
    if is_steady(word):
        return word, word
    return FLASHING[word] if word in FLASHING else tuple(word.split("/"))


def phase_word(word: str, phase: FlashPhase) -> str:
    """Return the steady word that `word` asks for in one phase of the flasher."""
    return phase_words(word)[phase == "open"]


def band_of(levels: Levels, word: str) -> AskedBand | None:
    """Return what a steady word asks; None for `any`, which asks nothing."""
    if word == DARK:
        return AskedBand(kelvin=levels.dark)
    if word == "full":
        return AskedBand(high=levels.full.high, of_full=levels.full.low)
    bands = {"off": levels.off, "dim": levels.dim, "lit": levels.lit}
    return AskedBand(bands[word].low, bands[word].high) if word in bands else None


def meet(first: AskedBand, second: AskedBand) -> AskedBand:
    """Return what two bands ask together; where no lamp can give that, it `is_empty`."""
    return AskedBand(
        max(first.low, second.low),
        min(first.high, second.high),
        max(first.of_full, second.of_full),
        min(first.kelvin, second.kelvin),
    )


def is_empty(band: AskedBand) -> bool:
    """Whether no flux, or a single point only, lies in the band, full light being rated light.

    A lamp that must not glow has no light, however little is asked.
    """
    least = max(band.low, band.of_full)
    return not least < band.high or (band.kelvin < inf and least > 0.0)


def are_apart(levels: Levels, first: str, second: str) -> bool:
    """Whether no light fits two words, in one phase of a flasher at least."""
    pairs = zip(phase_words(first), phase_words(second), strict=True)
    bands = [(band_of(levels, one), band_of(levels, other)) for one, other in pairs]
    return any(one is not None and other is not None and is_empty(meet(one, other)) for one, other in bands)


def level_name(levels: Levels, flux: float, full_light: float = 1.0) -> str:
    """Return the word a relative flux deserves: off, dim, lit, full or between; full wins over lit.

    full_light: what the lamp gives straight across the supply, relative to rated. `dark` is not
    among them: it is said of a lamp only where it was asked for.
    """
    full = Band(levels.full.low * min(1.0, full_light), levels.full.high)
    for word, band in (("full", full), ("lit", levels.lit), ("dim", levels.dim), ("off", levels.off)):
        if band.low <= flux <= band.high:
            return word
    return "between"
