"""What the lamps do under a fault, as levels and requirements."""

from dataclasses import dataclass

import numpy as np

from lampwright.assess.faults.bench import Settled
from lampwright.assess.faults.substitutes import Stock
from lampwright.parts.curve_table import DARKEST_STOPS
from lampwright.parts.tables import constant
from lampwright.problem.edges import full_light
from lampwright.problem.problem import Problem
from lampwright.solve.boundary import Truths
from lampwright.solve.laws import DIODE, Floats, Ints

LEVELS = ("full", "lit", "dim", "off", "between", "dark")
IS_DARK = LEVELS.index("dark")
NORMAL = 1
FULL_STOPS = 0.0
SLACK_STOPS = 1e-6


@dataclass(frozen=True)
class LampLight:
    """Light of every filament in every state, (states, filaments) each.

    stops: log2 of relative flux. level: index into LEVELS. met: asked and met. same_met:
    (pairs,) pairs that match. brighter_met: (comparisons,) likewise. off_stops: the most that counts as off.
    """

    stops: Floats
    level: Ints
    met: Truths
    same_met: Truths
    brighter_met: Truths
    off_stops: float


@dataclass(frozen=True)
class KeptPairs:
    """Which lamps match, (pairs,), and which are as much brighter as they must be, (comparisons,)."""

    same: Truths
    brighter: Truths


class LightReader:
    """Reads light for one problem."""

    def __init__(self, problem: Problem, stock: Stock) -> None:
        """Take the spec's bands and the stock's lamps."""
        self.problem, self.stock = problem, stock
        self.asked = problem.requirements.is_asked
        self.asked_count = len(problem.requirements) + len(problem.requirements.comparisons)
        # whatever lamp a holder gets, its own light straight across the supply is the measure of full
        supply = problem.volts[NORMAL : NORMAL + 1]
        self._demands = problem.requirements.demands(
            stock.filaments, stock.models, supply, problem.spec.levels.off.high
        )
        self._full = np.array([float(full_light(one, supply)[0]) for one in stock.filaments])
        self._must_not_glow = np.isfinite(
            [[band.kelvin for band in row] for row in problem.requirements.bands]
        )
        most = [one.max_amps for one in stock.diodes]
        self._led_on = constant("led_on_share") * np.array([*most, np.inf])

    def kept(self, light: LampLight, fine: Truths) -> "KeptPairs":
        """Which comparisons hold in states that are fine."""
        demands = self.problem.demands
        brighter = light.brighter_met & fine[demands.brighter[:, 1]] & fine[demands.brighter[:, 3]]
        return KeptPairs(light.same_met & fine[demands.same_state], brighter)

    def read(self, settled: Settled) -> LampLight:
        """What the filaments of solved states do."""
        demands = self.problem.demands
        rows = settled.fitting.lamp_rows
        filaments = len(rows)
        stops = settled.points.stops[:, :filaments].copy()
        is_led = settled.fitting.kinds[:filaments] == DIODE
        led_on = self._led_on[np.where(is_led, settled.fitting.rows[:filaments], -1)]
        on = np.abs(settled.points.amps[:, :filaments]) > led_on
        stops[:, is_led] = np.where(on, FULL_STOPS, DARKEST_STOPS)[:, is_led]
        low, high = (
            table[0][:, np.arange(filaments), rows]
            for table in (self._demands.low_stops, self._demands.high_stops)
        )
        inside = (stops >= low - SLACK_STOPS) & (stops <= high + SLACK_STOPS)
        level = self._levels(np.exp2(stops), self._full[rows])
        level[self._must_not_glow & (stops <= high + SLACK_STOPS)] = IS_DARK
        return LampLight(
            stops,
            level,
            inside & self.asked,
            self._same(stops, settled),
            self._brighter(stops, settled),
            demands.off_stops,
        )

    def _levels(self, flux: Floats, full: Floats) -> Ints:
        """The word for every relative flux; full wins over lit, as in `spec.levels`."""
        levels = self.problem.spec.levels
        bands = (levels.lit, levels.dim, levels.off)
        within = [(levels.full.low * full <= flux) & (flux <= levels.full.high)]
        within += [(band.low <= flux) & (flux <= band.high) for band in bands]
        return np.asarray(np.select(within, [0, 1, 2, 3], 4), np.int64)

    def _same(self, stops: Floats, settled: Settled) -> Truths:
        """Which pairs match; two lamps that are off do. An LED's light is its lamp's."""
        demands = self.problem.demands
        lumens = self.stock.lumens_stops[settled.fitting.lamp_rows]
        ends = demands.same_first, demands.same_second
        a, b = (stops[demands.same_state, side] for side in ends)
        ratio = a + lumens[ends[0]] - b - lumens[ends[1]]
        off = (a <= demands.off_stops) & (b <= demands.off_stops)
        within = (ratio >= demands.same_low - SLACK_STOPS) & (ratio <= demands.same_high + SLACK_STOPS)
        matched: Truths = off | within
        return matched

    def _brighter(self, stops: Floats, settled: Settled) -> Truths:
        """Which lamps are as many times as bright as they must be; what is off gives the most that is."""
        demands = self.problem.demands
        lumens = self.stock.lumens_stops[settled.fitting.lamp_rows]
        first, state, second, other_state = demands.brighter.T
        light = stops[state, first] + lumens[first]
        other = np.maximum(stops[other_state, second], demands.off_stops) + lumens[second]
        met: Truths = light - other >= demands.brighter_by - SLACK_STOPS
        return met
