"""The ways in which a number of wires can join terminals into fewer.

w wires that join no two terminals twice leave T - w groups of joined terminals; which
terminals are one is a partition of the T terminals into T - w blocks, written as a
restricted growth string: the block of each terminal, blocks numbered as they first appear
(source: Knuth, The Art of Computer Programming 4A, 7.2.1.5, from memory). Three terminals and one
wire: 001, 010, 011. The numbers are Stirling's of the second kind: 1, 7, 6, 1 for four.
"""

from collections.abc import Iterator
from dataclasses import dataclass


@dataclass(frozen=True)
class Partition:
    """The block of each terminal, in order of first appearance, and the number of blocks."""

    block: tuple[int, ...]
    blocks: int


def terminal_partitions(terminals: int, wires: int) -> tuple[Partition, ...]:
    """The partitions of the terminals into `terminals - wires` blocks, in lexicographic order.

    >>> [each.block for each in terminal_partitions(3, 1)]
    [(0, 0, 1), (0, 1, 0), (0, 1, 1)]
    """
    if terminals < 0 or wires < 0:
        raise ValueError(f"{terminals} terminals and {wires} wires cannot be; use 0 or more")
    blocks = terminals - wires
    return tuple(Partition(block, blocks) for block in _growth_strings(terminals, blocks))


def _growth_strings(length: int, blocks: int) -> Iterator[tuple[int, ...]]:
    """Restricted growth strings with exactly this number of blocks."""
    if length == 0:
        if blocks == 0:
            yield ()
        return
    # the prefix keeps lexicographic order; it may lack only the block its last letter opens
    prefixes = [(string, blocks) for string in _growth_strings(length - 1, blocks)]
    prefixes += [(string, blocks - 1) for string in _growth_strings(length - 1, blocks - 1)]
    for string, have in sorted(prefixes):
        yield from ((*string, have),) if have < blocks else ((*string, last) for last in range(blocks))
