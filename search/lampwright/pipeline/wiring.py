"""From a design to its wiring list, in rows and words.

Nothing is decided here: wires, sizes and fuses are `rank.wiring`'s, meanings of terminals
and pins of couplings `parts.terminals`'.
"""

from lampwright.network.embed import Embedding
from lampwright.network.wiring import Harness, Pin
from lampwright.parts.terminals import coupling_pin, terminal_meaning
from lampwright.parts.wires import awg_for
from lampwright.rank.study import Choice, Study
from lampwright.rank.wiring import Feed, Loom, NoRoomError, wire_up
from lampwright.spec.model import Wiring
from lampwright.store.wiring_rows import (
    CouplingRow,
    FeedFuseRow,
    LampWiresRow,
    SpliceRow,
    TerminalRow,
    WireRow,
    WiringList,
)


def wiring_list(
    study: Study, embedding: Embedding, choice: Choice, refs: tuple[str, ...] = ()
) -> WiringList | None:
    """The wiring of a fitted circuit; None where its spec says nothing of wires.

    refs: names of its diodes and resistors; D1, R1 and so on if left out. Raises
    ShortedError where contacts alone join supply and ground.
    """
    wiring = study.spec.wiring
    if wiring is None:
        return None
    try:
        loom = wire_up(study, embedding, choice, wiring, refs)
    except NoRoomError as error:
        return _without_wires(study, wiring, str(error))
    return _Lister(study, loom, wiring).rows()


def _without_wires(study: Study, wiring: Wiring, why: str) -> WiringList:
    meanings = _meanings(study)
    warning = f"No wires are listed: {why}."
    return WiringList(
        (), (), (), (), (), meanings, 0.0, wiring.most_drop, wiring.celsius, None, None, (warning,), ()
    )


def _meanings(study: Study) -> tuple[TerminalRow, ...]:
    known = ((name, terminal_meaning(name)) for name in study.layout.terminals)
    return tuple(TerminalRow(name, meaning) for name, meaning in known if meaning)


def _notes(study: Study, wiring: Wiring) -> tuple[str, ...]:
    return (
        f"Ohms: the greater limit of IEC 60228 class 5 and ISO 6722-1, copper at {wiring.celsius:g} °C;"
        " crimps, splices and couplings are taken as perfect. A length is between two things, through"
        " the coupling if need be.",
        f"Amps: the most in any state at {study.volts[2]:g} V, with nominal parts or those that take most."
        " What a wire carries for good: the lesser of a trade's rating for PVC cable and an owners' rule of"
        " thumb, ambient not stated; not the higher rating of thin-wall cable.",
        "Fuses: the next ISO 8820-3 blade rating that is loaded to at most 75 %, close to the source. Every"
        " wire of a part next to a feed carries that feed's fuse for good.",
        "AWG: the thinnest even gauge that is no thinner. Pins: those of ISO 1724 and ISO 11446, where they"
        " have one for the terminal. Colours are the builder's.",
    )


