"""An order that looks like chance and is the same on every machine: by the digest of a seed and a text.

Source: FIPS 180-4 for SHA-256.

>>> shuffled(["a", "b", "c"], 1, str), shuffled(["c", "b", "a"], 1, str)
(['b', 'c', 'a'], ['b', 'c', 'a'])
"""

from collections.abc import Callable, Iterable
from hashlib import sha256
from typing import TypeVar

Thing = TypeVar("Thing")


def shuffled(things: Iterable[Thing], seed: int, text: Callable[[Thing], str]) -> list[Thing]:
    """Put things in the order of the seed and their texts; things of one text stay as they are."""
    return sorted(things, key=lambda one: sha256(f"{seed}\n{text(one)}".encode()).hexdigest())
