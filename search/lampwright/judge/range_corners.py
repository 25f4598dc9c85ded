"""Corners of circuits whose resistors have a range of ohms: missed, met or open; and whether all are met.

A corner is a state at one of the three supplies, with each filling that the lamps may have, and with every
part at nominal or every part that carries current at an end of its tolerance.

Whether every corner is met is asked of all together first: a box in which each part's tolerance is a range as
well. Where that is not shown to be met, one part is put at either end, and each half is asked again. What is
met in a box is met at every corner in it, so few are looked at one by one; the answer is that of all.
"""

from typing import NamedTuple

import numpy as np
from numba import njit

from lampwright.compiled import INNER
from lampwright.judge.enclosed import MET, Gates, judge_box, judge_comparison
from lampwright.judge.fitting import fit_choice
from lampwright.problem.demands import Fit, JudgingTables
from lampwright.solve.enclosures import LOWER, UPPER
from lampwright.solve.laws import Bytes, Floats, Ints
from lampwright.solve.newton import MOST_PARTS, VALUE, Workspace

TRIED = (1, 0, 2)
"""Supplies in the order in which they are tried: normal, low, high."""

SMALL = 8
"""Nets of more parts with a tolerance are large: the boxes that are looked at in them are counted."""

MOST_BOXES = 10_000
"""Boxes of large nets for one question; what is not shown within them is not shown."""

NO_GATES = (np.zeros(0, np.int64), np.zeros(0, np.int64), np.zeros(0, np.int64), np.zeros(0, np.int8))
"""Where the currents of contacts are left to the full judge."""


class RangedCircuits(NamedTuple):
    """Circuits of one cell, and what may be fitted in them beside ohms.

    ends: (circuits, parts, 2) vertices; resistors come last. live: (circuits, states) the parts (bit set)
    on a live-to-ground path, diodes forward. vertex_node: (states, vertices). gates: as in
    `solve.boundary.Gates`. fit: its choices are types with a filling each, the cases; its one resistor
    value is 1 siemens. low, high: (cases, parts) ends of tolerance: of a filament's current, of a diode's
    shift, of what a resistor's siemens are multiplied by. is_spread: whether they are tried, or nominal
    parts alone.
    """

    ends: Bytes
    live: Ints
    vertex_node: Bytes
    gates: Gates
    fit: Fit
    low: Floats
    high: Floats
    is_spread: bool


class RangeScratch(NamedTuple):
    """Memory of halving.

    work: part kinds and models of the case in `fitted`, (2,), whose second number is how many boxes of large
    nets may still be looked at; box: of `new_box`; corners: (LATELY,) codes of
    corners that refused lately, the last first, -1 where none; stack: (DEEPEST, resistors, 2) pieces [ohm];
    found: (resistors,) ohms that work.
    """

    work: Workspace
    fitted: Ints
    box: Floats
    corners: Ints
    stack: Floats
    found: Floats


@njit(**INNER)
def fit_case(case: int, circuits: RangedCircuits, tables: JudgingTables, scratch: RangeScratch) -> None:
    """Put the types of a case into the workspace, unless they are there."""
    if scratch.fitted[0] != case:
        fit_choice(case, circuits.fit, tables.models, scratch.work)
        scratch.fitted[0] = case


@njit(**INNER)
def _fill_box(
    case: int, pattern: int, ohms: Floats, circuits: RangedCircuits, box: Floats, reals: Floats
) -> None:
    """The ends of every part's value under ranges of ohms and a pattern: 0 nominal, else a bit per part."""
    parts = circuits.low.shape[1]
    resistors = ohms.shape[0]
    for p in range(parts):
        value = reals[VALUE + p]
        if pattern > 0:
            value = circuits.high[case, p] if ((pattern - 1) >> p) & 1 else circuits.low[case, p]
        box[LOWER + p] = box[UPPER + p] = value
    for r in range(resistors):
        p = parts - resistors + r
        box[UPPER + p] = box[LOWER + p] / ohms[r, 0]
        box[LOWER + p] = box[LOWER + p] / ohms[r, 1]


@njit(**INNER)
def code_of(pattern: int, case: int, state: int, supply: int, circuits: RangedCircuits) -> int:
    """The number of a corner."""
    states, cases = circuits.vertex_node.shape[0], circuits.fit.digits.shape[0]
    return int(((pattern * cases + case) * states + state) * 3 + supply)


@njit(**INNER)
def _free_box(case: int, free: int, circuits: RangedCircuits, ohms: Floats, box: Floats) -> None:
    """Let parts (bit set) have all of their tolerance in a box that is filled."""
    parts, resistors = circuits.low.shape[1], ohms.shape[0]
    for p in range(parts):
        if (free >> p) & 1:
            low, high = circuits.low[case, p], circuits.high[case, p]
            r = p - (parts - resistors)
            box[LOWER + p] = low / ohms[r, 1] if r >= 0 else low
            box[UPPER + p] = high / ohms[r, 0] if r >= 0 else high


@njit(**INNER)
def judge_corner(
    code: int,
    free: int,
    ohms: Floats,
    circuit: int,
    circuits: RangedCircuits,
    tables: JudgingTables,
    scratch: RangeScratch,
) -> int:
    """One corner for every value in a box of ohms (resistors, 2): MISSED, OPEN or MET.

    free: parts (bit set) that have all of their tolerance instead of an end.
    """
    demands, limits, volts, models = tables
    states, cases = circuits.vertex_node.shape[0], circuits.fit.digits.shape[0]
    supply, state = code % 3, code // 3 % states
    case, pattern = code // (3 * states) % cases, code // (3 * states * cases)
    fit_case(case, circuits, tables, scratch)
    _fill_box(case, pattern, ohms, circuits, scratch.box, scratch.work.reals)
    _free_box(case, free, circuits, ohms, scratch.box)
    live = int(circuits.live[circuit, state])
    return int(
        judge_box(
            state, supply, volts[supply], live, circuits.ends, circuit, circuits.vertex_node, circuits.gates,
            demands, limits, models, scratch.box, scratch.work.whole,
        )
    )  # fmt: skip


