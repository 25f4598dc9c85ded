"""The laws of parts in vector lanes: a cubic for each cell of voltage, its number read from the volts' bits.

The exponent and the first bits of the mantissa of |V| number a filament's cells, so that neither
a root nor a division is needed; within a cell the current is the cubic through values and
slopes of `laws` at both ends. Below the first cell it is the odd cubic that goes on from there.
A diode's cells are of one width where it turns on, and from 2 V on by the bits of V again;
below all cells it blocks.

Source: cubic Hermite interpolation, textbook method (common practice).
"""

import numpy as np
from numba import njit

from lampwright.compiled import ENTRY, INNER
from lampwright.solve.lanes import (
    Pointer,
    Vector,
    as_reals,
    bits_of,
    choose,
    cut_off,
    four_at,
    from_bits,
    least,
    most,
    signed_as,
    size_of,
)
from lampwright.solve.laws import DIODE, FILAMENT, Floats, base_of, part_law

MANTISSA = 52
ONE = 1023
"""What float64 adds to an exponent."""

LOW, HIGH, BITS = -10, 6, 7
"""Filaments: from 2^LOW to 2^HIGH volts, each octave in 2^BITS cells; a spec has at most 60 V."""
FILAMENT_CELLS = (HIGH - LOW) << BITS
FIRST = ((ONE + LOW) << BITS) - 1
SHIFT = MANTISSA - BITS
SMALLEST = 2.0**LOW

NEAR_FROM, NEAR_PER_VOLT, FAR_FROM = -0.5, 512.0, 2.0
FAR_BITS = 10
"""Diodes: cells of one width from NEAR_FROM to FAR_FROM [V], then up to 2^HIGH by octaves again."""
NEAR_CELLS = int((FAR_FROM - NEAR_FROM) * NEAR_PER_VOLT)
FAR_CELLS = (HIGH - 1) << FAR_BITS
FAR_FIRST = ((ONE + 1) << FAR_BITS) - NEAR_CELLS - 1
FAR_SHIFT = MANTISSA - FAR_BITS

FILAMENT_ROOM = 4 * (FILAMENT_CELLS + 1)
DIODE_ROOM = 4 * (NEAR_CELLS + FAR_CELLS + 1)


@njit(**ENTRY)
def cells_of(kind: int, row: int, filaments: int) -> int:
    """Where in the flat table of cells model `row` of a kind begins; dimensionless [1] scalars."""
    if kind == DIODE:
        return int(filaments * FILAMENT_ROOM + row * DIODE_ROOM)
    return int(row * FILAMENT_ROOM)


@njit(**ENTRY)
def _fill_cells(kind: int, base: int, knots: Floats, table: Floats, out: Floats) -> None:
    """Write the cubics between knots [V], lowest power first, from a whole cell after the start of `out`."""
    i0, g0 = part_law(kind, base, 1.0 * (kind == FILAMENT), knots[0], table)
    for cell in range(len(knots) - 1):
        i1, g1 = part_law(kind, base, 1.0 * (kind == FILAMENT), knots[cell + 1], table)
        wide = knots[cell + 1] - knots[cell]
        chord = (i1 - i0) / wide
        at = 4 * (cell + 1)
        out[at], out[at + 1] = i0, g0
        out[at + 2] = (3.0 * chord - 2.0 * g0 - g1) / wide
        out[at + 3] = (g0 + g1 - 2.0 * chord) / wide**2
        i0, g0 = i1, g1


def octaves(low: int, high: int, bits: int) -> Floats:
    """Volts [V] from 2^low to 2^high, each octave in 2^bits equal steps; shape (cells + 1,)."""
    at = np.arange(((high - low) << bits) + 1)
    return np.ldexp(1.0 + (at % (1 << bits)) / (1 << bits), low + at // (1 << bits))


def cells_from(table: Floats, filaments: int, diodes: int) -> Floats:
    """The flat table of cells of all models, currents [A] as cubics in [V], from that of `laws`; shape (n,).

    Good up to 64 V.
    """
    out = np.zeros(filaments * FILAMENT_ROOM + diodes * DIODE_ROOM)
    knots = octaves(LOW, HIGH, BITS)
    for row in range(filaments):
        own = out[cells_of(FILAMENT, row, filaments) :][:FILAMENT_ROOM]
        _fill_cells(FILAMENT, base_of(FILAMENT, row, filaments), knots, table, own)
        amps, siemens = own[4:6]
        bend = (siemens - amps / SMALLEST) / (2.0 * SMALLEST**2)
        own[1], own[3] = amps / SMALLEST - bend * SMALLEST**2, bend
    near = NEAR_FROM + np.arange(NEAR_CELLS) / NEAR_PER_VOLT
    knots = np.concatenate([near, octaves(1, HIGH, FAR_BITS)])
    for row in range(diodes):
        own = out[cells_of(DIODE, row, filaments) :][:DIODE_ROOM]
        _fill_cells(DIODE, base_of(DIODE, row, filaments), knots, table, own)
        own[0] = own[4]
    return out


@njit(**INNER)
def _cubic(v: Vector, origin: Vector, at: Vector, cells: Pointer) -> tuple[Vector, Vector]:
    """The cubics at `at`, and their slopes, so far beyond the origins of their cells."""
    d = v - origin
    c0, c1, c2, c3 = four_at(cells, at)
    bent = c3 * d
    return ((bent + c2) * d + c1) * d + c0, (3.0 * bent + 2.0 * c2) * d + c1


@njit(**INNER)
def filament_lanes(v: Vector, base: Vector, cells: Pointer) -> tuple[Vector, Vector]:
    """Currents [A] and conductances [S] of eight filaments at v [V]; base: where each model's cells begin."""
    size = size_of(v)
    bits = bits_of(size)
    cell = least(most((bits >> SHIFT) - FIRST, 0), FILAMENT_CELLS)
    origin = choose(size < SMALLEST, 0.0, from_bits((bits >> SHIFT) << SHIFT))
    i, g = _cubic(size, origin, base + (cell << 2), cells)
    return signed_as(i, v), g


@njit(**INNER)
def diode_lanes(v: Vector, base: Vector, cells: Pointer) -> tuple[Vector, Vector]:
    """Currents [A] and conductances [S] of eight diodes at v [V]; base: where each model's cells begin."""
    near = cut_off(most(least((v - NEAR_FROM) * NEAR_PER_VOLT + 1.0, NEAR_CELLS + 1.0), 0.0))
    bits = bits_of(v)
    far = v >= FAR_FROM
    cell = choose(far, least((bits >> FAR_SHIFT) - FAR_FIRST, NEAR_CELLS + FAR_CELLS), near)
    begin = NEAR_FROM + (as_reals(near) - 1.0) * (1.0 / NEAR_PER_VOLT)
    origin = choose(far, from_bits((bits >> FAR_SHIFT) << FAR_SHIFT), begin)
    return _cubic(v, origin, base + (cell << 2), cells)  # type: ignore[no-any-return]
