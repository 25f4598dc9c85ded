"""What tolerance, chance and age do to a design's margin.

The judge has tried every corner: each part at either end of its tolerance, at three
supplies. Three further questions. Which tolerance costs most: the worst margin once more
with one part's tolerance taken away, or with the supply held at normal; the difference is
what that tolerance costs. How many copies of a hundred would do: copies drawn at random
(`drawn_copies`), each judged at the three supplies, with the Clopper-Pearson interval for their
share; none should fall below the worst corner, which is a second opinion on the corners.
What age does: one filament after another, then all, at the end of life, at every corner;
an aged filament takes less current and gives less light at the same volts.

The tolerance of luminous flux is not in any of this: levels are relative to the lamp's
own rated light.

Chance enters here alone, and only from a seed that the caller states. Parts are independent. Each is
drawn uniformly between its ends: standards print limits and no spread, and of all single-peaked
symmetric spreads within the limits the uniform one strays farthest, so a yield by it is on the safe
side. A filament is uniform in watts, a resistor in ohms, a diode in the logarithm of its saturation
current: our choice.

Source: Clopper and Pearson, Biometrika 26 (1934) 404, by scipy; ageing as
`aged_light` and `aged_amps` of the constants say.
"""

from collections.abc import Sequence

import numpy as np
from numba import njit

from lampwright.compiled import ENTRY
from lampwright.judge.all_corners import brighter_margin, live_in, try_corners
from lampwright.judge.corners import (
    CAP,
    CornerCircuit,
    Verdicts,
    try_corner,
)
from lampwright.judge.fitting import fit_choice
from lampwright.judge.judge import Judge, ShortedError, blank_verdicts, spread_of
from lampwright.judge.tolerances import Spread
from lampwright.network.netlist import Netlist
from lampwright.parts.tables import constant
from lampwright.problem.demands import Demands, JudgingTables, held_at
from lampwright.problem.problem import Choice, fit_one, refilled
from lampwright.results.care import AgedMargin, CopyYield, Tolerance, ToleranceCost
from lampwright.solve.laws import FILAMENT, RESISTOR, Bytes, Floats, Ints
from lampwright.solve.newton import KIND, ROW, VALUE, Workspace, new_workspace

COPIES = 1000
"""Copies drawn for the yield: with all of them good, the true share is at least 99.6 %."""

SEED = 1934
"""Where the draw begins; any number would do, and the same one makes results repeatable."""

CONFIDENCE = 0.95
NO_GATES = (np.zeros(0, np.int64), np.zeros(0, np.int64), np.zeros(0, np.int64), np.zeros(0, np.int8))
"""Margins need no contact's current."""

SUPPLY = "supply"
EVERY = "all"
SPREAD = (
    "parts independent and uniform within tolerance, for want of published spreads:"
    " filaments in watts, resistors in ohms, diodes in the logarithm of saturation current"
)
FLUX = (
    "The tolerance of luminous flux is not in the levels: they are relative to each lamp's own rated light."
)


def drawn_copies(spread: Spread, kinds: Ints, copies: int, seed: int) -> Floats:
    """Values of the parts of copies, (copies, parts), by numpy's default generator."""
    share = np.random.default_rng(seed).random((copies, len(spread.nominal)))
    between = spread.low + share * (spread.high - spread.low)
    with np.errstate(divide="ignore", invalid="ignore"):
        by_ohms = 1.0 / (1.0 / spread.high + share * (1.0 / spread.low - 1.0 / spread.high))
    return np.where(kinds == RESISTOR, by_ohms, between)


def share_interval(good: int, copies: int) -> tuple[float, ...]:
    """Both ends of the Clopper-Pearson interval for a share, so many of these copies being good."""
    doubt = 0.5 * (1.0 - CONFIDENCE)
    if good in (0, copies):
        # in closed form, and for nearly every design; scipy's statistics take half a second to import
        edge = doubt ** (1.0 / copies)
        return (0.0, 1.0 - edge) if good == 0 else (edge, 1.0)
    from scipy.special import betaincinv

    low = betaincinv(good, copies - good + 1, doubt)
    high = betaincinv(good + 1, copies - good, 1.0 - doubt)
    return float(low), float(high)


