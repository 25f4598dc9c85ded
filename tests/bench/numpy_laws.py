"""The parts' laws in vectorised numpy, read from tables: for the solvers we race against.

A filament is a cubic in sqrt(|v|) in each cell of `parts.curve_table`; a diode is one in v
from 0.2 V on, and below that the plain exponential, whose series resistance drops nothing.
Beyond its table each goes straight on, since a solver may look there.
"""

import numpy as np
from scipy.interpolate import CubicHermiteSpline
from tests.bench.circuits import VOLTS, Floats, Ints, diode_models, filament_types

from lampwright.parts.curve_table import CELLS, curve_tables
from lampwright.parts.diode import diode_amps, diode_siemens, thermal_volts
from lampwright.solve.laws import DIODE, FILAMENT

DIODE_FROM = 0.2
PER_VOLT = 1024
TOP = VOLTS * 1.001
"""Where the tables end [V]."""


class NumpyLaws:
    """Tables of cubics: (types, cells, 4), highest power first."""

    def __init__(self) -> None:
        curves = curve_tables(filament_types(), TOP)
        roots = curves.h * np.arange(CELLS + 1, dtype=np.float64)
        self.h = curves.h
        self.filaments = np.stack(
            [_cubics(roots, *each) for each in zip(curves.amps, curves.slope, strict=True)]
        )
        cards = [(d.saturation_amps, d.emission, d.series_ohms, thermal_volts()) for d in diode_models()]
        volts = np.arange(DIODE_FROM, TOP + 1.0 / PER_VOLT, 1.0 / PER_VOLT)
        self.diodes = np.stack(
            [_cubics(volts, diode_amps(volts, *card), diode_siemens(volts, *card)) for card in cards]
        )
        self.saturation, emission, self.ohms, thermal = np.array(cards).T
        self.scale = emission * thermal

    def of(self, kind: Ints, row: Ints, value: Floats, volts: Floats) -> tuple[Floats, Floats]:
        """Current [A] and conductance [S] of every part; any shape, the same for all."""
        amps, siemens = value * volts, value.copy()
        at = kind == FILAMENT
        amps[at], siemens[at] = self._filament(row[at], volts[at])
        at = kind == DIODE
        if at.any():
            amps[at], siemens[at] = self._diode(row[at], volts[at])
        return amps, siemens

    def _filament(self, row: Ints, volts: Floats) -> tuple[Floats, Floats]:
        size = np.abs(volts)
        root = np.sqrt(np.minimum(size, TOP))
        cell = np.minimum((root / self.h).astype(np.int64), CELLS - 1)
        a, b, c, d = self.filaments[row, cell].T
        u = root - self.h * cell
        # at zero volts the cubic is u^2 / R, whose slope over 2 u is 1 / R
        siemens = np.where(root > 1e-6, ((3 * a * u + 2 * b) * u + c) / (2 * np.maximum(root, 1e-6)), b)
        amps = ((a * u + b) * u + c) * u + d + siemens * np.maximum(size - TOP, 0.0)
        return np.copysign(amps, volts), siemens

    def _diode(self, row: Ints, volts: Floats) -> tuple[Floats, Floats]:
        saturation, scale, ohms = self.saturation[row], self.scale[row], self.ohms[row]
        carried = saturation * np.exp(np.minimum(volts, DIODE_FROM) / scale)
        siemens = carried / (scale + carried * ohms)
        amps = (carried - saturation) * (1.0 - siemens * ohms)
        on = np.flatnonzero(volts > DIODE_FROM)
        at = (volts[on] - DIODE_FROM) * PER_VOLT
        cell = np.minimum(at.astype(np.int64), self.diodes.shape[1] - 1)
        a, b, c, d = self.diodes[row[on], cell].T
        beyond = np.maximum(volts[on] - TOP, 0.0)
        v = (at - cell) / PER_VOLT - beyond
        siemens[on] = (3 * a * v + 2 * b) * v + c
        amps[on] = ((a * v + b) * v + c) * v + d + siemens[on] * beyond
        return amps, siemens


def _cubics(knots: Floats, values: Floats, slopes: Floats) -> Floats:
    """The cubics (cells, 4) through values with slopes."""
    return np.ascontiguousarray(CubicHermiteSpline(knots, values, slopes).c.T)
