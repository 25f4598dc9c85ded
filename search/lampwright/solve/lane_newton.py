"""Operating points of eight circuits at once, by the method of `newton` in vector lanes, compiled.

The circuits share their graph and the kinds of their parts: one circuit fitted eight times, or at several
supplies, or at corners of its tolerances. Models, values and supply differ from lane to
lane. So a workspace of `newton` in which the ends are bound serves all of them:

    for each lane: fit it in the workspace, as for `solve_bound`; `set_lane`
    `solve_lanes`
    for each lane: `take_lane`; then the workspace is as `solve_bound` would leave it

Each turn reads laws and balance of all lanes at once; then a lane whose point overshot the minimum is pulled
back, one that has converged stays, and the others make Newton's next step. A lane that is not
done within MOST_TURNS is solved by `newton`; without compilation, so is every lane.
"""

from typing import NamedTuple

import numpy as np
from numba import config, njit

from lampwright.compiled import ENTRY, INNER
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
from lampwright.solve.newton import (
    BASE,
    CURRENT,
    HEAD,
    KIND,
    LEAK,
    MOST_NODES,
    MOST_PARTS,
    RESIDUAL,
    ROW,
    TAIL,
    VALUE,
    Workspace,
    X,
    cold_start,
    solve_bound,
)

MOST_TURNS = 60
MILD_TURNS = 25
"""Until then an overshoot is let through unless it is steeper than the descent; later none is."""

IN_VECTORS = not config.DISABLE_JIT  # type: ignore[attr-defined]
"""Plain Python has no vectors."""

ALL = (1 << LANES) - 1

# places in the scratch, each a vector for every node, part or pair of nodes
AT = 0
FROM = AT + MOST_NODES * LANES
LEFT_OVER = FROM + MOST_NODES * LANES
MOVE = LEFT_OVER + MOST_NODES * LANES
ALONE = MOVE + MOST_NODES * LANES
AMPS = ALONE + MOST_NODES * LANES
FITTED = AMPS + MOST_PARTS * LANES
APART = FITTED + MOST_PARTS * LANES
NET = APART + MOST_PARTS * LANES
MODEL = 0
CELLS = MODEL + MOST_PARTS * LANES
ACTIVE = CELLS + MOST_PARTS * LANES


class Lanes(NamedTuple):
    """Scratch of eight solvers, and what they found.

    reals: potentials at AT, currents at AMPS, part values at FITTED, each eight for a node or part, and
    what the method needs. whole: model row and place in the table of cells of every part, likewise.
    """

    reals: Floats
    whole: Ints


@njit(**ENTRY)
def new_lanes() -> Lanes:
    """Room for MOST_NODES nodes and MOST_PARTS parts, LANES times."""
    return Lanes(np.zeros(NET + MOST_NODES**2 * LANES), np.zeros(ACTIVE + MOST_PARTS, np.int64))


# each lane's own calls are inlined: to count references to every array would cost more than the work
@njit(**ENTRY, forceinline=True)
def start_lane(lane: int, count: int, volts: float, lanes: Lanes) -> None:
    """Give a lane its supply [V], and start its unknown nodes half way; count: as `bind_ends` told; scalars.

    To be left out where ends and supply have stayed: then a lane starts from its last point.
    """
    lanes.reals[AT + LANES + lane] = volts
    for node in range(2, count):
        lanes.reals[AT + node * LANES + lane] = 0.5 * volts


@njit(**ENTRY, forceinline=True)
def turn_lane(lane: int, count: int, volts: float, lanes: Lanes) -> None:
    """Give a lane whose ends have stayed another supply [V], its nodes at the same shares of it; scalars."""
    share = volts / lanes.reals[AT + LANES + lane]
    lanes.reals[AT + LANES + lane] = volts
    for node in range(2, count):
        lanes.reals[AT + node * LANES + lane] *= share


@njit(**ENTRY, forceinline=True)
def set_lane(lane: int, parts: int, models: Models, work: Workspace, lanes: Lanes) -> None:
    """Put the parts that are fitted in a workspace (KIND, ROW and VALUE) into a lane; scalars, no unit."""
    reals, whole = lanes
    table = models.table
    for p in range(parts):
        kind, row, value = work.whole[KIND + p], work.whole[ROW + p], work.reals[VALUE + p]
        at = p * LANES + lane
        whole[MODEL + at] = row
        whole[CELLS + at] = cells_of(kind, row, models.filaments)
        reals[FITTED + at] = value
        if kind == DIODE:
            base = base_of(kind, row, models.filaments)
            reals[APART + at] = table[base] * np.expm1(value / table[base + 1]) if value != 0.0 else 0.0


@njit(**ENTRY, forceinline=True)
def take_lane(lane: int, parts: int, count: int, models: Models, work: Workspace, lanes: Lanes) -> None:
    """Leave a workspace as `solve_bound` does: with a lane's parts, potentials [V], currents [A]; scalars."""
    reals, whole = lanes
    for p in range(parts):
        at = p * LANES + lane
        row = whole[MODEL + at]
        work.whole[ROW + p] = row
        work.whole[BASE + p] = base_of(work.whole[KIND + p], row, models.filaments)
        work.reals[VALUE + p] = reals[FITTED + at]
        work.reals[CURRENT + p] = reals[AMPS + at]
    for node in range(count):
        work.reals[X + node] = reals[AT + node * LANES + lane]


