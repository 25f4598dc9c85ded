"""How hot a filament is, in words: the one place for the edges in kelvin and what is said of each class.

A lamp that the spec calls `off` may still be far above the first red glow, so "off" says nothing of
its temperature. The least edge is that of a filament as warm as its surroundings, at which
the catalogue's cold resistance holds (293 K), and some kelvin more. Source: the Draper point, at
which a body begins to glow visibly, 798 K (525 C), S45; the edge from dull red to orange is
common practice.

>>> [glow_of(kelvin).name for kelvin in (300, 500, 1150, 1500)]
['cold', 'dark', 'dull red', 'orange']
"""

from msgspec import Struct

from lampwright.report.si import SPACE


class Glow(Struct, frozen=True):
    """A class of temperature: the least temperature [K], and what a filament in it is called."""

    name: str
    kelvin: float
    called: str
    glows: bool


CLASSES = (
    Glow("cold", 0.0, "cold", glows=False),
    Glow("dark", 320.0, "dark", glows=False),
    Glow("dull red", 798.0, "a dull red thread", glows=True),
    Glow("orange", 1350.0, "an orange thread", glows=True),
)
"""From cool to hot; what is hotter and gives light enough to be seen by has the spec's own words."""


def glow_of(kelvin: float) -> Glow:
    """Give the class of a temperature [K]."""
    return next(one for one in reversed(CLASSES) if kelvin >= one.kelvin)


def glows(kelvin: float | None) -> bool:
    """Whether a filament can be seen to glow; one of unknown temperature [K] may."""
    return kelvin is None or glow_of(kelvin).glows


def unlit(kelvin: float | None) -> str:
    """Say what a filament without useful light is; its temperature [K] may be unknown.

    >>> [unlit(kelvin).replace(SPACE, " ") for kelvin in (1150, 500, 294)]
    ['gives no useful light: a dull red thread, 1,150 K', 'stays dark, at 500 K', 'stays cold, at 294 K']
    """
    if kelvin is None:
        return "gives no useful light"
    glow = glow_of(kelvin)
    if glow.glows:
        return f"gives no useful light: {glow.called}, {kelvins(kelvin)}"
    return f"stays {glow.called}, at {kelvins(kelvin)}"


def unlit_all(kelvin: float | None) -> str:
    """Say what several filaments are that glow without useful light, all at this temperature [K] or unknown.

    >>> unlit_all(1150).replace(SPACE, " ")
    'give no useful light: each is a dull red thread, 1,150 K'
    """
    said = "give no useful light"
    return said if kelvin is None else f"{said}: each is {glow_of(kelvin).called}, {kelvins(kelvin)}"


def kelvins(kelvin: float) -> str:
    """Write a temperature [K], to the kelvin."""
    return f"{kelvin:,.0f}{SPACE}K"
