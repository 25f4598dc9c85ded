"""Words that every layer may need: lists, counts, limits, money, aims, paper. No source: our words."""

from collections.abc import Sequence
from typing import Literal

Aim = Literal["extra parts", "wires", "joints", "conductors", "margin", "faults"]
Paper = Literal["A4", "letter"]
"""Sizes of paper that a page is set for."""


def listed(words: Sequence[str], last: str = "and") -> str:
    """Join words as a list in a sentence.

    >>> listed(["front", "side", "stop"]), listed(["off", "on"], "or")
    ('front, side and stop', 'off or on')
    """
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"


def many(count: int, one: str, more: str = "") -> str:
    """Write a count and its noun.

    >>> many(1, "joint"), many(0, "joint"), many(1200, "other type", "other types")
    ('1 joint', '0 joints', '1,200 other types')
    """
    return f"{count:,} {one if count == 1 else more or one + 's'}"


def counted(count: int, one: str) -> str:
    """Write a count and its noun, none of them as `no`.

    >>> counted(0, "joint"), counted(1, "joint")
    ('no joints', '1 joint')
    """
    return many(count, one) if count else f"no {one}s"


def beyond(ref: str, worst: float, limit: float | None, unit: str) -> str:
    """Say what exceeds its limit, and by how much.

    >>> beyond("brake", 9.1, 8.0, "A")
    'brake: 9.1 A where 8 A is the most'
    """
    return f"{ref}: {worst:.3g} {unit} where {limit or 0.0:.3g} {unit} is the most"


def money(sum_of: float) -> str:
    """Write a sum of money: two decimals, or as many more as it has.

    >>> money(1.2), money(0.0), money(0.125)
    ('1.20', '0.00', '0.125')
    """
    whole, _, decimals = f"{sum_of:.4f}".partition(".")
    return f"{whole}.{decimals.rstrip('0'):0<2}"
