"""Wires, fuses and what they do: currents, drops, the smallest sizes, and the judge once more.

The circuit is solved with its wires in place, in every state at high supply, with all
parts nominal and again with all at the end of their tolerance that takes most. A fuse is
chosen for every terminal that a contact or the battery feeds. A wire must carry its own
current and, where it belongs to a part next to a fed terminal, that terminal's fuse, so
that a short anywhere along it blows the fuse first. Among the sizes that do, wires are
made thicker, the greatest loss on the worst path first, until no lamp loses more than
`most_drop` in its wires, and thinner again where that was more than needed: at the end
no wire could be the next size down. Currents for this are those with the thickest wires,
which are the greatest.

Worked case: a 21 W lamp, 1.9 A, 4 m out and 4 m back in 0.75 mm² at 60 C: 0.46 V.

Meanings of terminals and pins of couplings are those of `parts.wires`.

Source: S48, S49 for the share of a fuse; that the fuse protects the wire and half a volt
for a signal lamp are common practice.
"""

from dataclasses import replace

import numpy as np

from lampwright.assess.wired_circuit import WiredCircuit, fit_wired, with_wires
from lampwright.judge.every_state import new_points, settle
from lampwright.judge.fitting import fit_choice
from lampwright.judge.judge import Judge, Judgement, ShortedError, spread_of
from lampwright.judge.tolerances import set_pattern
from lampwright.network.circuit import GROUND
from lampwright.network.netlist import Netlist
from lampwright.network.wiring import Pin, harness_of
from lampwright.parts.wires import (
    awg_for,
    continuous_amps,
    coupling_pin,
    fuse_for,
    ohms_per_metre,
    terminal_meaning,
)
from lampwright.problem.problem import Choice, Problem, refilled
from lampwright.results.wiring import (
    CouplingRow,
    FeedFuseRow,
    LampWiresRow,
    SpliceRow,
    TerminalRow,
    WireRow,
    WiringList,
)
from lampwright.solve.laws import Floats, Ints
from lampwright.solve.newton import MOST_NODES, MOST_PARTS, new_workspace
from lampwright.spec.model import Wiring

LIVE = 1


def wiring_of(
    problem: Problem, netlist: Netlist, choice: Choice, refs: tuple[str, ...] = ()
) -> WiringList | None:
    """The wiring of a fitted circuit; None where its spec says nothing of wires.

    refs: names of its diodes and resistors; D1, R1 and so on if left out. Where the solver has
    no room for the wires there is only a warning. Raises ShortedError where contacts alone join
    supply and ground.
    """
    wiring = problem.spec.wiring
    return None if wiring is None else _Fitter(problem, netlist, choice, wiring, refs).rows()


def metres_between(wiring: Wiring, one: str, other: str) -> float:
    """The length [m] of a wire between two zones."""
    for first, second, metres in wiring.lengths:
        if {first, second} == {one, other}:
            return metres
    return wiring.length


