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


VOLTS = Rule(unit="V", digits=3, kept="decimals")
AMPS = Rule(unit="A", digits=4, kept="decimals")
WATTS = Rule(unit="W", digits=3, kept="decimals")
OHMS = Rule(unit="ohm", digits=4, kept="significant")
SHARE = Rule(unit="", digits=4, kept="significant")
SECONDS = Rule(unit="s", digits=2, kept="decimals")
KELVIN = Rule(unit="K", digits=1, kept="decimals")

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
    "rated_lumens": Rule(unit="lm", digits=4, kept="significant"),
    "kelvin": KELVIN,
    "rated_kelvin": KELVIN,
    "margin_stops": Rule(unit="stops", digits=3, kept="decimals"),
    "seconds": SECONDS,
    "about_seconds": SECONDS,
    "tolerance_percent": Rule(unit="%", digits=4, kept="significant"),
    "metres": Rule(unit="m", digits=2, kept="decimals"),
    "area_mm2": Rule(unit="mm2", digits=4, kept="significant"),
    "drop_volts": VOLTS,
    "most_drop_volts": VOLTS,
    "fuse_amps": AMPS,
    "carries_amps": AMPS,
    "celsius": Rule(unit="degree Celsius", digits=1, kept="decimals"),
    "seconds_to_band": Rule(unit="s", digits=3, kept="decimals"),
    "share_in_band": Rule(unit="", digits=3, kept="decimals"),
    "final_flux": SHARE,
    "flashes_per_minute": Rule(unit="per minute", digits=1, kept="decimals"),
    "on_share": SHARE,
    "first_amps": Rule(unit="A", digits=3, kept="significant"),
    "mean_amps": Rule(unit="A", digits=3, kept="significant"),
    "final_amps": Rule(unit="A", digits=3, kept="significant"),
    "cold_amps": Rule(unit="A", digits=3, kept="significant"),
    "settled_amps": Rule(unit="A", digits=3, kept="significant"),
    # Preferred values: ohms of a series, or watts a resistor is sold for.
    "values": Rule(unit="", digits=4, kept="significant"),
    # What a careful builder asks (`results.care`).
    "margin_without": Rule(unit="stops", digits=3, kept="decimals"),
    "cost_stops": Rule(unit="stops", digits=3, kept="decimals"),
    "least_margin": Rule(unit="stops", digits=3, kept="decimals"),
    "median_margin": Rule(unit="stops", digits=3, kept="decimals"),
    "share_low": SHARE,
    "share_high": SHARE,
    "confidence_level": SHARE,
    "aged_current": SHARE,
    "aged_light": SHARE,
    "value": Rule(unit="", digits=3, kept="decimals"),
    "score": Rule(unit="", digits=3, kept="decimals"),
    "load": Rule(unit="", digits=4, kept="significant"),
    "allowed": Rule(unit="", digits=4, kept="significant"),
    "fitted_watts": WATTS,
    "advised_watts": WATTS,
    "most_watts": WATTS,
    "most_amps": AMPS,
    "hours": Rule(unit="h", digits=3, kept="significant"),
    # Trials, trade-offs and the parts box.
    "supplies": VOLTS,
    "low_flux": SHARE,
    "high_flux": SHARE,
    "loose_volts": VOLTS,
    "fault_score": Rule(unit="", digits=3, kept="decimals"),
    "floor_stops": Rule(unit="stops", digits=3, kept="decimals"),
    "price": Rule(unit="the spec's money", digits=4, kept="decimals"),
    "cost": Rule(unit="the spec's money", digits=4, kept="decimals"),
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
