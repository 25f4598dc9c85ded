"""What every single fault of a design does, and a score that can break ties.

A fault is the same circuit with a part opened, ends lifted, vertices joined or a model
exchanged (`listing`), solved in every state with nominal parts: at the normal supply
for what the lamps do, at the high supply for loads. Set against the sound circuit, it
yields: lamps that do something else, requirements still met, sneak paths (`sneak`), and
whatever carries more than its rating and did not before.

The value of a fault is the share of requirements (a filament's band in a state, a pair
that must match, a lamp that must be brighter) that are still met, less 0.5 if anything is
overloaded or the supply meets ground, less 0.25 if there is a sneak path, and never below 0. The
score of a design is the mean over the kinds of fault of the mean value of the faults of that kind, so that
the number of types in the catalogue decides nothing: 1 where no fault does anything.

An LED substitute counts as fully lit above a tenth of its current at the test voltage,
and as off below. The penalties are our choice; no source.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np

from lampwright.assess.faults.bench import HIGH, NORMAL, Bench, Settled, can_lift
from lampwright.assess.faults.light import LEVELS, LampLight, LightReader
from lampwright.assess.faults.listing import (
    Circuitry,
    Fault,
    feed_faults,
    ground_faults,
    led_faults,
    part_faults,
    swap_faults,
)
from lampwright.assess.faults.sneak import open_and_live, sneak_paths, sound_ways
from lampwright.assess.faults.substitutes import Stock, stock_for
from lampwright.judge.comparison_rows import wanted_alike, wanted_brighter
from lampwright.parts.diode import DiodeType
from lampwright.problem.problem import Problem
from lampwright.results.care import FaultChange, FaultLost, FaultOverload, FaultReport, FaultRow
from lampwright.solve.boundary import Truths
from lampwright.solve.laws import Floats

OVERLOAD_PENALTY = 0.5
SNEAK_PENALTY = 0.25
ROOM = 1e-9
WORST_TYPES = 3
"""How many of the other types that a holder takes are told of, the worst."""


@dataclass(frozen=True)
class Examined:
    """Every fault of one design.

    control_amps: (controls,) of the sound circuit at the high supply, parts nominal [A].
    unsolved: operating points without a solution.
    """

    faults: tuple[FaultRow, ...]
    control_amps: Floats
    unsolved: int

    @property
    def score(self) -> float:
        """The mean over kinds of fault of the mean value of a kind; 1 where there is none."""
        by_kind: dict[str, list[float]] = {}
        for fault in self.faults:
            by_kind.setdefault(fault.kind, []).append(fault.value)
        return float(np.mean([np.mean(values) for values in by_kind.values()])) if by_kind else 1.0


class FaultFinder:
    """Finds what faults do to designs of one problem."""

    def __init__(self, problem: Problem) -> None:
        """Stock what may be swapped; curves are tabulated at the first design."""
        self.problem = problem
        self.stock: Stock = stock_for(problem)
        self.light = LightReader(problem, self.stock)

    def faults(self, circuit: Circuitry) -> tuple[Fault, ...]:
        """Every fault of a circuit, in a fixed order."""
        swaps = tuple(self.stock.swaps(kind) for kind in circuit.kinds)
        return (
            *part_faults(self.problem, circuit),
            *feed_faults(self.problem, circuit),
            *(ground_faults(self.problem, circuit) if can_lift(circuit) else ()),
            *led_faults(self.problem, circuit),
            *swap_faults(self.problem, circuit, swaps),
        )

    def examine(self, circuit: Circuitry) -> Examined:
        """Try every fault of a circuit."""
        bench = Bench(self.problem, self.stock, circuit)
        sound = bench.fit(None)
        normal, high = bench.settle(sound, NORMAL), bench.settle(sound, HIGH)
        lights, ways = self.light.read(normal), sound_ways(normal.points.amps)
        live = open_and_live(normal, float(self.problem.volts[NORMAL]))

        def row(fault: Fault) -> FaultRow:
            fitting = bench.fit(fault)
            now, strained = bench.settle(fitting, NORMAL), bench.settle(fitting, HIGH)
            paths = sneak_paths(self.problem, circuit, now, ways, live)
            over = tuple(self._overloads(circuit, strained, high))
            seen, asked = self.light.read(now), self.light.asked_count
            fine = ~now.shorted
            kept = self.light.kept(seen, fine)
            met = int((seen.met & fine[:, None]).sum() + kept.same.sum() + kept.brighter.sum())
            value = met / asked if asked else 1.0
            value -= OVERLOAD_PENALTY * bool(over or now.shorted.any()) + SNEAK_PENALTY * bool(paths)
            return FaultRow(
                kind=fault.kind,
                fault=fault.what,
                met=met,
                asked=asked,
                value=max(0.0, value),
                changes=tuple(self._changes(seen, lights, fine)),
                lost=tuple(self._lost(seen, lights, fine)),
                sneak_paths=paths,
                overloads=over,
                shorted=tuple(self._state(int(state)) for state in np.flatnonzero(now.shorted)),
            )

        faults = tuple(row(fault) for fault in self.faults(circuit))
        return Examined(faults, high.control_amps.max(axis=0, initial=0.0), bench.unsolved)

    def report(self, found: Examined) -> FaultReport:
        """All faults but other types; of those the worst few that do anything."""
        types = [one for one in found.faults if one.kind == "other type"]
        does = [one for one in types if one.value < 1.0 or one.changes]
        shown = sorted(does, key=lambda one: one.value)[:WORST_TYPES]
        rest = [one for one in found.faults if one.kind != "other type"]
        return FaultReport(
            score=found.score,
            faults=(*rest, *shown),
            types_tried=len(types),
            types_harmless=sum(one.value >= 1.0 for one in types),
            unsolved=found.unsolved,
            led_model=self._led_model(),
        )

    def _state(self, at: int) -> str:
        return self.problem.states[at].full_name

    def _changes(self, now: LampLight, was: LampLight, fine: Truths) -> Iterator[FaultChange]:
        """Filaments whose level is another, or whose light is at least halved or doubled."""
        stops = np.abs(now.stops - was.stops)
        seen = np.maximum(now.stops, was.stops) > was.off_stops
        differs = ((now.level != was.level) | (seen & (stops >= 1.0))) & fine[:, None]
        grouped: dict[tuple[int, int, int], list[str]] = {}
        for state, filament in np.argwhere(differs):
            key = int(filament), int(was.level[state, filament]), int(now.level[state, filament])
            grouped.setdefault(key, []).append(self._state(state))
        for (filament, before, after), states in sorted(grouped.items(), key=lambda item: item[0]):
            yield FaultChange(
                lamp=self.problem.layout.filaments[filament],
                was=LEVELS[before],
                now=LEVELS[after],
                states=tuple(states),
            )

    def _lost(self, now: LampLight, was: LampLight, fine: Truths) -> Iterator[FaultLost]:
        """What no longer matches, or is no longer brighter, in states in which no fuse blows."""
        problem, names = self.problem, self.problem.layout.filaments
        asked = problem.requirements
        kept = self.light.kept(now, fine)
        demands = problem.demands
        same_lost = was.same_met & ~kept.same & fine[demands.same_state]
        found: dict[tuple[Literal["same", "brighter"], str, str, str], list[str]] = {}
        for at in np.flatnonzero(same_lost):
            one = asked.pairs[at]
            lamps = names[one.filament], names[one.other or 0]
            found.setdefault(("same", *lamps, wanted_alike(one)), []).append(self._state(one.state))
        both = fine[demands.brighter[:, 1]] & fine[demands.brighter[:, 3]]
        for at in np.flatnonzero(was.brighter_met & ~kept.brighter & both):
            pair = asked.comparisons[at]
            lamps = names[pair.first], names[pair.second]
            wanted = wanted_brighter(problem, pair)
            found.setdefault(("brighter", *lamps, wanted), []).append(self._state(pair.first_state))
        for (kind, lamp, than, wanted), states in found.items():
            yield FaultLost(kind=kind, lamp=lamp, than=than, wanted=wanted, states=tuple(states))

    def _overloads(self, circuit: Circuitry, now: Settled, was: Settled) -> Iterator[FaultOverload]:
        """What carries more than its rating and did not in the same state of the sound circuit."""
        fine = ~now.shorted[:, None]
        diodes = circuit.extras[: circuit.netlist.diodes]
        controls = tuple(control.name for control in self.problem.spec.controls)
        most, limits = self.problem.limits.control_amps, now.fitting.limits
        for names, loads, before, allowed in (
            (circuit.refs, now.loads, was.loads > was.fitting.limits + ROOM, limits),
            (controls, now.control_amps, was.control_amps > most + ROOM, most),
        ):
            over = (loads > allowed + ROOM) & ~before & fine
            for at in np.flatnonzero(over.any(axis=0)):
                state = int(np.argmax(np.where(over[:, at], loads[:, at], -1.0)))
                unit: Literal["A", "W", "V"] = "A"
                if names is circuit.refs and at not in diodes:
                    unit = "W" if at in circuit.extras else "V"
                yield FaultOverload(
                    ref=names[at],
                    load=float(loads[state, at]),
                    allowed=float(allowed[at]),
                    unit=unit,
                    state=self._state(state),
                )

    def _led_model(self) -> str:
        told = [_led_said(led) for led in self.stock.leds]
        return "; ".join(told) or "No LED substitute is known for these lamps, and none was tried"


def _led_said(led: DiodeType) -> str:
    threshold = led.forward_volts_max - led.max_amps * led.series_ohms
    return (
        f"LED substitute: {led.max_amps * 1000:.0f} mA at {led.forward_volts_max:g} V, a string with"
        f" {threshold:.1f} V across it there and {led.series_ohms:.0f} ohms in series, blocks backward;"
        f" on above a tenth of that current; source {led.source}, {led.confidence} confidence"
    )
