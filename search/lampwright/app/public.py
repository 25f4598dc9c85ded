"""The names under which a user of Python meets our classes."""

from collections.abc import Callable
from typing import TypeVar

Kind = TypeVar("Kind", bound=type)


def named(name: str) -> Callable[[Kind], Kind]:
    """Give a class its name in `lampwright`, which help and pickles then know it by.

    Inside the package a spec, a circuit and a supply are other classes, and no two share a name.
    """

    def rename(kind: Kind) -> Kind:
        kind.__module__, kind.__name__, kind.__qualname__ = "lampwright", name, name
        return kind

    return rename
