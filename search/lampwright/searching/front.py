"""The Pareto front: the designs that no other beats in every aim at once.

One design dominates another if it is at least as good in every aim and better in one; the
front holds those that none dominates, and equals all stand on it. Fewer extra parts and helper lamps
together, wires and conductors are better, and more margin and fault score.

A fault score that was not worked out lies somewhere from 0 to 1. So a design may be on
the front for certain, perhaps, or not at all: one is left out only if a design beats it
whatever the scores not known are. A tiny case: of A (0 parts, 1.0 stops) and B (1 part,
2.0 stops) both are on the front; of C (1 part, 1.5 stops) without a score it is not known,
since a better score than B's would put it there.

Source for dominance: V. Pareto's order on vectors, as in M. Ehrgott, Multicriteria
Optimization (2nd ed., 2005), definition 2.1 (from memory). Every pair is compared.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from lampwright.judge.minimality import DECIMALS
from lampwright.results.design import Design

LEAST_SCORE, MOST_SCORE = 0.0, 1.0

Truths = NDArray[np.bool_]


@dataclass(frozen=True)
class Comparison:
    """What comparing every two designs came to, by their places.

    members: on the front, so far as scores are known. certain: for each member, whether
    it is there whatever the scores not known are. undecided: without a score and beaten
    in the other four aims, so on the front only by a score better than that of all that
    beat them so; not among the members.
    """

    members: tuple[int, ...]
    certain: tuple[bool, ...]
    undecided: tuple[int, ...]


def compare(designs: Sequence[Design], scores: Sequence[float | None]) -> Comparison:
    """Compare every two designs in all five aims; scores stand beside them, None where not worked out.

    Margins and scores are compared rounded.
    """
    plainly, surely, perhaps = _beaten(designs, scores)
    unknown = np.array([score is None for score in scores], np.bool_)
    members = np.flatnonzero(~surely & ~(unknown & plainly))
    undecided = np.flatnonzero(~surely & unknown & plainly)
    return Comparison(
        tuple(int(at) for at in members),
        tuple(not perhaps[at] for at in members),
        tuple(int(at) for at in undecided),
    )


def worth_scoring(designs: Sequence[Design], most: int) -> tuple[int, ...]:
    """Whose fault scores to work out, at most `most`: who comes first in this order.

    First those that none beats in the other four aims: they are on the front or tie with
    one that is, and the others must be measured against them. Then the rest as they stand.
    None can be spared as long as no score is perfect, since any may have the best score.
    """
    plainly, _, _ = _beaten(designs, [None] * len(designs))
    order = (*np.flatnonzero(~plainly), *np.flatnonzero(plainly))
    return tuple(int(at) for at in order[:most])


def _beaten(designs: Sequence[Design], scores: Sequence[float | None]) -> tuple[Truths, Truths, Truths]:
    """For each design: beaten in the four aims but the score; beaten whatever the scores; perhaps beaten."""
    rows = [
        (
            one.extra_parts + one.helper_lamps,
            one.wires,
            one.conductors,
            -round(one.margin_stops, DECIMALS),
        )
        for one in designs
    ]
    aims = np.array(rows, np.float64).reshape(-1, 4).T.copy()
    low, high = (
        np.array([end if score is None else round(score, DECIMALS) for score in scores])
        for end in (LEAST_SCORE, MOST_SCORE)
    )
    surely, perhaps, plainly = (np.zeros(len(rows), np.bool_) for _ in range(3))
    for at in range(len(rows)):
        as_good = np.logical_and.reduce(aims <= aims[:, at, None], axis=0)
        as_good[at] = False
        better = as_good & np.logical_or.reduce(aims < aims[:, at, None], axis=0)
        plainly[at] = better.any()
        surely[at] = ((as_good & (low > high[at])) | (better & (low >= high[at]))).any()
        perhaps[at] = ((as_good & (high > low[at])) | (better & (high >= low[at]))).any()
    return plainly, surely, perhaps
