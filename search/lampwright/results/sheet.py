"""The sheet for the bench as plain rows: what to wire, and what a meter should read, cold and under power.

Rows as in `results.ranking`. Volts [V], amps [A], ohms [ohm], areas [mm2]; a reading is in volts
or ohms as its `unit` says, null where there is none to give: no end to ohms, or, of both volts, a fuse that
blows. No source: our format.
"""

from typing import Literal

from lampwright.results.design import Design, Source
from lampwright.results.ranking import SpecReference
from lampwright.results.row import (
    Amount,
    Amps,
    Metres,
    Ohms,
    Ratio,
    Row,
    Score,
    SquareMillimetres,
    Volts,
    Whole,
)


class SpanRow(Row, frozen=True, kw_only=True):
    """Between what a reading lies, the meter's error in it; null where open, both where a fuse blows."""

    low: Amount | None
    high: Amount | None


class ReadingRow(Row, frozen=True, kw_only=True):
    """One reading to take, between two nodes: what it is nominally in the sound circuit, and its span.

    `state` and `positions` are the controls' (with the flasher's `phase`); readings of ohms are taken with
    the supply off. Volts are of the circuit without its wires; these may take up to `wires_volts`, for
    which the span has room.
    """

    number: str
    unit: Literal["ohm", "V"]
    node: str
    to: str
    state: str
    phase: str
    positions: tuple[tuple[str, str], ...]
    nominal: Amount | None
    span: SpanRow
    wires_volts: Volts


class SignRow(Row, frozen=True, kw_only=True):
    """What one reading is under a fault, where its span is clear of the sound circuit's."""

    reading: str
    span: SpanRow


class FaultSigns(Row, frozen=True, kw_only=True):
    """Faults that look the same, and the readings by which they are known; none where none shows them."""

    faults: tuple[str, ...]
    signs: tuple[SignRow, ...]


class BenchTests(Row, frozen=True, kw_only=True):
    """The readings that tell apart all faults that any reading at these nodes does, and what they mean.

    `cold` are taken before power, with every control as in `rest`; `powered` at `volts`, to within the
    share `supply_share`. A meter is taken to be off by at most so many volts or ohms and a share besides.
    `wires_known`: the spec has [wiring]; else `wires_volts` are 0, and what wires take is not in any span.
    `alike` are sets of faults that no reading tells apart; "" among them is the sound circuit. `proved`: no
    fewer readings do, given that each node is measured to ground before power.
    """

    volts: Volts
    supply_share: Ratio
    meter_volts: Volts
    meter_volts_share: Ratio
    meter_ohms: Ohms
    meter_ohms_share: Ratio
    rest: tuple[tuple[str, str], ...]
    cold: tuple[ReadingRow, ...]
    powered: tuple[ReadingRow, ...]
    faults: tuple[FaultSigns, ...]
    alike: tuple[tuple[str, ...], ...]
    wires_known: bool
    proved: bool
    unsolved: Whole


class SheetFuse(Row, frozen=True, kw_only=True):
    """One fuse: of the terminals of a control, or the main one; null where no blade fuse is large enough.

    `of` names it in words, `terminals` one by one.
    """

    of: str
    terminals: tuple[str, ...]
    amps: Amps
    fuse_amps: Amps | None
    colour: str


class SheetWire(Row, frozen=True, kw_only=True):
    """One wire from the supply on; `pin`, `colour` and how sure that is where a standard has them.

    `metres` is null where the spec does not say. `fuse_amps` is that of the fuse it must outlast.
    """

    number: str
    from_node: str
    to_node: str
    zone: str
    pin: str
    metres: Metres | None
    area_mm2: SquareMillimetres
    awg: Whole
    fuse_amps: Amps | None
    colour: str
    confidence: str


class LeadRow(Row, frozen=True, kw_only=True):
    """An end of a part that has a wire of its own: the part, the node it is at, the number of the wire."""

    ref: str
    node: str
    wire: str


class SupplyLeadRow(Row, frozen=True, kw_only=True):
    """A wire of the supply's side: its control, and the terminal it leads to, "" from the fuse.

    No control: `end` is `source` (to the main fuse), `fuses` (on from there), `ground`.
    """

    control: str
    end: str
    wire: str


class CouplingContact(Row, frozen=True, kw_only=True):
    """One contact of a coupling: what it is for, its core, the wires on it, and where it is on the face.

    x and y run from -1 to 1, rightward and upward, as one looks into the vehicle's socket;
    `place_confidence` says how sure that is, `confidence` how sure the rest.
    """

    pin: str
    function: str
    colour: str
    area_mm2: SquareMillimetres | None
    wires: tuple[str, ...]
    terminal: str
    x: Score
    y: Score
    confidence: str
    place_confidence: str


class SheetCoupling(Row, frozen=True, kw_only=True):
    """The coupling between zones: its contacts, and the wires for which it has none."""

    name: str
    zones: str
    contacts: tuple[CouplingContact, ...]
    without: tuple[str, ...]


class BenchSheet(Row, frozen=True, kw_only=True):
    """One design on one sheet, for whoever builds and tries it."""

    program: str
    part_data: str
    spec: SpecReference
    subject: str
    source: Source
    design: Design
    fuses: tuple[SheetFuse, ...]
    wires: tuple[SheetWire, ...]
    leads: tuple[LeadRow, ...]
    supply_leads: tuple[SupplyLeadRow, ...]
    coupling: SheetCoupling | None
    tests: BenchTests
    cautions: tuple[str, ...]
