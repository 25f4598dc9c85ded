"""From a design to its wiring list, in rows and words.

Nothing is decided here: wires, sizes and fuses are `assess.wiring_plan`'s, meanings of terminals
and pins of couplings `parts.terminals`'.
"""

from lampwright.assess.wiring_plan import Feed, NoRoomError, WiringPlan, wire_up
from lampwright.network.netlist import Netlist
from lampwright.network.wiring import Harness, Pin
from lampwright.parts.terminals import coupling_pin, terminal_meaning
from lampwright.parts.wires import awg_for
from lampwright.problem.problem import Choice, Problem
from lampwright.results.wiring import (
    CouplingRow,
    FeedFuseRow,
    LampWiresRow,
    SpliceRow,
    TerminalRow,
    WireRow,
    WiringList,
)
from lampwright.spec.model import Wiring


def wiring_list(
    problem: Problem, netlist: Netlist, choice: Choice, refs: tuple[str, ...] = ()
) -> WiringList | None:
    """The wiring of a fitted circuit; None where its spec says nothing of wires.

    refs: names of its diodes and resistors; D1, R1 and so on if left out. Raises
    ShortedError where contacts alone join supply and ground.
    """
    wiring = problem.spec.wiring
    if wiring is None:
        return None
    try:
        wiring_plan = wire_up(problem, netlist, choice, wiring, refs)
    except NoRoomError as error:
        return _without_wires(problem, wiring, str(error))
    return _Lister(problem, wiring_plan, wiring).rows()


def _without_wires(problem: Problem, wiring: Wiring, why: str) -> WiringList:
    meanings = _meanings(problem)
    warning = f"No wires are listed: {why}."
    return WiringList(
        wires=(),
        lamps=(),
        fuses=(),
        splices=(),
        couplings=(),
        terminals=meanings,
        metres=0.0,
        most_drop_volts=wiring.most_drop,
        celsius=wiring.celsius,
        meets=None,
        margin_stops=None,
        warnings=(warning,),
        notes=(),
    )


def _meanings(problem: Problem) -> tuple[TerminalRow, ...]:
    known = ((name, terminal_meaning(name)) for name in problem.layout.terminals)
    return tuple(TerminalRow(terminal=name, meaning=meaning) for name, meaning in known if meaning)


def _notes(problem: Problem, wiring: Wiring) -> tuple[str, ...]:
    return (
        f"Ohms: the greater limit of IEC 60228 class 5 and ISO 6722-1, copper at {wiring.celsius:g} °C;"
        " crimps, splices and couplings are taken as perfect. A length is between two things, through"
        " the coupling if need be.",
        f"Amps: the most in any state at {problem.volts[2]:g} V, with nominal parts or those that take most."
        " What a wire carries for good: the lesser of a trade's rating for PVC cable and an owners' rule of"
        " thumb, ambient not stated; not the higher rating of thin-wall cable.",
        "Fuses: the next ISO 8820-3 blade rating that is loaded to at most 75 %, close to the source. Every"
        " wire of a part next to a feed carries that feed's fuse for good.",
        "AWG: the thinnest even gauge that is no thinner. Pins: those of ISO 1724 and ISO 11446, where they"
        " have one for the terminal. Colours are the builder's.",
    )


