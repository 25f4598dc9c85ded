"""What every single fault of a design does, and a score that can break ties.

A fault is the same circuit with a part opened, ends lifted, vertices joined or a model
exchanged (`alterations`), solved in every state with nominal parts: at the normal supply
for what the lamps do, at the high supply for loads. Set against the sound circuit, it
yields: lamps that do something else, requirements still met, sneak paths (`sneak`), and
whatever carries more than its rating and did not before.

The value of a fault is the share of requirements (a filament's band in a state, a pair
that must match) that are still met, less 0.5 if anything is overloaded or the supply
meets ground, less 0.25 if there is a sneak path, and never below 0. The score of a design
is the mean over the kinds of fault of the mean value of the faults of that kind, so that
the number of types in the catalogue decides nothing: 1 where no fault does anything.

An LED substitute counts as fully lit above a tenth of its current at the test voltage,
and as off below. The penalties are our choice; no source.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from lampwright.assess.alterations import (
    Circuitry,
    Fault,
    feed_faults,
    ground_faults,
    lamp_parts,
    led_faults,
    part_faults,
    swap_faults,
)
from lampwright.assess.fault_bench import Bench, Pair, Settled, Values, can_lift
from lampwright.assess.fault_light import LEVELS, Light, Lights
from lampwright.assess.sneak import Network, Sneak, open_and_live, sneaks, sound_ways
from lampwright.assess.substitutes import Stock, stock_for
from lampwright.problem.problem import Problem
from lampwright.solve.boundary import Truths
from lampwright.solve.laws import DIODE, Floats

OVERLOAD_PENALTY = 0.5
SNEAK_PENALTY = 0.25
ROOM = 1e-9
LOST = "lost ground"


@dataclass(frozen=True)
class Change:
    """One filament that does something else than in the sound circuit: from one level to another."""

    filament: int
    was: str
    now: str
    states: tuple[int, ...]


@dataclass(frozen=True)
class Overload:
    """One part or control beyond its rating: the worst state. A part's index, or a control's from 0."""

    is_control: bool
    at: int
    load: float
    limit: float
    state: int


@dataclass(frozen=True)
class Outcome:
    """What one fault does; states by index. Where a state is shorted nothing else is said of it."""

    fault: Fault
    met: int
    asked: int
    value: float
    changes: tuple[Change, ...]
    sneaks: tuple[Sneak, ...]
    overloads: tuple[Overload, ...]
    shorted: tuple[int, ...]


@dataclass(frozen=True)
class FaultAnalysis:
    """Every fault of one design; score as the module says.

    control_amps: (controls,) of the sound circuit at the high supply, parts nominal [A].
    unsolved: operating points without a solution.
    """

    outcomes: tuple[Outcome, ...]
    score: float
    control_amps: Floats
    unsolved: int


@dataclass(frozen=True)
class _Sound:
    """The sound circuit, for comparison."""

    pair: Pair
    lights: Lights
    ways: Floats
    live: Truths


class FaultFinder:
    """Finds what faults do to designs of one problem."""

    def __init__(self, problem: Problem) -> None:
        """Stock what may be swapped; curves are tabulated at the first design."""
        self.problem = problem
        self.stock: Stock = stock_for(problem)
        self.lamps = lamp_parts(problem)
        self._light = Light(problem, self.stock)

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

    def examine(self, circuit: Circuitry, values: Values) -> FaultAnalysis:
        """Try every fault of a circuit with these diodes and resistors."""
        bench = Bench(self.problem, self.stock, circuit, values)
        sound = self._sound(bench)
        outcomes = tuple(self._outcome(bench, fault, sound) for fault in self.faults(circuit))
        return FaultAnalysis(
            outcomes,
            score_of(outcomes),
            sound.pair.high.control_amps.max(axis=0, initial=0.0),
            bench.unsolved,
        )

    def _sound(self, bench: Bench) -> _Sound:
        pair = bench.sound()
        settled = pair.normal
        live = open_and_live(settled.boundary, settled.points, float(self.problem.volts[1]))
        return _Sound(pair, self._light.read(settled), sound_ways(settled.points.amps), live)

    def _outcome(self, bench: Bench, fault: Fault, sound: _Sound) -> Outcome:
        pair = bench.under(fault)
        normal = pair.normal
        lights = self._light.read(normal)
        shorted = normal.boundary.shorted
        met = int((lights.met & ~shorted[:, None]).sum() + (lights.same_met & ~self._light.at(shorted)).sum())
        asked = self._light.asked_count
        supply = float(self.problem.volts[1])
        terminals = tuple(dict.fromkeys(bench.circuit.netlist.partition))
        network = self._network(bench, normal)
        found = tuple(sneaks(network, sound.ways * normal.signs, sound.live, terminals, supply))
        over = tuple(_overloads(pair.high, sound.pair.high))
        value = met / asked if asked else 1.0
        value -= OVERLOAD_PENALTY * bool(over or shorted.any()) + SNEAK_PENALTY * bool(found)
        return Outcome(
            fault=fault,
            met=met,
            asked=asked,
            value=max(0.0, value),
            changes=tuple(_changes(lights, sound.lights, shorted)),
            sneaks=found,
            overloads=over,
            shorted=tuple(int(state) for state in np.flatnonzero(shorted)),
        )

    def _network(self, bench: Bench, settled: Settled) -> Network:
        return Network(
            boundary=settled.boundary,
            points=settled.points,
            ends=settled.ends,
            diodes=settled.kinds == DIODE,
            closed=settled.closed,
            refs=bench.circuit.refs,
            nodes=(*bench.circuit.nodes, LOST),
        )


def score_of(outcomes: tuple[Outcome, ...]) -> float:
    """The mean over kinds of fault of the mean value of a kind; 1 where there is none."""
    by_kind: dict[str, list[float]] = {}
    for outcome in outcomes:
        by_kind.setdefault(outcome.fault.kind, []).append(outcome.value)
    return float(np.mean([np.mean(values) for values in by_kind.values()])) if by_kind else 1.0


def _changes(now: Lights, was: Lights, shorted: Truths) -> Iterator[Change]:
    """Filaments whose level is another, or whose light is at least halved or doubled."""
    stops = np.abs(now.stops - was.stops)
    seen = np.maximum(now.stops, was.stops) > was.off_stops
    differs = ((now.level != was.level) | (seen & (stops >= 1.0))) & ~shorted[:, None]
    grouped: dict[tuple[int, int, int], list[int]] = {}
    for state, filament in np.argwhere(differs):
        key = int(filament), int(was.level[state, filament]), int(now.level[state, filament])
        grouped.setdefault(key, []).append(int(state))
    for (filament, before, after), states in sorted(grouped.items()):
        yield Change(filament, LEVELS[before], LEVELS[after], tuple(states))


def _overloads(now: Settled, was: Settled) -> Iterator[Overload]:
    """What carries more than its rating and did not in the same state of the sound circuit."""
    fine = ~now.boundary.shorted[:, None]
    for is_control, loads, before, limits in (
        (False, now.loads, was.loads > was.limits + ROOM, now.limits),
        (True, now.control_amps, was.control_amps > was.control_limits + ROOM, now.control_limits),
    ):
        over = (loads > limits + ROOM) & ~before & fine
        for at in np.flatnonzero(over.any(axis=0)):
            state = int(np.argmax(np.where(over[:, at], loads[:, at], -1.0)))
            yield Overload(is_control, int(at), float(loads[state, at]), float(limits[at]), state)
