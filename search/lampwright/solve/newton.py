"""The operating point of one small network, by a guarded Newton method, compiled.

Every part's current rises with its voltage, so the node potentials minimise a convex
function whose gradient is the sum of currents leaving each node. Newton's step is
clipped to the box between ground and supply, where the answer lies, and shortened
while the gradient along it says that the minimum was overshot. A leak of 1 nS from
every node to ground settles nodes that float.

Node numbers inside the solver: 0 is ground, 1 the supply, 2 and up the unknown nodes.
Source: convexity after Duffin, Bull. AMS 53 (1947) 963 and Minty (1960) (MEMORY).
"""

from typing import NamedTuple

import numpy as np
from numba import njit

from lampwright.compiled import ENTRY, INNER
from lampwright.solve.laws import Bytes, Floats, Ints, part_law

LEAK = 1e-9
"""Conductance from every unknown node to ground [S]."""

RESIDUAL = 1e-9
"""Largest current left over at a node of a converged point [A]."""

MOST_STEPS = 200
PATIENT_AFTER = 40
MOST_CUTS = 60
MOST_NODES = 18
MOST_PARTS = 32
MOST_CODES = 64

# the scratch is two flat arrays, since numba hands on few arrays more cheaply than many;
# these are the places in them, each for nodes, parts or codes
X = 0
TRIAL = X + MOST_NODES
GRADIENT = TRIAL + MOST_NODES
STEP = GRADIENT + MOST_NODES
CURRENT = STEP + MOST_NODES
SIEMENS = CURRENT + MOST_PARTS
VALUE = SIEMENS + MOST_PARTS
MATRIX = VALUE + MOST_PARTS
KIND = 0
ROW = KIND + MOST_PARTS
BASE = ROW + MOST_PARTS
TAIL = BASE + MOST_PARTS
HEAD = TAIL + MOST_PARTS
LOCAL = HEAD + MOST_PARTS


class Workspace(NamedTuple):
    """Scratch of one solver, so that the inner loops allocate nothing.

    reals: potentials at X, currents at CURRENT, part values at VALUE, and what the
    method needs. whole: kind, model row, place in the table, tail and head of every part.
    """

    reals: Floats
    whole: Ints


def new_workspace() -> Workspace:
    """Room for MOST_NODES nodes and MOST_PARTS parts."""
    return Workspace(np.zeros(MATRIX + MOST_NODES**2), np.zeros(LOCAL + MOST_CODES, np.int64))


@njit(**INNER)
def _balance(parts: int, count: int, at: int, table: Floats, reals: Floats, whole: Ints) -> float:
    """Fill currents, conductances and gradient at the potentials from `at` on; the worst imbalance [A]."""
    for node in range(2, count):
        reals[GRADIENT + node] = LEAK * reals[at + node]
    for p in range(parts):
        a = whole[TAIL + p]
        b = whole[HEAD + p]
        v = reals[at + a] - reals[at + b]
        i, g = part_law(whole[KIND + p], whole[BASE + p], reals[VALUE + p], v, table)
        reals[CURRENT + p] = i
        reals[SIEMENS + p] = g
        reals[GRADIENT + a] += i
        reals[GRADIENT + b] -= i
    worst = 0.0
    for node in range(2, count):
        worst = max(worst, abs(reals[GRADIENT + node]))
    return worst


@njit(**INNER)
def _fill_matrix(parts: int, count: int, reals: Floats, whole: Ints) -> None:
    """The conductance matrix, lower triangle, and minus the gradient as the right-hand side."""
    for i in range(2, count):
        for j in range(2, i):
            reals[MATRIX + i * MOST_NODES + j] = 0.0
        reals[MATRIX + i * MOST_NODES + i] = LEAK
        reals[STEP + i] = -reals[GRADIENT + i]
    for p in range(parts):
        a = max(whole[TAIL + p], whole[HEAD + p])
        b = min(whole[TAIL + p], whole[HEAD + p])
        if a >= 2 and a != b:
            g = reals[SIEMENS + p]
            reals[MATRIX + a * MOST_NODES + a] += g
            if b >= 2:
                reals[MATRIX + b * MOST_NODES + b] += g
                reals[MATRIX + a * MOST_NODES + b] -= g


@njit(**INNER)
def _newton_step(parts: int, count: int, reals: Floats, whole: Ints) -> None:
    """Solve conductance matrix times step = - gradient by L D L^T; no pivot is needed."""
    _fill_matrix(parts, count, reals, whole)
    for j in range(2, count):
        d = 1.0 / reals[MATRIX + j * MOST_NODES + j]
        for i in range(j + 1, count):
            low = reals[MATRIX + i * MOST_NODES + j]
            if low != 0.0:
                f = low * d
                for m in range(j + 1, i + 1):
                    reals[MATRIX + i * MOST_NODES + m] -= f * reals[MATRIX + m * MOST_NODES + j]
                reals[STEP + i] -= f * reals[STEP + j]
    for i in range(count - 1, 1, -1):
        total = reals[STEP + i]
        for m in range(i + 1, count):
            total -= reals[MATRIX + m * MOST_NODES + i] * reals[STEP + m]
        reals[STEP + i] = total / reals[MATRIX + i * MOST_NODES + i]


