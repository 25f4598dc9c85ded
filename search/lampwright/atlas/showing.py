"""What every lamp of a circuit shows, in every setting, at every supply, with every fit of types: compiled.

A lamp shows a function of the feeds where it is clearly lit or clearly off in every setting. The function is
the set of settings in which it is lit, as the bits of a number: setting s is bit s. A lamp that is neither
lit nor off in some setting shows nothing (-1), and neither does any lamp of a circuit in which a lamp, at its
volts, or a diode, at its amps, is over its rating in some setting. Its margin is how far its light stays from
the band's edge, in stops, in the worst setting. No source: our definitions.

Only parts between live and ground carry current, so fits that differ in other lamps share a point.
"""

from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

from lampwright.compiled import ENTRY, INNER
from lampwright.graphs.between import edges_by_row
from lampwright.solve.lane_newton import new_lanes, set_lane, solve_lanes, start_lane, take_lane
from lampwright.solve.lanes import LANES
from lampwright.solve.laws import DIODE, FILAMENT, Bytes, Floats, Ints, Models, base_of, filament_stops
from lampwright.solve.newton import (
    BASE,
    CURRENT,
    KIND,
    ROW,
    VALUE,
    Workspace,
    bind_live,
    drop_of,
    new_workspace,
)

UNCLEAR = -1
MOST_STOPS = 10.0
"""Margins are capped at this."""
UNKNOWN, WITHIN, OVER = 0, 1, 2
"""What is known of an operating point: whether it is within ratings; one that has no solution is not."""
NORMAL = 1
"""The place of the normal supply among three."""


class Setting(NamedTuple):
    """What all circuits of a cell are looked at with.

    vertex_node: (states, vertices). bit: (states,) number of the setting. volts: (3,) [V].
    edges: (2,) log2 of the most flux that is off, and of the least that is lit. lamp_volts: (models,)
    and diode_amps: ratings [V], [A]. model: (lamps, types) rows of the filament models. models: their tables.
    """

    vertex_node: Bytes
    bit: Ints
    volts: Floats
    edges: Floats
    lamp_volts: Floats
    diode_amps: float
    model: Ints
    models: Models


class ShownFunctions(NamedTuple):
    """What lamps show: functions and margins (circuits, fits, lamps), at normal supply and at all three.

    Fits that were left out show nothing. points: operating points solved; unsolved: those without a solution;
    overloaded: (circuits, fits) those over a rating at normal supply.
    """

    normal: NDArray[np.int16]
    normal_stops: NDArray[np.float32]
    always: NDArray[np.int16]
    always_stops: NDArray[np.float32]
    overloaded: NDArray[np.bool_]
    points: int
    unsolved: int


def show(ends: Bytes, fits: Ints, wanted: NDArray[np.bool_], setting: Setting) -> ShownFunctions:
    """What the lamps of circuits (circuits, parts, 2) show with the fits (fits, lamps) that are wanted.

    wanted: (circuits, fits).
    """
    lamps, volts = fits.shape[1], setting.volts
    live = edges_by_row(ends, lamps, ends.shape[1], setting.vertex_node)
    shape = (len(ends), len(fits), lamps)
    lit = np.zeros((len(volts), *shape), np.int16)
    stops = np.full((len(volts), *shape), MOST_STOPS, np.float32)
    over = np.zeros((len(volts), len(ends), len(fits)), np.bool_)
    tally = np.zeros(2, np.int64)
    _show(ends, live, fits, wanted, setting, lit, stops, over, new_workspace(), tally)
    function = np.where((stops >= 0.0) & ~over[..., None] & wanted[None, ..., None], lit, UNCLEAR)
    steady = (function == function[NORMAL]).all(axis=0)
    return ShownFunctions(
        normal=function[NORMAL],
        normal_stops=stops[NORMAL],
        always=np.where(steady, function[NORMAL], UNCLEAR),
        always_stops=stops.min(axis=0),
        overloaded=over[NORMAL] & wanted,
        points=int(tally[0]),
        unsolved=int(tally[1]),
    )


