"""Bounds on the potentials of eight networks at once: `enclosures` in vector lanes, compiled.

Each lane holds a network of its own, with its own graph, models and box, and seeks an upper or a lower
bound:

    `put_network`; `seek_upper`; `advance` until the lane is done;
    `seek_lower`; `advance` until it is done; `take_bounds`

A lane that is done may seek the other bound or be given another network while the others go on. One that is
lost is the plain kernel's to bound; without compilation no lane serves.

A bound found here contains that of `enclosures`. The laws in lanes differ from the tables of the plain
kernel by less than `APART_SHARE` of a current and 1 pA, so currents are taken that much less or more. Then
F >= 1.6 `OUTWARD` here makes F of the plain laws more than the 1.5 `OUTWARD` that is the most at the plain
kernel's point, and F of an M-function orders the points (so `enclosures`).

Worked case: 10 ohm from 12 V to a node, and from there to ground between 5 and 20 ohm: between 4 and 8 V.

Source: as for `enclosures`; Newton's method on a function with kinks, textbook method (common practice).
"""

from typing import NamedTuple

import numpy as np
from numba import config, njit

from lampwright.compiled import ENTRY, INNER
from lampwright.solve.enclosures import ABOVE, BELOW, LOWER, OUTWARD, UPPER
from lampwright.solve.lane_laws import cells_of, diode_lanes, filament_lanes
from lampwright.solve.lanes import (
    LANES,
    Pointer,
    Vector,
    begin_of,
    choose,
    least,
    load,
    mask_of,
    most,
    size_of,
    spread,
    store,
)
from lampwright.solve.laws import DIODE, FILAMENT, RESISTOR, Floats, Ints, Models, base_of
from lampwright.solve.newton import HEAD, KIND, LEAK, MOST_NODES, ROW, TAIL

IN_VECTORS = not config.DISABLE_JIT  # type: ignore[attr-defined]
"""Plain Python has no vectors."""

APART_SHARE = 2e-7
"""By what share of itself a current in lanes may differ from that of the plain tables."""

LANE_OUTWARD = 2.1 * OUTWARD
"""Current [A] added at every node; solved to half of `OUTWARD`."""

MOST_TURNS = 200.0
FREE_TURNS = 10.0
"""Until then every step is let through: most overshoot a blocked diode, and the next step mends it."""

MILD_TURNS = 25.0
PLACES = 16
"""Parts of one kind that a lane has room for."""

MOST_UNKNOWN = MOST_NODES - 2

# places in the scratch, each a vector for every place of a part, node, or pair of these
JOINS = 0
FIXED = JOINS + 3 * PLACES * MOST_UNKNOWN * LANES
LESS = FIXED + 3 * PLACES * LANES
MORE = LESS + 3 * PLACES * LANES
SHIFT = MORE + 3 * PLACES * LANES
LOST = SHIFT + 3 * PLACES * LANES
AT = LOST + 3 * PLACES * LANES
FROM = AT + MOST_UNKNOWN * LANES
KEPT = FROM + MOST_UNKNOWN * LANES
MOVE = KEPT + MOST_UNKNOWN * LANES
OUTFLOW = MOVE + MOST_UNKNOWN * LANES
SLOPES = OUTFLOW + MOST_UNKNOWN * LANES
ADDED = SLOPES + MOST_UNKNOWN**2 * LANES
SLOPE = ADDED + LANES
SHARE = SLOPE + LANES
TURNS = SHARE + LANES
VOLTS = TURNS + LANES
ROOM = VOLTS + LANES
CELLS = 0
USED = CELLS + 3 * PLACES * LANES
NODES = USED + 3 * LANES


class LaneBoxes(NamedTuple):
    """Scratch of eight solvers of bounds.

    reals: which nodes each part joins, its values, and the potentials [V] at AT. whole: place in the
    table of cells of every part; how many parts of each kind and unknown nodes a lane has.
    """

    reals: Floats
    whole: Ints


@njit(**ENTRY)
def new_lane_boxes() -> LaneBoxes:
    """Empty lanes with room for PLACES parts of each kind and MOST_UNKNOWN nodes."""
    reals = np.zeros(ROOM)
    reals[VOLTS:] = 1.0
    return LaneBoxes(reals, np.zeros(NODES + LANES, np.int64))


