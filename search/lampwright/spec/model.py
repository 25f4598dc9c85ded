"""The spec as frozen objects: what each lamp must do for every setting of the controls.

A spec file becomes one `Spec`. Everything in it is already checked against itself; lamp
and diode types are plain words here, checked against the catalogue later. Tables of the
file keep their order, because states and terminals are numbered by it.

    >>> switch("brake", "54").positions
    (Position(name='off', joins=()), Position(name='on', joins=(('30', '54'),)))
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import inf
from typing import Literal

ControlKind = Literal["switch", "flasher", "positions"]

SUPPLY = "30"  # DIN 72552: battery positive, always live
GROUND = "31"  # DIN 72552: return to battery negative
OFF = "off"
ON = "on"
GLOW_KELVIN = 798.0
"""Where a glow is first seen [K]: `glow_kelvin` of the constants (S45), which this package cannot read."""


@dataclass(frozen=True)
class Supply:
    """System voltage [V]; low, normal and high volts at the feeds; whether terminal 30 may be used."""

    system: float
    volts: tuple[float, float, float]
    always_live: bool


@dataclass(frozen=True)
class Position:
    """One position of a control, and the pairs of terminals its contacts join."""

    name: str
    joins: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Control:
    """A switch, a flasher or a switch of the general form; most_amps [A] None means no stated limit."""

    name: str
    kind: ControlKind
    feed: str | None
    positions: tuple[Position, ...]
    most_amps: float | None


@dataclass(frozen=True)
class Lamp:
    """A lamp: the types to try, its filaments' names (major first), and one end fixed to a terminal.

    A single-filament lamp's filament bears the lamp's own name unless the file names it. is_helper: nothing
    is asked of it, and it is told apart from no other of the helper lamps. colour: of its lens, None for the
    bulb's own; no lamp is judged by it.
    """

    name: str
    choose: tuple[str, ...]
    filaments: tuple[str, ...]
    common: str | None = None
    is_helper: bool = False
    colour: str | None = None


@dataclass(frozen=True)
class OwnFilament:
    """A filament of a lamp of the user's own: volts [V] and watts [W], lumens [lm] or kelvin [K] if known."""

    volts: float
    watts: float
    lumens: float | None = None
    kelvin: float | None = None


@dataclass(frozen=True)
class OwnLamp:
    """A lamp type of the user's own. (Our addition to the format.)

    filaments: major first. filling: None where not known. conducted: share of the watts that is
    not radiated, None for the common one. watts_tolerance, lumens_tolerance: fractions.
    shared_contact: two filaments joined at one contact of the cap.
    """

    name: str
    filaments: tuple[OwnFilament, ...]
    filling: Literal["gas", "vacuum"] | None = None
    conducted: float | None = None
    cap: str = ""
    watts_tolerance: float = 0.1
    lumens_tolerance: float = 0.25
    shared_contact: bool = True


@dataclass(frozen=True)
class Resistors:
    """The resistors allowed: how many, series, range [ohm], wattages [W], tolerance (a fraction).

    tolerance None means the tolerance that belongs to the series.
    """

    most: int
    series: str
    ohms: tuple[float, float]
    watts: tuple[float, ...]
    tolerance: float | None = None


@dataclass(frozen=True)
class Diodes:
    """The diodes allowed: how many, and the types to try."""

    most: int
    choose: tuple[str, ...]


@dataclass(frozen=True)
class HelperLamps:
    """The lamps allowed of which nothing is asked: how many, and the types to try."""

    most: int
    choose: tuple[str, ...]


@dataclass(frozen=True)
class Extras:
    """What may be used besides the lamps of the spec and wire."""

    resistors: Resistors | None
    diodes: Diodes | None
    lamps: HelperLamps | None = None


@dataclass(frozen=True)
class Bounds:
    """How far the listing goes: most joints, most links between two terminals."""

    joints: int
    wires: int


@dataclass(frozen=True)
class Band:
    """A range of luminous flux relative to rated flux; high may be infinite."""

    low: float
    high: float


