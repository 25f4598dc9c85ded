"""Lists, fractions and quantities in the words of an explanation. No source: our words."""

from collections.abc import Sequence

from lampwright.report import si

PARTS = (
    "half", "a third", "a quarter", "a fifth", "a sixth", "a seventh",
    "an eighth", "a ninth", "a tenth", "an eleventh", "a twelfth",
)  # fmt: skip
LEAST = 0.005
"""Volts below this are next to none."""


def verb(words: Sequence[object], one: str, more: str) -> str:
    """Choose the form of a verb for so many subjects."""
    return one if len(words) == 1 else more


def about(share: float) -> str:
    """Say a share below one in words that are within a tenth of it, and in percent where none is.

    >>> about(0.098), about(0.5), about(0.42).replace(si.SPACE, " ")
    ('about a tenth', 'about half', 'about 42 %')
    """
    if share < 0.001:
        return f"less than 0.1{si.SPACE}%"
    for number, word in enumerate(PARTS, 2):
        if abs(share * number - 1.0) <= 0.05:
            return f"about {word}"
    return f"about {si.percent(share)}"


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
