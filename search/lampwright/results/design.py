"""One design as plain rows: its parts, what every state does to it, its ratings, its assessor.

The same rules hold as in `results.ranking`: every class is one object of the file, the field
names are the file's (`from_node` and `to_node` are written `from` and `to`), and rows know
nothing of how they were found. Volts [V], amps [A], watts [W]; flux is relative to the
filament's rated flux at its test voltage; margins are stops. No source: our format.
"""

from typing import Literal

from lampwright.results.care import CareReport, Doubt, Flashing, TypeNote
from lampwright.results.row import (
    Amps,
    InUnit,
    Lumens,
    Ohms,
    Ratio,
    Row,
    Stops,
    Volts,
    Watts,
    Whole,
    WholeKelvin,
)
from lampwright.results.trials import FaultTrial, StateReading, Sweep
from lampwright.results.wiring import WiringList

PartKind = Literal["filament", "resistor", "diode", "wire"]
Source = Literal["battery", "supply"]

SCHOOL = "E10"
"""The cap of bulbs that no vehicle has."""

OUT = ("off", "dark")
"""The levels of a lamp that gives no useful light."""

FLOW = 1e-3
"""Less than this [A] is no current: leakage, which lights nothing. (Common practice.)"""


class PartRow(Row, frozen=True, kw_only=True):
    """One part of a circuit and the two nodes it joins; a diode conducts from `from_node`.

    A filament of a design has also the volts at which it is rated [V], its resistance [ohm] and its light
    there [lm], and the `colour` of its light: that of the lens if the spec says it, else of the bulb.
    """

    ref: str
    kind: PartKind
    from_node: str
    to_node: str
    lamp: str | None = None
    type: str | None = None
    ohms: Ohms | None = None
    watts: Watts | None = None
    test_volts: Volts | None = None
    hot_ohms: Ohms | None = None
    lumens: Lumens | None = None
    colour: str | None = None


class Tightest(Row, frozen=True, kw_only=True):
    """The requirement met by least: which lamp, in which state, at which corner."""

    state: str
    lamp: str
    corner: str


class ComparedRow(Row, frozen=True, kw_only=True):
    """Two lamps that must match, or a lamp that must be brighter than another or than itself elsewhere.

    `lamp` in `state` is compared with `than` in `versus`. `least` and `most`: the ratio of their light that
    is asked for, `most` None where there is no limit; `ratio` is what it is at normal supply and nominal
    parts, None where the other is off. `margin_stops` is the worst corner's. `wanted` says it in words.
    """

    kind: Literal["same", "brighter"]
    lamp: str
    state: str
    than: str
    versus: str
    least: Ratio
    most: Ratio | None
    ratio: Ratio | None
    wanted: str
    margin_stops: Stops
    corner: str

    @property
    def name(self) -> str:
        """Which lamps are compared, short."""
        sign = "=" if self.kind == "same" else ">"
        return self.lamp if self.lamp == self.than else f"{self.lamp} {sign} {self.than}"


class LampReading(Row, frozen=True, kw_only=True):
    """What one filament does in one state and phase, at normal supply and nominal parts.

    `wanted` is the spec's word for it (`any` where nothing is asked); `meets` holds over
    all corners and `margin_stops` is the worst corner's (None where nothing is asked). `level`
    is the word its light deserves; `dark`, too cold to glow, only where that is wanted and so.
    `kelvin` is the filament's temperature [K], to the kelvin; results of older versions lack it.
    """

    lamp: str
    volts: Volts
    amps: Amps
    flux: Ratio
    level: str
    wanted: str
    meets: bool
    margin_stops: Stops | None
    kelvin: WholeKelvin | None = None

    @property
    def is_out(self) -> bool:
        """Whether it gives no useful light: off, or dark as well."""
        return self.level in OUT


class NodeReading(Row, frozen=True, kw_only=True):
    """The potential of one node against ground, and what holds it: the supply, ground or nothing.

    Terminals joined by wires or closed contacts have one potential, each its own row.
    """

    node: str
    volts: Volts
    held: Literal["live", "ground", "open"]


class PartReading(Row, frozen=True, kw_only=True):
    """Voltage and current of one part, counted from its `from` node to its `to` node."""

    ref: str
    volts: Volts
    amps: Amps


class StateRow(Row, frozen=True, kw_only=True):
    """One setting of the controls, and the flasher's phase ("" where no flasher is on).

    `positions` has every control with its position, in the spec's order; results of versions before 0.3.0
    lack it. `failed` filaments or lamps, controls whose fuse has blown and lamps or zones whose ground is
    lost are named where a row of the spec speaks of that, and `damage` has it in words; what is
    open carries nothing, and its part's volts are those across its holder. nodes and parts are the operating
    point at normal supply and nominal parts; wires are not among the parts.
    """

    state: str
    phase: str
    lamps: tuple[LampReading, ...]
    nodes: tuple[NodeReading, ...]
    parts: tuple[PartReading, ...]
    positions: tuple[tuple[str, str], ...] = ()
    damage: str = ""
    failed: tuple[str, ...] = ()
    fuse_blown: tuple[str, ...] = ()
    ground_lost: tuple[str, ...] = ()

    @property
    def full_name(self) -> str:
        """The setting, with the flasher's phase in brackets."""
        return f"{self.state} ({self.phase})" if self.phase else self.state


