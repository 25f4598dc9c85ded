"""The judge: one fitted circuit against the spec, at every corner.

It knows nothing of how a circuit was found: the same function judges a search's
survivors and a circuit written by hand.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache, partial

import numpy as np

from lampwright.judge.all_corners import try_corners
from lampwright.judge.corners import CAP, CornerCircuit, Verdicts
from lampwright.judge.fitting import fit_choice
from lampwright.judge.tolerances import Spread, fill_spread, new_spread, tolerances_of
from lampwright.network.netlist import Netlist
from lampwright.problem.demands import Fit
from lampwright.problem.problem import Choice, Problem, fit_one, refilled
from lampwright.solve.boundary import Boundary, boundary_of
from lampwright.solve.newton import Workspace, new_workspace


@dataclass(frozen=True)
class Judgement:
    """What the judge says of one circuit with one choice of types and values.

    met: every band, comparison and rating at every corner. margin: the least over what is asked of lamps
    alone [stops], capped at 10, and negative where the spec is missed: what is compared has margins of its
    own, and lowers this one only where it is missed. unconverged: operating
    points without a solution. verdicts: the worst of everything. cases: the same for each
    filling that the lamps may have, the likeliest first; one where all are known.

    A corner of verdicts beyond `FILLED` is of a further case: its number is divided by it.
    """

    met: bool
    margin: float
    unconverged: int
    verdicts: Verdicts
    boundary: Boundary
    cases: tuple["Case", ...]


@dataclass(frozen=True)
class Case:
    """A choice with every lamp's filling taken as known, and what the judge says of it."""

    choice: Choice
    met: bool
    margin: float


FILLED = 1 << 40
"""Corners of the first case are below this, those of the next below twice this, and so on."""


class ShortedError(Exception):
    """Wires and contacts alone join the supply to ground in some state."""


def spread_of(problem: Problem, parts: int, work: Workspace, steady: int = 0) -> Spread:
    """The values of the fitted parts at the ends of their tolerances; the last `steady` have none."""
    spread = new_spread(parts)
    fill_spread(tolerances_of(problem), steady, work.whole, work.reals, spread)
    return spread


def blank_verdicts(problem: Problem, parts: int, vertices: int) -> Verdicts:
    """Verdicts with nothing noted yet, for circuits of these numbers of parts and vertices."""
    _, states, filaments, _ = problem.demands.low_stops.shape
    pairs, controls = len(problem.demands.same_state), len(problem.spec.controls)
    return Verdicts(
        margin=np.full((states, filaments), CAP),
        margin_corner=np.ones((states, filaments), np.int64),
        same=np.full(pairs, CAP),
        same_corner=np.ones(pairs, np.int64),
        brighter=np.full(len(problem.demands.brighter), CAP),
        brighter_corner=np.ones(len(problem.demands.brighter), np.int64),
        volts=np.zeros((states, parts)),
        amps=np.zeros((states, parts)),
        potential=np.zeros((states, vertices)),
        load=np.full(parts, -1.0),
        load_state=np.zeros(parts, np.int64),
        load_corner=np.ones(parts, np.int64),
        control=np.full(controls, -1.0),
        control_state=np.zeros(controls, np.int64),
        control_corner=np.ones(controls, np.int64),
        sampled=np.zeros(1, np.int64),
    )


def _boundary(problem: Problem, partition: tuple[int, ...], joints: int) -> Boundary | None:
    return boundary_of(problem.spec, problem.states, problem.layout.terminals, partition, joints)