@njit(**INNER)
def clear_lane(lane: int, lanes: LaneBoxes) -> None:
    """Take a lane's network out; lane: its number, a scalar without unit."""
    reals, whole = lanes
    for kind in range(3):
        for each in range(whole[USED + kind * LANES + lane]):
            slot = kind * PLACES + each
            for node in range(whole[NODES + lane]):
                reals[JOINS + (slot * MOST_UNKNOWN + node) * LANES + lane] = 0.0
            reals[FIXED + slot * LANES + lane] = 0.0
        whole[USED + kind * LANES + lane] = 0
    whole[NODES + lane] = 0


@njit(**ENTRY, forceinline=True)
def put_network(
    lane: int,
    parts: int,
    count: int,
    volts: float,
    models: Models,
    box: Floats,
    bound: Ints,
    lanes: LaneBoxes,
) -> bool:
    """Put a network into a lane; False where it is the plain kernel's, and the lane is empty.

    lane, parts, count: numbers; volts: the supply [V]. box: ends of the values at LOWER and UPPER, (n,);
    a diode's must be one. bound: the whole numbers of a Workspace with KIND, ROW, TAIL and HEAD filled, as
    by `newton.bind_live`; there are `count` nodes.
    """
    clear_lane(lane, lanes)
    reals, whole = lanes
    whole[NODES + lane] = count - 2
    reals[VOLTS + lane] = volts
    for p in range(parts):
        a, b, kind, row = bound[TAIL + p], bound[HEAD + p], bound[KIND + p], bound[ROW + p]
        if a == b or max(a, b) < 2:
            continue
        each, low, high = whole[USED + kind * LANES + lane], box[LOWER + p], box[UPPER + p]
        if each == PLACES or (kind == DIODE and low != high):
            clear_lane(lane, lanes)
            return False
        slot = kind * PLACES + each
        at = slot * LANES + lane
        whole[USED + kind * LANES + lane] = each + 1
        reals[FIXED + at] = volts * ((a == 1) - (b == 1))
        if a >= 2:
            reals[JOINS + (slot * MOST_UNKNOWN + a - 2) * LANES + lane] = 1.0
        if b >= 2:
            reals[JOINS + (slot * MOST_UNKNOWN + b - 2) * LANES + lane] = -1.0
        whole[CELLS + at] = cells_of(kind, row, models.filaments)
        if kind == DIODE:
            base = base_of(kind, row, models.filaments)
            reals[SHIFT + at] = low
            reals[LOST + at] = models.table[base] * np.expm1(low / models.table[base + 1])
            low = high = 1.0
        apart = 0.0 if kind == RESISTOR else APART_SHARE
        reals[LESS + at], reals[MORE + at] = low * (1.0 - apart), high * (1.0 + apart)
    return True


@njit(**INNER)
def _start(lane: int, outward: float, lanes: LaneBoxes) -> None:
    """Let a lane go from where it stands at AT."""
    reals = lanes.reals
    for node in range(lanes.whole[NODES + lane]):
        reals[FROM + node * LANES + lane] = reals[AT + node * LANES + lane]
    reals[ADDED + lane], reals[SLOPE + lane] = outward, 0.0
    reals[SHARE + lane], reals[TURNS + lane] = 1.0, 0.0


@njit(**ENTRY)
def seek_upper(lane: int, fresh: bool, lanes: LaneBoxes) -> None:
    """Let a lane seek an upper bound, from half way if fresh, else from the last one; scalars, no unit."""
    reals = lanes.reals
    for node in range(lanes.whole[NODES + lane]):
        at = node * LANES + lane
        reals[AT + at] = 0.5 * reals[VOLTS + lane] if fresh else reals[KEPT + at]
    _start(lane, LANE_OUTWARD, lanes)


@njit(**ENTRY)
def seek_lower(lane: int, lanes: LaneBoxes) -> None:
    """Let a lane keep the upper bound that it found, and seek a lower one from it; a scalar, no unit."""
    reals = lanes.reals
    for node in range(lanes.whole[NODES + lane]):
        at = node * LANES + lane
        reals[AT + at] = reals[KEPT + at] = reals[FROM + at]
    _start(lane, -LANE_OUTWARD, lanes)


@njit(**INNER)
def is_upper(lane: int, lanes: LaneBoxes) -> bool:
    """Whether a lane seeks an upper bound; a scalar, no unit."""
    return bool(lanes.reals[ADDED + lane] > 0.0)


