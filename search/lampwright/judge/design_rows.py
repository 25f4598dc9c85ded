"""From the judge's arrays to the rows of a result.

Nothing is decided here: every number was worked out by `judge` or `solve`. What a row says of a
filament beyond them, its rated point, its type, and how hot it is, follows from the type and the volts,
so that rows kept before they had it can be given it.
"""

from collections.abc import Sequence
from dataclasses import fields, replace
from typing import Literal

import numpy as np
from msgspec import structs

from lampwright.judge.comparison_rows import compared_rows, worst_missed
from lampwright.judge.judge import FILLED, Judge, Judgement
from lampwright.judge.minimality import Passing, Winner
from lampwright.network.circuit import Circuit, Part
from lampwright.network.layout import Layout
from lampwright.network.netlist import Netlist, draw, number_nodes
from lampwright.parts.catalogue import diode_type
from lampwright.parts.conduction import Filling
from lampwright.parts.filament import Filament, kelvin_of
from lampwright.problem.problem import Choice, Problem, assumed, filament_models, fitted
from lampwright.problem.wattage import fitted_wattage
from lampwright.results.care import TypeNote
from lampwright.results.design import (
    ComparedRow,
    Design,
    Drawing,
    LampReading,
    NodeReading,
    OtherChoice,
    OtherWay,
    PartReading,
    PartRow,
    Rating,
    Ratings,
    StateRow,
    Taken,
    Tightest,
)
from lampwright.solve.laws import PER_ROOT, Floats, Ints
from lampwright.solve.shelf import Shelf, shelf_of
from lampwright.spec.levels import DARK, level_name
from lampwright.spec.model import BehaviourRow, Spec, helper_count, plain_specs

SUPPLIES = ("low", "normal", "high")
HELD_BY = {"gas": "gas-filled", "vacuum": "vacuum"}
NORMAL = 1
Worst = tuple[Floats, Ints, Ints]
"""The worst values, and the states and corners where they are."""

HELD: tuple[Literal["ground"], Literal["live"], Literal["open"]] = ("ground", "live", "open")


def part_row(part: Part) -> PartRow:
    """A part as a row of the result."""
    return PartRow(
        ref=part.ref,
        kind=part.kind,
        from_node=part.from_node,
        to_node=part.to_node,
        lamp=part.lamp,
        type=part.type,
        ohms=part.ohms,
        watts=part.watts,
    )


def part_of(row: PartRow) -> Part:
    """A row of the result as a part."""
    return Part(**{name.name: getattr(row, name.name) for name in fields(Part)})


def drawn_parts(circuit: Circuit, watts: tuple[float, ...]) -> tuple[PartRow, ...]:
    """The rows of a circuit, its resistors given these wattages."""
    left = list(watts)
    rows = []
    for part in circuit.parts:
        chosen = left.pop(0) if part.kind == "resistor" and left else part.watts
        rows.append(part_row(replace(part, watts=chosen)))
    return tuple(rows)


def chosen_watts(
    problem: Problem, netlist: Netlist, choice: Choice, judgement: Judgement
) -> tuple[float, ...]:
    """The wattage of every resistor [W], for its worst heat."""
    heats = judgement.verdicts.load[len(netlist.ends) - netlist.resistors :]
    values = fitted(problem, netlist, choice).ohms
    return tuple(fitted_wattage(problem, ohms, heat) for ohms, heat in zip(values, heats, strict=True))


def taken_rows(spec: Spec) -> tuple[Taken, ...]:
    """What a spec that is one way of another asks besides: which choice, in which setting, what."""
    return tuple(
        Taken(
            of=str(row.origin),
            when=_setting(row),
            show=", ".join(f"{lamp} {word}" for lamp, word in row.show),
        )
        for row in spec.behaviour
        if row.origin
    )


def spec_taking(spec: Spec, takes: Sequence[Taken]) -> Spec:
    """The way to take a spec that rows tell; itself where it leaves no choice."""
    return next((one for one in plain_specs(spec) if taken_rows(one) == tuple(takes)), spec)


def _setting(row: BehaviourRow) -> str:
    said = [f"{control} {position}" for control, position in row.when]
    return ", ".join([*said, str(row.failures)] if row.failures else said)