class Judge:
    """Judges circuits of one problem; keeps its workspace and the boundaries it has met."""

    def __init__(self, problem: Problem) -> None:
        """Judge against this problem."""
        self.problem = problem
        self._work = new_workspace()
        # of the problem alone: a method would make a ring, which goes late
        self.boundary = lru_cache(maxsize=4096)(partial(_boundary, problem))

    def judge(self, netlist: Netlist, choice: Choice) -> Judgement:
        """Judge at every corner, and in every filling that the lamps may have.

        Raises ShortedError where supply meets ground.
        """
        cases = [self.judge_case(netlist, one) for one in refilled(self.problem, choice)]
        return cases[0] if len(cases) == 1 else _worst_of(cases)

    def judge_case(self, netlist: Netlist, choice: Choice) -> Judgement:
        """Judge at every corner with the very fillings of the choice. Raises ShortedError likewise."""
        fit = fit_one(self.problem, choice, netlist.diodes, netlist.resistors)
        judged = self._try(netlist, fit, 0, 0, until_refused=False)
        return replace(judged, cases=(Case(choice, judged.met, judged.margin),))

    def judge_fit(self, netlist: Netlist, fit: Fit, steady: int) -> Judgement:
        """Judge the one choice of a fit of its own; the last `steady` parts keep their nominal values.

        Raises ShortedError where supply meets ground.
        """
        return self._try(netlist, fit, 0, steady, until_refused=False)

    def meets(self, netlist: Netlist, choice: Choice) -> bool:
        """Whether the circuit meets the spec at every corner, in every filling; ends at the first refusal."""
        fits = (
            fit_one(self.problem, one, netlist.diodes, netlist.resistors)
            for one in refilled(self.problem, choice)
        )
        try:
            return all(self._try(netlist, fit, 0, 0, until_refused=True).met for fit in fits)
        except ShortedError:
            return False

    def _try(self, netlist: Netlist, fit: Fit, number: int, steady: int, *, until_refused: bool) -> Judgement:
        problem = self.problem
        boundary = self.boundary(netlist.partition, netlist.joints)
        if boundary is None:
            raise ShortedError
        fit_choice(number, fit, problem.part_options.models, self._work)
        spread = spread_of(problem, len(netlist.ends), self._work, steady)
        verdicts = blank_verdicts(problem, len(netlist.ends), boundary.vertex_node.shape[1])
        gates = boundary.gates
        circuit = CornerCircuit(
            boundary.columns(netlist.ends[None]),
            boundary.vertex_node,
            spread,
            (gates.state, gates.control, gates.beyond, gates.exact),
        )
        met, unconverged = try_corners(circuit, problem.tables, self._work, until_refused, verdicts)
        margin = min(CAP, float(verdicts.margin.min(initial=CAP)))
        compared = min((*verdicts.same.tolist(), *verdicts.brighter.tolist()), default=CAP)
        margin = min(margin, compared) if compared < 0.0 else margin
        return Judgement(
            met=bool(met),
            margin=margin,
            unconverged=int(unconverged),
            verdicts=verdicts,
            boundary=boundary,
            cases=(),
        )


def _worst_of(cases: Sequence[Judgement]) -> Judgement:
    """What the judge says of all cases together; readings are those of the first."""
    first = cases[0]
    worst = first.verdicts
    for number, case in enumerate(cases[1:], 1):
        new, offset = case.verdicts, number * FILLED
        lower, unlike = new.margin < worst.margin, new.same < worst.same
        fainter = new.brighter < worst.brighter
        heavier, stronger = new.load > worst.load, new.control > worst.control
        worst = worst._replace(
            margin=np.minimum(new.margin, worst.margin),
            margin_corner=np.where(lower, new.margin_corner + offset, worst.margin_corner),
            same=np.minimum(new.same, worst.same),
            same_corner=np.where(unlike, new.same_corner + offset, worst.same_corner),
            brighter=np.minimum(new.brighter, worst.brighter),
            brighter_corner=np.where(fainter, new.brighter_corner + offset, worst.brighter_corner),
            load=np.maximum(new.load, worst.load),
            load_state=np.where(heavier, new.load_state, worst.load_state),
            load_corner=np.where(heavier, new.load_corner + offset, worst.load_corner),
            control=np.maximum(new.control, worst.control),
            control_state=np.where(stronger, new.control_state, worst.control_state),
            control_corner=np.where(stronger, new.control_corner + offset, worst.control_corner),
            sampled=new.sampled + worst.sampled,
        )
    return Judgement(
        met=all(case.met for case in cases),
        margin=min(case.margin for case in cases),
        unconverged=sum(case.unconverged for case in cases),
        verdicts=worst,
        boundary=first.boundary,
        cases=tuple(one for case in cases for one in case.cases),
    )