class _Fitter:
    """Fits sizes to the wires of one circuit.

    Currents are arrays of points by wires, or by terminals, [A]; a point is a state, nominal, and
    again with the parts that take most.
    """

    def __init__(
        self, problem: Problem, netlist: Netlist, choice: Choice, wiring: Wiring, refs: tuple[str, ...]
    ) -> None:
        self.problem, self.netlist, self.choice, self.wiring = problem, netlist, choice, wiring
        self.harness = harness_of(netlist, problem.layout, problem.zoned, refs)
        # wires have no wattage: the limit is for resistors that are parts, looked at afterwards
        self.judge = Judge(replace(problem, limits=problem.limits._replace(watts=np.inf)))
        self.pins = pins = self.harness.pins
        self.metres = np.array(
            [metres_between(wiring, pins[w.near].zone, pins[w.far].zone) for w in self.harness.wires]
        )
        self.per_metre = np.array([ohms_per_metre(area, wiring.celsius) for area in wiring.sizes])
        self.carries = np.array([continuous_amps(area) for area in wiring.sizes])
        self.paths = [self.harness.wires_of(part) for part in range(len(netlist.ends))]
        # low edges of full differ by model and supply; all are above off or none
        asked = (problem.demands.low_stops > problem.demands.off_stops).any(axis=(0, 3))
        self.lamps = problem.layout.filaments
        self.asked = np.where(asked.any(axis=0), asked, True)

    def rows(self) -> WiringList:
        """Sizes, then everything that follows from them."""
        thickest = np.full(len(self.metres), len(self.per_metre) - 1)
        full = self._wired(thickest)
        if not full.is_within_room:
            return self._without_wires(full)
        amps, fed = self._amps(full)
        sizes = self._sizes(amps, self._stands(self._feeds(fed, thickest)))
        circuit = self._wired(sizes)
        amps, fed = self._amps(circuit)
        feeds = self._feeds(fed, sizes)
        wires = self._wires(amps, sizes, self._stands(feeds))
        lamps = tuple(self._lamp(filament, amps, sizes) for filament in range(len(self.lamps)))
        judged = self._judged(circuit)
        own = slice(circuit.own_parts - self.netlist.resistors, circuit.own_parts)
        cool = all(np.all(one.verdicts.load[own] <= self.problem.limits.watts) for one in judged)
        meets, margin = all(one.met for one in judged) and cool, min(one.margin for one in judged)
        return WiringList(
            wires=wires,
            lamps=lamps,
            fuses=feeds,
            splices=tuple(
                SpliceRow(
                    at=self.pins[pin].name,
                    zone=self.pins[pin].zone,
                    wires=_numbers(self.harness.meeting(pin)),
                )
                for pin in self.harness.splices()
            ),
            couplings=self._couplings(),
            terminals=self._meanings(),
            metres=sum(wire.metres for wire in wires),
            most_drop_volts=self.wiring.most_drop,
            celsius=self.wiring.celsius,
            meets=meets,
            margin_stops=margin,
            warnings=(
                *_miss_warnings(margin, meets=meets),
                *self._size_warnings(wires, lamps),
                *(line for feed in feeds for line in self._fuse_warnings(feed)),
                *_solver_warnings(sum(one.unconverged for one in judged)),
            ),
            notes=_notes(self.problem.volts[2], self.wiring.celsius),
        )

    def _without_wires(self, circuit: WiredCircuit) -> WiringList:
        parts = len(circuit.netlist.ends)
        warning = (
            f"No wires are listed: with its wires the circuit has {parts} parts and {circuit.nodes} nodes;"
            f" the solver holds {MOST_PARTS} and {MOST_NODES}."
        )
        return WiringList(
            wires=(),
            lamps=(),
            fuses=(),
            splices=(),
            couplings=(),
            terminals=self._meanings(),
            metres=0.0,
            most_drop_volts=self.wiring.most_drop,
            celsius=self.wiring.celsius,
            meets=None,
            margin_stops=None,
            warnings=(warning,),
            notes=(),
        )

    def _wired(self, sizes: Ints) -> WiredCircuit:
        ohms = tuple(float(value) for value in self.metres * self.per_metre[sizes])
        return with_wires(self.netlist, self.harness, self.problem.layout, ohms)

    def _judged(self, circuit: WiredCircuit) -> list[Judgement]:
        """What the judge says with the wires in place, in every filling."""
        fits = [fit_wired(self.problem, circuit, one) for one in refilled(self.problem, self.choice)]
        return [self.judge.judge_fit(circuit.netlist, fit, len(circuit.ohms)) for fit in fits]

    def _amps(self, circuit: WiredCircuit) -> tuple[Floats, Floats]:
        """Amps of wires and of fed terminals, every state at high supply: nominal parts, then strong ones."""
        problem, parts = self.problem, len(circuit.netlist.ends)
        boundary = self.judge.boundary(circuit.netlist.partition, circuit.netlist.joints)
        if boundary is None:
            raise ShortedError
        work = new_workspace()
        fit_choice(0, fit_wired(problem, circuit, self.choice), problem.part_options.models, work)
        spread = spread_of(problem, parts, work, len(circuit.ohms))
        varied = int(np.sum(spread.low != spread.high))
        states, vertices = boundary.vertex_node.shape
        amps = []
        for pattern in dict.fromkeys((0, 1 << varied)):
            set_pattern(pattern, spread, work.reals)
            out = new_points(states, parts, vertices)
            settle(
                boundary.columns(circuit.netlist.ends[None]),
                boundary.vertex_node,
                float(problem.volts[2]),
                problem.part_options.models,
                work,
                out,
            )
            amps.append(out.amps)
        every = np.concatenate(amps)
        live = np.tile(boundary.vertex_node == LIVE, (len(amps), 1))
        leaving = np.zeros((len(every), len(problem.layout.terminals)))
        for part, (tail, head) in enumerate(circuit.netlist.ends):
            for vertex, sign in ((tail, 1.0), (head, -1.0)):
                if vertex < leaving.shape[1]:
                    leaving[:, vertex] += sign * every[:, part]
        fed = np.where(live[:, : leaving.shape[1]], np.abs(leaving), 0.0)
        return np.abs(every[:, list(circuit.carrier)]), fed

    def _worst(self, of: Floats) -> tuple[float, int]:
        """The greatest of a column (points,) and its state."""
        at = int(np.argmax(of))
        return float(of[at]), at % len(self.problem.states)

    def _feeds(self, fed: Floats, sizes: Ints) -> tuple[FeedFuseRow, ...]:
        """Every terminal that is live in some state and takes current then, with its fuse."""
        feeds = []
        for terminal, name in enumerate(self.problem.layout.terminals):
            amps, state = self._worst(fed[:, terminal])
            if name != GROUND and amps > 0.0:
                fuse = fuse_for(amps)
                feeds.append(
                    FeedFuseRow(
                        feed=name,
                        amps=amps,
                        state=self.problem.states[state].full_name,
                        fuse_amps=fuse.amps if fuse else None,
                        colour=fuse.colour if fuse else "",
                        carries_amps=min(float(self.carries[sizes[wire]]) for wire in self._behind(name)),
                    )
                )
        return tuple(feeds)

    def _behind(self, name: str) -> tuple[int, ...]:
        """The wires of all parts next to a terminal."""
        terminal = self.problem.layout.terminals.index(name)
        parts = [n for n in range(len(self.paths)) if terminal in self.harness.terminals_of(n)]
        return tuple(sorted({wire for part in parts for wire in self.paths[part]}))

    def _stands(self, feeds: tuple[FeedFuseRow, ...]) -> Floats:
        """The greatest fuse [A] that every wire must outlast."""
        stands = np.zeros(len(self.metres))
        for feed in feeds:
            for wire in self._behind(feed.feed):
                stands[wire] = max(stands[wire], feed.fuse_amps or 0.0)
        return stands

    def _sizes(self, amps: Floats, stands: Floats) -> Ints:
        """For every wire the smallest sufficient size, or the largest where none suffices."""
        last = len(self.per_metre) - 1
        needed = np.maximum(amps.max(axis=0), stands)
        least = np.array(
            [next((n for n, a in enumerate(self.carries) if a >= need), last) for need in needed]
        )
        sizes = least.copy()
        while True:
            drops = self._drops(amps, sizes)
            worst = int(np.argmax(drops))
            if drops[worst] <= self.wiring.most_drop:
                break
            loss = self._losses(amps, sizes).max(axis=0)
            thin = [wire for wire in self.paths[worst] if sizes[wire] < last]
            if not thin:
                return sizes
            sizes[max(thin, key=lambda wire: float(loss[wire]))] += 1
        # take a size off every wire that stays sufficient without it, the last wire first
        for wire in reversed(range(len(sizes))):
            while sizes[wire] > least[wire]:
                sizes[wire] -= 1
                if max(self._drops(amps, sizes)) > self.wiring.most_drop:
                    sizes[wire] += 1
                    break
        return sizes

    def _losses(self, amps: Floats, sizes: Ints) -> Floats:
        """Volts dropped, (points, wires)."""
        losses: Floats = amps * (self.metres * self.per_metre[sizes])
        return losses

    def _drops(self, amps: Floats, sizes: Ints) -> list[float]:
        return [self._drop(filament, amps, sizes)[0] for filament in range(len(self.lamps))]

    def _drop(self, filament: int, amps: Floats, sizes: Ints) -> tuple[float, int]:
        """The most volts in a filament's wires where light is asked of it, and the state."""
        losses = self._losses(amps, sizes)[:, list(self.paths[filament])].sum(axis=1)
        asked = np.tile(self.asked[:, filament], len(losses) // len(self.problem.states))
        return self._worst(np.where(asked, losses, 0.0))

    def _lamp(self, filament: int, amps: Floats, sizes: Ints) -> LampWiresRow:
        drop, state = self._drop(filament, amps, sizes)
        return LampWiresRow(
            lamp=self.lamps[filament],
            wires=_numbers(self.paths[filament]),
            drop_volts=drop,
            state=self.problem.states[state].full_name,
            within=drop <= self.wiring.most_drop,
        )

    def _wires(self, amps: Floats, sizes: Ints, stands: Floats) -> tuple[WireRow, ...]:
        rows = []
        for number, wire in enumerate(self.harness.wires):
            near, far = self.pins[wire.near], self.pins[wire.far]
            most, state = self._worst(amps[:, number])
            size = int(sizes[number])
            metres = float(self.metres[number])
            ohms = float(self.metres[number] * self.per_metre[size])
            area = self.wiring.sizes[size]
            rows.append(
                WireRow(
                    number=number + 1,
                    net=self._net_name(near),
                    from_node=near.name,
                    to_node=far.name,
                    zone=_zones(near, far),
                    pin=self._coupling_pin(near, far),
                    metres=metres,
                    area_mm2=area,
                    awg=awg_for(area),
                    ohms=ohms,
                    amps=most,
                    state=self.problem.states[state].full_name,
                    drop_volts=most * ohms,
                    fuse_amps=float(stands[number]),
                    carries_amps=float(self.carries[size]),
                    colour="",
                )
            )
        return tuple(rows)

    def _net(self, pin: Pin) -> tuple[str, ...]:
        """The terminals of a pin's net."""
        names = self.problem.layout.terminals
        return tuple(
            names[one.terminal] for one in self.pins if one.net == pin.net and one.terminal is not None
        )

    def _net_name(self, pin: Pin) -> str:
        blocks = len({one.net for one in self.pins if one.terminal is not None})
        return "+".join(self._net(pin)) or f"j{pin.net - blocks + 1}"

    def _coupling_pin(self, near: Pin, far: Pin) -> str:
        """The coupling's contact for a wire that goes through it, where it has one for its net."""
        names = self._net(near) if near.zone != far.zone else ()
        return next((str(coupling_pin(name)) for name in names if coupling_pin(name)), "")

    def _couplings(self) -> tuple[CouplingRow, ...]:
        through: dict[str, list[int]] = {}
        for number in self.harness.crossing():
            wire = self.harness.wires[number]
            through.setdefault(_zones(self.pins[wire.near], self.pins[wire.far]), []).append(number)
        return tuple(
            CouplingRow(zones=zones, wires=_numbers(tuple(wires))) for zones, wires in through.items()
        )

    def _meanings(self) -> tuple[TerminalRow, ...]:
        known = ((name, terminal_meaning(name)) for name in self.problem.layout.terminals)
        return tuple(TerminalRow(terminal=name, meaning=meaning) for name, meaning in known if meaning)

    def _size_warnings(self, wires: tuple[WireRow, ...], lamps: tuple[LampWiresRow, ...]) -> list[str]:
        most = self.wiring.most_drop
        return [
            *(
                f"{lamp.lamp} loses {lamp.drop_volts:.2f} V in its wires, more than {most:g} V, with the"
                " thickest size on offer: offer thicker wire, or shorten it."
                for lamp in lamps
                if not lamp.within
            ),
            *(
                f"Wire {wire.number} takes {wire.amps:.2g} A, and {wire.area_mm2:g} mm² carries"
                f" {wire.carries_amps:g} A for good: offer thicker wire."
                for wire in wires
                if wire.amps > wire.carries_amps
            ),
        ]

    def _fuse_warnings(self, feed: FeedFuseRow) -> list[str]:
        name = feed.feed
        if feed.fuse_amps is None:
            return [f"{name} takes {feed.amps:.3g} A, more than any blade fuse: part it into several feeds."]
        lines = []
        if feed.fuse_amps > feed.carries_amps:
            lines.append(
                f"A fuse of {feed.fuse_amps:g} A in {name} does not protect wire that carries"
                f" {feed.carries_amps:g} A for good: offer thicker wire."
            )
        for control in self.problem.spec.controls:
            if control.feed == name and control.most_amps is not None and feed.fuse_amps > control.most_amps:
                lines.append(
                    f"A fuse of {feed.fuse_amps:g} A in {name} is more than the {control.most_amps:g} A"
                    f" that {control.name} carries."
                )
        return lines


def _notes(volts: float, celsius: float) -> tuple[str, ...]:
    """How the figures were had, at the high supply [V] and with wire so warm [C]."""
    return (
        f"Ohms: the greater limit of IEC 60228 class 5 and ISO 6722-1, copper at {celsius:g} °C;"
        " crimps, splices and couplings are taken as perfect. A length is between two things, through"
        " the coupling if need be.",
        f"Amps: the most in any state at {volts:g} V, with nominal parts or those that take most."
        " What a wire carries for good: the lesser of a trade's rating for PVC cable and an owners' rule of"
        " thumb, ambient not stated; not the higher rating of thin-wall cable.",
        "Fuses: the next ISO 8820-3 blade rating that is loaded to at most 75 %, close to the source. Every"
        " wire of a part next to a feed carries that feed's fuse for good.",
        "AWG: the thinnest even gauge that is no thinner. Pins: those of ISO 1724 and ISO 11446, where they"
        " have one for the terminal. Colours are the builder's.",
    )


def _miss_warnings(margin: float, *, meets: bool) -> list[str]:
    short = f" by {-margin:.2f} stops" if margin < 0 else ", in a rating"
    said = f"With its wires in place the circuit misses the spec{short}: use shorter or thicker wires."
    return [] if meets else [said]


def _solver_warnings(unsolved: int) -> list[str]:
    return [f"{unsolved} operating points with wires could not be solved."] if unsolved else []


def _zones(near: Pin, far: Pin) -> str:
    return near.zone if near.zone == far.zone else f"{near.zone}-{far.zone}"


def _numbers(wires: tuple[int, ...]) -> tuple[int, ...]:
    return tuple(number + 1 for number in wires)