class Presenter:
    """Writes designs of one problem as rows."""

    def __init__(self, judge: Judge) -> None:
        """Present what this judge judges."""
        self.judge = judge
        self.problem = judge.problem

    def design(self, winner: Winner, rank: int) -> Design:
        """A ranked design in full."""
        best = winner.passing[0]
        judgement = self.judge.judge(winner.netlist, best.choice)
        design = self.judged(winner.netlist, best.choice, judgement, winner.conductors)
        others = tuple(self._choice(winner.netlist, one) for one in winner.passing[1:])
        drawings = tuple(
            Drawing(
                parts=drawn_parts(draw(one, fitted(self.problem, one, best.choice), self.problem.layout), ())
            )
            for one in winner.drawings
        )
        return structs.replace(design, rank=rank, choices=others, also_drawn_as=drawings)

    def judged(
        self,
        netlist: Netlist,
        choice: Choice,
        judgement: Judgement,
        conductors: int,
        written: Circuit | None = None,
    ) -> Design:
        """A judged circuit as a design of rank 0, without other choices and drawings.

        written: the circuit under its builder's own names; without it the names are ours.
        """
        problem = self.problem
        circuit = written or draw(netlist, fitted(problem, netlist, choice), problem.layout)
        design = Design(
            rank=0,
            parts=drawn_parts(circuit, chosen_watts(problem, netlist, choice, judgement)),
            extra_parts=netlist.extra_parts,
            helper_lamps=helper_count(problem.spec),
            wires=netlist.wires,
            joints=netlist.joints,
            conductors=conductors,
            margin_stops=judgement.margin,
            tightest=self._tightest(netlist, choice, judgement),
            states=self._states(netlist, circuit, choice, judgement),
            ratings=self._ratings(netlist, choice, judgement),
            choices=(),
            also_drawn_as=(),
            care=None,
            wiring=None,
            flashing=None,
            sweep=None,
            trials=(),
            compared=self.compared(netlist, choice, judgement),
            takes=taken_rows(problem.spec),
        )
        return with_filaments(design, problem.layout, problem.spec)

    def other_way(self, winner: Winner) -> OtherWay:
        """A circuit of another design in the way that this presenter's problem is."""
        best = self._choice(winner.netlist, winner.passing[0])
        return OtherWay(
            takes=taken_rows(self.problem.spec), fitted=best.fitted, margin_stops=best.margin_stops
        )

    def corner_name(self, corner: int, netlist: Netlist, judgement: Judgement) -> str:
        """A corner in words: the supply, which parts are at the strong end of their tolerance, fillings."""
        case, corner = divmod(corner, FILLED)
        pattern, supply = divmod(corner, 3)
        volts = f"{SUPPLIES[supply]} supply {self.problem.volts[supply]:g} V"
        held = [f"{name} {HELD_BY[filling]}" for name, filling in self._assumed(judgement, case)]
        if pattern == 0:
            return ", ".join((volts, "nominal parts", *held))
        names = self.part_names(netlist)
        strong = [name for at, name in enumerate(names) if (pattern - 1) >> at & 1]
        told = f"strong: {', '.join(strong)}" if strong else "all parts weak"
        return ", ".join((volts, told, *held))

    def _assumed(self, judgement: Judgement, case: int) -> tuple[tuple[str, Filling], ...]:
        return assumed(self.problem, judgement.cases[case].choice) if judgement.cases else ()

    def part_names(self, netlist: Netlist) -> tuple[str, ...]:
        """The refs of filaments, diodes and resistors, in order."""
        diodes = [f"D{n + 1}" for n in range(netlist.diodes)]
        return (*self.problem.layout.filaments, *diodes, *(f"R{n + 1}" for n in range(netlist.resistors)))

    def _choice(self, netlist: Netlist, one: Passing) -> OtherChoice:
        return OtherChoice(fitted=self.fitted_words(netlist, one.choice), margin_stops=one.margin)

    def fitted_words(self, netlist: Netlist, choice: Choice) -> tuple[str, ...]:
        """The types and values of a choice, each behind its lamp, diode or resistor."""
        what = fitted(self.problem, netlist, choice)
        lamps = dict(zip(self.problem.layout.lamp_of, what.filaments, strict=True))
        words = [f"{lamp} {kind}" for lamp, kind in lamps.items()]
        words += [f"D{n} {kind}" for n, kind in enumerate(what.diodes, 1)]
        words += [f"R{n} {ohms:g} ohm" for n, ohms in enumerate(what.ohms, 1)]
        return tuple(words)

    def compared(self, netlist: Netlist, choice: Choice, judgement: Judgement) -> tuple[ComparedRow, ...]:
        """What must match, or be brighter than something else."""
        return compared_rows(
            self.problem, choice, judgement, lambda corner: self.corner_name(corner, netlist, judgement)
        )

    def _tightest(self, netlist: Netlist, choice: Choice, judgement: Judgement) -> Tightest:
        verdicts = judgement.verdicts
        asked = np.where(self.problem.requirements.is_asked, verdicts.margin, np.inf)
        state, lamp = (int(n) for n in np.unravel_index(int(np.argmin(asked)), asked.shape))
        missed = worst_missed(self.compared(netlist, choice, judgement))
        if missed is not None and missed.margin_stops < asked.min():
            return Tightest(state=missed.state, lamp=missed.name, corner=missed.corner)
        return Tightest(
            state=self.problem.states[state].full_name,
            lamp=self.problem.layout.filaments[lamp],
            corner=self.corner_name(int(verdicts.margin_corner[state, lamp]), netlist, judgement),
        )

    def _states(
        self, netlist: Netlist, circuit: Circuit, choice: Choice, judgement: Judgement
    ) -> tuple[StateRow, ...]:
        problem = self.problem
        asked = problem.requirements.is_asked
        models = filament_models(problem, choice)
        rows = []
        for at, state in enumerate(problem.states):
            lamps = []
            for lamp, name in enumerate(problem.layout.filaments):
                volts, amps = (
                    abs(float(table[at, lamp]))
                    for table in (judgement.verdicts.volts, judgement.verdicts.amps)
                )
                flux = self.flux(volts, models[lamp])
                margin = float(judgement.verdicts.margin[at, lamp]) if asked[at, lamp] else None
                level = self._level(at, lamp, models[lamp], flux)
                met = margin is None or margin >= 0
                lamps.append(
                    LampReading(
                        lamp=name,
                        volts=volts,
                        amps=amps,
                        flux=flux,
                        level=level,
                        wanted=state.words[lamp],
                        meets=met,
                        margin_stops=margin,
                    )
                )
            nodes = self._nodes(at, circuit, judgement)
            parts = self._parts(at, netlist, circuit, judgement, nodes)
            rows.append(
                StateRow(
                    state=state.name,
                    phase=state.phase,
                    lamps=tuple(lamps),
                    nodes=nodes,
                    parts=parts,
                    positions=state.setting,
                    damage=str(state.failures),
                    failed=state.failures.failed,
                    fuse_blown=state.failures.fuse_blown,
                    ground_lost=state.failures.ground_lost,
                )
            )
        return tuple(rows)

    def _level(self, at: int, lamp: int, model: int, flux: float) -> str:
        """The word for a light at the normal supply; dark where that was asked and is so."""
        problem = self.problem
        asked = problem.states[at].bands[lamp]
        most = problem.demands.high_stops[NORMAL, at, lamp, model]
        if asked is not None and np.isfinite(asked.kelvin) and np.log2(flux) <= most:
            return DARK
        return level_name(problem.spec.levels, flux, self.flux(float(problem.volts[NORMAL]), model))

    def _nodes(self, at: int, circuit: Circuit, judgement: Judgement) -> tuple[NodeReading, ...]:
        """Every terminal and joint with its potential; what no part touches has what its contacts give it."""
        rows = []
        codes = judgement.boundary.vertex_node[at]
        for node in number_nodes(circuit, self.problem.layout):
            code = int(codes[node.vertex])
            # a vertex that no part touches has the potential of what its contacts join it to
            volts = float(judgement.verdicts.potential[at, codes == code].max(initial=0.0))
            held = HELD[min(code, 2)]
            fixed = 0.0, float(self.problem.volts[1]), volts
            rows.append(NodeReading(node=node.name, volts=fixed[min(code, 2)], held=held))
        return tuple(rows)

    def _parts(
        self,
        at: int,
        netlist: Netlist,
        circuit: Circuit,
        judgement: Judgement,
        nodes: Sequence[NodeReading],
    ) -> tuple[PartReading, ...]:
        """Every part's reading, in the direction in which the circuit's row names its nodes."""
        vertex = {node.name: node.vertex for node in number_nodes(circuit, self.problem.layout)}
        potential = {node.node: node.volts for node in nodes}
        rows = []
        for number, part in enumerate(one for one in circuit.parts if one.kind != "wire"):
            tail = int(netlist.ends[number, 0])
            sign = 1.0 if vertex[part.from_node] == tail else -1.0
            volts, amps = judgement.verdicts.volts[at, number], judgement.verdicts.amps[at, number]
            if number in self.problem.states[at].opened:
                a, b = (potential[node] for node in (part.from_node, part.to_node))
                volts = sign * (a - b)
            rows.append(PartReading(ref=part.ref, volts=sign * float(volts), amps=sign * float(amps)))
        return tuple(rows)

    def flux(self, volts: float, model: int) -> float:
        """Relative flux [1] of a filament model at these volts [V]."""
        models = self.problem.part_options.models
        at = np.sqrt(volts) * models.table[PER_ROOT]
        cell = min(int(at), models.stops.shape[1] - 2)
        stops = models.stops[model, cell]
        return float(2.0 ** (stops + (at - cell) * (models.stops[model, cell + 1] - stops)))

    def _ratings(self, netlist: Netlist, choice: Choice, judgement: Judgement) -> Ratings:
        problem, verdicts, names = self.problem, judgement.verdicts, self.part_names(netlist)
        extras, resistors = len(names) - netlist.extra_parts, len(names) - netlist.resistors
        loads = verdicts.load, verdicts.load_state, verdicts.load_corner
        carried = verdicts.control, verdicts.control_state, verdicts.control_corner

        def rating(ref: str, worst: Worst, at: int, limit: float, unit: Literal["A", "W", "V"]) -> Rating:
            values, states, corners = worst
            return Rating(
                ref=ref,
                worst=max(float(values[at]), 0.0),
                limit=float(limit) if np.isfinite(limit) else None,
                unit=unit,
                state=problem.states[int(states[at])].full_name,
                corner=self.corner_name(int(corners[at]), netlist, judgement),
            )

        models, diodes = filament_models(problem, choice), choice.digits[len(problem.layout.lamps) :]
        most_amps = [problem.part_options.diode_types[at].max_amps for at in diodes[: netlist.diodes]]
        watts = chosen_watts(problem, netlist, choice, judgement)
        return Ratings(
            controls=tuple(
                rating(control.name, carried, at, control.most_amps, "A")
                for at, control in enumerate(problem.spec.controls)
                if control.most_amps is not None
            ),
            resistors=tuple(
                rating(names[at], loads, at, most, "W") for at, most in enumerate(watts, resistors)
            ),
            diodes=tuple(
                rating(names[at], loads, at, most, "A") for at, most in enumerate(most_amps, extras)
            ),
            lamps=tuple(
                rating(names[at], loads, at, problem.limits.lamp_volts[model], "V")
                for at, model in enumerate(models)
            ),
        )