@njit(**INNER)
def _clip_step(count: int, volts: float, reals: Floats) -> float:
    """Put the clipped step into the trial potentials; the slope along it [A V]."""
    before = 0.0
    for node in range(2, count):
        x = reals[X + node]
        wish = min(max(x + reals[STEP + node], 0.0), volts)
        reals[TRIAL + node] = wish
        before += reals[GRADIENT + node] * (wish - x)
    return before


@njit(**INNER)
def _descend(parts: int, count: int, volts: float, reals: Floats, whole: Ints) -> float:
    """Put the clipped step of each node by itself into the trial potentials; it always descends.

    Returns the slope along it [A V]. For the rare point where the clipped Newton step
    does not descend.
    """
    for node in range(2, count):
        reals[STEP + node] = LEAK
    for p in range(parts):
        if whole[TAIL + p] != whole[HEAD + p]:
            reals[STEP + whole[TAIL + p]] += reals[SIEMENS + p]
            reals[STEP + whole[HEAD + p]] += reals[SIEMENS + p]
    for node in range(2, count):
        reals[STEP + node] = -reals[GRADIENT + node] / reals[STEP + node]
    return float(_clip_step(count, volts, reals))


@njit(**INNER)
def _shorten(
    parts: int, count: int, before: float, bar: float, table: Floats, reals: Floats, whole: Ints
) -> float:
    """Pull the trial back until it does not overshoot the minimum; the worst imbalance there [A]."""
    share = 1.0
    worst = 0.0
    for _ in range(MOST_CUTS):
        worst = _balance(parts, count, TRIAL, table, reals, whole)
        if worst < RESIDUAL or before == 0.0:
            break
        after = 0.0
        for node in range(2, count):
            after += reals[GRADIENT + node] * (reals[TRIAL + node] - reals[X + node])
        after /= share
        if after <= bar:
            break
        cut = min(max(before / (before - after), 0.1), 0.7)
        for node in range(2, count):
            reals[TRIAL + node] = reals[X + node] + cut * (reals[TRIAL + node] - reals[X + node])
        share *= cut
    return worst


@njit(**ENTRY)
def solve_bound(
    parts: int, count: int, volts: float, table: Floats, reals: Floats, whole: Ints
) -> tuple[int, float]:
    """Find the potentials of nodes 2 .. count - 1 from the start that stands at X.

    parts, count, volts: scalars; volts is the supply [V]. table: of Models. reals, whole:
    a Workspace with KIND, BASE, VALUE, TAIL and HEAD filled. Returns the steps taken
    (negative: not converged) and the residual [A]; the point stands at X and CURRENT.
    """
    reals[X] = reals[TRIAL] = 0.0
    reals[X + 1] = reals[TRIAL + 1] = volts
    worst = _balance(parts, count, X, table, reals, whole)
    if count == 2:
        return 0, 0.0
    for steps in range(MOST_STEPS):
        if worst < RESIDUAL and steps > 0:
            return steps, worst
        _newton_step(parts, count, reals, whole)
        before = _clip_step(count, volts, reals)
        if before >= 0.0 and worst >= RESIDUAL:
            before = _descend(parts, count, volts, reals, whole)
        # early on an overshoot is let through if it is mild; later none is
        bar = -0.25 * before if steps < PATIENT_AFTER else 0.0
        worst = _shorten(parts, count, before, bar, table, reals, whole)
        for node in range(2, count):
            reals[X + node] = reals[TRIAL + node]
    return -MOST_STEPS, worst


@njit(**ENTRY)
def bind_live(ends: Bytes, circuit: int, live: int, vertex_node: Bytes, state: int, whole: Ints) -> int:
    """Give the ends of a circuit's live parts (bit set) solver node numbers; returns the number of nodes.

    ends: (circuits, parts, 2) vertices; vertex_node: (states, vertices) 0 ground, 1 supply,
    2 and up open groups. Only nodes that a live part touches are numbered. The other parts carry nothing:
    both their ends go to ground.
    """
    for code in range(2, MOST_CODES):
        whole[LOCAL + code] = -1
    whole[LOCAL], whole[LOCAL + 1] = 0, 1
    count = 2
    for p in range(ends.shape[1]):
        whole[TAIL + p] = whole[HEAD + p] = 0
        if (live >> p) & 1:
            for side in range(2):
                code = int(vertex_node[state, ends[circuit, p, side]])
                if whole[LOCAL + code] < 0:
                    whole[LOCAL + code] = count
                    count += 1
                whole[(TAIL if side == 0 else HEAD) + p] = whole[LOCAL + code]
    return count


@njit(**ENTRY)
def bind_ends(ends: Bytes, circuit: int, vertex_node: Bytes, state: int, whole: Ints) -> int:
    """Give the ends of every part of a circuit solver node numbers; returns the number of nodes.

    ends: (circuits, parts, 2) vertices; vertex_node: (states, vertices), as for `bind_live`.
    """
    return int(bind_live(ends, circuit, int(-1), vertex_node, state, whole))


@njit(**ENTRY)
def cold_start(count: int, volts: float, reals: Floats) -> None:
    """Start every unknown node half way between ground and supply, volts [V] a scalar."""
    for node in range(2, count):
        reals[X + node] = 0.5 * volts


@njit(**ENTRY)
def drop_of(part: int, reals: Floats, whole: Ints) -> float:
    """The voltage [V] across a part at the solved point, tail to head; a scalar."""
    return float(reals[X + whole[TAIL + part]] - reals[X + whole[HEAD + part]])
