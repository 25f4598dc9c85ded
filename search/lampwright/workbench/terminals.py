"""Feeds to choose from, by the terminal numbers of DIN 72552, and the plug faces of trailers' couplings.

Source: DIN 72552 for numbers and meanings; ISO 1724 and ISO 11446 for the plugs (MEMORY).
"""

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True)
class Terminal:
    """A feed: its number, what it is for, what its control is called at first, and of which kind that is."""

    number: str
    meaning: str
    name: str
    kind: Literal["switch", "flasher"] = "switch"


TERMINALS = (
    Terminal("54", "stop lamps", "brake"),
    Terminal("58", "tail, side and number plate lamps", "lights"),
    Terminal("58L", "tail and side lamps, left", "left lights"),
    Terminal("58R", "tail and side lamps, right", "right lights"),
    Terminal("49a", "flasher, output", "turn", "flasher"),
    Terminal("L", "indicators, left", "turn left", "flasher"),
    Terminal("R", "indicators, right", "turn right", "flasher"),
    Terminal("15", "live with the ignition", "ignition"),
    Terminal("55", "front fog lamps", "fog front"),
    Terminal("54g", "rear fog lamp", "fog rear"),
    Terminal("56a", "main beam", "main beam"),
    Terminal("56b", "dipped beam", "dipped beam"),
    Terminal("57a", "parking lamps", "parking"),
    Terminal("58d", "instrument lamps", "dials"),
    Terminal("RF", "reversing lamps", "reverse"),
)


@dataclass(frozen=True)
class PlugPin:
    """A contact of a plug: its number, where it lies on the face (from -1 to 1), and the feed behind it."""

    number: int
    x: float
    y: float
    terminal: Terminal | None


@dataclass(frozen=True)
class Plug:
    """A coupling's plug, its face as one looks at the socket; a pin without a terminal is ground."""

    name: str
    pins: tuple[PlugPin, ...]


def _known(number: str) -> Terminal:
    return next(one for one in TERMINALS if one.number == number)


PLUGS = (
    Plug(
        "7-pin, 12 V (ISO 1724)",
        (
            PlugPin(1, -0.34, -0.62, _known("L")),
            PlugPin(2, 0.34, -0.62, _known("54g")),
            PlugPin(3, 0.68, 0.0, None),
            PlugPin(4, 0.34, 0.62, _known("R")),
            PlugPin(5, -0.34, 0.62, _known("58R")),
            PlugPin(6, -0.68, 0.0, _known("54")),
            PlugPin(7, 0.0, 0.0, _known("58L")),
        ),
    ),
)
