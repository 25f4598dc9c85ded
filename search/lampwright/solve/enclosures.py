"""Bounds on the potentials of a network that hold for every value of its parts within a box, compiled.

Every part has its value anywhere between two ends: a resistor's siemens, a filament's current relative to
its model, a diode's shift. Whatever the value, its current rises with its voltage, is zero at zero and
grows in size with the value. So the least current that can leave a node through a part, over the box, is the
law at the lesser end where the node is the higher one, and at the greater end where it is the lower one.

Why the bounds hold. Let F_a(x) be the sum of these least currents that leave node a at potentials x, with the
leak. F_a rises with x_a and falls with every other potential, and raising all of them by d > 0 raises every
F_a by the leak of d at least: F is an M-function, so F(x) >= F(y) at every node gives x >= y at every
node. (Where y_a - x_a is greatest and above zero, F_a(y) >= F_a(x + d) > F_a(x), against the premise.) Let y
solve the network for some values of the box. There the true currents that leave a node sum to zero, and the
least ones to no more: F(y) <= 0. So where F(x) >= 0 at every node, x bounds all solutions from above. A
node held at the supply needs no F there, as no solution is above the supply. Lower bounds follow from the
greatest currents in the same way. (A node's potential is *not* monotone in a resistance, so the corners of
a box bound nothing.)

In floating point: the system solved has `OUTWARD` amperes more at every node than F, and is solved to
less than half of that, so that F >= OUTWARD / 2 at the point found; rounding in a sum of currents of some
10 A is below 1e-13 A. The laws are the tables that the operating points are solved with.

Where Newton's steps run in a circle around a kink, a bound that holds from the start, the rail, is pulled in
node by node, which keeps F >= 0, and the steps go on from there. Of a million networks a few still find no
bound: then nothing is said of them.

Worked case: 10 ohm from 12 V to a node, and from there to ground between 5 and 20 ohm: the node lies
between 4 and 8 V.

Source: Rheinboldt, J. Math. Anal. Appl. 32 (1970) 274, and More and Rheinboldt, Linear Algebra Appl. 6 (1973)
45, for M-functions (MEMORY); the reason above stands without them.
"""

import numpy as np
from numba import njit

from lampwright.compiled import ENTRY, INNER
from lampwright.solve.laws import Floats, Ints, part_law
from lampwright.solve.newton import (
    BASE,
    HEAD,
    KIND,
    LEAK,
    MOST_NODES,
    MOST_PARTS,
    TAIL,
)

OUTWARD = 1e-9
"""Current [A] added at every node, so that what the method leaves over cannot make a bound too tight."""

MOST_STEPS = 400
MOST_CUTS = 8
PATIENCE = 50
SWEEPS = 4
HALVINGS = 40

# places in the flat scratch, each for nodes or parts
LOWER = 0
UPPER = LOWER + MOST_PARTS
ABOVE = UPPER + MOST_PARTS
BELOW = ABOVE + MOST_NODES
TRIAL = BELOW + MOST_NODES
SURE = TRIAL + MOST_NODES
STEP = SURE + MOST_NODES
OUTFLOW = STEP + MOST_NODES
SLOPES = OUTFLOW + MOST_NODES


def new_box() -> Floats:
    """Scratch for `enclose`, (scratch,): ends of values at LOWER, UPPER; potentials [V] at ABOVE, BELOW."""
    return np.zeros(SLOPES + MOST_NODES**2)


@njit(**INNER)
def _outflows(parts: int, count: int, at: int, sense: int, table: Floats, box: Floats, whole: Ints) -> None:
    """Fill least (sense 1) or greatest (-1) outflows at the potentials from `at` on, and their slopes."""
    for a in range(2, count):
        box[OUTFLOW + a] = LEAK * box[at + a] - sense * OUTWARD
        for b in range(2, count):
            box[SLOPES + a * MOST_NODES + b] = 0.0
        box[SLOPES + a * MOST_NODES + a] = LEAK
    for p in range(parts):
        a, b = whole[TAIL + p], whole[HEAD + p]
        if a == b or (a < 2 and b < 2):
            continue
        v = box[at + a] - box[at + b]
        less, more = box[LOWER + p], box[UPPER + p]
        if (v >= 0.0) != (sense > 0):
            less, more = more, less
        # the higher end of a part loses least at the lesser value, the lower end gains most at the greater
        i, g = part_law(whole[KIND + p], whole[BASE + p], less, v, table)
        if a >= 2:
            box[OUTFLOW + a] += i
            box[SLOPES + a * MOST_NODES + a] += g
            if b >= 2:
                box[SLOPES + a * MOST_NODES + b] -= g
        if b >= 2:
            if less != more:
                i, g = part_law(whole[KIND + p], whole[BASE + p], more, v, table)
            box[OUTFLOW + b] -= i
            box[SLOPES + b * MOST_NODES + b] += g
            if a >= 2:
                box[SLOPES + b * MOST_NODES + a] -= g


@njit(**INNER)
def _is_held(node: int, at: int, volts: float, box: Floats) -> bool:
    """Whether a node stands at a rail and is drawn beyond it: a bound that needs no balance."""
    x, f = box[at + node], box[OUTFLOW + node]
    return bool((x >= volts and f < 0.0) or (x <= 0.0 and f > 0.0))


@njit(**INNER)
def _imbalance(count: int, at: int, volts: float, box: Floats) -> float:
    """The worst outflow [A] of any node that is not held."""
    worst = 0.0
    for node in range(2, count):
        if not _is_held(node, at, volts, box):
            worst = max(worst, abs(box[OUTFLOW + node]))
    return worst


