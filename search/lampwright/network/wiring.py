"""The harness of a circuit: pins, and the wires that join them.

Every net (a node with all that wires join to it) becomes a tree of wires from pin to
pin. A pin is a named terminal, an end of a lamp's filament (one pin for a contact that
two filaments share), or an end of a resistor or diode. In every zone the net's wires
meet at one pin, its hub: a terminal if there is one, else the first lamp or part, where
they are spliced. One wire through the coupling joins the hub of the net's first zone
(where its first terminal is; without one, where most pins are) to that of every other.
So a net needs one conductor for each zone beyond its first.

A thing placed nowhere, and every resistor and diode, goes where it needs fewest
conductors, found by moving one thing at a time.

Terminal 58L in the vehicle with a tell-tale there and a lamp in the trailer: two wires,
58L to the tell-tale, and 58L to the lamp through the coupling.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from lampwright.network.layout import Layout
from lampwright.network.netlist import Netlist
from lampwright.network.zones import Zoned

Owner = tuple[str, int]
"""What a pin belongs to: a terminal, a lamp or an extra part, by number."""


@dataclass(frozen=True)
class PartEnd:
    """One end of a part: its index into `ends`, and the side, 0 or 1."""

    part: int
    side: int


@dataclass(frozen=True)
class Pin:
    """A point where wires end: its name for a builder, its net (a vertex), what it belongs to, its zone.

    terminal: its number, or None. ends: the ends of parts that meet here.
    """

    name: str
    net: int
    owner: Owner
    terminal: int | None = None
    ends: tuple[PartEnd, ...] = ()
    zone: str = ""


@dataclass(frozen=True)
class Wire:
    """A wire from a pin to one further from its net's first hub; pins by number."""

    near: int
    far: int


@dataclass(frozen=True)
class Harness:
    """All pins and wires, in order of nets. A wire's number for a builder is its place plus one."""

    pins: tuple[Pin, ...]
    wires: tuple[Wire, ...]

    def meeting(self, pin: int) -> tuple[int, ...]:
        """The wires that end at a pin."""
        return tuple(at for at, wire in enumerate(self.wires) if pin in (wire.near, wire.far))

    def way(self, pin: int) -> tuple[int, ...]:
        """The wires from a pin to its net's first hub."""
        wire = next((at for at, wire in enumerate(self.wires) if wire.far == pin), None)
        return () if wire is None else (wire, *self.way(self.wires[wire].near))

    def wires_of(self, part: int) -> tuple[int, ...]:
        """The wires of both sides of a part, each to its net's terminals, or to where it is spliced."""
        own = [at for at, pin in enumerate(self.pins) if any(end.part == part for end in pin.ends)]
        nets = {self.pins[at].net for at in own}
        own += [at for at, pin in enumerate(self.pins) if pin.net in nets and pin.terminal is not None]
        return tuple(sorted({wire for at in own for wire in self.way(at)}))

    def terminals_of(self, part: int) -> tuple[int, ...]:
        """The terminals at either side of a part."""
        nets = {pin.net for pin in self.pins if any(end.part == part for end in pin.ends)}
        return tuple(pin.terminal for pin in self.pins if pin.net in nets and pin.terminal is not None)

    def splices(self) -> tuple[int, ...]:
        """The pins other than terminals at which two wires or more meet."""
        return tuple(
            at for at, pin in enumerate(self.pins) if pin.terminal is None and len(self.meeting(at)) > 1
        )

    def crossing(self) -> tuple[int, ...]:
        """The wires that go through a coupling."""
        return tuple(
            at for at, wire in enumerate(self.wires) if self.pins[wire.near].zone != self.pins[wire.far].zone
        )


def harness_of(netlist: Netlist, layout: Layout, zoned: Zoned, refs: tuple[str, ...] = ()) -> Harness:
    """The harness of a circuit whose filaments and terminals are the layout's.

    refs: names of the diodes and resistors, in order; D1, R1 and so on if left out.
    """
    numbered = [f"D{n + 1}" for n in range(netlist.diodes)]
    numbered += [f"R{n + 1}" for n in range(netlist.resistors)]
    loose = list(_loose_pins(netlist, layout, refs or tuple(numbered)))
    zones = tuple(dict.fromkeys(zone for zone in (*zoned.terminals, *zoned.filaments) if zone)) or ("",)
    home = _homes(loose, layout, zoned, zones)
    pins = tuple(replace(pin, zone=home[pin.owner]) for pin in loose)
    wires: list[Wire] = []
    for net in range(netlist.blocks + netlist.joints):
        wires += _tree([at for at, pin in enumerate(pins) if pin.net == net], pins, zones)
    return Harness(pins, tuple(wires))


