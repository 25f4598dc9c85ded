"""What a careful builder asks of a design, as rows: tolerance, faults, loads, flashing, doubts, the law.

The same rules hold as in `results.ranking`: every class is one object of the file, the field
names are the file's, and rows know nothing of how they were found. Margins are stops,
doublings of light. States are written with the flasher's phase in brackets. How a design flashes:
times are seconds [s] from the start of a phase, filaments nominal, supply at normal volts; a lamp
keeps up where its light is in its band when the phase ends. No source: our format.
"""

from typing import Literal

from lampwright.results.row import (
    Amount,
    Amps,
    FineSeconds,
    Hours,
    PerMinute,
    Ratio,
    Row,
    Score,
    Stops,
    SurgeAmps,
    Volts,
    Watts,
    Whole,
)

FaultKind = Literal[
    "filament open",
    "lamp missing",
    "part open",
    "part shorted",
    "fuse blown",
    "ground lost at lamp",
    "ground lost in zone",
    "feeds bridged",
    "other type",
    "LED substitute",
]


Act = Literal[
    "dims",
    "flashes",
    "counterflashes",
    "flash varies",
    "burns with brake",
    "brake varies",
    "steady beside flash",
    "position varies",
]
"""What a lamp may do that codes speak of; `assess.behaviour` says when it does."""

Subject = Literal[Act, "any", "both"]
"""The act a code speaks of, or any."""


class ToleranceCost(Row, frozen=True, kw_only=True):
    """What the tolerance of one part, or of the supply, takes from the worst margin.

    `margin_without` is the worst margin were this one at its nominal value; `cost_stops`
    the difference to the worst margin as it is.
    """

    ref: str
    span: str
    margin_without: Stops
    cost_stops: Stops


class CopyYield(Row, frozen=True, kw_only=True):
    """Copies with every part drawn at random within its tolerance, each judged at three supplies.

    `good` of `copies` meet the spec; their share lies between `share_low` and `share_high`
    with `confidence_level` (Clopper-Pearson). `spread` says how parts are drawn; the same seed
    draws the same copies.
    """

    copies: Whole
    good: Whole
    share_low: Ratio
    share_high: Ratio
    confidence_level: Ratio
    seed: Whole
    least_margin: Stops
    median_margin: Stops
    spread: str


class AgedMargin(Row, frozen=True, kw_only=True):
    """The worst margin over all corners with one filament, or `all`, at the end of life."""

    ref: str
    margin_stops: Stops
    meets: bool


class Tolerance(Row, frozen=True, kw_only=True):
    """Every corner, what each tolerance costs, the yield of copies, and ageing.

    `corners` were tried; `costliest` is the part whose tolerance costs most ("" where none
    costs anything), the supply apart. An aged filament takes the share `aged_current` of
    its current and gives the share `aged_light` of its light at the same volts.
    """

    corners: Whole
    margin_stops: Stops
    costs: tuple[ToleranceCost, ...]
    costliest: str
    drawn: CopyYield
    aged: tuple[AgedMargin, ...]
    aged_current: Ratio
    aged_light: Ratio
    remarks: tuple[str, ...]


class FaultChange(Row, frozen=True, kw_only=True):
    """One filament that does something else under the fault: its level in the sound circuit, and now.

    The same level twice means that its light is at least halved or doubled.
    """

    lamp: str
    was: str
    now: str
    states: tuple[str, ...]


class FaultLost(Row, frozen=True, kw_only=True):
    """Lamps that no longer match, or of which one is no longer so much brighter, under the fault.

    `lamp` in `states` is compared with `than`, which is the same one where it is compared with itself in
    another state; `wanted` says what is asked, in words.
    """

    kind: Literal["same", "brighter"]
    lamp: str
    than: str
    wanted: str
    states: tuple[str, ...]

    @property
    def name(self) -> str:
        """Which lamps are compared, short."""
        sign = "=" if self.kind == "same" else ">"
        return self.lamp if self.lamp == self.than else f"{self.lamp} {sign} {self.than}"


class SneakPath(Row, frozen=True, kw_only=True):
    """Back-feed: a path of nodes and parts in turn, from the supply down.

    `reversed`: the part `at` carries current, at worst `amps`, against its sound
    direction. `made live`: the terminal `at`, held by nothing, stands at `volts`. Two
    nodes side by side on the path are joined by a contact or by the fault.
    """

    kind: Literal["reversed", "made live"]
    at: str
    path: tuple[str, ...]
    amps: Amps | None
    volts: Volts | None
    states: tuple[str, ...]


class FaultOverload(Row, frozen=True, kw_only=True):
    """A part or control that carries more than its rating at the high supply because of the fault."""

    ref: str
    load: Amount
    allowed: Amount
    unit: Literal["A", "W", "V"]
    state: str


class FaultRow(Row, frozen=True, kw_only=True):
    """One fault and all it does, parts nominal, at the normal supply (overloads: at the high one).

    `met` of the `asked` requirements still hold. `value` is their share, less 0.5 for any
    overload or short, less 0.25 for any sneak path, not below 0. `shorted`: states in
    which the supply meets ground, so that a fuse blows; nothing else is said of them.
    `lost`: comparisons that hold without the fault and not with it; results of older versions lack it.
    """

    kind: FaultKind
    fault: str
    met: Whole
    asked: Whole
    value: Score
    changes: tuple[FaultChange, ...]
    lost: tuple[FaultLost, ...] = ()
    sneak_paths: tuple[SneakPath, ...]
    overloads: tuple[FaultOverload, ...]
    shorted: tuple[str, ...]


