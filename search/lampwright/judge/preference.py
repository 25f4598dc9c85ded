"""The aims by which designs are ranked, and the order in which they count.

The first aim in which two designs differ decides. No source: our choice; fewest parts
come first because the search rises by them, and its proofs speak of them.

>>> completed(("margin",))
('margin', 'extra parts', 'wires', 'joints', 'conductors', 'faults')
"""

from collections.abc import Iterable
from typing import Literal

Aim = Literal["extra parts", "wires", "joints", "conductors", "margin", "faults"]

DEFAULT_ORDER: tuple[Aim, ...] = ("extra parts", "wires", "joints", "conductors", "margin", "faults")


def completed(prefer: Iterable[Aim]) -> tuple[Aim, ...]:
    """All aims: those preferred first, the others behind them in the order they always had."""
    return tuple(dict.fromkeys((*prefer, *DEFAULT_ORDER)))
