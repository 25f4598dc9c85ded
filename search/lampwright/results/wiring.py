"""The wiring of a design as plain rows: wires, fuses, splices, and the margin with wires in place.

Rows as in `results.ranking`, whose Design holds them. Lengths are metres [m], cross-sections
area_mm2 [mm2]; amps [A] and drop_volts [V] are the most over all states at high supply,
parts nominal or taking most. No source: our format.
"""

from lampwright.results.row import Amps, Celsius, Metres, Ohms, Row, SquareMillimetres, Stops, Volts, Whole


class WireRow(Row, frozen=True, kw_only=True):
    """One wire, from the pin nearer its net's first terminal to the one beyond.

    `net` is the terminals (or joint) it is part of; `zone` that of both ends, or both
    zones where it goes through the coupling, on `pin` if the coupling has one for it. It
    must outlast a fuse of `fuse_amps` and may carry `carries_amps` for good; `colour` is
    the builder's to fill in.
    """

    number: Whole
    net: str
    from_node: str
    to_node: str
    zone: str
    pin: str
    metres: Metres
    area_mm2: SquareMillimetres
    awg: Whole
    ohms: Ohms
    amps: Amps
    state: str
    drop_volts: Volts
    fuse_amps: Amps
    carries_amps: Amps
    colour: str


class LampWiresRow(Row, frozen=True, kw_only=True):
    """What one filament loses in its wires, feed and return together, where light is asked of it."""

    lamp: str
    wires: tuple[Whole, ...]
    drop_volts: Volts
    state: str
    within: bool


class FeedFuseRow(Row, frozen=True, kw_only=True):
    """One fed terminal: its greatest load, and the blade fuse for it (null where none is large enough).

    `carries_amps` is the least that a wire behind the fuse may carry for good.
    """

    feed: str
    amps: Amps
    state: str
    fuse_amps: Amps | None
    colour: str
    carries_amps: Amps


class SpliceRow(Row, frozen=True, kw_only=True):
    """A place other than a terminal where wires meet: at which pin, in which zone, and which wires."""

    at: str
    zone: str
    wires: tuple[Whole, ...]


class CouplingRow(Row, frozen=True, kw_only=True):
    """A coupling between two zones, and the wires through it, one contact each."""

    zones: str
    wires: tuple[Whole, ...]


class TerminalRow(Row, frozen=True, kw_only=True):
    """A terminal whose name is a number of DIN 72552, and what it means."""

    terminal: str
    meaning: str


class WiringList(Row, frozen=True, kw_only=True):
    """The wiring of a design: what to cut, splice and fuse, and what the judge says of it all.

    `metres` is all wire together. `meets` and `margin_stops` are the judge's with every
    wire as a resistor without tolerance; null, and no wires, where the circuit with its
    wires is too large to solve. `warnings` is what a builder must look at; `notes` how
    the figures were had.
    """

    wires: tuple[WireRow, ...]
    lamps: tuple[LampWiresRow, ...]
    fuses: tuple[FeedFuseRow, ...]
    splices: tuple[SpliceRow, ...]
    couplings: tuple[CouplingRow, ...]
    terminals: tuple[TerminalRow, ...]
    metres: Metres
    most_drop_volts: Volts
    celsius: Celsius
    meets: bool | None
    margin_stops: Stops | None
    warnings: tuple[str, ...]
    notes: tuple[str, ...]
