"""What a design is built of besides its parts: fuses and wires from the supply on, and the coupling.

Where the spec has [wiring], wires and fuses are those of `wiring`; elsewhere wires have no length, a fuse is
for what its control carries, and a wire carries the fuses of the feeds next to its part. On the supply's
side a wire leads from the battery by the main fuse to a fuse for every fed terminal, from there to the
control and on to the terminal. The main fuse is for the most that all takes together. Loads are those at
high supply with every part at the end of its tolerance that takes most.

Where there is a coupling, cores have the colour that it gives the contact of a net's terminal; other colours
are the builder's. A coupling that is asked for where nothing goes through one takes all wires from terminals.

Source: as `wiring`; a main fuse no smaller than any behind it is common practice.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from msgspec.structs import replace

from lampwright.assess.faults.bench import HIGH, Bench
from lampwright.assess.faults.examine import FaultFinder
from lampwright.assess.faults.listing import Circuitry
from lampwright.network.circuit import GROUND, SUPPLY
from lampwright.network.wiring import Harness, harness_of
from lampwright.parts.couplings import ISO_7, ISO_13, CouplingPin, contact_for, contacts_of
from lampwright.parts.wires import awg_for, continuous_amps, fuse_for, wire_sizes
from lampwright.results.design import Design, Source
from lampwright.results.sheet import (
    CouplingContact,
    LeadRow,
    SheetCoupling,
    SheetFuse,
    SheetWire,
    SupplyLeadRow,
)
from lampwright.solve.boundary import SUPPLY_POINT
from lampwright.solve.laws import FILAMENT, RESISTOR
from lampwright.spec.model import Control

MAIN = "main"
KINDS = {"positions": "selector"}
"""What a kind of control is called, where it is called otherwise."""


@dataclass(frozen=True)
class Building:
    """Fuses, wires in order from the supply, the ends of parts they lead to, the coupling if there is one."""

    source: Source
    fuses: tuple[SheetFuse, ...]
    wires: tuple[SheetWire, ...]
    leads: tuple[LeadRow, ...]
    supply_leads: tuple[SupplyLeadRow, ...]
    coupling: SheetCoupling | None


def building_of(finder: FaultFinder, circuit: Circuitry, design: Design, coupling: str | None) -> Building:
    """What a design of the finder's problem is built of; coupling: its name, or None for the usual one."""
    return _Builder(finder, circuit, design, coupling).building()