class FaultReport(Row, frozen=True, kw_only=True):
    """Every single fault of a design.

    `score` is the mean over the kinds of fault of the mean value of the faults of a kind:
    1 where no fault does anything. Of the `types_tried` other types that fit the lamps'
    holders, `types_harmless` still meet everything without overload or sneak path, and
    only the worst few are among `faults`. `unsolved` counts operating points without a
    solution.
    """

    score: Score
    faults: tuple[FaultRow, ...]
    types_tried: Whole
    types_harmless: Whole
    unsolved: Whole
    led_model: str


class ResistorHeat(Row, frozen=True, kw_only=True):
    """Worst heat of a resistor, and the wattage fitted.

    `advised_watts` is that wattage again where the heat loads it by half at most, and null where it is more.
    """

    ref: str
    watts: Watts
    fitted_watts: Watts
    advised_watts: Watts | None


class DiodeHeat(Row, frozen=True, kw_only=True):
    """Worst current of a diode, its drop `volts` and heat `watts` there, and what its sheet allows."""

    ref: str
    type: str
    amps: Amps
    most_amps: Amps
    volts: Volts
    watts: Watts
    most_watts: Watts


class LampLife(Row, frozen=True, kw_only=True):
    """Life of a filament, did it always burn at its worst volts, by the handbook's exponent.

    `life` is relative to rated, null where the filament is never lit; `hours` are null
    where no rated life is published; not `in_range` (80 to 120 % of test volts) the
    figure is a trend only.
    """

    ref: str
    type: str
    volts: Volts
    life: Ratio | None
    hours: Hours | None
    in_range: bool


class ContactLoad(Row, frozen=True, kw_only=True):
    """The most a control's contact carries once its lamps are hot; `most_amps` is null where not stated.

    `corner` says over which corners.
    """

    control: str
    amps: Amps
    most_amps: Amps | None
    corner: str


class Endurance(Row, frozen=True, kw_only=True):
    """Heat of resistors and diodes, life of lamps, steady load of contacts."""

    resistors: tuple[ResistorHeat, ...]
    diodes: tuple[DiodeHeat, ...]
    lamps: tuple[LampLife, ...]
    contacts: tuple[ContactLoad, ...]


class Regulated(Row, frozen=True, kw_only=True):
    """A filament seen at an act that codes speak of, with the states in which it is."""

    lamp: str
    does: Act
    states: tuple[str, ...]


class RegulationNote(Row, frozen=True, kw_only=True):
    """What one code says of an act, in our own words: to look up, no verdict.

    vehicles says for which it holds, and lamps which filaments of the design brought it up; both are
    empty in results of older versions, whose subject may be `both` where it now is `any`.
    """

    regime: str
    clause: str
    subject: Subject
    says: str
    status: str
    source: str
    confidence: str
    vehicles: str = ""
    lamps: tuple[str, ...] = ()


Figure = Literal["filling", "rated lumens", "rated watts", "heat through gas"]
"""What the catalogue may not know for sure."""


class TypeNote(Row, frozen=True, kw_only=True):
    """A type that a design uses: what its bulb may hold, how far to trust its row, its cap if known."""

    type: str
    filling: str
    filling_confidence: str
    confidence: str
    source: str
    cap: str = ""


class DoubtCase(Row, frozen=True, kw_only=True):
    """A figure taken to be so, and what the judge then says of the circuit."""

    value: str
    margin_stops: Stops
    meets: bool


class Doubt(Row, frozen=True, kw_only=True):
    """A figure of the catalogue that is not certain, and how the margin hangs on it.

    `of` is the type, or what kind of lamp; `span` how far the figure may be off. `turns` says that
    the circuit meets the spec in some of the cases and misses it in others.
    """

    figure: Figure
    of: str
    span: str
    confidence: str
    cases: tuple[DoubtCase, ...]
    cost_stops: Stops
    turns: bool


class FlashPhase(Row, frozen=True, kw_only=True):
    """One lamp in one phase: when it enters its band to stay (None: it is outside when the phase ends).

    `share_in_band` is of the phase; `final_flux` the light when it ends.
    """

    seconds_to_band: FineSeconds | None
    share_in_band: Score
    final_flux: Ratio


class FlashLamp(Row, frozen=True, kw_only=True):
    """One lamp at one rate in one setting; None for a phase in which nothing is asked."""

    setting: str
    lamp: str
    word: str
    flashes_per_minute: PerMinute
    keeps_up: bool
    closed: FlashPhase | None
    open: FlashPhase | None


class FlashLoad(Row, frozen=True, kw_only=True):
    """The flasher's contact in one setting at one rate: first closing, mean, and end of the closed phase."""

    setting: str
    flasher: str
    flashes_per_minute: PerMinute
    first_amps: SurgeAmps
    mean_amps: SurgeAmps
    final_amps: SurgeAmps


class Inrush(Row, frozen=True, kw_only=True):
    """The worst a control's contact closes onto, all filaments cold, at high supply; and once settled."""

    control: str
    state: str
    cold_amps: SurgeAmps
    settled_amps: SurgeAmps


class Flashing(Row, frozen=True, kw_only=True):
    """All of it. `on_share` is the closed phase's share of a cycle; unsolved and unsettled count runs."""

    on_share: Ratio
    keeps_up: bool
    lamps: tuple[FlashLamp, ...]
    loads: tuple[FlashLoad, ...]
    inrush: tuple[Inrush, ...]
    unsolved: Whole
    unsettled: Whole


class CareReport(Row, frozen=True, kw_only=True):
    """All that a careful builder asks of one design."""

    tolerance: Tolerance
    faults: FaultReport
    endurance: Endurance
    regulated: tuple[Regulated, ...]
    regulations: tuple[RegulationNote, ...]