@njit(**ENTRY)
def _show(  # type: ignore[no-untyped-def]
    ends, live, fits, wanted, setting, lit, stops, over, work, tally
):
    """Fill lit, stops (supplies, circuits, fits, lamps) and over (supplies, circuits, fits)."""
    vertex_node, bit, volts, edges, lamp_volts, diode_amps, model, models = setting
    lamps, types = model.shape
    room = types**lamps
    known = np.zeros(room, np.int8)
    light = np.zeros((room, lamps))
    asked = np.zeros(LANES, np.int64)
    strides = np.zeros(lamps, np.int64)
    lanes = new_lanes()
    parts = ends.shape[1]
    for circuit in range(ends.shape[0]):
        for state in range(vertex_node.shape[0]):
            alive = live[circuit, state]
            if alive == 0:
                continue
            _stride(alive, types, strides)
            for supply in range(volts.shape[0]):
                known[:] = 0
                count = bind_live(ends, circuit, alive, vertex_node, state, work.whole)
                for lane in range(LANES):
                    start_lane(lane, count, volts[supply], lanes)
                _solve_points(
                    circuit, parts, count, fits, wanted, strides, lamp_volts, diode_amps, model, models, work,
                    lanes, asked, known, light, tally,
                )  # fmt: skip
                for fit in range(fits.shape[0]):
                    if wanted[circuit, fit]:
                        point = _point(fits, fit, strides)
                        over[supply, circuit, fit] |= known[point] == OVER
                        for lamp in range(lamps):
                            _note(
                                light[point, lamp], bit[state], edges, lit[supply, circuit, fit],
                                stops[supply, circuit, fit], lamp,
                            )  # fmt: skip


@njit(**INNER)
def _solve_points(  # type: ignore[no-untyped-def]
    circuit, parts, count, fits, wanted, strides, lamp_volts, diode_amps, model, models, work, lanes, asked,
    known, light, tally,
):  # fmt: skip
    """Solve every point of a circuit in one state, whose ends are bound, at one supply."""
    lamps, used = model.shape[0], int(0)
    for fit in range(fits.shape[0]):
        point = _point(fits, fit, strides)
        if not wanted[circuit, fit] or known[point] != UNKNOWN:
            continue
        known[point] = WITHIN
        asked[used] = point
        _fit(fits, fit, parts, model, models, work)
        set_lane(used, parts, models, work, lanes)
        used += 1
        if used == LANES:
            _solve(
                used, parts, count, lamps, lamp_volts, diode_amps, models, work, lanes, asked, known, light,
                tally,
            )  # fmt: skip
            used = int(0)
    if used > 0:
        _solve(
            used, parts, count, lamps, lamp_volts, diode_amps, models, work, lanes, asked, known, light, tally
        )


@njit(**INNER)
def _note(light, bit, edges, lit, stops, lamp):  # type: ignore[no-untyped-def]
    """Put one lamp's light in one setting, log2 of relative flux, into its function and its margin."""
    if light >= edges[1]:
        lit[lamp] |= 1 << bit
        margin = light - edges[1]
    elif light <= edges[0]:
        margin = edges[0] - light
    else:
        margin = -1.0
    stops[lamp] = min(stops[lamp], margin)


@njit(**INNER)
def _stride(alive: int, types: int, strides: Ints) -> None:
    """Give every lamp of which a point depends a stride, the others 0."""
    stride = 1
    for lamp in range(strides.shape[0]):
        strides[lamp] = 0
        if (alive >> lamp) & 1:
            strides[lamp] = stride
            stride *= types


@njit(**INNER)
def _point(fits: Ints, fit: int, strides: Ints) -> int:
    """The operating point that a fit has."""
    point = 0
    for lamp in range(strides.shape[0]):
        point += strides[lamp] * fits[fit, lamp]
    return point


@njit(**INNER)
def _fit(fits: Ints, fit: int, parts: int, model: Ints, models: Models, work: Workspace) -> None:
    """Put the lamps of a fit, and the diodes, into the workspace."""
    lamps = model.shape[0]
    for p in range(parts):
        work.whole[KIND + p] = FILAMENT if p < lamps else DIODE
        work.whole[ROW + p] = model[p, fits[fit, p]] if p < lamps else 0
        work.reals[VALUE + p] = 1.0 if p < lamps else 0.0
        work.whole[BASE + p] = base_of(work.whole[KIND + p], work.whole[ROW + p], models.filaments)


@njit(**INNER)
def _solve(  # type: ignore[no-untyped-def]
    used, parts, count, lamps, lamp_volts, diode_amps, models, work, lanes, asked, known, light, tally
):
    """Solve the points in the first lanes: the light of every lamp, and `OVER` at what is over a rating."""
    failed = solve_lanes(used, parts, count, models, work, lanes)
    tally[0] += used
    for lane in range(used):
        point = asked[lane]
        take_lane(lane, parts, count, models, work, lanes)
        if (failed >> lane) & 1:
            tally[1] += 1
            known[point] = OVER
        for p in range(lamps):
            row, drop = work.whole[ROW + p], drop_of(p, work.reals, work.whole)
            light[point, p] = filament_stops(drop, row, models.table, models.stops)
            if abs(drop) > lamp_volts[row]:
                known[point] = OVER
        for p in range(lamps, parts):
            if work.reals[CURRENT + p] > diode_amps:
                known[point] = OVER
