"""The result of a run as plain rows: what `ranking.json` says, field by field.

Every class here is one object of the file, and the field names are the file's
(`from_node` and `to_node` are written `from` and `to`). Rows know nothing of how they
were found. Volts [V], amps [A], watts [W]; flux is relative to the filament's rated
flux at its test voltage; margins are stops, doublings of light. No source: our format.
"""

from dataclasses import dataclass
from typing import Literal

from lampwright.store.care import CareReport
from lampwright.store.flash_rows import Flashing
from lampwright.store.wiring_rows import WiringList

PartKind = Literal["filament", "resistor", "diode", "wire"]
VerdictKind = Literal["found", "none", "stopped"]

FORMAT = 1


@dataclass(frozen=True)
class PartRow:
    """One part of a circuit and the two nodes it joins; a diode conducts from `from_node`."""

    ref: str
    kind: PartKind
    from_node: str
    to_node: str
    lamp: str | None = None
    type: str | None = None
    ohms: float | None = None
    watts: float | None = None


@dataclass(frozen=True)
class Tightest:
    """The requirement met by least: which lamp, in which state, at which corner."""

    state: str
    lamp: str
    corner: str


@dataclass(frozen=True)
class LampReading:
    """What one filament does in one state and phase, at normal supply and nominal parts.

    `wanted` is the spec's word for it (`any` where nothing is asked); `meets` holds over
    all corners and `margin_stops` is the worst corner's (None where nothing is asked).
    """

    lamp: str
    volts: float
    amps: float
    flux: float
    level: str
    wanted: str
    meets: bool
    margin_stops: float | None


@dataclass(frozen=True)
class NodeReading:
    """The potential of one node against ground, and what holds it: the supply, ground or nothing.

    Terminals joined by wires or closed contacts have one potential, each its own row.
    """

    node: str
    volts: float
    held: Literal["live", "ground", "open"]


@dataclass(frozen=True)
class PartReading:
    """Voltage and current of one part, counted from its `from` node to its `to` node."""

    ref: str
    volts: float
    amps: float


@dataclass(frozen=True)
class StateRow:
    """One setting of the controls, and the flasher's phase ("" where no flasher is on).

    nodes and parts are the operating point at normal supply and nominal parts; wires are
    not among the parts.
    """

    state: str
    phase: str
    lamps: tuple[LampReading, ...]
    nodes: tuple[NodeReading, ...]
    parts: tuple[PartReading, ...]


@dataclass(frozen=True)
class Rating:
    """The worst value of one part or control over all states and corners, and its limit."""

    ref: str
    worst: float
    limit: float | None
    unit: Literal["A", "W", "V"]
    state: str
    corner: str


@dataclass(frozen=True)
class Ratings:
    """Worst current per control, watts per resistor, amps per diode, volts per lamp."""

    controls: tuple[Rating, ...]
    resistors: tuple[Rating, ...]
    diodes: tuple[Rating, ...]
    lamps: tuple[Rating, ...]


@dataclass(frozen=True)
class Choice:
    """Another set of lamp types and values with which the same circuit meets the spec."""

    fitted: tuple[str, ...]
    margin_stops: float


@dataclass(frozen=True)
class Drawing:
    """Another way to draw the same circuit: the same parts between other nodes."""

    parts: tuple[PartRow, ...]


@dataclass(frozen=True)
class Design:
    """One circuit that meets the spec, with the types and values of greatest margin.

    care, wiring and flashing are worked out for the first designs of a ranking and for a checked
    circuit; None elsewhere, and wiring also where the spec says nothing of wires.
    """

    rank: int
    parts: tuple[PartRow, ...]
    extra_parts: int
    wires: int
    joints: int
    conductors: int
    margin_stops: float
    tightest: Tightest
    states: tuple[StateRow, ...]
    ratings: Ratings
    choices: tuple[Choice, ...]
    also_drawn_as: tuple[Drawing, ...]
    care: CareReport | None
    wiring: WiringList | None
    flashing: Flashing | None


@dataclass(frozen=True)
class Stage:
    """One stage of the funnel: how many candidates entered it and how many left.

    `unit` says what is counted: circuits, or circuits with types and values chosen.
    """

    name: str
    claim: str
    unit: str
    entered: int
    left: int


@dataclass(frozen=True)
class PartCount:
    """All circuits with so many extra parts: listed one by one, and counted without listing."""

    extra_parts: int
    listed: int
    orbits: int
    complete: bool


@dataclass(frozen=True)
class SearchReport:
    """The funnel, the completeness of the listing and the time it took."""

    stages: tuple[Stage, ...]
    part_counts: tuple[PartCount, ...]
    seconds: float
    unconstrained: tuple[str, ...]
    types: tuple[str, ...]
    values: tuple[float, ...]


@dataclass(frozen=True)
class Verdict:
    """found, none or stopped, in one sentence, and how far that is proved."""

    kind: VerdictKind
    text: str
    proved: tuple[str, ...]


@dataclass(frozen=True)
class SpecReference:
    """Which spec this answers: its name (file stem), title and digest (sha256)."""

    name: str
    title: str
    digest: str


@dataclass(frozen=True)
class Ranking:
    """The whole of `ranking.json`."""

    format: int
    program: str
    part_data: str
    spec: SpecReference
    search: SearchReport
    verdict: Verdict
    designs: tuple[Design, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class CheckReport:
    """What `check` says of one circuit: the same rows as a design, pass or fail.

    `failures` is one line per requirement missed or rating exceeded; `margin_stops` is
    negative where the spec is missed by so much.
    """

    format: int
    program: str
    part_data: str
    spec: SpecReference
    meets: bool
    failures: tuple[str, ...]
    remarks: tuple[str, ...]
    design: Design
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class CountRow:
    """How many circuits there are with so many extra parts, wires and joints."""

    extra_parts: int
    diodes: int
    resistors: int
    wires: int
    joints: int
    circuits: int


@dataclass(frozen=True)
class CountReport:
    """What `count` says: circuits per size, choices per circuit, and about how long."""

    spec: SpecReference
    rows: tuple[CountRow, ...]
    total: int
    choices: int
    about_seconds: float
    budget: int


@dataclass(frozen=True)
class PartLine:
    """One line of the catalogue: lamps, diodes."""

    type: str
    kind: Literal["lamp", "diode"]
    system: str
    rated: str
    cap: str
    filling: str
    source: str
    confidence: str


@dataclass(frozen=True)
class SeriesLine:
    """One preferred-value series or list of wattages."""

    name: str
    values: tuple[float, ...]
    tolerance_percent: float | None
    source: str
    confidence: str


@dataclass(frozen=True)
class Catalogue:
    """What `parts` lists."""

    lines: tuple[PartLine, ...]
    series: tuple[SeriesLine, ...]


@dataclass(frozen=True)
class CurveRow:
    """One point of a filament's curve; flux and life relative to rated."""

    volts: float
    amps: float
    watts: float
    kelvin: float
    flux: float
    life: float


@dataclass(frozen=True)
class FilamentCurve:
    """The curve of one filament of one type, and what it was made from."""

    type: str
    filament: str
    system: int
    test_volts: float
    rated_watts: float
    rated_lumens: float
    rated_kelvin: float
    conducted_share: float
    cold_ohms: float
    hot_ohms: float
    source: str
    confidence: str
    rows: tuple[CurveRow, ...]


@dataclass(frozen=True)
class Curves:
    """What `parts TYPE` prints: one curve per filament and system."""

    type: str
    curves: tuple[FilamentCurve, ...]
