"""What is made once for all tests of a run, in however many processes they run."""

import pickle
from collections.abc import Callable
from pathlib import Path
from time import monotonic, sleep
from typing import TypeVar

Made = TypeVar("Made")

PATIENCE = 300.0
SHARED: list[Path] = []
"""The folder of a run in several processes, if there is one."""


def once(name: str, make: Callable[[], Made]) -> Made:
    """Make it, or read what another process of this run has made under that name."""
    if not SHARED:
        return make()
    kept, begun = SHARED[0] / f"{name}.pickle", SHARED[0] / f"{name}.begun"
    try:
        begun.touch(exist_ok=False)
    except FileExistsError:
        until = monotonic() + PATIENCE
        while not kept.exists():
            if monotonic() > until:
                return make()
            sleep(0.05)
        found: Made = pickle.loads(kept.read_bytes())
        return found
    made = make()
    part = kept.with_suffix(".part")
    part.write_bytes(pickle.dumps(made))
    part.rename(kept)
    return made
