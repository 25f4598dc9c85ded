"""What tolerance, chance and age do to a design's margin.

The judge has tried every corner: each part at either end of its tolerance, at three
supplies. Three further questions. Which tolerance costs most: the worst margin once more
with one part's tolerance taken away, or with the supply held at normal; the difference is
what that tolerance costs. How many copies of a hundred would do: copies drawn at random
(`draws`), each judged at the three supplies, with the Clopper-Pearson interval for their
share; none should fall below the worst corner, which is a second opinion on the corners.
What age does: one filament after another, then all, at the end of life, at every corner;
an aged filament takes less current and gives less light at the same volts.

The tolerance of luminous flux is not in any of this: levels are relative to the lamp's
own rated light.

Source: Clopper and Pearson, Biometrika 26 (1934) 404, by scipy; ageing as
`aged_light` and `aged_amps` of the constants say.
"""

from dataclasses import dataclass

import numpy as np
from numba import njit
from scipy.stats import binomtest

from lampwright.assess.draws import drawn_copies
from lampwright.judge.corners import CAP, Spread, Verdicts, try_corner, try_corners
from lampwright.judge.fitting import fit_choice
from lampwright.judge.judge import Judge, ShortedError, blank_verdicts, spread_of
from lampwright.network.netlist import Netlist
from lampwright.parts.tables import constant
from lampwright.problem.demands import Demands, Limits, held_at
from lampwright.problem.problem import Choice, fit_one, refilled
from lampwright.solve.laws import Bytes, Floats, Ints, Models
from lampwright.solve.newton import KIND, ROW, VALUE, Workspace, new_workspace

SUPPLY = -1
EVERY = -1
CONFIDENCE = 0.95
NO_GATES = (np.zeros(0, np.int64), np.zeros(0, np.int64), np.zeros(0, np.int64), np.zeros(0, np.int8))
"""Margins need no contact's current."""


@dataclass(frozen=True)
class Cost:
    """What one tolerance costs [stops]: of a part by index, or of the supply (-1).

    without: the worst margin where that tolerance is nothing.
    """

    part: int
    without: float
    cost: float


@dataclass(frozen=True)
class Yield:
    """Copies that meet the spec at the three supplies, of those drawn, and the interval for their share.

    least, median: margins of the copies [stops].
    """

    copies: int
    good: int
    low: float
    high: float
    confidence: float
    seed: int
    least: float
    median: float


@dataclass(frozen=True)
class Aged:
    """The worst margin [stops] with one filament at the end of its life, or all (-1); met: not below 0.

    Loads are not looked at again: an aged filament takes less.
    """

    part: int
    margin: float
    met: bool


@dataclass(frozen=True)
class Margins:
    """The worst margin of every state looked at, (states,) [stops]."""

    by_state: Floats


@dataclass(frozen=True)
class Asked:
    """What is asked in some states; states: (looked at,) indices."""

    demands: Demands
    limits: Limits
    states: Ints

    def of_states(self) -> Demands:
        """The demands of just these states, renumbered."""
        demands = self.demands
        kept = np.isin(demands.same_state, self.states)
        place = np.searchsorted(self.states, demands.same_state[kept])
        return demands._replace(
            low_stops=np.take(demands.low_stops, self.states, axis=1),
            high_stops=np.take(demands.high_stops, self.states, axis=1),
            same_first=demands.same_first[kept],
            same_second=demands.same_second[kept],
            same_state=place.astype(np.int64),
            same_low=demands.same_low[kept],
            same_high=demands.same_high[kept],
        )


@njit(cache=True, nogil=True)
def try_copies(
    values: Floats,
    ends: Bytes,
    vertex_node: Bytes,
    gates: tuple[Ints, Ints, Ints, Bytes],
    demands: Demands,
    limits: Limits,
    volts: Floats,
    models: Models,
    work: Workspace,
    scratch: Verdicts,
    margins: Floats,
    good: Bytes,
) -> None:
    """Judge every copy, values (copies, parts), at three supplies.

    margins: (copies,) lowered to the least of each copy; good: (copies,) cleared where one
    misses. scratch: verdicts to overwrite.
    """
    for copy in range(values.shape[0]):
        scratch.margin[:] = CAP
        scratch.same[:] = CAP
        for p in range(values.shape[1]):
            work.reals[VALUE + p] = values[copy, p]
        met = True
        for supply in range(volts.shape[0]):
            fine, _ = try_corner(
                supply,
                volts[supply],
                ends,
                vertex_node,
                gates,
                demands,
                limits,
                models,
                work,
                scratch,
            )
            met = met and fine
        least = CAP
        for margin in scratch.margin.flat:
            least = min(least, margin)
        for margin in scratch.same:
            least = min(least, margin)
        margins[copy] = min(margins[copy], least)
        if not met:
            good[copy] = 0