@njit(**INNER)
def _law(
    kind: int, p: int, v: Vector, cells: Pointer, reals: Pointer, whole: Pointer
) -> tuple[Vector, Vector]:
    """Currents and conductances of a part at v, in lanes."""
    fitted = load(reals, FITTED + p * LANES)
    if kind == RESISTOR:
        return fitted * v, fitted
    base = load(whole, CELLS + p * LANES)
    if kind == FILAMENT:
        i, g = filament_lanes(v, base, cells)
        return fitted * i, fitted * g
    i, g = diode_lanes(v + fitted, base, cells)
    return i - load(reals, APART + p * LANES), g


@njit(**INNER)
def _read_fixed(parts: int, cells: Pointer, reals: Pointer, whole: Pointer, bound: Pointer) -> int:
    """Read parts without an unknown node once; list the others at ACTIVE, and say how many."""
    active = 0
    for p in range(parts):
        a, b = bound[TAIL + p], bound[HEAD + p]
        if a != b and max(a, b) >= 2:
            whole[ACTIVE + active] = p
            active += 1
        else:
            v = load(reals, AT + a * LANES) - load(reals, AT + b * LANES)
            i, _ = _law(bound[KIND + p], p, v, cells, reals, whole)
            store(reals, AMPS + p * LANES, i)
    return active


@njit(**INNER)
def _add(reals: Pointer, place: int, amount: Vector) -> None:
    store(reals, place, load(reals, place) + amount)


@njit(**INNER)
def _subtract(reals: Pointer, place: int, amount: Vector) -> None:
    store(reals, place, load(reals, place) - amount)


@njit(**INNER)
def _balance(
    active: int, count: int, cells: Pointer, reals: Pointer, whole: Pointer, bound: Pointer
) -> Vector:
    """Fill currents, what is left over, and the conductance matrix at AT; the worst left over [A]."""
    for node in range(2, count):
        for other in range(2, node):
            store(reals, NET + (node * MOST_NODES + other) * LANES, 0.0)
        store(reals, NET + (node * MOST_NODES + node) * LANES, LEAK)
        store(reals, LEFT_OVER + node * LANES, LEAK * load(reals, AT + node * LANES))
    for each in range(active):
        p = whole[ACTIVE + each]
        a, b = bound[TAIL + p], bound[HEAD + p]
        v = load(reals, AT + a * LANES) - load(reals, AT + b * LANES)
        i, g = _law(bound[KIND + p], p, v, cells, reals, whole)
        store(reals, AMPS + p * LANES, i)
        if a >= 2:
            _add(reals, LEFT_OVER + a * LANES, i)
            _add(reals, NET + (a * MOST_NODES + a) * LANES, g)
        if b >= 2:
            _subtract(reals, LEFT_OVER + b * LANES, i)
            _add(reals, NET + (b * MOST_NODES + b) * LANES, g)
            if a >= 2:
                _subtract(reals, NET + (max(a, b) * MOST_NODES + min(a, b)) * LANES, g)
    worst = spread(0.0)
    for node in range(2, count):
        worst = most(worst, size_of(load(reals, LEFT_OVER + node * LANES)))
    return worst


@njit(**INNER)
def _newton_step(count: int, reals: Pointer) -> None:
    """Solve matrix times MOVE = - LEFT_OVER by L D L^T in every lane; the diagonal is kept at ALONE."""
    for node in range(2, count):
        store(reals, MOVE + node * LANES, 0.0 - load(reals, LEFT_OVER + node * LANES))
        store(reals, ALONE + node * LANES, load(reals, NET + (node * MOST_NODES + node) * LANES))
    for j in range(2, count):
        d = 1.0 / load(reals, NET + (j * MOST_NODES + j) * LANES)
        store(reals, NET + (j * MOST_NODES + j) * LANES, d)
        right = load(reals, MOVE + j * LANES)
        for i in range(j + 1, count):
            f = load(reals, NET + (i * MOST_NODES + j) * LANES) * d
            for m in range(j + 1, i + 1):
                low = load(reals, NET + (m * MOST_NODES + j) * LANES)
                _subtract(reals, NET + (i * MOST_NODES + m) * LANES, f * low)
            _subtract(reals, MOVE + i * LANES, f * right)
    for i in range(count - 1, 1, -1):
        total = load(reals, MOVE + i * LANES)
        for m in range(i + 1, count):
            low = load(reals, NET + (m * MOST_NODES + i) * LANES)
            total = total - low * load(reals, MOVE + m * LANES)
        store(reals, MOVE + i * LANES, total * load(reals, NET + (i * MOST_NODES + i) * LANES))