def with_filaments(design: Design, layout: Layout, spec: Spec) -> Design:
    """A design whose filaments have their rated point, colour and temperatures.

    Raises UnknownPart for a type that is not in the catalogue.
    """
    shelf = shelf_of(spec)
    places = {ref: at for slot in layout.lamps for at, ref in enumerate(slot.filaments)}
    lamps = {
        part.ref: shelf.lamp(part.type)
        for part in design.parts
        if part.kind == "filament" and part.type is not None
    }
    known = {ref: lamp.filaments[places[ref]] for ref, lamp in lamps.items()}
    lenses = {lamp.name: lamp.colour for lamp in spec.lamps}
    colours = {
        part.ref: lenses.get(part.lamp or "") or lamps[part.ref].colour
        for part in design.parts
        if part.ref in lamps
    }
    parts = tuple(_rated(part, known.get(part.ref), colours.get(part.ref)) for part in design.parts)
    kelvins = {ref: _kelvins(design, ref, filament) for ref, filament in known.items()}
    states = tuple(
        structs.replace(state, lamps=tuple(_warm(one, kelvins, at) for one in state.lamps))
        for at, state in enumerate(design.states)
    )
    return structs.replace(design, parts=parts, states=states, types=type_notes(parts, shelf))


def type_notes(parts: Sequence[PartRow], shelf: Shelf) -> tuple[TypeNote, ...]:
    """What the catalogue says of every type used, lamps first, and how sure it is."""
    lamps = dict.fromkeys(part.type for part in parts if part.kind == "filament" and part.type)
    diodes = dict.fromkeys(part.type for part in parts if part.kind == "diode" and part.type)
    notes = []
    for name in lamps:
        lamp = shelf.lamp(name)
        held = " or ".join(lamp.fillings)
        notes.append(
            TypeNote(
                type=name,
                filling=held,
                filling_confidence=lamp.filling_confidence,
                confidence=lamp.confidence,
                source=lamp.source,
                cap=lamp.cap,
            )
        )
    for name in diodes:
        diode = diode_type(name)
        notes.append(
            TypeNote(
                type=name, filling="", filling_confidence="", confidence=diode.confidence, source=diode.source
            )
        )
    return tuple(notes)


def _rated(part: PartRow, filament: Filament | None, colour: str | None) -> PartRow:
    if filament is None:
        return part
    return structs.replace(
        part,
        test_volts=filament.test_volts,
        hot_ohms=filament.rated_ohms,
        lumens=filament.lumens,
        colour=colour,
    )


def _kelvins(design: Design, ref: str, filament: Filament) -> tuple[int, ...]:
    """How hot a filament is in every state [K]."""
    volts = [_volts(state, ref) for state in design.states]
    return tuple(round(float(kelvin)) for kelvin in kelvin_of(filament, np.array(volts)))


def _volts(state: StateRow, ref: str) -> float:
    return next(one.volts for one in state.lamps if one.lamp == ref)


def _warm(reading: LampReading, kelvins: dict[str, tuple[int, ...]], at: int) -> LampReading:
    if reading.lamp not in kelvins or reading.kelvin is not None:
        return reading
    return structs.replace(reading, kelvin=kelvins[reading.lamp][at])