@njit(**INNER)
def _newton_step(count: int, at: int, volts: float, box: Floats) -> None:
    """Solve slopes times step = - outflow; rows of a Z-matrix that dominate need no pivot."""
    for a in range(2, count):
        box[STEP + a] = -box[OUTFLOW + a]
        if _is_held(a, at, volts, box):
            box[STEP + a] = 0.0
            for b in range(2, count):
                box[SLOPES + a * MOST_NODES + b] = 1.0 if a == b else 0.0
    for k in range(2, count):
        for a in range(k + 1, count):
            f = box[SLOPES + a * MOST_NODES + k]
            if f != 0.0:
                f /= box[SLOPES + k * MOST_NODES + k]
                for b in range(k + 1, count):
                    box[SLOPES + a * MOST_NODES + b] -= f * box[SLOPES + k * MOST_NODES + b]
                box[STEP + a] -= f * box[STEP + k]
    for a in range(count - 1, 1, -1):
        total = box[STEP + a]
        for b in range(a + 1, count):
            total -= box[SLOPES + a * MOST_NODES + b] * box[STEP + b]
        box[STEP + a] = total / box[SLOPES + a * MOST_NODES + a]


@njit(**INNER)
def _sweep(parts: int, count: int, volts: float, sense: int, table: Floats, box: Floats, whole: Ints) -> None:
    """Pull a bound that holds in, node by node, as far as each goes by itself, into SURE."""
    for _ in range(SWEEPS):
        for a in range(2, count):
            sure, low, high = box[SURE + a], 0.0, volts
            for _ in range(HALVINGS):
                box[SURE + a] = 0.5 * (low + high)
                _outflows(parts, count, int(SURE), sense, table, box, whole)
                if box[OUTFLOW + a] > 0.0:
                    high = box[SURE + a]
                else:
                    low = box[SURE + a]
            box[SURE + a] = min(sure, high) if sense > 0 else max(sure, low)


@njit(**INNER)
def _find_bound(
    parts: int, count: int, volts: float, at: int, sense: int, table: Floats, box: Floats, whole: Ints
) -> int:
    """Find the potentials from `at` on, from the start that stands there; steps, negative where none is."""
    for place in (at, TRIAL, SURE):
        box[place], box[place + 1] = 0.0, volts
    for a in range(2, count):
        box[SURE + a] = volts if sense > 0 else 0.0
    _outflows(parts, count, at, sense, table, box, whole)
    for steps in range(MOST_STEPS):
        worst = _imbalance(count, at, volts, box)
        if worst < 0.5 * OUTWARD:
            return steps
        _newton_step(count, at, volts, box)
        share, falls = 1.0, False
        for _ in range(MOST_CUTS):
            for a in range(2, count):
                box[TRIAL + a] = min(max(box[at + a] + share * box[STEP + a], 0.0), volts)
            _outflows(parts, count, int(TRIAL), sense, table, box, whole)
            falls = _imbalance(count, int(TRIAL), volts, box) < (1.0 - 0.1 * share) * worst
            if falls:
                break
            share *= 0.4
        # short steps that all fall may lead nowhere
        falls = falls and steps % PATIENCE != PATIENCE - 1
        if not falls:
            _sweep(parts, count, volts, sense, table, box, whole)
        for a in range(2, count):
            box[at + a] = box[TRIAL + a] if falls else box[SURE + a]
        if not falls:
            _outflows(parts, count, at, sense, table, box, whole)
    return -MOST_STEPS


@njit(**ENTRY)
def enclose(parts: int, count: int, volts: float, table: Floats, box: Floats, whole: Ints) -> bool:
    """Bound the potentials of nodes 2 .. count - 1 for every value between LOWER and UPPER; whether it did.

    parts, count, volts: scalars; volts is the supply [V]. table: of Models. box: of `new_box`, shape
    (scratch,), with the ends of every part's value. whole: of a Workspace with KIND, BASE, TAIL and HEAD
    filled, as by `newton.bind_live`. The bounds [V] stand at ABOVE and BELOW.
    """
    for a in range(2, count):
        box[ABOVE + a] = 0.5 * volts
    if _find_bound(parts, count, volts, int(ABOVE), int(1), table, box, whole) < 0:
        return False
    for a in range(2, count):
        box[BELOW + a] = box[ABOVE + a]
    return bool(_find_bound(parts, count, volts, int(BELOW), int(-1), table, box, whole) >= 0)


@njit(**INNER)
def least_drop(part: int, box: Floats, whole: Ints) -> float:
    """The least voltage [V] across a part, tail to head, over the box; a scalar."""
    if whole[TAIL + part] == whole[HEAD + part]:
        return 0.0
    return float(box[BELOW + whole[TAIL + part]] - box[ABOVE + whole[HEAD + part]])


@njit(**INNER)
def greatest_drop(part: int, box: Floats, whole: Ints) -> float:
    """The greatest voltage [V] across a part, tail to head, over the box; a scalar."""
    if whole[TAIL + part] == whole[HEAD + part]:
        return 0.0
    return float(box[ABOVE + whole[TAIL + part]] - box[BELOW + whole[HEAD + part]])


@njit(**INNER)
def current_range(part: int, table: Floats, box: Floats, whole: Ints) -> tuple[float, float]:
    """The least and greatest current [A] through a part, tail to head, over the box; scalars."""
    low, high = least_drop(part, box, whole), greatest_drop(part, box, whole)
    less, more = box[LOWER + part], box[UPPER + part]
    kind, base = whole[KIND + part], whole[BASE + part]
    least, _ = part_law(kind, base, less if low >= 0.0 else more, low, table)
    greatest, _ = part_law(kind, base, more if high >= 0.0 else less, high, table)
    return least, greatest
