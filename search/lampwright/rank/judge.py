"""The judge: one fitted circuit against the spec, at every corner.

It knows nothing of how a circuit was found: the same function judges a search's
survivors and a circuit written by hand.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from lampwright.network.embed import Embedding
from lampwright.parts.diode import thermal_volts
from lampwright.rank.corners import CAP, Spread, Verdicts, try_corners
from lampwright.rank.demands import Demands
from lampwright.rank.fitting import Fit, fit_choice
from lampwright.rank.study import Choice, Study, fit_of, number_of
from lampwright.solve.boundary import Boundary, boundary_of
from lampwright.solve.laws import DIODE, FILAMENT, RESISTOR
from lampwright.solve.newton import KIND, ROW, VALUE, Workspace, new_workspace


@dataclass(frozen=True)
class Judgement:
    """What the judge says of one circuit with one choice of types and values.

    met: every band and rating at every corner. margin: the least over all requirements
    [stops], capped at 10, negative where the spec is missed. unconverged: operating
    points without a solution. verdicts: the worst of everything.
    """

    met: bool
    margin: float
    unconverged: int
    verdicts: Verdicts
    boundary: Boundary


class ShortedError(Exception):
    """Wires and contacts alone join the supply to ground in some state."""


def spread_of(study: Study, parts: int, work: Workspace, steady: int = 0) -> Spread:
    """The values of the fitted parts at the ends of their tolerances; the last `steady` have none."""
    nominal = work.reals[VALUE : VALUE + parts].copy()
    low, high = nominal.copy(), nominal.copy()
    for part in range(parts - steady):
        kind, row = work.whole[KIND + part], work.whole[ROW + part]
        if kind == FILAMENT:
            share = study.shelf.filaments[row].watts_tolerance
            low[part], high[part] = 1 - share, 1 + share
        elif kind == RESISTOR:
            share = study.shelf.ohms_tolerance
            low[part], high[part] = nominal[part] / (1 + share), nominal[part] / (1 - share)
        elif kind == DIODE:
            diode = study.shelf.diode_types[row]
            shift = diode.emission * thermal_volts() * np.log(diode.spread)
            low[part], high[part] = -shift, shift
    return Spread(nominal, low, high)


def blank_verdicts(study: Study, parts: int, vertices: int) -> Verdicts:
    """Verdicts with nothing noted yet, for circuits of so many parts and vertices."""
    _, states, filaments, _ = study.demands.low_stops.shape
    pairs, controls = len(study.demands.same_state), len(study.spec.controls)
    return Verdicts(
        np.full((states, filaments), CAP),
        np.ones((states, filaments), np.int64),
        np.full(pairs, CAP),
        np.ones(pairs, np.int64),
        np.zeros((states, parts)),
        np.zeros((states, parts)),
        np.zeros((states, vertices)),
        np.full(parts, -1.0),
        np.zeros(parts, np.int64),
        np.ones(parts, np.int64),
        np.full(controls, -1.0),
        np.zeros(controls, np.int64),
        np.ones(controls, np.int64),
    )


class Judge:
    """Judges circuits of one study; keeps its workspace and the boundaries it has met."""

    def __init__(self, study: Study) -> None:
        """Judge against this study."""
        self.study = study
        self._work = new_workspace()
        self.boundary = lru_cache(maxsize=4096)(self._boundary)

    def _boundary(self, partition: tuple[int, ...], joints: int) -> Boundary | None:
        study = self.study
        return boundary_of(study.spec, study.states, study.layout.terminals, partition, joints)

    def judge(self, embedding: Embedding, choice: Choice) -> Judgement:
        """Judge at every corner. Raises ShortedError where supply meets ground."""
        fit = fit_of(self.study, embedding.diodes, embedding.resistors)
        return self._try(embedding, fit, number_of(choice, fit), 0, until_refused=False)

    def judge_fit(self, embedding: Embedding, fit: Fit, steady: int) -> Judgement:
        """Judge the one choice of a fit of its own; the last `steady` parts keep their nominal values.

        Raises ShortedError where supply meets ground.
        """
        return self._try(embedding, fit, 0, steady, until_refused=False)

    def meets(self, embedding: Embedding, choice: Choice) -> bool:
        """Whether the circuit meets the spec at every corner; stops at the first that refuses."""
        fit = fit_of(self.study, embedding.diodes, embedding.resistors)
        try:
            return self._try(embedding, fit, number_of(choice, fit), 0, until_refused=True).met
        except ShortedError:
            return False

    def _try(
        self, embedding: Embedding, fit: Fit, number: int, steady: int, *, until_refused: bool
    ) -> Judgement:
        study = self.study
        boundary = self.boundary(embedding.partition, embedding.joints)
        if boundary is None:
            raise ShortedError
        fit_choice(number, fit, study.shelf.models, self._work)
        spread = spread_of(study, len(embedding.ends), self._work, steady)
        verdicts = blank_verdicts(study, len(embedding.ends), boundary.vertex_node.shape[1])
        gates = boundary.gates
        met, unconverged = try_corners(
            embedding.ends[None],
            boundary.vertex_node,
            spread,
            (gates.state, gates.control, gates.beyond, gates.exact),
            study.demands,
            study.limits,
            study.volts,
            study.shelf.models,
            self._work,
            until_refused,
            verdicts,
        )
        margin = min(CAP, float(verdicts.margin.min(initial=CAP)), float(verdicts.same.min(initial=CAP)))
        return Judgement(bool(met), margin, int(unconverged), verdicts, boundary)


def is_asked(demands: Demands) -> NDArray[np.bool_]:
    """Where the spec asks anything of a filament in a state: (states, filaments)."""
    edges = np.isfinite(demands.low_stops) | np.isfinite(demands.high_stops)
    asked: NDArray[np.bool_] = np.any(edges, axis=(0, 3))
    return asked
