"""What the lamps of a circuit do, as a student would see it, and how that reads. No source: our words.

>>> lights_words(("L1", "L2", "L3"), ("burns", "burns", "dark"))
'L1 and L2 burn; L3 is dark'
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from lampwright.results.design import PartRow
from lampwright.results.worksheet import LightWord
from lampwright.words import listed

Lights = tuple[LightWord, ...]
"""One word for each filament, in order."""
SAID: dict[LightWord, tuple[str, str]] = {
    "burns": ("burns", "burn"),
    "glows": ("glows faintly", "glow faintly"),
    "dark": ("is dark", "are dark"),
}


@dataclass(frozen=True)
class Seen:
    """What a circuit does, simulated from the lowest to the highest supply.

    lights: by setting. failed: for each filament that has burnt out, the same. is_safe: nothing carries more
    than its rating.
    """

    lights: tuple[Lights, ...]
    failed: tuple[tuple[Lights, ...], ...]
    is_safe: bool


Simulate = Callable[[tuple[PartRow, ...]], Seen | None]
"""Simulates a circuit of these parts; None where the supply is shorted or no answer was found."""


def is_sure(lights: Sequence[LightWord]) -> bool:
    """Whether each lamp does one thing at every supply."""
    return "unsure" not in lights


def lights_words(lamps: Sequence[str], lights: Sequence[LightWord]) -> str:
    """Say what each lamp does."""
    said = []
    for word, (one, more) in SAID.items():
        some = [lamp for lamp, light in zip(lamps, lights, strict=True) if light == word]
        if some:
            said.append(f"{listed(some)} {one if len(some) == 1 else more}")
    return "; ".join(said)
