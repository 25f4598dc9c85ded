"""The lamps that may be chosen, as the page shows them: by filaments and watts, each with a small picture.

No source: our layout.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from lampwright.parts.catalogue import LampType, diode_types
from lampwright.solve.shelf import Shelf

BIG_WATTS = 15.0


@dataclass(frozen=True)
class LampCard:
    """A type of lamp: its name, watts in words, cap, how many filaments, and which picture it has."""

    name: str
    watts: str
    cap: str
    filaments: int
    picture: str
    family: str = "category"


@lru_cache(maxsize=32)
def lamp_cards(shelf: Shelf) -> tuple[LampCard, ...]:
    """The types made for the shelf's system, and the user's own, the weakest first."""
    fitting = [one for one in shelf.lamps() if one.family == "own" or "@" not in one.name]
    fitting.sort(key=lambda one: (len(one.filaments), one.filaments[0].watts, one.name))
    return tuple(_card(one) for one in fitting)


def card_of(shelf: Shelf, name: str) -> LampCard:
    """The card of a name; one that is not known has no watts."""
    known = next((one for one in lamp_cards(shelf) if one.name.upper() == name.upper()), None)
    return known or LampCard(name, "", "", 1, "bulb")


def _card(one: LampType) -> LampCard:
    watts = " + ".join(f"{filament.watts:.3g}" for filament in one.filaments)
    at = f"{watts} W at {one.filaments[0].test_volts:g} V"
    return LampCard(one.name, at, one.cap, len(one.filaments), _picture(one), FAMILIES[one.family])


FAMILIES = {"R37": "category", "SAE": "trade number", "E10": "bench bulb", "own": "of your own"}
"""What a family is called where one chooses."""


def _picture(one: LampType) -> str:
    if one.cap.upper().startswith("E"):
        return "screw"
    if one.cap.upper().startswith("W"):
        return "wedge"
    if one.cap.upper().startswith("SV"):
        return "festoon"
    return "bulb" if one.filaments[0].watts >= BIG_WATTS else "small"


def diode_names() -> tuple[str, ...]:
    """The diodes that may be chosen."""
    return tuple(one.name for one in diode_types())


def offered_to(shelf: Shelf, taken: Sequence[str], filaments: int) -> tuple[LampCard, ...]:
    """The types with so many filaments that are not taken yet."""
    have = {name.upper() for name in taken}
    return tuple(c for c in lamp_cards(shelf) if c.filaments == filaments and c.name.upper() not in have)