class Rating(Row, frozen=True, kw_only=True):
    """The worst value of one part or control over all states and corners, and its limit."""

    ref: str
    worst: InUnit
    limit: InUnit | None
    unit: Literal["A", "W", "V"]
    state: str
    corner: str


class Ratings(Row, frozen=True, kw_only=True):
    """Worst current per control, watts per resistor, amps per diode, volts per lamp."""

    controls: tuple[Rating, ...]
    resistors: tuple[Rating, ...]
    diodes: tuple[Rating, ...]
    lamps: tuple[Rating, ...]

    @property
    def over(self) -> tuple[Rating, ...]:
        """Those whose worst value is over its limit."""
        every = (*self.controls, *self.resistors, *self.diodes, *self.lamps)
        return tuple(one for one in every if one.limit is not None and one.worst > one.limit + 1e-9)


class ResistorRange(Row, frozen=True, kw_only=True):
    """From where to where one resistor may go with all other parts as they are [ohm].

    Every marked value from `low` to `high` is shown to meet the spec at every corner, with the tolerance of
    the spec's resistors; both ends are rounded inward. `ohms` is the value fitted. `whole` is true where that
    is all of the range that the spec allows.
    """

    ref: str
    ohms: Ohms
    low: Ohms
    high: Ohms
    whole: bool


class OtherChoice(Row, frozen=True, kw_only=True):
    """Another set of lamp types and values with which the same circuit meets the spec.

    parts and states, how the circuit then is and what it does at the normal supply, are there for the first
    few choices of the first few designs of a ranking.
    """

    fitted: tuple[str, ...]
    margin_stops: Stops
    parts: tuple[PartRow, ...] | None = None
    states: tuple[StateReading, ...] | None = None


class Taken(Row, frozen=True, kw_only=True):
    """One row of behaviour that a choice of the spec comes to: which choice it is, the setting, the words.

    `of` is as "either 1, alternative 2" or "code 1"; `when` as "gear 1, lights on", empty for every setting;
    `show` as "low lit, high off".
    """

    of: str
    when: str
    show: str


class OtherWay(Row, frozen=True, kw_only=True):
    """Another way in which the same circuit meets the spec, with the types and values best for that."""

    takes: tuple[Taken, ...]
    fitted: tuple[str, ...]
    margin_stops: Stops


class Drawing(Row, frozen=True, kw_only=True):
    """Another way to draw the same circuit: the same parts between other nodes."""

    parts: tuple[PartRow, ...]


class Design(Row, frozen=True, kw_only=True):
    """One circuit that meets the spec, with the types and values of greatest margin.

    `margin_stops` is the least of what is asked of lamps alone; what is compared has margins of its own, in
    `compared`, and lowers it only where it is missed.

    care, wiring, flashing and sweep are worked out for the first designs of a ranking and for a checked
    circuit; None elsewhere, and wiring also where the spec says nothing of wires. trials, faults to
    try on the page, are there for the first few designs of a ranking. types names the lamps and
    diodes used; doubts, the uncertain figures that the margin hangs on, the dearest first, and resistors,
    how far each may stray, are worked out where care is. takes says which of the spec's choices it meets,
    none where the spec leaves none, and other_ways which others with other margins. helper_lamps: how many of
    its lamps the spec asks nothing of and allows as extras; they are no `extra_parts`.
    """

    rank: Whole
    parts: tuple[PartRow, ...]
    extra_parts: Whole
    wires: Whole
    joints: Whole
    conductors: Whole
    margin_stops: Stops
    tightest: Tightest
    states: tuple[StateRow, ...]
    ratings: Ratings
    choices: tuple[OtherChoice, ...]
    also_drawn_as: tuple[Drawing, ...]
    care: CareReport | None
    wiring: WiringList | None
    flashing: Flashing | None
    sweep: Sweep | None
    trials: tuple[FaultTrial, ...]
    types: tuple[TypeNote, ...] = ()
    doubts: tuple[Doubt, ...] = ()
    resistors: tuple[ResistorRange, ...] = ()
    compared: tuple[ComparedRow, ...] = ()
    takes: tuple[Taken, ...] = ()
    other_ways: tuple[OtherWay, ...] = ()
    helper_lamps: Whole = 0

    @property
    def source(self) -> Source:
        """What it is fed by: a battery, or where all its bulbs have the caps of a school bench a supply."""
        lamps = {part.type for part in self.parts if part.kind == "filament"}
        caps = {note.cap for note in self.types if note.type in lamps}
        return "supply" if caps == {SCHOOL} else "battery"

    def flowing(self, ref: str, backward: bool = False) -> tuple[StateRow, ...]:
        """The states in which a part carries current from its `from` node to its `to` node, or back."""
        sign = -1.0 if backward else 1.0
        return tuple(
            state
            for state in self.states
            if any(one.ref == ref and sign * one.amps >= FLOW for one in state.parts)
        )

    @property
    def both_ways(self) -> tuple[PartRow, ...]:
        """The filaments through which current runs one way in some states and the other way in others."""
        return tuple(
            part
            for part in self.parts
            if part.kind == "filament" and self.flowing(part.ref) and self.flowing(part.ref, backward=True)
        )
