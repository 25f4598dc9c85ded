"""Where the program keeps what it can make again: compiled kernels and templates; what methods have given.

The former in the user's cache, as the system has it (platformdirs); nothing there is an answer, and whoever
deletes it waits once more. No source: our conventions.
"""

import os
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path
from typing import TypeVar
from weakref import WeakMethod

Given = TypeVar("Given")


def cache_folder(name: str) -> Path | None:
    """The folder of that name in our part of the user's cache, made; None where we may not write there."""
    # imported late: whoever has chosen another folder, and the help, need no cache
    from platformdirs import user_cache_path

    folder = user_cache_path("lampwright", appauthor=False) / name
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError:
        return None
    return folder if os.access(folder, os.W_OK) else None


def remembered(most: int, method: Callable[..., Given]) -> Callable[..., Given]:
    """A method that remembers what it gave for so many arguments, and does not keep its object from going.

    What refers to itself goes only when Python looks for such rings, which may be after gigabytes of arrays.
    """
    own = WeakMethod(method)

    @lru_cache(maxsize=most)
    def give(*given: object) -> Given:
        asked = own()
        assert asked is not None, "whoever asks has the object"
        return asked(*given)

    return give