class _Builder:
    def __init__(self, finder: FaultFinder, circuit: Circuitry, design: Design, coupling: str | None) -> None:
        self.problem, self.circuit, self.design = finder.problem, circuit, design
        self.source = design.source
        extras = circuit.refs[len(circuit.refs) - circuit.netlist.extra_parts :]
        self.harness: Harness = harness_of(
            circuit.netlist, self.problem.layout, self.problem.zoned, tuple(extras)
        )
        self.controls = self.problem.spec.controls
        self.amps, self.total = _loads(finder, circuit)
        self.fuses = tuple(self._fuses())
        self.fuse_of = {name: one.fuse_amps for one in self.fuses for name in one.terminals}
        every = [at for at, wire in enumerate(self.harness.wires) if self._terminals_of(wire.near)]
        self.through = self.harness.crossing() or (tuple(every) if coupling else ())
        self.coupling = coupling or self._usual()

    def building(self) -> Building:
        own, ways = tuple(self._own_wires()), tuple(self._supply_wires())
        return Building(
            source=self.source,
            fuses=self.fuses,
            wires=(*(wire for _, wire in ways), *own),
            leads=tuple(self._leads()),
            supply_leads=tuple(
                SupplyLeadRow(control=control, end=end, wire=wire.number) for (control, end), wire in ways
            ),
            coupling=self._through(own),
        )

    def _fuses(self) -> Iterator[SheetFuse]:
        """The main fuse, then that of every fed terminal."""
        known = {row.feed: row for row in self.design.wiring.fuses} if self.design.wiring else {}
        fed = []
        for control in self.controls:
            names = _fed(control)
            rows = [known[name] for name in names if name in known]
            # a control has one fuse, before its pole
            if names:
                fed.append(_fuse(names, max((row.amps for row in rows), default=self.amps[control.name])))
        if SUPPLY in self.problem.layout.terminals and self._is_used(SUPPLY):
            row = known.get(SUPPLY)
            own = row.amps if row else self.amps[SUPPLY]
            fed.append(_fuse((SUPPLY,), own))
        main = _fuse((MAIN,), self.total)
        largest = max(fed, key=lambda one: one.fuse_amps or 0.0, default=main)
        if main.fuse_amps is not None and (largest.fuse_amps or 0.0) > main.fuse_amps:
            main = replace(main, fuse_amps=largest.fuse_amps, colour=largest.colour)
        yield main
        yield from fed

    def _is_used(self, terminal: str) -> bool:
        return any(terminal in (part.from_node, part.to_node) for part in self.design.parts)

    def _supply_wires(self) -> Iterator[tuple[tuple[str, str], SheetWire]]:
        """From the supply to the terminals, each with where it is drawn."""
        ways: list[tuple[tuple[str, str], str, str, float | None]] = [
            (("", "source"), f"{self.source} +", "main fuse", self.fuse_of[MAIN]),
            (("", "fuses"), "main fuse", "fuses", self.fuse_of[MAIN]),
        ]
        for control in self.controls:
            fed = _fed(control)
            others = [name for name in _terminals(control) if name not in fed]
            here = f"{control.name} {KINDS.get(control.kind, control.kind)}"
            if fed:
                ways.append(((control.name, ""), f"fuse {', '.join(fed)}", here, self.fuse_of[fed[0]]))
            ways += [((control.name, name), here, name, self.fuse_of[name]) for name in fed]
            ways += [((control.name, name), here, name, self._most()) for name in others]
        if SUPPLY in self.fuse_of:
            ways.append((("supply", SUPPLY), f"fuse {SUPPLY}", SUPPLY, self.fuse_of[SUPPLY]))
        for number, (place, start, end, fuse) in enumerate(ways, 1):
            yield place, _wire(f"+{number}", start, end, fuse)
        yield ("", "ground"), _wire("−", f"{self.source} −", GROUND, self.fuse_of[MAIN])

    def _most(self) -> float | None:
        """The largest of the fuses of feeds."""
        return max((one.fuse_amps or 0.0 for one in self.fuses[1:]), default=self.fuse_of[MAIN])

    def _own_wires(self) -> Iterator[SheetWire]:
        """The wires between terminals, lamps and parts, numbered as in the wiring list."""
        known = {row.number: row for row in self.design.wiring.wires} if self.design.wiring else {}
        for number, wire in enumerate(self.harness.wires, 1):
            near, far = self.harness.pins[wire.near], self.harness.pins[wire.far]
            zone = near.zone if near.zone == far.zone else f"{near.zone}–{far.zone}"
            core = self._contact(wire.near)
            row = known.get(number)
            if row is None:
                bare = _wire(f"{number}", near.name, far.name, self._fuse_by(number - 1))
                area, awg, fuse, metres = bare.area_mm2, bare.awg, bare.fuse_amps, None
            else:
                area, awg, fuse, metres = row.area_mm2, row.awg, row.fuse_amps, row.metres
            yield SheetWire(
                number=f"{number}",
                from_node=near.name,
                to_node=far.name,
                zone=zone,
                pin=core.pin if core else "",
                metres=metres,
                area_mm2=area,
                awg=awg,
                fuse_amps=fuse,
                colour=core.colour if core else "",
                confidence=core.confidence if core else "",
            )

    def _fuse_by(self, wire: int) -> float | None:
        """The largest fuse of the feeds beside the parts whose current a wire carries, or of all feeds."""
        names = self.problem.layout.terminals
        beside = {
            self.fuse_of.get(names[terminal])
            for part in range(len(self.circuit.refs))
            if wire in self.harness.wires_of(part)
            for terminal in self.harness.terminals_of(part)
        }
        return max((one for one in beside if one), default=self._most())

    def _terminals_of(self, pin: int) -> list[str]:
        """The terminals of a pin's net."""
        pins = self.harness.pins
        own = [one.terminal for one in pins if one.net == pins[pin].net and one.terminal is not None]
        return [self.problem.layout.terminals[terminal] for terminal in own]

    def _contact(self, pin: int) -> CouplingPin | None:
        """The contact that the coupling has for a pin's net, if it has one and is wanted."""
        names = self._terminals_of(pin) if self.through else []
        return next((one for name in names if (one := contact_for(self.coupling, name))), None)

    def _leads(self) -> Iterator[LeadRow]:
        for number, wire in enumerate(self.harness.wires, 1):
            far = self.harness.pins[wire.far]
            for end in far.ends:
                ref, node = self.circuit.refs[end.part], self.circuit.nodes[far.net]
                yield LeadRow(ref=ref, node=node, wire=f"{number}")
            for part in self.design.parts:
                ends = {self.harness.pins[end].name for end in (wire.near, wire.far)}
                if part.kind == "wire" and ends == {part.from_node, part.to_node}:
                    yield LeadRow(ref=part.ref, node=part.to_node, wire=f"{number}")

    def _usual(self) -> str:
        """The smaller coupling of ISO that serves what goes through."""
        names = {name for at in self.through for name in self._terminals_of(self.harness.wires[at].near)}
        small, large = (
            {name for one in contacts_of(kind) for name in one.terminals} for kind in (ISO_7, ISO_13)
        )
        return ISO_13 if names & (large - small) else ISO_7

    def _through(self, own: tuple[SheetWire, ...]) -> SheetCoupling | None:
        """The coupling, and what goes through it."""
        if not self.through:
            return None
        found = {own[at].number: self._contact(self.harness.wires[at].near) for at in self.through}
        return SheetCoupling(
            name=self.coupling,
            zones=own[self.through[0]].zone,
            contacts=tuple(
                CouplingContact(
                    pin=one.pin,
                    function=one.function,
                    colour=one.colour,
                    area_mm2=one.area_mm2,
                    wires=tuple(number for number, contact in found.items() if contact == one),
                    terminal=", ".join(
                        name for name in one.terminals if name in self.problem.layout.terminals
                    ),
                    x=one.x,
                    y=one.y,
                    confidence=one.confidence,
                    place_confidence=one.place_confidence,
                )
                for one in contacts_of(self.coupling)
            ),
            without=tuple(number for number, contact in found.items() if contact is None),
        )


