"""Quantities as people read them: a number of two or three digits, a space, a unit.

Source: the SI brochure (9th edition, 5.4.3) for the space between number and unit; the
prefixes keep the number between 1 and 1000. How many digits is our choice. The space does
not break, so that no line ends between a number and its unit.

>>> " ".join((amps(0.374), ohms(4.7), volts(13.5), percent(0.0004))).replace(SPACE, " ")
'0.37 A 4.7 Ω 13.5 V <0.1 %'
"""

import math

SPACE = "\u00a0"
PREFIXES = {-2: "µ", -1: "m", 0: "", 1: "k", 2: "M"}


def quantity(value: float, unit: str, digits: int) -> str:
    """Write a value with at least this number of significant digits, and a prefix where it helps.

    A part's own value is not padded with zeros: 10 Ω, not 10.0 Ω.
    """
    if value == 0.0:
        return f"0{SPACE}{unit}"
    magnitude = math.floor(math.log10(abs(float(f"{value:.{digits}g}"))) / 3.0)
    prefix = max(-2, min(2, magnitude))
    if value < 1.0 and value >= 0.1:
        prefix = 0
    return f"{_number(value / 1000.0**prefix, digits)}{SPACE}{PREFIXES[prefix]}{unit}"


def amps(value: float) -> str:
    """Write a current [A], two digits."""
    return quantity(value, "A", 2)


def watts(value: float) -> str:
    """Write a power [W], two digits."""
    return quantity(value, "W", 2)


def volts(value: float) -> str:
    """Write a voltage [V], three digits."""
    return quantity(value, "V", 3)


def ohms(value: float) -> str:
    """Write a resistance [ohm], three digits."""
    return quantity(value, "Ω", 3)


def percent(share: float) -> str:
    """Write a share of light as percent: whole percents from 10 up, two digits below."""
    shown = 100.0 * share
    if shown < 0.1:
        return f"<0.1{SPACE}%"
    return f"{_number(shown, 2)}{SPACE}%"


def stops(margin: float) -> str:
    """Write a margin in stops; beyond ten either way the number says nothing more."""
    if abs(margin) >= 10.0:
        return f"10{SPACE}stops or more" if margin > 0.0 else f"-10{SPACE}stops or less"
    return f"{margin:.2f}{SPACE}stops"


def times(ratio: float) -> str:
    """Write a multiple: two digits, or whole from ten up.

    >>> times(0.123), times(12.3), times(math.inf)
    ('0.12 ×', '12 ×', '>1000 ×')
    """
    if ratio >= 1000.0:
        return ">1000 ×"
    return f"{ratio:.2g} ×" if ratio < 10.0 else f"{ratio:.0f} ×"


def duration(seconds: float) -> str:
    """Write a time [s] in the unit one would say it in.

    >>> [duration(seconds).replace(SPACE, " ") for seconds in (0.01, 0.3, 95, 7000, 400_000)]
    ['<0.1 s', '0.3 s', '95 s', '117 min', '111 h']
    """
    if seconds < 0.1:
        return f"<0.1{SPACE}s"
    if seconds < 10.0:
        return f"{seconds:.1f}{SPACE}s"
    if seconds < 120.0:
        return f"{seconds:.0f}{SPACE}s"
    if seconds < 7200.0:
        return f"{seconds / 60.0:.0f}{SPACE}min"
    if seconds < 480_000.0:
        return f"{seconds / 3600.0:.0f}{SPACE}h"
    return f"{seconds / 86400.0:,.0f}{SPACE}days"


def _number(value: float, digits: int) -> str:
    """Write a number with this number of significant digits, whole digits never dropped."""
    whole = max(0, digits - 1 - math.floor(math.log10(abs(value))))
    text = f"{value:.{whole}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