class ToleranceBench:
    """One fitted circuit, judged with other spreads than its own, in every filling of its lamps."""

    def __init__(self, judge: Judge, netlist: Netlist, choice: Choice) -> None:
        """Fit the circuit. Raises ShortedError where supply meets ground."""
        problem = judge.problem
        boundary = judge.boundary(netlist.partition, netlist.joints)
        if boundary is None:
            raise ShortedError
        self.problem, self._boundary, self._ends = problem, boundary, netlist.ends[None]
        self._works = []
        for one in refilled(problem, choice):
            work = new_workspace()
            fit = fit_one(problem, one, netlist.diodes, netlist.resistors)
            fit_choice(0, fit, problem.part_options.models, work)
            self._works.append(work)
        self.parts = len(netlist.ends)
        # a lamp's tolerance does not hang on its filling
        self.spread = spread_of(problem, self.parts, self._works[0])
        gates = boundary.gates
        self._gates = gates.state, gates.control, gates.beyond, gates.exact
        self.filaments = problem.demands.low_stops.shape[2]

    def worst(self, spread: Spread, volts: Floats, asked: Asked | None = None) -> Margins:
        """The worst margin of every state over all corners of a spread, at three supplies (3,) [V]."""
        asked = asked or Asked(self.problem.demands, self.problem.limits, np.arange(len(self.problem.states)))
        out = blank_verdicts(self.problem, self.parts, self._boundary.vertex_node.shape[1])
        for work in self._works:
            try_corners(
                self._ends,
                self._boundary.vertex_node[asked.states],
                spread,
                NO_GATES,
                asked.of_states(),
                asked.limits,
                volts,
                self.problem.part_options.models,
                work,
                False,
                out,
            )
        by_state = out.margin[: len(asked.states)].min(axis=1, initial=CAP)
        np.minimum.at(by_state, asked.of_states().same_state, out.same[: len(asked.of_states().same_state)])
        return Margins(by_state)

    def costs(self) -> tuple[Cost, ...]:
        """What every tolerance costs, the supply's first, then part by part.

        Where the corners are the worst, as the judge takes them to be, a part in between
        lowers no margin; so states are looked at from the least margin up, until the next
        cannot be the worst any more.
        """
        volts, spread = self.problem.volts, self.spread
        sound = self.worst(spread, volts).by_state
        held = self._without(sound, spread, np.full(3, volts[1]), held_at(self.problem.demands, 1))
        found = [Cost(SUPPLY, held, held - float(sound.min()))]
        for part in range(self.parts):
            low, high = spread.low.copy(), spread.high.copy()
            low[part] = high[part] = spread.nominal[part]
            without = self._without(sound, Spread(spread.nominal, low, high), volts, self.problem.demands)
            found.append(Cost(part, without, without - float(sound.min())))
        return tuple(found)

    def _without(self, sound: Floats, spread: Spread, volts: Floats, demands: Demands) -> float:
        """The worst margin with less spread than that which gave the states' margins `sound`."""
        worst = CAP
        for state in np.argsort(sound, kind="stable"):
            if worst <= sound[state]:
                break
            asked = Asked(demands, self.problem.limits, np.array([state]))
            worst = min(worst, float(self.worst(spread, volts, asked).by_state[0]))
        return worst

    def drawn_yield(self, copies: int, seed: int) -> Yield:
        """The share of copies that meet the spec."""
        kinds = self._works[0].whole[KIND : KIND + self.parts]
        values = drawn_copies(self.spread, kinds, copies, seed)
        margins, met = np.full(copies, CAP), np.ones(copies, np.int8)
        for work in self._works:
            try_copies(
                values,
                self._ends,
                self._boundary.vertex_node,
                self._gates,
                self.problem.demands,
                self.problem.limits,
                self.problem.volts,
                self.problem.part_options.models,
                work,
                blank_verdicts(self.problem, self.parts, self._boundary.vertex_node.shape[1]),
                margins,
                met,
            )
        good = int(met.sum())
        interval = binomtest(good, copies).proportion_ci(CONFIDENCE, "exact")
        return Yield(
            copies=copies,
            good=good,
            low=float(interval.low),
            high=float(interval.high),
            confidence=CONFIDENCE,
            seed=seed,
            least=float(margins.min()),
            median=float(np.median(margins)),
        )

    def aged(self) -> tuple[Aged, ...]:
        """The worst margin with each filament at the end of its life, then with all of them."""
        found = [self._aged((part,), part) for part in range(self.filaments)]
        return (*found, self._aged(tuple(range(self.filaments)), EVERY))

    def _aged(self, old: tuple[int, ...], name: int) -> Aged:
        amps, stops = np.ones(self.parts), np.zeros(self.filaments)
        amps[list(old)], stops[list(old)] = constant("aged_amps"), np.log2(constant("aged_light"))
        spread = Spread(*(values * amps for values in self.spread))
        demands, limits = self.problem.demands, self.problem.limits
        # less light at the same volts is the same as bands that ask for more
        shift = stops[:, None]
        demands = demands._replace(low_stops=demands.low_stops - shift, high_stops=demands.high_stops - shift)
        lumens = limits.lumens_stops.copy()
        for work in self._works:
            rows = work.whole[ROW : ROW + self.filaments]
            lumens[rows] = limits.lumens_stops[rows] + stops
        asked = Asked(demands, limits._replace(lumens_stops=lumens), np.arange(len(self.problem.states)))
        margin = float(self.worst(spread, self.problem.volts, asked).by_state.min(initial=CAP))
        return Aged(name, margin, margin >= 0.0)