@dataclass(frozen=True)
class AskedBand:
    """What is asked of one lamp's light; each field that says nothing is left as it is here.

    low, high: relative flux. of_full: least flux as a share of full light, which is what the
    same lamp gives straight across the supply, or its rated light where that is less.
    kelvin: most temperature of the filament [K].
    """

    low: float = 0.0
    high: float = inf
    of_full: float = 0.0
    kelvin: float = inf


@dataclass(frozen=True)
class Levels:
    """The bands the words for a lamp stand for, in relative flux.

    The low edge of full is a share of full light (see `AskedBand`). dark: the most temperature
    of a filament that does not even glow [K].
    """

    off: Band
    dim: Band
    lit: Band
    full: Band
    dark: float = GLOW_KELVIN


@dataclass(frozen=True)
class Failures:
    """What has failed while a row holds: filaments that are open, fuses blown, grounds lost.

    failed: names of filaments, or of lamps (all their filaments: the lamp is missing). fuse_blown: names of
    controls, whose contacts with the supply feed nothing, or `30`. ground_lost: names of lamps or zones; what
    such lamps had at ground hangs together there and nowhere else. Nothing named: all is sound.
    """

    failed: tuple[str, ...] = ()
    fuse_blown: tuple[str, ...] = ()
    ground_lost: tuple[str, ...] = ()

    def __bool__(self) -> bool:
        """Whether anything has failed."""
        return bool(self.failed or self.fuse_blown or self.ground_lost)

    def __str__(self) -> str:
        """In words, "" if all is sound.

        >>> str(Failures(failed=("left",), fuse_blown=("brake",)))
        'left failed, fuse of brake blown'
        """
        said = [f"{name} failed" for name in self.failed]
        said += [f"fuse of {name} blown" for name in self.fuse_blown]
        return ", ".join([*said, *(f"ground lost at {name}" for name in self.ground_lost)])


SOUND = Failures()
FAILURES = ("failed", "fuse_blown", "ground_lost")
"""The keys of a row's `when` that name failures, unless a control has that name."""


@dataclass(frozen=True)
class Origin:
    """The choice that a row is of: `either` or `code`, its number, and of `either` which alternative."""

    table: str
    number: int
    alternative: int = 0

    def __str__(self) -> str:
        """What a reader of results calls it."""
        return f"{self.table} {self.number}" + f", alternative {self.alternative}" * bool(self.alternative)


@dataclass(frozen=True)
class BehaviourRow:
    """One row of the behaviour table: (control, position) pairs, (filament, word) pairs, what has failed.

    origin: the choice that it is of, if it is none of the behaviour table but holds in one way only.
    """

    number: int
    when: tuple[tuple[str, str], ...]
    show: tuple[tuple[str, str], ...]
    failures: Failures = SOUND
    origin: Origin | None = None


@dataclass(frozen=True)
class Same:
    """Filaments whose flux must agree, each two within a ratio of 1 ± within."""

    lamps: tuple[str, ...]
    when: tuple[tuple[str, str], ...]
    within: float
    failures: Failures = SOUND


@dataclass(frozen=True)
class Brighter:
    """A filament that must give at least `by` times the light [lm] of `than`, which may be itself.

    The one in the settings of `when`, the other in each of these with the changes of `versus`; likewise
    what has failed.
    """

    lamp: str
    than: str
    when: tuple[tuple[str, str], ...]
    versus: tuple[tuple[str, str], ...]
    by: float
    failures: Failures = SOUND
    versus_failures: Failures = SOUND


@dataclass(frozen=True)
class Zones:
    """The zone of each placed thing (lamp, control, `supply`), and the most conductors between zones."""

    zone_of: tuple[tuple[str, str], ...]
    most_conductors: int | None


@dataclass(frozen=True)
class Wiring:
    """Lengths [m] of wires, and the sizes [mm2] to choose from (one: no choice).

    length: where lengths, by the two zones of a wire's ends, says nothing else. most_drop
    [V]: in all wires of one lamp. celsius: of the copper. (Our addition to the format.)
    """

    length: float
    lengths: tuple[tuple[str, str, float], ...]
    sizes: tuple[float, ...]
    most_drop: float
    celsius: float


@dataclass(frozen=True)
class StockedResistor:
    """Resistors of one value [ohm] and wattage [W]: how many there are, and what one more costs."""

    ohms: float
    watts: float
    have: int
    price: float | None = None