@njit(**INNER)
def remember(code: int, corners: Ints) -> None:
    """Put a corner that refused before the others."""
    at = 0
    while at < corners.shape[0] - 1 and corners[at] != code:
        at += 1
    for k in range(at, 0, -1):
        corners[k] = corners[k - 1]
    corners[0] = code


@njit(**INNER)
def _spread_parts(live: int, case: int, circuits: RangedCircuits) -> int:
    """The live parts (bit set) that have a tolerance."""
    found = 0
    if circuits.is_spread:
        for p in range(circuits.low.shape[1]):
            if (live >> p) & 1 and circuits.low[case, p] != circuits.high[case, p]:
                found |= 1 << p
    return found


@njit(**INNER)
def _count(parts: int) -> int:
    """How many parts are in a bit set."""
    count = 0
    while parts:
        count += parts & 1
        parts >>= 1
    return count


@njit(**INNER)
def _is_met_in(
    case: int,
    state: int,
    ohms: Floats,
    circuit: int,
    circuits: RangedCircuits,
    tables: JudgingTables,
    scratch: RangeScratch,
) -> bool:
    """Whether every value in a box meets one state at each corner; one that does not is remembered."""
    spread = _spread_parts(int(circuits.live[circuit, state]), case, circuits)
    for supply in TRIED:
        code = code_of(int(0), case, state, supply, circuits)
        if judge_corner(code, int(0), ohms, circuit, circuits, tables, scratch) != MET:
            remember(code, scratch.corners)
            return False
        if spread and not _is_met_at(supply, spread, case, state, ohms, circuit, circuits, tables, scratch):
            return False
    return True


@njit(**INNER)
def _is_met_at(
    supply: int,
    spread: int,
    case: int,
    state: int,
    ohms: Floats,
    circuit: int,
    circuits: RangedCircuits,
    tables: JudgingTables,
    scratch: RangeScratch,
) -> bool:
    """The same at one supply, with these parts (bit set) at an end of their tolerance each."""
    frees, highs = np.zeros(MOST_PARTS + 1, np.int64), np.zeros(MOST_PARTS + 1, np.int64)
    frees[0], depth = spread, 1
    large = _count(spread) > SMALL
    while depth > 0:
        depth -= 1
        free, high = frees[depth], highs[depth]
        if large:
            scratch.fitted[1] -= 1
            if scratch.fitted[1] < 0:
                return False
        code = code_of(high + 1, case, state, supply, circuits)
        if judge_corner(code, free, ohms, circuit, circuits, tables, scratch) == MET:
            continue
        if free == 0:
            remember(code, scratch.corners)
            return False
        # the strong end is looked at first
        last = free & -free
        frees[depth] = frees[depth + 1] = free ^ last
        highs[depth], highs[depth + 1] = high, high | last
        depth += 2
    return True


@njit(**INNER)
def is_met(
    ohms: Floats, circuit: int, circuits: RangedCircuits, tables: JudgingTables, scratch: RangeScratch
) -> bool:
    """Whether every value in a box of ohms (resistors, 2) meets the spec at every corner."""
    for at in range(scratch.corners.shape[0]):
        code = scratch.corners[at]
        if code >= 0 and judge_corner(code, int(0), ohms, circuit, circuits, tables, scratch) != MET:
            return False
    for case in range(circuits.fit.digits.shape[0]):
        for state in range(circuits.vertex_node.shape[0]):
            if not _is_met_in(case, state, ohms, circuit, circuits, tables, scratch):
                return False
        for at in range(tables.demands.brighter.shape[0]):
            if not _is_brighter_in(case, at, ohms, circuit, circuits, tables, scratch):
                return False
    return True


@njit(**INNER)
def _is_brighter_in(
    case: int,
    at: int,
    ohms: Floats,
    circuit: int,
    circuits: RangedCircuits,
    tables: JudgingTables,
    scratch: RangeScratch,
) -> bool:
    """Whether every value in a box meets one comparison at each corner, the same for both states."""
    demands, limits, volts, models = tables
    live = int(circuits.live[circuit, demands.brighter[at, 1]])
    other = int(circuits.live[circuit, demands.brighter[at, 3]])
    fit_case(case, circuits, tables, scratch)
    frees, highs = np.zeros(MOST_PARTS + 1, np.int64), np.zeros(MOST_PARTS + 1, np.int64)
    frees[0], highs[0], depth = 0, -1, 1
    spread = _spread_parts(live | other, case, circuits)
    if spread:
        frees[1], depth = spread, 2
    while depth > 0:
        depth -= 1
        free, high, met = frees[depth], highs[depth], True
        _fill_box(case, high + 1, ohms, circuits, scratch.box, scratch.work.reals)
        _free_box(case, free, circuits, ohms, scratch.box)
        for supply in TRIED:
            found = judge_comparison(
                at, volts[supply], (live, other), circuits.ends, circuit, circuits.vertex_node, demands,
                limits, models, scratch.box, scratch.work.whole,
            )  # fmt: skip
            met = met and found == MET
        if met:
            continue
        if free == 0:
            return False
        last = free & -free
        frees[depth] = frees[depth + 1] = free ^ last
        highs[depth], highs[depth + 1] = high, high | last
        depth += 2
    return True
