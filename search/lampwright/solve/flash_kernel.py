"""A network of filaments stepped through time, compiled.

At an instant every filament is a resistor R(T), so the network is solved as it stands
(`newton`), and each filament's temperature T then moves by

    dT/dt = (V^2 / R(T) - P(T)) / (m cp(T)).

Stepped by Bogacki and Shampine's embedded pair of orders 3 and 2, whose last slope is
the next step's first; between steps the cubic through both ends and their slopes. The
problem is not stiff: filaments follow at constant volts within some 15 to 100 ms, hot,
and a phase lasts at most a second or so. Where an inrush is faster, the step control
follows it; a phase that would take more than MOST_STEPS is given up, and says so.

State is the rise above cold, so that the tables of `heat_table` need no origin.
Source: Bogacki and Shampine, Appl. Math. Lett. 2 (1989) 321 (MEMORY).
"""

from typing import NamedTuple

import numpy as np
from numba import njit

from lampwright.compiled import ENTRY, INNER
from lampwright.solve.heat_table import LOSS, PACE, SIEMENS, heat_value
from lampwright.solve.laws import Bytes, Floats, Ints
from lampwright.solve.newton import (
    CURRENT,
    LOCAL,
    VALUE,
    Workspace,
    X,
    bind_ends,
    cold_start,
    drop_of,
    solve_bound,
)

KELVIN_ERROR = 0.05
"""Most error let into any temperature by one step [K]."""

MOST_CYCLES = 60
SETTLED_KELVIN = 0.1
"""A cycle that moves no temperature by more than this is like the last [K]."""

MOST_STEPS = 20_000
START, TRIAL, SLOPE = 0, 1, 2  # rows of the scratch: rise, rise tried, four slopes
ROWS = SLOPE + 4
SOLVED, UNSOLVED = 0, 1


class HeatNetwork(NamedTuple):
    """A network whose filaments are resistors that follow their temperature.

    ends: (1, parts, 2). nodes: (states, vertices) as `Boundary.vertex_node`. volts: the supply [V].
    heat: (n, knots, 4) as `heat_tables`. table: of Models. work: a workspace with the parts in it.
    """

    ends: Bytes
    nodes: Bytes
    volts: float
    heat: Floats
    table: Floats
    work: Workspace


@njit(**INNER)
def load_conductances(heat: Floats, rise: Floats, reals: Floats) -> None:
    """Make the first n parts resistors at their temperatures; rise [K] (n,), heat as `heat_tables`."""
    for f in range(rise.shape[0]):
        reals[VALUE + f] = heat_value(heat, f, SIEMENS, rise[f])


@njit(**INNER)
def _slopes(
    parts: int, nodes: int, volts: float, heat: Floats, table: Floats,
    rise: Floats, slope: Floats, reals: Floats, whole: Ints,
) -> bool:  # fmt: skip
    """Solve the network at these temperatures and put dT/dt [K/s] into slope; whether it was solved."""
    load_conductances(heat, rise, reals)
    steps, _ = solve_bound(parts, nodes, volts, table, reals, whole)
    for f in range(rise.shape[0]):
        drop = drop_of(f, reals, whole)
        gained = drop * drop * reals[VALUE + f] - heat_value(heat, f, LOSS, rise[f])
        slope[f] = gained * heat_value(heat, f, PACE, rise[f])
    return bool(steps >= 0)


@njit(**INNER)
def _try_step(
    parts: int, nodes: int, volts: float, h: float, heat: Floats, table: Floats,
    work: Floats, reals: Floats, whole: Ints,
) -> float:  # fmt: skip
    """One step of h [s] into the trial row and the last slope; its error [K], negative if unsolved."""
    n = work.shape[1]
    at, to, k = work[START], work[TRIAL], work[SLOPE:]
    fine = True
    for f in range(n):
        to[f] = at[f] + 0.5 * h * k[0, f]
    fine = _slopes(parts, nodes, volts, heat, table, to, k[1], reals, whole) and fine
    for f in range(n):
        to[f] = at[f] + 0.75 * h * k[1, f]
    fine = _slopes(parts, nodes, volts, heat, table, to, k[2], reals, whole) and fine
    for f in range(n):
        to[f] = at[f] + h / 9.0 * (2.0 * k[0, f] + 3.0 * k[1, f] + 4.0 * k[2, f])
    fine = _slopes(parts, nodes, volts, heat, table, to, k[3], reals, whole) and fine
    worst = 0.0
    for f in range(n):
        off = h / 72.0 * (-5.0 * k[0, f] + 6.0 * k[1, f] + 8.0 * k[2, f] - 9.0 * k[3, f])
        worst = max(worst, abs(off))
    return worst if fine else -1.0


@njit(**INNER)
def _between(h: float, share: float, work: Floats, out: Floats) -> None:
    """The rise at a share of the step just tried, by the cubic through both ends and slopes."""
    s, r = share, 1.0 - share
    for f in range(work.shape[1]):
        low, high = work[START, f], work[TRIAL, f]
        k0, k1 = work[SLOPE, f], work[SLOPE + 3, f]
        bend = (1.0 - 2.0 * s) * (high - low) + h * ((s - 1.0) * k0 + s * k1)
        out[f] = r * low + s * high + s * (s - 1.0) * bend