@njit(**INNER)
def _clip_moves(count: int, reals: Pointer) -> Vector:
    """Clip every move so that it ends between ground and supply; the slope along it [A V], in lanes.

    Where the clipped Newton step does not descend, each node moves by itself, which always does.
    """
    volts = load(reals, AT + LANES)
    slope = spread(0.0)
    for node in range(2, count):
        x = load(reals, AT + node * LANES)
        move = least(most(x + load(reals, MOVE + node * LANES), 0.0), volts) - x
        store(reals, MOVE + node * LANES, move)
        slope = slope + load(reals, LEFT_OVER + node * LANES) * move
    uphill = slope >= 0.0
    if mask_of(uphill) == 0:
        return slope
    lone = spread(0.0)
    for node in range(2, count):
        x = load(reals, AT + node * LANES)
        left_over = load(reals, LEFT_OVER + node * LANES)
        wish = x - left_over / load(reals, ALONE + node * LANES)
        move = least(most(wish, 0.0), volts) - x
        lone = lone + left_over * move
        store(reals, MOVE + node * LANES, choose(uphill, move, load(reals, MOVE + node * LANES)))
    return choose(uphill, lone, slope)


@njit(**INNER)
def _iterate(count: int, active: int, cells: Pointer, reals: Pointer, whole: Pointer, bound: Pointer) -> int:
    """Bring every lane to its operating point, as it starts at AT; the lanes that got there, as bits."""
    before, share = spread(0.0), spread(1.0)
    done = 0
    for turn in range(MOST_TURNS):
        worst = _balance(active, count, cells, reals, whole, bound)
        good = worst < RESIDUAL
        done = mask_of(good)
        if done == ALL and turn > 0:
            return int(done)
        after = spread(0.0)
        for node in range(2, count):
            way = load(reals, AT + node * LANES) - load(reals, FROM + node * LANES)
            after = after + load(reals, LEFT_OVER + node * LANES) * way
        after = after / share
        bar = -0.9 * before if turn < MILD_TURNS else spread(0.0)
        over = (before < 0.0) & (after > bar) & (worst >= RESIDUAL)
        cut = least(most(before / (before - after), 0.1), 0.7)
        _newton_step(count, reals)
        slope = _clip_moves(count, reals)
        for node in range(2, count):
            x, start = load(reals, AT + node * LANES), load(reals, FROM + node * LANES)
            back = start + cut * (x - start)
            ahead = x + load(reals, MOVE + node * LANES)
            if turn > 0:
                ahead = choose(good, x, ahead)
            store(reals, AT + node * LANES, choose(over, back, ahead))
            store(reals, FROM + node * LANES, choose(over, start, x))
        before = choose(over, before, slope)
        share = choose(over, share * cut, 1.0)
    return int(done)


@njit(**INNER)
def _fill_idle(used: int, parts: int, count: int, lanes: Lanes) -> None:
    """Let lanes that are not used follow the first."""
    reals, whole = lanes
    for lane in range(used, LANES):
        for p in range(parts):
            whole[CELLS + p * LANES + lane] = whole[CELLS + p * LANES]
            reals[FITTED + p * LANES + lane] = reals[FITTED + p * LANES]
            reals[APART + p * LANES + lane] = reals[APART + p * LANES]
        for node in range(1, count):
            reals[AT + node * LANES + lane] = reals[AT + node * LANES]


@njit(**INNER)
def _by_newton(lane: int, parts: int, count: int, models: Models, work: Workspace, lanes: Lanes) -> bool:
    """Solve one lane by the plain kernel; whether it converged."""
    take_lane(lane, parts, count, models, work, lanes)
    volts = work.reals[X + 1]
    cold_start(count, volts, work.reals)
    steps, _ = solve_bound(parts, count, volts, models.table, work.reals, work.whole)
    for p in range(parts):
        lanes.reals[AMPS + p * LANES + lane] = work.reals[CURRENT + p]
    for node in range(2, count):
        lanes.reals[AT + node * LANES + lane] = work.reals[X + node]
    return bool(steps >= 0)


@njit(**ENTRY)
def solve_lanes(used: int, parts: int, count: int, models: Models, work: Workspace, lanes: Lanes) -> int:
    """Find the operating points of the first `used` lanes; those that did not converge, as bits; scalars.

    work: with KIND, TAIL and HEAD filled; the rest of it may be overwritten. Every lane's unknown nodes
    are left with no more than RESIDUAL [A]. `take_lane` tells what was found.
    """
    if used < LANES:
        _fill_idle(used, parts, count, lanes)
    done = 0
    if IN_VECTORS:
        cells, bound = begin_of(models.cells), begin_of(work.whole)
        reals, whole = begin_of(lanes.reals), begin_of(lanes.whole)
        active = _read_fixed(parts, cells, reals, whole, bound)
        done = ALL if count == 2 else _iterate(count, active, cells, reals, whole, bound)
    failed = 0
    for lane in range(used):
        if (done >> lane) & 1 == 0 and not _by_newton(lane, parts, count, models, work, lanes):
            failed |= 1 << lane
    return failed
