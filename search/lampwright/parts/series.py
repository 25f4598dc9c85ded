"""Resistor values and ratings one can buy: preferred numbers and stock wattages.

Which values of a series lie between two ohms? The decade's values are multiplied by
powers of ten as decimals, so 4.7 ohms is the number 4.7 and nothing near it.

Worked case: E6 from 1 to 10 is 1.0, 1.5, 2.2, 3.3, 4.7, 6.8, 10.

A resistor should carry half of its rating at most, so twice its worst heat decides its wattage.

Source: IEC 60063 (IEC-60063); wattages and derating common practice.
"""

from collections.abc import Iterable
from decimal import Decimal
from functools import cache

from lampwright.parts.tables import UnknownPart, constant, read_table

DECADES = range(-3, 8)  # 1 mΩ to under 100 MΩ
CONFIDENCES = ("high", "medium-high", "medium", "low")


@cache
def series_names() -> tuple[str, ...]:
    """The series there are, coarsest first; text, no unit."""
    return tuple(dict.fromkeys(row.text("series") for row in read_table("series.csv").rows))


def _known(series: str) -> str:
    if series not in series_names():
        raise UnknownPart("series of preferred values", series, series_names())
    return series


def preferred_values(series: str, low: float, high: float) -> tuple[float, ...]:
    """Values of a series from low to high, both included, rising.

    series: as `E12`. low, high: scalars in one unit, say [Ω], 0.001 to 1e8; the values
    are in the same unit. Raises UnknownPart for no such series. Source: IEC 60063.

    >>> preferred_values("E6", 1.0, 10.0)
    (1.0, 1.5, 2.2, 3.3, 4.7, 6.8, 10.0)
    """
    decade = [
        row.text("value") for row in read_table("series.csv").rows if row.text("series") == _known(series)
    ]
    values = (float(Decimal(value).scaleb(power)) for power in DECADES for value in decade)
    return tuple(value for value in values if low <= value <= high)


def series_tolerance(series: str) -> float:
    """Tolerance that goes with a series, a fraction [1] both ways; a scalar.

    Raises UnknownPart for no such series. Source: IEC 60063.
    """
    rows = read_table("series.csv").rows
    return next(row.number("tolerance_pct") for row in rows if row.text("series") == _known(series)) / 100.0


def stock_wattages() -> tuple[float, ...]:
    """Power ratings resistors are stocked in [W], rising, a sequence of scalars. Source: common practice."""
    return tuple(row.number("watts") for row in read_table("wattages.csv").rows)


def is_cool(heat: float, watts: float) -> bool:
    """Whether a resistor of this rating [W] carries a heat [W] at a load that it bears for long; scalars.

    Source: constants.csv, resistor_load_share.
    """
    return heat <= constant("resistor_load_share") * watts * (1.0 + 1e-9)


def wattage_for(heat: float, offered: Iterable[float]) -> float:
    """The least wattage of those on offer [W] that a heat [W] loads by half at most; a scalar.

    The largest where none does, or 0 where none is on offer.

    >>> wattage_for(4.0, (5, 10, 25)), wattage_for(7.5, (2, 10))
    (10, 10)
    """
    rising = sorted(offered)
    return next((watts for watts in rising if is_cool(heat, watts)), max(rising, default=0.0))


def series_confidence(series: str) -> str:
    """How sure the values of a series are, the least sure of its rows; text, no unit.

    Raises UnknownPart for no such series. Source: column `confidence` of series.csv.
    """
    rows = read_table("series.csv").rows
    said = {row.text("confidence") for row in rows if row.text("series") == _known(series)}
    return max(said, key=CONFIDENCES.index)


def wattage_confidence() -> str:
    """How sure the stock wattages are, the least sure of their rows; text, no unit. Source: wattages.csv."""
    return max({row.text("confidence") for row in read_table("wattages.csv").rows}, key=CONFIDENCES.index)
