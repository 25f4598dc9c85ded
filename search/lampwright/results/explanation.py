"""An explanation as plain rows: why a design does what it does, statement by statement.

Every statement carries the facts it speaks of (parts, nodes, numbers) beside its `text`, so that the text
can be held against the operating point. Volts [V], amps [A], watts [W], ohms are sizes, counted in the
direction the current takes; kelvin [K]; flux is relative to rated flux. Where nothing was found, counts are
those of the funnel, and what a lamp does is read off the operating point of a near miss. No source: our
format.
"""

from typing import Literal

from lampwright.results.ranking import SpecReference
from lampwright.results.row import Amps, Ohms, Ratio, Row, Volts, Watts, Whole, WholeKelvin
from lampwright.results.shortfall import RequirementRow

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


class RuledOut(Row, frozen=True, kw_only=True):
    """A rule, or a stage of the search, and how many circuits fell to it of those it met."""

    text: str
    rule: str
    removed: Whole
    entered: Whole


class Outcome(Row, frozen=True, kw_only=True):
    """What one lamp does in a near miss of this rank, where light within a band is asked, and why.

    high_flux: null where any light from `low_flux` on does.
    """

    text: str
    rank: Whole
    lamp: str
    state: StateName
    wanted: str
    flux: Ratio
    low_flux: Ratio
    high_flux: Ratio | None
    because: tuple[str, ...]


class WhyNot(Row, frozen=True, kw_only=True):
    """The answer, how the circuits fell, the requirements that conflict, and what near misses do instead."""

    text: str
    ruled_out: tuple[RuledOut, ...]
    conflict: str
    requirements: tuple[RequirementRow, ...]
    outcomes: tuple[Outcome, ...]


Trick = Literal[
    "voltage", "series", "meeting", "lent ground", "lent feed",
    "both live", "both ways", "resistor", "diode", "flasher", "plain",
]  # fmt: skip


class Said(Row, frozen=True, kw_only=True, tag_field="kind", tag=str.lower):
    """A statement in words; its kind is written as its class is called, in small letters."""

    text: str

    @property
    def kind(self) -> str:
        """What kind of statement this is."""
        return str(self.__struct_config__.tag)


class Feeds(Said, frozen=True, kw_only=True):
    """Which terminals are live, which open, and what does that."""

    feeds: tuple[FeedFact, ...]


class Lights(Said, frozen=True, kw_only=True):
    """Which lamps burn, and which are dark."""

    lamps: tuple[LampFact, ...]


class Route(Said, frozen=True, kw_only=True):
    """A way the current takes from live feeds to ground, leg after leg."""

    feeds: tuple[str, ...]
    legs: tuple[Leg, ...]
    amps: Amps
    volts: Volts


class Paths(Said, frozen=True, kw_only=True):
    """The current of a bridge, which is no row of legs: split over all its ways."""

    paths: tuple[PathFact, ...]
    amps: Amps


class Series(Said, frozen=True, kw_only=True):
    """Parts that must carry the same current, and how they share the voltage.

    rated: the filaments among them that give no useful light here, at their rated point.
    """

    parts: tuple[PartFact, ...]
    amps: Amps
    volts: Volts
    rated: tuple[PartFact, ...]


class Share(Said, frozen=True, kw_only=True):
    """How the legs of a route share its voltage, where some leg is several branches."""

    legs: tuple[Leg, ...]
    volts: Volts


class Parallel(Said, frozen=True, kw_only=True):
    """Parts with both ends in common, so with the same voltage."""

    parts: tuple[PartFact, ...]
    volts: Volts
    whole: bool


class Faint(Said, frozen=True, kw_only=True):
    """A filament that carries current and yet gives no useful light."""

    part: PartFact
    filament: FilamentFact | None


class Power(Said, frozen=True, kw_only=True):
    """What power the filaments that give light get out of what they carry: volts times amps."""

    filaments: tuple[FilamentFact, ...]


class Compared(Said, frozen=True, kw_only=True):
    """Why one filament takes more of a shared voltage than another."""

    more: FilamentFact
    less: FilamentFact
    reasons: tuple[Reason, ...]


class Serves(Said, frozen=True, kw_only=True):
    """Filaments without useful light through which a burning lamp is grounded, or fed."""

    lamp: str
    through: tuple[str, ...]
    role: Role


class Rest(Said, frozen=True, kw_only=True):
    """A part without current, and why; `open` are the open terminals at its ends, `blockers` diodes.

    between: the live nodes, or those at ground, between which alone its way leads.
    """

    ref: str
    why: Rests
    from_node: str
    to_node: str
    volts: Volts
    amps: Amps
    open: tuple[str, ...]
    blockers: tuple[str, ...]
    between: tuple[str, ...]


class Drop(Said, frozen=True, kw_only=True):
    """What a resistor takes from the voltage, and the heat it makes of it."""

    part: PartFact
    watts: Watts
    lamps: tuple[PartFact, ...]


class Passes(Said, frozen=True, kw_only=True):
    """A diode that conducts."""

    part: PartFact
    from_node: str
    to_node: str


class Blocks(Said, frozen=True, kw_only=True):
    """A diode that holds back a voltage; volts is how far its far end stands above the near one."""

    ref: str
    volts: Volts
    from_node: str
    to_node: str


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


class Flash(Said, frozen=True, kw_only=True):
    """What a flasher changes while everything else stays as it is, in this setting of the controls."""

    flasher: str
    setting: str
    closed: StateName
    open: StateName
    lamps: tuple[LampChange, ...]


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
    volts: Volts
    remarks: tuple[str, ...]
    principles: tuple[Principle, ...]
    groups: tuple[Group, ...]
    why_not: WhyNot | None = None