def _fed(control: Control) -> tuple[str, ...]:
    """The terminals that a control joins to the supply."""
    pairs = (pair for position in control.positions for pair in position.joins if SUPPLY in pair)
    return tuple(dict.fromkeys(end for pair in pairs for end in pair if end != SUPPLY))


def _terminals(control: Control) -> tuple[str, ...]:
    """All terminals at a control's contacts, the supply apart."""
    pairs = (pair for position in control.positions for pair in position.joins)
    return tuple(dict.fromkeys(end for pair in pairs for end in pair if end != SUPPLY))


def _fuse(terminals: tuple[str, ...], amps: float) -> SheetFuse:
    fuse = fuse_for(amps)
    size, colour = (fuse.amps, fuse.colour) if fuse else (None, "")
    return SheetFuse(of=", ".join(terminals), terminals=terminals, amps=amps, fuse_amps=size, colour=colour)


def _wire(number: str, start: str, end: str, fuse: float | None) -> SheetWire:
    """A wire of the smallest size that carries its fuse for good, or of the largest."""
    sizes = wire_sizes()
    area = next((size for size in sizes if continuous_amps(size) >= (fuse or np.inf)), sizes[-1])
    return SheetWire(
        number=number,
        from_node=start,
        to_node=end,
        zone="",
        pin="",
        metres=None,
        area_mm2=area,
        awg=awg_for(area),
        fuse_amps=fuse,
        colour="",
        confidence="",
    )


def _loads(finder: FaultFinder, circuit: Circuitry) -> tuple[dict[str, float], float]:
    """What every control, and terminal 30, carries at the most [A], and all together."""
    problem, bench = finder.problem, Bench(finder.problem, finder.stock, circuit)
    fitting = bench.fit(None)
    shares = np.array([one.watts_tolerance for one in finder.stock.filaments])
    lamps, tolerance = fitting.kinds == FILAMENT, problem.part_options.ohms_tolerance
    fitting.values[lamps] *= 1.0 + shares[fitting.rows[lamps]]
    fitting.values[fitting.kinds == RESISTOR] /= 1.0 - tolerance
    settled = bench.settle(fitting, HIGH)
    ends = fitting.boundary.vertex_node[:, fitting.ends]
    signs = (ends[..., 0] == SUPPLY_POINT).astype(float) - (ends[..., 1] == SUPPLY_POINT)
    taken = (signs * settled.points.amps).sum(axis=1)
    amps = settled.control_amps.max(axis=0, initial=0.0)
    loads = {control.name: float(most) for control, most in zip(problem.spec.controls, amps, strict=True)}
    beside = np.maximum(taken - settled.control_amps.sum(axis=1), 0.0)
    return {**loads, SUPPLY: float(beside.max(initial=0.0))}, float(np.abs(taken).max(initial=0.0))
