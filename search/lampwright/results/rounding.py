"""How each number of a result is written: its unit and the digits kept, in one table.

A run with another number of workers may differ in the last bits of a number; a file must
not. Every floating-point field of `results.ranking` has its row here, found by the field's
name; `worst` and `limit` of a rating are written as their unit's row says. No source: our format.

>>> written("volts", 13.49996)
13.5
>>> written("flux", 0.0123456)
0.01235
"""

import math
from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True)
class Rule:
    """The unit of a number ("" where it has none), and how many digits are kept.

    kept: "decimals" after the point, or "significant" digits.
    """

    unit: str
    digits: int
    kept: Literal["decimals", "significant"]

    def describe(self) -> str:
        """Say the rule in words, for the schema."""
        digits = f"{self.digits} {'significant digits' if self.kept == 'significant' else 'decimals'}"
        return f"[{self.unit}], {digits}" if self.unit else digits


VOLTS = Rule("V", 3, "decimals")
AMPS = Rule("A", 4, "decimals")
WATTS = Rule("W", 3, "decimals")
OHMS = Rule("ohm", 4, "significant")
SHARE = Rule("", 4, "significant")
SECONDS = Rule("s", 2, "decimals")
KELVIN = Rule("K", 1, "decimals")

BY_FIELD = {
    "volts": VOLTS,
    "test_volts": VOLTS,
    "amps": AMPS,
    "watts": WATTS,
    "rated_watts": WATTS,
    "ohms": OHMS,
    "cold_ohms": OHMS,
    "hot_ohms": OHMS,
    "flux": SHARE,
    "low_fluxes": SHARE,
    "life": SHARE,
    "conducted_share": SHARE,
    "rated_lumens": Rule("lm", 4, "significant"),
    "kelvin": KELVIN,
    "rated_kelvin": KELVIN,
    "margin_stops": Rule("stops", 3, "decimals"),
    "seconds": SECONDS,
    "about_seconds": SECONDS,
    "tolerance_percent": Rule("%", 4, "significant"),
    "metres": Rule("m", 2, "decimals"),
    "area_mm2": Rule("mm2", 4, "significant"),
    "drop_volts": VOLTS,
    "most_drop_volts": VOLTS,
    "fuse_amps": AMPS,
    "carries_amps": AMPS,
    "celsius": Rule("degree Celsius", 1, "decimals"),
    "seconds_to_band": Rule("s", 3, "decimals"),
    "share_in_band": Rule("", 3, "decimals"),
    "final_flux": SHARE,
    "flashes_per_minute": Rule("per minute", 1, "decimals"),
    "on_share": SHARE,
    "first_amps": Rule("A", 3, "significant"),
    "mean_amps": Rule("A", 3, "significant"),
    "final_amps": Rule("A", 3, "significant"),
    "cold_amps": Rule("A", 3, "significant"),
    "settled_amps": Rule("A", 3, "significant"),
    # Preferred values: ohms of a series, or watts a resistor is sold for.
    "values": Rule("", 4, "significant"),
    # What a careful builder asks (`results.care`).
    "margin_without": Rule("stops", 3, "decimals"),
    "cost_stops": Rule("stops", 3, "decimals"),
    "least_margin": Rule("stops", 3, "decimals"),
    "median_margin": Rule("stops", 3, "decimals"),
    "share_low": SHARE,
    "share_high": SHARE,
    "confidence_level": SHARE,
    "aged_current": SHARE,
    "aged_light": SHARE,
    "value": Rule("", 3, "decimals"),
    "score": Rule("", 3, "decimals"),
    "load": Rule("", 4, "significant"),
    "allowed": Rule("", 4, "significant"),
    "fitted_watts": WATTS,
    "advised_watts": WATTS,
    "most_watts": WATTS,
    "most_amps": AMPS,
    "hours": Rule("h", 3, "significant"),
    # Trials, trade-offs and the parts box.
    "supplies": VOLTS,
    "low_flux": SHARE,
    "high_flux": SHARE,
    "loose_volts": VOLTS,
    "fault_score": Rule("", 3, "decimals"),
    "floor_stops": Rule("stops", 3, "decimals"),
    "price": Rule("the spec's money", 4, "decimals"),
    "cost": Rule("the spec's money", 4, "decimals"),
}

BY_UNIT = {"A": AMPS, "W": WATTS, "V": VOLTS}

UNIT_FIELDS = ("worst", "limit")


def written(field: str, value: float, unit: str = "") -> float | None:
    """Round a number as the field's rule says; None where it is infinite.

    unit: that of a rating, whose `worst` and `limit` have no rule of their own.
    Raises ValueError for what is not a number: that is a defect of ours, and must not be stored.
    """
    rule = BY_UNIT[unit] if field in UNIT_FIELDS else BY_FIELD[field]
    if math.isnan(value):
        raise ValueError(f"{field} is not a number, and cannot be written")
    if math.isinf(value):
        return None
    if rule.kept == "decimals":
        # Adding zero turns a negative zero into zero.
        return round(float(value), rule.digits) + 0.0
    return float(f"{float(value):.{rule.digits}g}") + 0.0
