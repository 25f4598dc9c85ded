"""Decisions for every resistance of the range: for which circuits none will do, how wide a working one is."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from lampwright.judge.distinct import DistinctStates
from lampwright.judge.fitting import fit_choice
from lampwright.judge.judge import Case, Judge, spread_of
from lampwright.judge.range_corners import NO_GATES, TRIED, RangedCircuits
from lampwright.judge.range_lanes import refuse_in_lanes
from lampwright.judge.ranges import (
    MOST_CASES,
    NO_MEMORY,
    REFUSED,
    WORKS,
    RangeMemory,
    decide,
    range_scratch,
    refuse_whole,
    widest_range,
)
from lampwright.judge.screen import live_parts
from lampwright.network.netlist import Netlist
from lampwright.problem.demands import Fit
from lampwright.problem.problem import Choice, choice_of, fit_of_types, fit_one, refilled
from lampwright.solve.boundary import Boundary
from lampwright.solve.lane_enclosures import IN_VECTORS
from lampwright.solve.laws import Bytes, Floats, Ints
from lampwright.solve.newton import new_workspace

Decision = Literal["refused", "works", "undecided"]


@dataclass(frozen=True)
class RangeOutcome:
    """What becomes of a circuit when its resistors may have any value of the range.

    refused: no value meets the spec at every corner, with any types. works: `ohms` do, with the types of
    `choice` (its resistors' places count for nothing). undecided: neither was shown.
    """

    decision: Decision
    choice: Choice | None = None
    ohms: tuple[float, ...] = ()


class Ranger:
    """Decides about circuits of one problem; each must have a resistor."""

    def __init__(self, judge: Judge, *, in_lanes: bool = IN_VECTORS) -> None:
        """Decide with the boundaries of this judge; in_lanes: eight circuits at a time where that can be."""
        self.judge, self.problem, self.in_lanes = judge, judge.problem, in_lanes
        self._work = new_workspace()

    def _whole_range(self, resistors: int) -> Floats:
        asked = self.problem.spec.extras.resistors
        assert asked is not None, "a circuit has resistors only where the spec allows them"
        return np.array([asked.ohms] * resistors, np.float64)

    def possible(
        self,
        ends: Bytes,
        live: Ints,
        boundary: Boundary,
        states: DistinctStates,
        fit: Fit,
        memory: RangeMemory | None = None,
    ) -> NDArray[np.bool_]:
        """Which circuits of one cell one box with the whole range does not refuse, (circuits,).

        ends: (circuits, parts, 2). live: (circuits, states) as in `RangedCircuits`, of all states of the
        boundary; states: the distinct ones of it. Nominal parts; currents of contacts are not looked at.
        fit: its choices are of types, as `fit_of_types` gives them. memory: of live nets, for this boundary
        and fit alone.
        """
        shape = len(fit.digits), ends.shape[1]
        circuits = RangedCircuits(
            ends=boundary.columns(ends),
            live=np.ascontiguousarray(live[:, states.first]),
            vertex_node=states.vertex_node,
            gates=NO_GATES,
            fit=fit,
            low=np.ones(shape),
            high=np.ones(shape),
            is_spread=False,
        )
        scratch = range_scratch(self._work, fit.resistors)
        left = np.zeros(len(ends), np.int8)
        order = np.concatenate([3 * np.arange(len(states.first)) + supply for supply in TRIED])
        memory = NO_MEMORY if memory is None else memory
        refuse = refuse_in_lanes if self.in_lanes and len(fit.digits) <= MOST_CASES else refuse_whole
        refuse(self._whole_range(fit.resistors), circuits, states.tables, scratch, memory, order, left)
        return left.astype(np.bool_)

    def decide(self, netlist: Netlist, types: Sequence[Choice] | None = None) -> RangeOutcome:
        """Whether some value of the range and some types meet the spec at every corner.

        types: the choices to try; None for all that the spec offers.
        """
        if types is None:
            fit = fit_of_types(self.problem, netlist.diodes, netlist.resistors)
            types = [choice_of(number, fit) for number in range(len(fit.digits))]
        one_fit = fit_one(self.problem, types[0], netlist.diodes, netlist.resistors)
        fit, undecided = one_fit._replace(siemens=np.ones(1)), False
        for choice in dict.fromkeys(refilled(self.problem, one)[0] for one in types):
            decision, ohms = self._decide(netlist, fit, choice)
            if decision == WORKS:
                return RangeOutcome("works", choice, ohms)
            undecided |= decision != REFUSED
        return RangeOutcome("undecided" if undecided else "refused")

    def _decide(self, netlist: Netlist, fit: Fit, choice: Choice) -> tuple[int, tuple[float, ...]]:
        circuits = self._ranged(netlist, fit, choice)
        scratch = range_scratch(self._work, netlist.resistors)
        whole = self._whole_range(netlist.resistors)
        # nominal parts first: most circuits that no listed value suits are refused there at less cost
        found, _ = decide(whole, 0, circuits._replace(is_spread=False), self.problem.tables, scratch)
        if found != REFUSED:
            found, _ = decide(whole, 0, circuits, self.problem.tables, scratch)
        return found, tuple(float(one) for one in scratch.found)

    def widths(
        self, netlist: Netlist, choice: Choice, ohms: Sequence[float]
    ) -> tuple[tuple[float, float], ...]:
        """For every resistor how far it may go with the others as they are, from ohms that work [ohm].

        Everything between is shown to meet the spec at every corner. choice: the types.
        """
        fit = fit_one(self.problem, choice, netlist.diodes, netlist.resistors)._replace(siemens=np.ones(1))
        circuits = self._ranged(netlist, fit, choice)
        scratch = range_scratch(self._work, netlist.resistors)
        values = np.array(ohms, np.float64)
        found = []
        for at, (low, high) in enumerate(self._whole_range(netlist.resistors)):
            limits = float(min(low, values[at])), float(max(high, values[at]))
            least, most = widest_range(at, values, limits, circuits, self.problem.tables, scratch)
            found.append((float(least), float(most)))
        return tuple(found)

    def judged(self, netlist: Netlist, choice: Choice, ohms: Sequence[float]) -> Case:
        """What the judge says of a circuit with the types of a choice and these ohms, listed or not."""
        fit = fit_one(self.problem, choice, netlist.diodes, netlist.resistors)
        others = len(choice.digits) - netlist.resistors
        own = fit._replace(siemens=1.0 / np.array(ohms, np.float64))
        cases = []
        for case in refilled(self.problem, Choice((*choice.digits[:others], *range(netlist.resistors)))):
            one = own._replace(digits=np.array([case.digits], np.int64))
            cases.append(self.judge.judge_fit(netlist, one, 0))
        return Case(choice, all(case.met for case in cases), min(case.margin for case in cases))

    def _ranged(self, netlist: Netlist, fit: Fit, choice: Choice) -> RangedCircuits:
        """One circuit with the types of a choice, in every filling that they may have."""
        boundary = self.judge.boundary(netlist.partition, netlist.joints)
        assert boundary is not None, "a circuit that was listed shorts nothing"
        others = len(choice.digits) - netlist.resistors
        types = Choice((*choice.digits[:others], *[0] * netlist.resistors))
        cases = [one.digits for one in refilled(self.problem, types)]
        fit = fit._replace(digits=np.array(cases, np.int64))
        spreads = []
        for case in range(len(cases)):
            fit_choice(case, fit, self.problem.part_options.models, self._work)
            spreads.append(spread_of(self.problem, len(netlist.ends), self._work))
        gates, ends = boundary.gates, boundary.columns(netlist.ends[None])
        return RangedCircuits(
            ends=ends,
            live=live_parts(ends, fit, boundary.vertex_node),
            vertex_node=boundary.vertex_node,
            gates=(gates.state, gates.control, gates.beyond, gates.exact),
            fit=fit,
            low=np.array([one.low for one in spreads]),
            high=np.array([one.high for one in spreads]),
            is_spread=True,
        )