def _loose_pins(netlist: Netlist, layout: Layout, refs: tuple[str, ...]) -> Iterator[Pin]:
    """Every pin before it has a zone, net by net: terminals, then filaments, diodes and resistors."""
    owners = _part_owners(netlist, layout)
    shared = _shared_nets(netlist, layout)
    for net in range(netlist.blocks + netlist.joints):
        for number, name in enumerate(layout.terminals):
            if netlist.partition[number] == net:
                yield Pin(name, net, ("terminal", number), terminal=number)
        met: dict[Owner, list[PartEnd]] = {}
        for part, owner in enumerate(owners):
            for side in (0, 1):
                if netlist.ends[part, side] != net:
                    continue
                if shared.get(owner) == net:
                    met.setdefault(owner, []).append(PartEnd(part, side))
                else:
                    name = _end_name(part, side, netlist, layout, refs)
                    yield Pin(name, net, owner, ends=(PartEnd(part, side),))
        for owner, ends in met.items():
            yield Pin(f"{layout.lamps[owner[1]].lamp} common", net, owner, ends=tuple(ends))


def _part_owners(netlist: Netlist, layout: Layout) -> tuple[Owner, ...]:
    extras = (("part", number) for number in range(netlist.extra_parts))
    return (*(("lamp", at) for at in layout.lamp_at), *extras)


def _shared_nets(netlist: Netlist, layout: Layout) -> dict[Owner, int]:
    """The net of the contact that the filaments of a lamp share, for lamps that have one."""
    nets: dict[Owner, int] = {}
    for at, (lamp, own) in enumerate(zip(layout.lamps, layout.filaments_of, strict=True)):
        common = set.intersection(*({int(a), int(b)} for a, b in netlist.ends[list(own)]))
        if lamp.shared and common:
            fixed = None if lamp.common is None else netlist.partition[layout.terminals.index(lamp.common)]
            nets["lamp", at] = fixed if fixed in common else min(common)
    return nets


def _end_name(part: int, side: int, netlist: Netlist, layout: Layout, refs: tuple[str, ...]) -> str:
    extra = part - len(layout.filaments)
    if extra >= 0:
        return f"{refs[extra]} {('anode', 'cathode')[side]}" if extra < netlist.diodes else refs[extra]
    name, lamp = layout.filaments[part], layout.lamp_of[part]
    return name if name == lamp else f"{lamp} {name}"


def _homes(loose: Sequence[Pin], layout: Layout, zoned: Zoned, zones: tuple[str, ...]) -> dict[Owner, str]:
    """The zone of every owner: as placed, else where fewest conductors are needed."""
    placed: dict[Owner, str] = {("terminal", at): zone for at, zone in enumerate(zoned.terminals)}
    placed |= {("lamp", at): zoned.filaments[own[0]] for at, own in enumerate(layout.filaments_of)}
    owners = dict.fromkeys(pin.owner for pin in loose)
    free = [owner for owner in owners if not placed.get(owner)]
    tries = []
    for start in zones:
        home = {owner: placed.get(owner) or start for owner in owners}
        tries.append(_settle(home, free, loose, zones))
    return min(tries, key=lambda home: _conductors(home, loose))


def _settle(
    home: dict[Owner, str], free: list[Owner], loose: Sequence[Pin], zones: tuple[str, ...]
) -> dict[Owner, str]:
    """Move one free thing at a time to another zone while that saves a conductor."""
    least = _conductors(home, loose)
    moved = True
    while moved:
        moved = False
        for owner in free:
            for zone in zones:
                trial = {**home, owner: zone}
                count = _conductors(trial, loose)
                if count < least:
                    home, least, moved = trial, count, True
    return home


def _conductors(home: dict[Owner, str], loose: Sequence[Pin]) -> int:
    pairs = {(pin.net, home[pin.owner]) for pin in loose}
    return len(pairs) - len({pin.net for pin in loose})


def _tree(own: list[int], pins: tuple[Pin, ...], zones: tuple[str, ...]) -> list[Wire]:
    """The wires of one net; its first zone's first."""
    if not own:
        return []
    by_zone = {zone: [at for at in own if pins[at].zone == zone] for zone in zones}
    held = [zone for zone in zones if by_zone[zone]]
    terminals = [pins[at].zone for at in own if pins[at].terminal is not None]
    first = terminals[0] if terminals else max(held, key=lambda zone: len(by_zone[zone]))
    wires = []
    for zone in sorted(held, key=lambda zone: zone != first):
        hub = by_zone[zone][0]
        if zone != first:
            wires.append(Wire(by_zone[first][0], hub))
        wires += [Wire(hub, at) for at in by_zone[zone] if at != hub]
    return wires