@dataclass(frozen=True)
class PartsBox:
    """The parts box, and the copies to build from it. (Our addition to the format.)

    builds: names of the copies. least_margin [stops]: of every copy. alike: lamps of one type
    in all copies. lamps, diodes: type and count. prices: type and price of one, in the user's
    own money; resistor_price: of any resistor of the spec's series and wattages. What has no
    price cannot be bought.
    """

    builds: tuple[str, ...]
    least_margin: float
    alike: tuple[str, ...]
    lamps: tuple[tuple[str, int], ...]
    diodes: tuple[tuple[str, int], ...]
    resistors: tuple[StockedResistor, ...]
    prices: tuple[tuple[str, float], ...]
    resistor_price: float | None


@dataclass(frozen=True)
class Spec:
    """The whole of a spec file.

    name: the file's stem. digest: sha256 of the content, whatever the comments and spaces.
    text: the file as the user wrote it. wiring None: the file says nothing of wires; stock
    None: nothing of a parts box. types: lamps of the user's own, of the file and of the one it names.
    ways: where it leaves a choice (`[[either]]`, `[[code]]`), the rows that hold besides, for each choice.
    """

    name: str
    title: str
    supply: Supply
    controls: tuple[Control, ...]
    lamps: tuple[Lamp, ...]
    extras: Extras
    bounds: Bounds
    levels: Levels
    behaviour: tuple[BehaviourRow, ...]
    same: tuple[Same, ...]
    place: Zones
    digest: str
    text: str
    wiring: Wiring | None = None
    stock: PartsBox | None = None
    alike: tuple[tuple[str, ...], ...] = ()
    types: tuple[OwnLamp, ...] = ()
    brighter: tuple[Brighter, ...] = ()
    ways: tuple[tuple[BehaviourRow, ...], ...] = ()


def plain_specs(spec: Spec) -> tuple[Spec, ...]:
    """Return for each way of a spec the spec that asks it and leaves no choice; itself where it leaves none.

    A circuit meets a spec if it meets one of them.
    """
    ways = tuple(replace(spec, behaviour=(*spec.behaviour, *rows), ways=()) for rows in spec.ways)
    return ways or (spec,)


def switch(name: str, feed: str, kind: ControlKind = "switch", most_amps: float | None = None) -> Control:
    """Return the control that joins its feed to the supply while on."""
    positions = (Position(OFF, ()), Position(ON, ((SUPPLY, feed),)))
    return Control(name, kind, feed, positions, most_amps)


HELPER = "helper"


def with_helpers(spec: Spec, count: int, names: Sequence[str] = ()) -> Spec:
    """Return the spec with so many helper lamps among its lamps, `helper1` and so on, the last ones.

    names: what they are called in place of that.
    """
    allowed = spec.extras.lamps
    choose = () if allowed is None else allowed.choose
    names = names or [f"{HELPER}{n}" for n in range(1, count + 1)]
    helpers = (Lamp(name, choose, (name,), is_helper=True) for name in names)
    own = (lamp for lamp in spec.lamps if not lamp.is_helper)
    return replace(spec, lamps=(*own, *helpers))


def helper_count(spec: Spec) -> int:
    """Return how many of the spec's lamps are helper lamps."""
    return sum(lamp.is_helper for lamp in spec.lamps)


def filament_names(spec: Spec) -> tuple[str, ...]:
    """Return the filaments' names in order of the lamps, major first."""
    return tuple(filament for lamp in spec.lamps for filament in lamp.filaments)


def terminals(spec: Spec) -> tuple[str, ...]:
    """Return the terminals a circuit may use: feeds as they appear, 30 if always live, 31 last.

    Where 30 is not always live it is no terminal of the circuit, though contacts name it.
    """
    joined = (
        terminal
        for control in spec.controls
        for position in control.positions
        for pair in position.joins
        for terminal in pair
    )
    feeds = [terminal for terminal in dict.fromkeys(joined) if terminal not in (SUPPLY, GROUND)]
    live = [SUPPLY] if spec.supply.always_live else []
    return (*feeds, *live, GROUND)