class _Lister:
    """Writes the rows of one loom."""

    def __init__(self, study: Study, loom: Loom, wiring: Wiring) -> None:
        self.study, self.loom, self.wiring = study, loom, wiring
        self.pins = loom.harness.pins

    def rows(self) -> WiringList:
        """Everything."""
        loom, wiring = self.loom, self.wiring
        return WiringList(
            tuple(self._wire(number) for number in range(len(loom.wires))),
            tuple(
                LampWiresRow(
                    self.study.layout.filaments[lamp.filament],
                    _numbers(lamp.wires),
                    lamp.drop,
                    self._state(lamp.state),
                    lamp.drop <= wiring.most_drop,
                )
                for lamp in loom.lamps
            ),
            tuple(self._feed(feed) for feed in loom.feeds),
            tuple(
                SpliceRow(self.pins[pin].name, self.pins[pin].zone, _numbers(loom.harness.meeting(pin)))
                for pin in loom.harness.splices()
            ),
            self._couplings(loom.harness),
            _meanings(self.study),
            sum(wire.metres for wire in loom.wires),
            wiring.most_drop,
            wiring.celsius,
            loom.met,
            loom.margin,
            self._warnings(),
            _notes(self.study, wiring),
        )

    def _state(self, at: int) -> str:
        state = self.study.states[at]
        return f"{state.name} ({state.phase})" if state.phase else state.name

    def _net(self, pin: Pin) -> tuple[str, ...]:
        """The terminals of a pin's net."""
        names = self.study.layout.terminals
        return tuple(
            names[one.terminal] for one in self.pins if one.net == pin.net and one.terminal is not None
        )

    def _net_name(self, pin: Pin) -> str:
        blocks = len({one.net for one in self.pins if one.terminal is not None})
        return "+".join(self._net(pin)) or f"j{pin.net - blocks + 1}"

    def _wire(self, number: int) -> WireRow:
        wire, fitted = self.loom.harness.wires[number], self.loom.wires[number]
        near, far = self.pins[wire.near], self.pins[wire.far]
        crosses = near.zone != far.zone
        pins = [str(coupling_pin(name)) for name in self._net(near) if coupling_pin(name)] if crosses else []
        return WireRow(
            number=number + 1,
            net=self._net_name(near),
            from_node=near.name,
            to_node=far.name,
            zone=_zones(near, far),
            pin=pins[0] if pins else "",
            metres=fitted.metres,
            area_mm2=fitted.area_mm2,
            awg=awg_for(fitted.area_mm2),
            ohms=fitted.ohms,
            amps=fitted.amps,
            state=self._state(fitted.state),
            drop_volts=fitted.amps * fitted.ohms,
            fuse_amps=fitted.stands,
            carries_amps=fitted.carries,
            colour="",
        )

    def _feed(self, feed: Feed) -> FeedFuseRow:
        return FeedFuseRow(
            self.study.layout.terminals[feed.terminal],
            feed.amps,
            self._state(feed.state),
            feed.fuse.amps if feed.fuse else None,
            feed.fuse.colour if feed.fuse else "",
            feed.carries,
        )

    def _couplings(self, harness: Harness) -> tuple[CouplingRow, ...]:
        through: dict[str, list[int]] = {}
        for number in harness.crossing():
            wire = harness.wires[number]
            through.setdefault(_zones(self.pins[wire.near], self.pins[wire.far]), []).append(number)
        return tuple(CouplingRow(zones, _numbers(tuple(wires))) for zones, wires in through.items())

    def _warnings(self) -> tuple[str, ...]:
        loom, most = self.loom, self.wiring.most_drop
        lines = []
        if not loom.met:
            short = f" by {-loom.margin:.2f} stops" if loom.margin < 0 else ", in a rating"
            lines.append(
                f"With its wires in place the circuit misses the spec{short}: use shorter or thicker wires."
            )
        for lamp in loom.lamps:
            if lamp.drop > most:
                name = self.study.layout.filaments[lamp.filament]
                lines.append(
                    f"{name} loses {lamp.drop:.2f} V in its wires, more than {most:g} V, with the thickest"
                    " size on offer: offer thicker wire, or shorten it."
                )
        for number, wire in enumerate(loom.wires, 1):
            if wire.amps > wire.carries:
                lines.append(
                    f"Wire {number} takes {wire.amps:.2g} A, and {wire.area_mm2:g} mm² carries"
                    f" {wire.carries:g} A for good: offer thicker wire."
                )
        lines += [line for feed in loom.feeds for line in self._fuse_warnings(feed)]
        if loom.unsolved:
            lines.append(f"{loom.unsolved} operating points with wires could not be solved.")
        return tuple(lines)

    def _fuse_warnings(self, feed: Feed) -> list[str]:
        name = self.study.layout.terminals[feed.terminal]
        if feed.fuse is None:
            return [f"{name} takes {feed.amps:.3g} A, more than any blade fuse: part it into several feeds."]
        lines = []
        if feed.fuse.amps > feed.carries:
            lines.append(
                f"A fuse of {feed.fuse.amps:g} A in {name} does not protect wire that carries"
                f" {feed.carries:g} A for good: offer thicker wire."
            )
        for control in self.study.spec.controls:
            if control.feed == name and control.most_amps is not None and feed.fuse.amps > control.most_amps:
                lines.append(
                    f"A fuse of {feed.fuse.amps:g} A in {name} is more than the {control.most_amps:g} A"
                    f" that {control.name} carries."
                )
        return lines


def _zones(near: Pin, far: Pin) -> str:
    return near.zone if near.zone == far.zone else f"{near.zone}-{far.zone}"


def _numbers(wires: tuple[int, ...]) -> tuple[int, ...]:
    return tuple(number + 1 for number in wires)