@njit(**ENTRY)
def take_bounds(lane: int, box: Floats, lanes: LaneBoxes) -> None:
    """Write what a lane that is done found to ABOVE and BELOW [V] of a box (n,); no lower bound yet is 0."""
    reals, volts = lanes.reals, lanes.reals[VOLTS + lane]
    box[ABOVE], box[ABOVE + 1], box[BELOW], box[BELOW + 1] = 0.0, volts, 0.0, volts
    upper = is_upper(lane, lanes)
    for node in range(lanes.whole[NODES + lane]):
        at = node * LANES + lane
        box[ABOVE + 2 + node] = reals[FROM + at] if upper else reals[KEPT + at]
        box[BELOW + 2 + node] = 0.0 if upper else reals[FROM + at]


@njit(**INNER)
def _law(
    kind: int, slot: int, v: Vector, cells: Pointer, reals: Pointer, whole: Pointer
) -> tuple[Vector, Vector]:
    """Currents and conductances of a part at v, in lanes, as its model or 1 siemens has them."""
    if kind == RESISTOR:
        return v, spread(1.0)
    base = load(whole, CELLS + slot * LANES)
    if kind == FILAMENT:
        return filament_lanes(v, base, cells)  # type: ignore[no-any-return]
    i, g = diode_lanes(v + load(reals, SHIFT + slot * LANES), base, cells)
    return i - load(reals, LOST + slot * LANES), g


@njit(**INNER)
def _outflows(sizes: tuple[int, int, int, int], cells: Pointer, reals: Pointer, whole: Pointer) -> None:
    """Fill the least or greatest outflows at the potentials at AT, and their slopes."""
    nodes = sizes[3]
    added, up = load(reals, ADDED), load(reals, ADDED) > 0.0
    for a in range(nodes):
        store(reals, OUTFLOW + a * LANES, LEAK * load(reals, AT + a * LANES) - added)
        for b in range(nodes):
            store(reals, SLOPES + (a * MOST_UNKNOWN + b) * LANES, LEAK if a == b else 0.0)
    for kind in range(3):
        for slot in range(kind * PLACES, kind * PLACES + sizes[kind]):
            v = load(reals, FIXED + slot * LANES)
            for a in range(nodes):
                joins = load(reals, JOINS + (slot * MOST_UNKNOWN + a) * LANES)
                v = v + joins * load(reals, AT + a * LANES)
            i, g = _law(kind, slot, v, cells, reals, whole)
            less, more = load(reals, LESS + slot * LANES), load(reals, MORE + slot * LANES)
            # the higher end loses least at the lesser value, the lower end gains most at the greater
            swap = (up & (v < 0.0)) | ((v >= 0.0) & (added < 0.0))
            tail, head = choose(swap, more, less), choose(swap, less, more)
            for a in range(nodes):
                joins = load(reals, JOINS + (slot * MOST_UNKNOWN + a) * LANES)
                own = most(joins, 0.0) * tail + least(joins, 0.0) * head
                at = OUTFLOW + a * LANES
                store(reals, at, load(reals, at) + own * i)
                slope = own * g
                for b in range(nodes):
                    at = SLOPES + (a * MOST_UNKNOWN + b) * LANES
                    other = load(reals, JOINS + (slot * MOST_UNKNOWN + b) * LANES)
                    store(reals, at, load(reals, at) + slope * other)


@njit(**INNER)
def _imbalance(nodes: int, reals: Pointer) -> Vector:
    """The worst outflow [A] of a node that is not held at a rail; a held one's row becomes the identity's."""
    volts, worst = load(reals, VOLTS), spread(0.0)
    for a in range(nodes):
        f, x = load(reals, OUTFLOW + a * LANES), load(reals, AT + a * LANES)
        held = ((x >= volts) & (f < 0.0)) | ((x <= 0.0) & (f > 0.0))
        f = choose(held, 0.0, f)
        worst = most(worst, size_of(f))
        store(reals, OUTFLOW + a * LANES, f)
        if mask_of(held) != 0:
            for b in range(nodes):
                at = SLOPES + (a * MOST_UNKNOWN + b) * LANES
                store(reals, at, choose(held, 1.0 if a == b else 0.0, load(reals, at)))
    return worst


