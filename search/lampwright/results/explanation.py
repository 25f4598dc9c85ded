"""An explanation as plain rows: why a design does what it does, statement by statement.

Every statement carries the facts it speaks of (parts, nodes, numbers; `results.explanation_facts`)
beside its `text`, so that the text can be held against the operating point. Volts [V], amps [A],
watts [W]. No source: our format.
"""

from typing import Literal

from lampwright.results.explanation_facts import (
    FeedFact,
    FilamentFact,
    LampFact,
    Leg,
    PartFact,
    PathFact,
    Reason,
    Rests,
    Role,
    StateName,
)
from lampwright.results.ranking import SpecReference
from lampwright.results.row import Row
from lampwright.results.why_not import WhyNot

Trick = Literal[
    "voltage", "series", "meeting", "lent ground", "lent feed",
    "both live", "resistor", "diode", "flasher", "plain",
]  # fmt: skip


class Feeds(Row, frozen=True, kw_only=True):
    """Which terminals are live, which open, and what does that."""

    text: str
    feeds: tuple[FeedFact, ...]
    kind: Literal["feeds"] = "feeds"


class Lights(Row, frozen=True, kw_only=True):
    """Which lamps burn, and which are dark."""

    text: str
    lamps: tuple[LampFact, ...]
    kind: Literal["lights"] = "lights"


class Route(Row, frozen=True, kw_only=True):
    """A way the current takes from live feeds to ground, leg after leg."""

    text: str
    feeds: tuple[str, ...]
    legs: tuple[Leg, ...]
    amps: float
    volts: float
    kind: Literal["route"] = "route"


class Paths(Row, frozen=True, kw_only=True):
    """The current of a bridge, which is no row of legs: split over all its ways."""

    text: str
    paths: tuple[PathFact, ...]
    amps: float
    kind: Literal["paths"] = "paths"


class Series(Row, frozen=True, kw_only=True):
    """Parts that must carry the same current, and how they share the voltage.

    rated: the filaments among them that give no useful light here, at their rated point.
    """

    text: str
    parts: tuple[PartFact, ...]
    amps: float
    volts: float
    rated: tuple[PartFact, ...]
    kind: Literal["series"] = "series"


class Share(Row, frozen=True, kw_only=True):
    """How the legs of a route share its voltage, where some leg is several branches."""

    text: str
    legs: tuple[Leg, ...]
    volts: float
    kind: Literal["share"] = "share"


class Parallel(Row, frozen=True, kw_only=True):
    """Parts with both ends in common, so with the same voltage."""

    text: str
    parts: tuple[PartFact, ...]
    volts: float
    whole: bool
    kind: Literal["parallel"] = "parallel"


class Faint(Row, frozen=True, kw_only=True):
    """A filament that carries current and yet gives no useful light."""

    text: str
    part: PartFact
    filament: FilamentFact | None
    kind: Literal["faint"] = "faint"


class Power(Row, frozen=True, kw_only=True):
    """What power the filaments that give light get out of what they carry: volts times amps."""

    text: str
    filaments: tuple[FilamentFact, ...]
    kind: Literal["power"] = "power"


class Compared(Row, frozen=True, kw_only=True):
    """Why one filament takes more of a shared voltage than another."""

    text: str
    more: FilamentFact
    less: FilamentFact
    reasons: tuple[Reason, ...]
    kind: Literal["compared"] = "compared"


class Serves(Row, frozen=True, kw_only=True):
    """Filaments without useful light through which a burning lamp is grounded, or fed."""

    text: str
    lamp: str
    through: tuple[str, ...]
    role: Role
    kind: Literal["serves"] = "serves"


class Rest(Row, frozen=True, kw_only=True):
    """A part without current, and why; `open` are the open terminals at its ends, `blockers` diodes.

    between: the live nodes, or those at ground, between which alone its way leads.
    """

    text: str
    ref: str
    why: Rests
    from_node: str
    to_node: str
    volts: float
    amps: float
    open: tuple[str, ...]
    blockers: tuple[str, ...]
    between: tuple[str, ...]
    kind: Literal["rest"] = "rest"


class Drop(Row, frozen=True, kw_only=True):
    """What a resistor takes from the voltage, and the heat it makes of it."""

    text: str
    part: PartFact
    watts: float
    lamps: tuple[PartFact, ...]
    kind: Literal["drop"] = "drop"


class Passes(Row, frozen=True, kw_only=True):
    """A diode that conducts."""

    text: str
    part: PartFact
    from_node: str
    to_node: str
    kind: Literal["passes"] = "passes"


class Blocks(Row, frozen=True, kw_only=True):
    """A diode that holds back a voltage; volts is how far its far end stands above the near one."""

    text: str
    ref: str
    volts: float
    from_node: str
    to_node: str
    kind: Literal["blocks"] = "blocks"


Statement = (
    Feeds
    | Lights
    | Route
    | Paths
    | Series
    | Share
    | Parallel
    | Compared
    | Power
    | Faint
    | Serves
    | Rest
    | Drop
    | Passes
    | Blocks
)


class Scene(Row, frozen=True, kw_only=True):
    """States that are one operating point for a group of parts, and what is so in them."""

    title: str
    states: tuple[StateName, ...]
    statements: tuple[Statement, ...]


class LampChange(Row, frozen=True, kw_only=True):
    """How bright a filament is in the closed and in the open phase of a flasher."""

    lamp: str
    closed: LampFact
    open: LampFact


class Flash(Row, frozen=True, kw_only=True):
    """What a flasher changes while everything else stays as it is, in this setting of the controls."""

    text: str
    flasher: str
    setting: str
    closed: StateName
    open: StateName
    lamps: tuple[LampChange, ...]
    kind: Literal["flash"] = "flash"


class Group(Row, frozen=True, kw_only=True):
    """Parts that act on each other, the controls that matter to them, and all their scenes."""

    text: str
    refs: tuple[str, ...]
    controls: tuple[str, ...]
    scenes: tuple[Scene, ...]
    flashes: tuple[Flash, ...]


class Principle(Row, frozen=True, kw_only=True):
    """One trick the design rests on: the parts that play it, and a state in which they do."""

    trick: Trick
    text: str
    refs: tuple[str, ...]
    states: tuple[StateName, ...]


class Explanation(Row, frozen=True, kw_only=True):
    """Why a design does what it does at this supply [V]; `subject` names it, `remarks` says what else.

    why_not: where nothing was found, why; there are no groups then.
    """

    spec: SpecReference | None
    subject: str
    volts: float
    remarks: tuple[str, ...]
    principles: tuple[Principle, ...]
    groups: tuple[Group, ...]
    why_not: WhyNot | None = None
