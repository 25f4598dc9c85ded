"""How hard a circuit is to understand, from 1 to 3. No source: our choice.

>>> grade_of(2, ()), grade_of(4, ("both live",)), grade_of(12, ())
(1, 2, 3)
"""

from collections.abc import Collection

from lampwright.results.explanation import Trick

EASY, HARDEST = 1, 3
MANY, VERY_MANY = 4, 8
"""More settings than these are at least of grade 2, and of grade 3."""
HARD: tuple[Trick, ...] = ("both ways", "both live")
"""Current that runs either way through a filament, and a lamp that is dark with both ends live."""


def grade_of(settings: int, tricks: Collection[Trick]) -> int:
    """The grade of a circuit with so many settings whose explanation names these tricks."""
    least = EASY + (settings > MANY) + (settings > VERY_MANY)
    return max(least, EASY + sum(one in tricks for one in HARD))