class _Lister:
    """Writes the rows of one wiring_plan."""

    def __init__(self, problem: Problem, wiring_plan: WiringPlan, wiring: Wiring) -> None:
        self.problem, self.wiring_plan, self.wiring = problem, wiring_plan, wiring
        self.pins = wiring_plan.harness.pins

    def rows(self) -> WiringList:
        """Everything."""
        wiring_plan, wiring = self.wiring_plan, self.wiring
        return WiringList(
            wires=tuple(self._wire(number) for number in range(len(wiring_plan.wires))),
            lamps=tuple(
                LampWiresRow(
                    lamp=self.problem.layout.filaments[lamp.filament],
                    wires=_numbers(lamp.wires),
                    drop_volts=lamp.drop,
                    state=self._state(lamp.state),
                    within=lamp.drop <= wiring.most_drop,
                )
                for lamp in wiring_plan.lamps
            ),
            fuses=tuple(self._feed(feed) for feed in wiring_plan.feeds),
            splices=tuple(
                SpliceRow(
                    at=self.pins[pin].name,
                    zone=self.pins[pin].zone,
                    wires=_numbers(wiring_plan.harness.meeting(pin)),
                )
                for pin in wiring_plan.harness.splices()
            ),
            couplings=self._couplings(wiring_plan.harness),
            terminals=_meanings(self.problem),
            metres=sum(wire.metres for wire in wiring_plan.wires),
            most_drop_volts=wiring.most_drop,
            celsius=wiring.celsius,
            meets=wiring_plan.met,
            margin_stops=wiring_plan.margin,
            warnings=self._warnings(),
            notes=_notes(self.problem, wiring),
        )

    def _state(self, at: int) -> str:
        state = self.problem.states[at]
        return f"{state.name} ({state.phase})" if state.phase else state.name

    def _net(self, pin: Pin) -> tuple[str, ...]:
        """The terminals of a pin's net."""
        names = self.problem.layout.terminals
        return tuple(
            names[one.terminal] for one in self.pins if one.net == pin.net and one.terminal is not None
        )

    def _net_name(self, pin: Pin) -> str:
        blocks = len({one.net for one in self.pins if one.terminal is not None})
        return "+".join(self._net(pin)) or f"j{pin.net - blocks + 1}"

    def _wire(self, number: int) -> WireRow:
        wire, fitted = self.wiring_plan.harness.wires[number], self.wiring_plan.wires[number]
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
            feed=self.problem.layout.terminals[feed.terminal],
            amps=feed.amps,
            state=self._state(feed.state),
            fuse_amps=feed.fuse.amps if feed.fuse else None,
            colour=feed.fuse.colour if feed.fuse else "",
            carries_amps=feed.carries,
        )

    def _couplings(self, harness: Harness) -> tuple[CouplingRow, ...]:
        through: dict[str, list[int]] = {}
        for number in harness.crossing():
            wire = harness.wires[number]
            through.setdefault(_zones(self.pins[wire.near], self.pins[wire.far]), []).append(number)
        return tuple(
            CouplingRow(zones=zones, wires=_numbers(tuple(wires))) for zones, wires in through.items()
        )

    def _warnings(self) -> tuple[str, ...]:
        wiring_plan, most = self.wiring_plan, self.wiring.most_drop
        lines = []
        if not wiring_plan.met:
            short = f" by {-wiring_plan.margin:.2f} stops" if wiring_plan.margin < 0 else ", in a rating"
            lines.append(
                f"With its wires in place the circuit misses the spec{short}: use shorter or thicker wires."
            )
        for lamp in wiring_plan.lamps:
            if lamp.drop > most:
                name = self.problem.layout.filaments[lamp.filament]
                lines.append(
                    f"{name} loses {lamp.drop:.2f} V in its wires, more than {most:g} V, with the thickest"
                    " size on offer: offer thicker wire, or shorten it."
                )
        for number, wire in enumerate(wiring_plan.wires, 1):
            if wire.amps > wire.carries:
                lines.append(
                    f"Wire {number} takes {wire.amps:.2g} A, and {wire.area_mm2:g} mm² carries"
                    f" {wire.carries:g} A for good: offer thicker wire."
                )
        lines += [line for feed in wiring_plan.feeds for line in self._fuse_warnings(feed)]
        if wiring_plan.unsolved:
            lines.append(f"{wiring_plan.unsolved} operating points with wires could not be solved.")
        return tuple(lines)

    def _fuse_warnings(self, feed: Feed) -> list[str]:
        name = self.problem.layout.terminals[feed.terminal]
        if feed.fuse is None:
            return [f"{name} takes {feed.amps:.3g} A, more than any blade fuse: part it into several feeds."]
        lines = []
        if feed.fuse.amps > feed.carries:
            lines.append(
                f"A fuse of {feed.fuse.amps:g} A in {name} does not protect wire that carries"
                f" {feed.carries:g} A for good: offer thicker wire."
            )
        for control in self.problem.spec.controls:
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