@njit(**INNER)
def run_phase(
    parts: int, nodes: int, volts: float, duration: float, heat: Floats, table: Floats,
    work: Floats, reals: Floats, whole: Ints, seconds: Floats, rises: Floats,
) -> int:  # fmt: skip
    """Step a bound network through one phase of duration [s] at a supply of volts [V].

    heat: (n, knots, 4). work: (ROWS, n) scratch, its first row the rise [K] at the start,
    and at the end when done. reals, whole: a Workspace, bound, its first n parts resistors.
    seconds: (samples,) [s], rising, from 0 to duration or none; rises: (samples, n) [K],
    filled. Returns the steps taken, negative if it was given up.
    """
    n = work.shape[1]
    if not _slopes(parts, nodes, volts, heat, table, work[START], work[SLOPE], reals, whole):
        return -1
    fastest = 1e-9
    for f in range(n):
        fastest = max(fastest, abs(work[SLOPE, f]))
    t, h = 0.0, min(duration, 5.0 / fastest)
    sample = 0
    for steps in range(1, MOST_STEPS):
        h = min(h, duration - t)
        error = _try_step(parts, nodes, volts, h, heat, table, work, reals, whole)
        if error < 0.0:
            return -steps
        if error <= KELVIN_ERROR:
            last = t + h >= duration * (1.0 - 1e-12)
            while sample < seconds.shape[0] and (seconds[sample] <= t + h or last):
                _between(h, min((seconds[sample] - t) / h, 1.0), work, rises[sample])
                sample += 1
            for f in range(n):
                work[START, f] = work[TRIAL, f]
                work[SLOPE, f] = work[SLOPE + 3, f]
            if last:
                return steps
            t += h
        h *= min(5.0, max(0.2, 0.9 * (KELVIN_ERROR / max(error, 1e-12)) ** (1.0 / 3.0)))
    return -MOST_STEPS


@njit(**ENTRY)
def read_network(
    network: HeatNetwork, state: int, rises: Floats, amps: Floats, drops: Floats, potentials: Floats
) -> bool:
    """Solve one state of a circuit at each of many sets of temperatures.

    rises: (samples, n) [K]. Fills amps [A] and drops [V], tail to head, (samples, parts),
    and potentials (samples, vertices) [V], NaN where no part touches a vertex. Returns
    whether every point was solved.
    """
    ends, nodes, volts, heat, table, work = network
    reals, whole = work
    parts = ends.shape[1]
    count = bind_ends(ends, int(0), nodes, state, whole)
    cold_start(count, volts, reals)
    fine = True
    for sample in range(rises.shape[0]):
        load_conductances(heat, rises[sample], reals)
        steps, _ = solve_bound(parts, count, volts, table, reals, whole)
        fine = fine and steps >= 0
        for p in range(parts):
            amps[sample, p] = reals[CURRENT + p]
            drops[sample, p] = drop_of(p, reals, whole)
        for vertex in range(nodes.shape[1]):
            at = whole[LOCAL + int(nodes[state, vertex])]
            potentials[sample, vertex] = reals[X + at] if at >= 0 else np.nan
    return fine


@njit(**ENTRY)
def run_cycles(
    network: HeatNetwork, durations: Floats, scratch: Floats, seconds: Floats, rises: Floats
) -> tuple[int, int]:
    """Alternate the two phases until a cycle ends as it began, then once more, sampled.

    network: of two states, closed and open; durations: (2,) [s]; scratch: (ROWS, n), its first row
    the rise [K] at the start. seconds: (2, samples) [s]; rises: (2, samples, n) [K], filled. Returns
    the cycles run, negative if they do not repeat yet, and SOLVED or UNSOLVED.
    """
    ends, nodes, volts, heat, table, work = network
    reals, whole = work
    parts, n = ends.shape[1], scratch.shape[1]
    repeats = False
    for cycle in range(1, MOST_CYCLES + 1):
        before = scratch[START].copy()
        final = repeats or cycle == MOST_CYCLES
        for phase in range(2):
            count = bind_ends(ends, int(0), nodes, phase, whole)
            cold_start(count, volts, reals)
            wanted, out = seconds[phase] if final else seconds[phase, :0], rises[phase]
            # the inner loops get few flat arrays
            steps = run_phase(
                parts, count, volts, durations[phase], heat, table, scratch, reals, whole, wanted, out
            )
            if steps < 0:
                return cycle, UNSOLVED
        moved = 0.0
        for f in range(n):
            moved = max(moved, abs(scratch[START, f] - before[f]))
        if final:
            return (cycle if moved <= SETTLED_KELVIN else -cycle), SOLVED
        repeats = moved <= SETTLED_KELVIN
    return -MOST_CYCLES, SOLVED