@njit(**ENTRY)
def try_copies(
    values: Floats,
    circuit: CornerCircuit,
    tables: JudgingTables,
    work: Workspace,
    scratch: Verdicts,
    copies: tuple[Floats, Bytes],
) -> None:
    """Judge every copy, values (copies, parts), at three supplies.

    copies: margins (copies,) lowered to the least of each copy, and good (copies,) cleared where one
    misses. scratch: verdicts to overwrite.
    """
    margins, good = copies
    lives = live_in(circuit)
    for copy in range(values.shape[0]):
        scratch.margin[:] = CAP
        scratch.same[:] = CAP
        for p in range(values.shape[1]):
            work.reals[VALUE + p] = values[copy, p]
        met = True
        for supply in range(tables.volts.shape[0]):
            fine, _ = try_corner(supply, tables.volts[supply], circuit, tables, work, scratch)
            met = met and fine
            for at in range(tables.demands.brighter.shape[0]):
                margin, solved = brighter_margin(at, supply, lives, circuit, tables, work)
                met = met and solved and margin >= 0.0
        least = CAP
        for margin in scratch.margin.flat:
            least = min(least, margin)
        margins[copy] = min(margins[copy], least)
        if not met:
            good[copy] = 0


class ToleranceBench:
    """One fitted circuit, judged with other spreads than its own, in every filling of its lamps."""

    def __init__(self, judge: Judge, netlist: Netlist, choice: Choice, refs: Sequence[str]) -> None:
        """Fit the circuit; refs: the names of its parts. Raises ShortedError where supply meets ground."""
        problem = judge.problem
        boundary = judge.boundary(netlist.partition, netlist.joints)
        if boundary is None:
            raise ShortedError
        self.problem, self._boundary = problem, boundary
        self._ends = boundary.columns(netlist.ends[None])
        self.refs = tuple(refs)
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

    def tolerance(self, copies: int = COPIES, seed: int = SEED) -> Tolerance:
        """Every corner, what each tolerance costs, the yield of copies, and ageing."""
        costs = self.costs()
        dearest = max(costs[1:], key=lambda cost: cost.cost_stops)
        varied = int(np.sum(self.spread.low != self.spread.high))
        return Tolerance(
            corners=3 * (1 + 2**varied),
            margin_stops=float(self.worst(self.spread, self.problem.volts).min(initial=CAP)),
            costs=costs,
            costliest=dearest.ref if dearest.cost_stops > 0.0 else "",
            drawn=self.drawn_yield(copies, seed),
            aged=self.aged(),
            aged_current=constant("aged_amps"),
            aged_light=constant("aged_light"),
            remarks=(FLUX,),
        )

    def worst(
        self,
        spread: Spread,
        volts: Floats,
        demands: Demands | None = None,
        states: Sequence[int] | None = None,
    ) -> Floats:
        """The worst margin (states,) of lamps alone over all corners of a spread, at three supplies (3,) [V].

        Of these states, asked these demands, or else of all, and as the problem has them.
        """
        looked_at = np.arange(len(self.problem.states)) if states is None else np.array(states)
        asked = _of_states(demands or self.problem.demands, looked_at)
        out = self._tried(spread, volts, asked, looked_at)
        by_state: Floats = out.margin[: len(looked_at)].min(axis=1, initial=CAP)
        return by_state

    def _tried(self, spread: Spread, volts: Floats, demands: Demands, states: Ints) -> Verdicts:
        """What every corner of a spread says, at three supplies (3,) [V], in these states alone."""
        out = blank_verdicts(self.problem, self.parts, self._boundary.vertex_node.shape[1])
        circuit = CornerCircuit(self._ends, self._boundary.vertex_node[states], spread, NO_GATES)
        tables = self.problem.tables._replace(demands=demands, volts=volts)
        for work in self._works:
            try_corners(circuit, tables, work, False, out)
        return out

    def costs(self) -> tuple[ToleranceCost, ...]:
        """What every tolerance costs, the supply's first, then part by part.

        Where the corners are the worst, as the judge takes them to be, a part in between
        lowers no margin; so states are looked at from the least margin up, until the next
        cannot be the worst any more.
        """
        problem, spread = self.problem, self.spread
        sound = self.worst(spread, problem.volts)
        held = self._without(sound, spread, np.full(3, problem.volts[1]), held_at(problem.demands, 1))
        withouts = [held]
        for part in range(self.parts):
            low, high = spread.low.copy(), spread.high.copy()
            low[part] = high[part] = spread.nominal[part]
            less = Spread(spread.nominal, low, high)
            withouts.append(self._without(sound, less, problem.volts, problem.demands))
        return tuple(
            ToleranceCost(ref=ref, span=span, margin_without=without, cost_stops=without - float(sound.min()))
            for ref, span, without in zip((SUPPLY, *self.refs), self._spans(), withouts, strict=True)
        )

    def _without(self, sound: Floats, spread: Spread, volts: Floats, demands: Demands) -> float:
        """The worst margin with less spread than that which gave the states' margins `sound`."""
        worst = CAP
        for state in np.argsort(sound, kind="stable"):
            if worst <= sound[state]:
                break
            worst = min(worst, float(self.worst(spread, volts, demands, states=[state])[0]))
        return worst

    def _spans(self) -> list[str]:
        """The tolerance of the supply, then of every part, in words."""
        low, _, high = self.problem.spec.supply.volts
        options, whole = self.problem.part_options, self._works[0].whole
        spans = [f"{low:g} to {high:g} V"]
        for part in range(self.parts):
            if whole[KIND + part] == FILAMENT:
                spans.append(f"±{100 * options.filaments[whole[ROW + part]].watts_tolerance:.0f} % watts")
            elif whole[KIND + part] == RESISTOR:
                spans.append(f"±{100 * options.ohms_tolerance:.0f} % ohms")
            else:
                spans.append("up to the data sheet's drop")
        return spans

    def drawn_yield(self, copies: int, seed: int) -> CopyYield:
        """The share of copies that meet the spec."""
        kinds = self._works[0].whole[KIND : KIND + self.parts]
        values = drawn_copies(self.spread, kinds, copies, seed)
        margins, met = np.full(copies, CAP), np.ones(copies, np.int8)
        circuit = CornerCircuit(self._ends, self._boundary.vertex_node, self.spread, self._gates)
        for work in self._works:
            verdicts = blank_verdicts(self.problem, self.parts, self._boundary.vertex_node.shape[1])
            try_copies(values, circuit, self.problem.tables, work, verdicts, (margins, met))
        good = int(met.sum())
        low, high = share_interval(good, copies)
        return CopyYield(
            copies=copies,
            good=good,
            share_low=low,
            share_high=high,
            confidence_level=CONFIDENCE,
            seed=seed,
            least_margin=float(margins.min()),
            median_margin=float(np.median(margins)),
            spread=SPREAD,
        )

    def aged(self) -> tuple[AgedMargin, ...]:
        """The worst margin with each filament at the end of its life, then with all of them.

        Loads are not looked at again: an aged filament takes less.
        """
        found = [self._aged(self.refs[part], [part]) for part in range(self.filaments)]
        return (*found, self._aged(EVERY, list(range(self.filaments))))

    def _aged(self, ref: str, old: list[int]) -> AgedMargin:
        amps, stops = np.ones(self.parts), np.zeros(self.filaments)
        amps[old], stops[old] = constant("aged_amps"), np.log2(constant("aged_light"))
        spread = Spread(*(values * amps for values in self.spread))
        demands = self.problem.demands
        # less light at the same volts is the same as bands that ask for more
        shift, unlike = stops[:, None], stops[demands.same_first] - stops[demands.same_second]
        fainter = stops[demands.brighter[:, 0]] - stops[demands.brighter[:, 2]]
        demands = demands._replace(
            low_stops=demands.low_stops - shift,
            high_stops=demands.high_stops - shift,
            same_low=demands.same_low - unlike,
            same_high=demands.same_high - unlike,
            brighter_by=demands.brighter_by - fainter,
        )
        found = self._tried(spread, self.problem.volts, demands, np.arange(len(self.problem.states)))
        margin = float(found.margin.min(initial=CAP))
        compared = min((CAP, *found.same.tolist(), *found.brighter.tolist()))
        return AgedMargin(ref=ref, margin_stops=margin, meets=min(margin, compared) >= 0.0)


def _of_states(demands: Demands, states: Ints) -> Demands:
    """The demands of just these states, renumbered; what is compared from state to state is left out."""
    kept = np.isin(demands.same_state, states)
    place = np.searchsorted(states, demands.same_state[kept])
    return demands._replace(
        low_stops=np.take(demands.low_stops, states, axis=1),
        high_stops=np.take(demands.high_stops, states, axis=1),
        same_first=demands.same_first[kept],
        same_second=demands.same_second[kept],
        same_state=place.astype(np.int64),
        same_low=demands.same_low[kept],
        same_high=demands.same_high[kept],
        brighter=demands.brighter[:0],
        brighter_by=demands.brighter_by[:0],
    )
