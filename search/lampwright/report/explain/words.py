"""Lists, fractions and quantities in the words of an explanation. No source: our words."""

from collections.abc import Sequence

from lampwright.report import si
from lampwright.results.explanation import PartFact

PARTS = (
    "half", "a third", "a quarter", "a fifth", "a sixth", "a seventh",
    "an eighth", "a ninth", "a tenth", "an eleventh", "a twelfth",
)  # fmt: skip
LEAST = 0.005
"""Volts below this are next to none."""


def verb(words: Sequence[object], one: str, more: str) -> str:
    """Choose the form of a verb for one subject or more."""
    return one if len(words) == 1 else more


def about(share: float) -> str:
    """Say a share below one in words that are within a tenth of it, and in percent where none is.

    >>> about(0.098), about(0.5), about(0.42).replace(si.SPACE, " ")
    ('about a tenth', 'about half', 'about 42 %')
    """
    for number, word in enumerate(PARTS, 2):
        if abs(share * number - 1.0) <= 0.05:
            return f"about {word}"
    return percent(share) if share < 0.001 else f"about {percent(share)}"


def percent(share: float) -> str:
    """Write a share in percent.

    >>> [percent(share).replace(si.SPACE, " ") for share in (0.0004, 0.062, 0.5)]
    ['less than 0.1 %', '6.2 %', '50 %']
    """
    return f"less than 0.1{si.SPACE}%" if share < 0.001 else si.percent(share)


def volts(value: float) -> str:
    """Write a voltage [V], three digits; below one volt, hundredths.

    >>> [volts(value).replace(si.SPACE, " ") for value in (13.42, 2.197, 0.0805, 0.001)]
    ['13.4 V', '2.2 V', '0.08 V', 'less than 0.01 V']
    """
    if value < LEAST:
        return f"less than 0.01{si.SPACE}V"
    return si.volts(value) if value >= 0.995 else f"{value:.2f}{si.SPACE}V"


def ohms(value: float) -> str:
    """Write the resistance of a filament [ohm], two digits."""
    return si.quantity(value, "Ω", 2)


def rated_ohms(fact: PartFact) -> str:
    """Write the resistance at the rated voltage."""
    return f"{ohms(fact.ohms)} at its rated {volts(fact.volts)}"


def size(value: float, unit: str, digits: int) -> str:
    """Write a size without a prefix, so that a reader can multiply; a very small one with it."""
    if not 0.001 <= value < 0.1:
        return si.quantity(value, unit, digits)
    return f"{float(f'{value:.{digits}g}'):g}{si.SPACE}{unit}"


def times(ratio: float) -> str:
    """Write a ratio, two digits.

    >>> times(168.3), times(2.41), times(0.62)
    ('170 times', '2.4 times', '0.62 times')
    """
    return f"{float(f'{ratio:.2g}'):g} times"
