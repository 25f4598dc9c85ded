"""What the statements of an explanation speak of: parts, filaments, feeds, and the ways of a current.

Volts [V], amps [A], watts [W], ohms are sizes, counted in the direction the current takes;
kelvin [K]; flux is relative to rated flux. No source: our format.
"""

from typing import Literal

from lampwright.results.row import Amps, Ohms, Ratio, Row, Volts, Watts, WholeKelvin

Held = Literal["live", "ground", "open"]
Role = Literal["ground", "feed"]
Rests = Literal[
    "both live", "both ground", "live to live", "ground to ground",
    "no way", "blocked", "no voltage", "trickle",
]  # fmt: skip
Reason = Literal["weaker", "more current", "feedback"]
"""Why one filament takes more of a voltage than another: rated for fewer watts, so of more resistance;
carrying more current; hotter, and so of more resistance still than its rating alone would give it."""


class PartFact(Row, frozen=True, kw_only=True):
    """What one part takes: voltage, current, and the resistance these make."""

    ref: str
    volts: Volts
    amps: Amps
    ohms: Ohms


class FilamentFact(Row, frozen=True, kw_only=True):
    """What one filament takes and what that makes of it, beside its rated point."""

    ref: str
    volts: Volts
    amps: Amps
    ohms: Ohms
    watts: Watts
    kelvin: WholeKelvin
    rated: PartFact


class FeedFact(Row, frozen=True, kw_only=True):
    """What holds a terminal, and the controls whose contacts hold it so.

    ways: the least sets of controls that hold it, each alone; none where no control is needed.
    """

    terminal: str
    held: Held
    controls: tuple[str, ...]
    ways: tuple[tuple[str, ...], ...]


class LampFact(Row, frozen=True, kw_only=True):
    """How bright one filament is, and how hot [K]."""

    lamp: str
    level: str
    flux: Ratio
    kelvin: WholeKelvin | None = None


class Branch(Row, frozen=True, kw_only=True):
    """Parts one after another that carry the same current from one node to another."""

    refs: tuple[str, ...]
    from_node: str
    to_node: str
    amps: Amps


class Leg(Row, frozen=True, kw_only=True):
    """One step of a route: a part, or branches side by side; the voltage over it, and volts by amps."""

    branches: tuple[Branch, ...]
    volts: Volts
    amps: Amps
    ohms: Ohms


class PathFact(Row, frozen=True, kw_only=True):
    """A share of the current that goes one way, through these parts in order."""

    feed: str
    refs: tuple[str, ...]
    amps: Amps


class StateName(Row, frozen=True, kw_only=True):
    """A state as `StateRow` names it."""

    state: str
    phase: str
