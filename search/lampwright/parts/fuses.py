"""Blade fuses: which rating a feed wants.

The next rating of which the continuous load is at most three quarters: a fuse near its
rating ages, and a lamp's inrush of some ten times its current lasts only milliseconds,
which a fuse of that size lets by. That the wire behind it carries the rating is the
choice of the wire.

Worked case: 3.9 A wants at least 5.2 A, which is a brown one of 7.5 A.

Source: ISO-8820-3, S46, S47, S91 for ratings and colours; S48, S49 for the share.
"""

from dataclasses import dataclass
from functools import cache

from lampwright.parts.tables import constant, read_table


@dataclass(frozen=True)
class BladeFuse:
    """A rating [A] and the colour of the body."""

    amps: float
    colour: str


@cache
def blade_fuses() -> tuple[BladeFuse, ...]:
    """All ratings [A], rising, a sequence. Source: ISO 8820-3."""
    rows = read_table("fuses.csv").rows
    return tuple(BladeFuse(row.number("amps"), row.text("colour")) for row in rows)


def fuse_for(load: float) -> BladeFuse | None:
    """The least fuse for a continuous load [A], a scalar; None where no blade fuse is large enough.

    Source: common practice for the share of constants.csv, see S48, S49.

    >>> fuse_for(3.9)
    BladeFuse(amps=7.5, colour='brown')
    """
    share = constant("fuse_load_share")
    return next((fuse for fuse in blade_fuses() if load <= share * fuse.amps), None)
