"""Feeds to choose from, by the terminal numbers of DIN 72552, and the plug faces of trailers' couplings.

Source: DIN 72552 for numbers and meanings (MEMORY); the catalogue for the couplings.
"""

from dataclasses import dataclass
from functools import cache
from typing import Literal

from lampwright.parts.couplings import COUPLINGS, ISO_7, ISO_13, CouplingPin, contacts_of


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
class Plug:
    """A coupling: its name, its contacts, those of ground, and how sure their places on the face are.

    feeds: the contacts that a lamp may hang on, each with the feed behind it.
    """

    name: str
    pins: tuple[CouplingPin, ...]
    feeds: tuple[tuple[CouplingPin, Terminal], ...]
    grounds: tuple[str, ...]
    places: str

    @property
    def is_flat(self) -> bool:
        """Whether its contacts stand in a row."""
        return all(pin.y == 0 for pin in self.pins)


SYSTEM = {ISO_7: "7 pins, 12 V", ISO_13: "13 pins, 12 V"}
NO_LAMP = ("31", "30")
REVERSING = "RF"


@cache
def plugs() -> tuple[Plug, ...]:
    """The couplings that the catalogue has."""
    return tuple(_plug(name) for name in COUPLINGS)


def _plug(name: str) -> Plug:
    pins = contacts_of(name)
    return Plug(
        name=f"{name} ({SYSTEM[name]})" if name in SYSTEM else name,
        pins=pins,
        feeds=tuple((pin, feed) for pin in pins if (feed := _feed(pin))),
        grounds=tuple(pin.pin for pin in pins if pin.function.startswith("return")),
        places=min((pin.place_confidence for pin in pins), key=("low", "medium", "high").index),
    )


def _feed(pin: CouplingPin) -> Terminal | None:
    """What is behind a contact, by its first terminal; None for ground, the supply and what is no lamp."""
    number = pin.terminals[0] if pin.terminals else REVERSING if "reversing" in pin.function else ""
    known = next((one for one in TERMINALS if one.number == number), None)
    if known is None or number in NO_LAMP:
        return None
    name = pin.function if "stop and turn" in pin.function else known.name
    return Terminal(number, pin.function, name, known.kind)