@njit(**INNER)
def _newton_step(nodes: int, reals: Pointer) -> None:
    """Solve slopes times MOVE = - OUTFLOW; rows of a Z-matrix that dominate need no pivot."""
    for k in range(nodes):
        store(reals, MOVE + k * LANES, 0.0 - load(reals, OUTFLOW + k * LANES))
    for k in range(nodes):
        d = 1.0 / load(reals, SLOPES + (k * MOST_UNKNOWN + k) * LANES)
        store(reals, SLOPES + (k * MOST_UNKNOWN + k) * LANES, d)
        right = load(reals, MOVE + k * LANES)
        for a in range(k + 1, nodes):
            f = load(reals, SLOPES + (a * MOST_UNKNOWN + k) * LANES) * d
            for b in range(k + 1, nodes):
                at, over = (a * MOST_UNKNOWN + b) * LANES, (k * MOST_UNKNOWN + b) * LANES
                store(reals, SLOPES + at, load(reals, SLOPES + at) - f * load(reals, SLOPES + over))
            store(reals, MOVE + a * LANES, load(reals, MOVE + a * LANES) - f * right)
    for a in range(nodes - 1, -1, -1):
        total = load(reals, MOVE + a * LANES)
        for b in range(a + 1, nodes):
            slope = load(reals, SLOPES + (a * MOST_UNKNOWN + b) * LANES)
            total = total - slope * load(reals, MOVE + b * LANES)
        store(reals, MOVE + a * LANES, total * load(reals, SLOPES + (a * MOST_UNKNOWN + a) * LANES))


@njit(**INNER)
def _move_on(nodes: int, worst: Vector, reals: Pointer) -> None:
    """Pull back a lane that went beyond its goal, as `lane_newton` does; from the others' points go on.

    The point that was looked at stands at FROM in a lane that is good.
    """
    volts, before, share = load(reals, VOLTS), load(reals, SLOPE), load(reals, SHARE)
    turns = load(reals, TURNS)
    after = spread(0.0)
    for a in range(nodes):
        way = load(reals, AT + a * LANES) - load(reals, FROM + a * LANES)
        after = after + load(reals, OUTFLOW + a * LANES) * way
    after = after / share
    bar = choose(turns < MILD_TURNS, -0.9 * before, 0.0)
    over = (turns >= FREE_TURNS) & (before < 0.0) & (after > bar) & (worst >= 0.5 * OUTWARD)
    cut = least(most(before / (before - after), 0.1), 0.7)
    slope = spread(0.0)
    for a in range(nodes):
        x, start = load(reals, AT + a * LANES), load(reals, FROM + a * LANES)
        ahead = least(most(x + load(reals, MOVE + a * LANES), 0.0), volts)
        slope = slope + load(reals, OUTFLOW + a * LANES) * (ahead - x)
        store(reals, AT + a * LANES, choose(over, start + cut * (x - start), ahead))
        store(reals, FROM + a * LANES, choose(over, start, x))
    store(reals, SLOPE, choose(over, before, slope))
    store(reals, SHARE, choose(over, share * cut, 1.0))
    store(reals, TURNS, turns + 1.0)


@njit(**INNER)
def _widest(first: int, whole: Pointer) -> int:
    """The greatest of the lanes' numbers."""
    found = 0
    for lane in range(LANES):
        found = max(found, whole[first + lane])
    return found


@njit(**ENTRY)
def advance(busy: int, models: Models, lanes: LaneBoxes) -> tuple[int, int]:
    """Take turns until one of the busy lanes (bits) is done or lost; those that are, as bits each."""
    cells, reals, whole = begin_of(models.cells), begin_of(lanes.reals), begin_of(lanes.whole)
    sizes = (
        _widest(USED + FILAMENT * LANES, whole),
        _widest(USED + RESISTOR * LANES, whole),
        _widest(USED + DIODE * LANES, whole),
        _widest(int(NODES), whole),
    )
    while True:
        _outflows(sizes, cells, reals, whole)
        worst = _imbalance(sizes[3], reals)
        good = worst < 0.5 * OUTWARD
        _newton_step(sizes[3], reals)
        _move_on(sizes[3], worst, reals)
        done = mask_of(good) & busy
        lost = mask_of(load(reals, TURNS) > MOST_TURNS) & busy & ~done
        if done != 0 or lost != 0:
            return done, lost
