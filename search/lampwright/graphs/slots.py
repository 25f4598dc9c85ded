"""Tables that remember what came of something: how large they are, and where in them a key belongs.

Small searches are not to clear megabytes. Keys are numbers of a few bytes each in which often one byte alone
differs, so every bit of a key has to move its slot.

Source: multiplication and shift, as in the last step of common hash functions (textbook method); no source
for the sizes: our measure.
"""

from numba import njit

from lampwright.compiled import ENTRY

LEAST = 64
"""As far as an open address is looked for."""

FIRST, SECOND, LAST = 0x1E3779B97F4A7C15, 0x2545F4914F6CDD1D, 0x369DEA0F31A53F85
"""Odd numbers without a pattern in their bits."""


def slots_for(keys: int, most: int) -> int:
    """The slots of a table that at most so many keys come to, half of it free; powers of two.

    >>> slots_for(100, 2**16), slots_for(0, 2**16), slots_for(10**9, 2**16)
    (256, 64, 65536)
    """
    return min(max(LEAST, 1 << (2 * keys - 1).bit_length()), most) if keys else LEAST


@njit(**ENTRY)
def slot_of_words(first: int, second: int, slots: int) -> int:
    """The slot of a key of two words, of so many slots (a power of two); dimensionless [1] scalars."""
    # plain Python's own integers are of any length, where numpy's would overflow with a warning
    mixed = (int(first) * FIRST) ^ (int(second) * SECOND)
    mixed = (mixed ^ (mixed >> 32)) * LAST
    return int((mixed >> 32) & (slots - 1))
