"""What every row is: plain data, made by keyword, whose numbers say their unit and the digits kept of them.

A run with another number of workers may differ in the last bits of a number; a file must not. So every
number that is not whole has one of the types below, and is written as its type says. No source: our format.

>>> written(Volts, 13.49996)
13.5
>>> written(Ratio, 0.0123456)
0.01235
"""

import math
from functools import cache
from typing import Annotated, Any, get_args

from msgspec import Meta, Struct


class Row(
    Struct,
    frozen=True,
    kw_only=True,
    forbid_unknown_fields=True,
    rename={"from_node": "from", "to_node": "to"},
):
    """One object of a result; its fields are the file's keys, in their order."""


def _decimals(digits: int, unit: str = "") -> Meta:
    """Say how many digits are kept after the point."""
    said = f"[{unit}], {digits} decimals" if unit else f"{digits} decimals"
    return Meta(description=said, extra={"decimals": digits})


def _significant(digits: int, unit: str = "") -> Meta:
    """Say how many digits are kept from the first that is not zero."""
    said = f"[{unit}], {digits} significant digits" if unit else f"{digits} significant digits"
    return Meta(description=said, extra={"significant": digits})


Volts = Annotated[float, _decimals(3, "V")]
Amps = Annotated[float, _decimals(4, "A")]
SurgeAmps = Annotated[float, _significant(3, "A")]
Watts = Annotated[float, _decimals(3, "W")]
Ohms = Annotated[float, _significant(4, "ohm")]
Kelvin = Annotated[float, _decimals(1, "K")]
Lumens = Annotated[float, _significant(4, "lm")]
Stops = Annotated[float, _decimals(3, "stops")]
Seconds = Annotated[float, _decimals(2, "s")]
FineSeconds = Annotated[float, _decimals(3, "s")]
Hours = Annotated[float, _significant(3, "h")]
PerMinute = Annotated[float, _decimals(1, "per minute")]
Metres = Annotated[float, _decimals(2, "m")]
SquareMillimetres = Annotated[float, _significant(4, "mm2")]
Celsius = Annotated[float, _decimals(1, "degree Celsius")]
Percent = Annotated[float, _significant(4, "%")]
Money = Annotated[float, _decimals(4, "the spec's money")]
Ratio = Annotated[float, _significant(4)]
"""Of something rated, of all copies, of a cycle."""
Score = Annotated[float, _decimals(3)]
"""From 0 to 1, where thousandths are enough."""
Amount = Annotated[float, _significant(4)]
"""In a unit that stands beside it, or that the row's docstring gives."""
IN_UNIT = Meta(description="in the row's unit, with its digits", extra={"decimals": 4})
InUnit = Annotated[float, IN_UNIT]
"""Written as volts, amps or watts, as the row's `unit` says."""
Whole = Annotated[int, Meta(ge=0)]
WholeKelvin = Annotated[int, Meta(ge=0, description="[K], whole")]

BY_UNIT = {"A": Amps, "W": Watts, "V": Volts}


def written(kind: Any, value: float, name: str = "this") -> float | None:
    """Round a number as its type says; None where it is infinite.

    kind: one of the types above, alone or as what a field may hold or hold many of. name: what to call it.
    Raises ValueError for what is not a number: that is a defect of ours, and must not be stored.
    """
    if math.isnan(value):
        raise ValueError(f"{name} is not a number, and cannot be written")
    if math.isinf(value):
        return None
    ((kept, digits),) = _extra(rounding(kind)).items()
    # Adding zero turns a negative zero into zero.
    if kept == "decimals":
        return round(float(value), digits) + 0.0
    return float(f"{float(value):.{digits}g}") + 0.0


@cache
def rounding(kind: Any) -> Meta | None:
    """Find what a type says of its unit and digits; None where it holds no number of the types above."""
    for meta in getattr(kind, "__metadata__", ()):
        if _extra(meta):
            return meta  # type: ignore[no-any-return]  # a type's own metadata have no type
    return next((found for found in map(rounding, get_args(kind)) if found), None)


def _extra(meta: Meta | None) -> dict[str, int]:
    return (meta and meta.extra) or {}
