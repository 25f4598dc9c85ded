"""How large a table is that remembers what came of something: small searches are not to clear megabytes.

No source: our measure.
"""

LEAST = 64
"""As far as an open address is looked for."""


def slots_for(keys: int, most: int) -> int:
    """The slots of a table that at most so many keys come to, half of it free; powers of two.

    >>> slots_for(100, 2**16), slots_for(0, 2**16), slots_for(10**9, 2**16)
    (256, 64, 65536)
    """
    return min(max(LEAST, 1 << (2 * keys - 1).bit_length()), most) if keys else LEAST
