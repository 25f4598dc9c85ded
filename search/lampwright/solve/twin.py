"""The operating point of one circuit, found the plain way.

What does every node sit at, and what does every part take? This is the compiled
solver's twin, there to be compared with it: it shares the parts with `laws` and
`newton`, and nothing else. A filament is read between closely spaced temperatures of
its heat balance, V(T) and I(T); a diode is `parts.diode.diode_amps`; a resistor is
ohmic; and Kirchhoff's current law, with 1 nS from every unknown node to ground, is
brought to zero by scipy. Where the usual start does not lead there, the leak begins at
1 S and is lowered by steps, each answer the start of the next. Since parts only ever
take more at more volts, no part's current is further from the truth than the currents
left over at all nodes together.

Worked case: two resistors of 10 ohms in series across 12 V part it in halves.

Nodes are numbered: 0 is ground, 1 the supply, 2 and up are unknown.
Source: Levenberg-Marquardt as in MINPACK (scipy); stepping the leak is common practice.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import root

from lampwright.parts.diode import DiodeType, diode_amps, diode_siemens, thermal_volts
from lampwright.parts.filament import Filament, amps_at, volts_at
from lampwright.parts.tungsten import cold_kelvin

Floats = NDArray[np.float64]

LEAK = 1e-9  # [S]
LEAKS = (LEAK, *np.geomspace(1.0, LEAK, 37))  # [S] tried in turn, until a point converges
RESIDUAL = 2e-8  # [A] most current left over at a node of a converged point
HOTTEST, KNOTS = 5000.0, 20_000  # [K]: a filament is tabulated from cold to here


@dataclass(frozen=True)
class TwinPart:
    """One part between nodes; its current counts from tail to head.

    model: a filament, a diode (anode at the tail), or a resistor's ohms. factor [1]:
    multiplies a filament's current, a diode's saturation current, a resistor's siemens.
    """

    tail: int
    head: int
    model: Filament | DiodeType | float
    factor: float = 1.0


@dataclass(frozen=True)
class TwinPoint:
    """One operating point.

    potentials: (nodes,) [V], ground and supply with them. amps: (parts,) [A].
    residual: the largest current left over at an unknown node [A]; converged: whether
    it is below 20 nA; amps are then right to 20 nA times the number of unknown nodes.
    """

    potentials: Floats
    amps: Floats
    residual: float
    converged: bool


@dataclass(frozen=True)
class _Curve:
    volts: Floats
    amps: Floats
    siemens: Floats


@lru_cache(maxsize=256)
def _curve(filament: Filament) -> _Curve:
    # the rise above cold grows as the square of the volts at first
    kelvin = cold_kelvin() + (HOTTEST - cold_kelvin()) * np.linspace(0.0, 1.0, KNOTS) ** 2
    volts, amps = volts_at(filament, kelvin), amps_at(filament, kelvin)
    return _Curve(volts, amps, np.gradient(amps, volts))


class _Circuit:
    """The parts sorted by kind, and the law of each kind over all of its parts at once."""

    def __init__(self, parts: Sequence[TwinPart], nodes: int, volts: float) -> None:
        self.factor = np.array([part.factor for part in parts], np.float64)
        incidence = np.zeros((len(parts), nodes))
        for at, part in enumerate(parts):
            incidence[at, part.tail] += 1.0
            incidence[at, part.head] -= 1.0
        self.incidence, self.applied = incidence[:, 2:], incidence[:, 1] * volts
        self.curves = [(at, _curve(p.model)) for at, p in enumerate(parts) if isinstance(p.model, Filament)]
        diodes = [(at, p.model) for at, p in enumerate(parts) if isinstance(p.model, DiodeType)]
        self.diodes = [at for at, _ in diodes]
        card = np.array([(d.saturation_amps, d.emission, d.series_ohms) for _, d in diodes]).reshape(-1, 3).T
        self.card = (card[0] * self.factor[self.diodes], card[1], card[2], thermal_volts())
        ohms = [(at, p.model) for at, p in enumerate(parts) if isinstance(p.model, float | int)]
        self.resistors = [at for at, _ in ohms]
        self.siemens = self.factor[self.resistors] / np.array([each for _, each in ohms], np.float64)

    def laws(self, unknown: Floats) -> tuple[Floats, Floats]:
        """Current [A] and conductance [S] of every part at the unknown potentials [V]."""
        drop = self.applied + self.incidence @ unknown
        amps, siemens = np.empty_like(drop), np.empty_like(drop)
        for at, curve in self.curves:
            size, factor = abs(drop[at]), self.factor[at]
            amps[at] = factor * np.copysign(np.interp(size, curve.volts, curve.amps), drop[at])
            siemens[at] = factor * np.interp(size, curve.volts, curve.siemens)
        if self.diodes:
            amps[self.diodes] = diode_amps(drop[self.diodes], *self.card)
            siemens[self.diodes] = diode_siemens(drop[self.diodes], *self.card)
        amps[self.resistors] = self.siemens * drop[self.resistors]
        siemens[self.resistors] = self.siemens
        return amps, siemens

    def balance(self, unknown: Floats, leak: float) -> tuple[Floats, Floats]:
        """Current left over at every unknown node [A], and its Jacobian [S]."""
        amps, siemens = self.laws(unknown)
        left_over = self.incidence.T @ amps + leak * unknown
        jacobian = (self.incidence.T * siemens) @ self.incidence + leak * np.eye(len(unknown))
        return left_over, jacobian


def _root(circuit: _Circuit, start: Floats, leak: float) -> Floats:
    found = root(circuit.balance, start, args=(leak,), jac=True, method="lm", tol=1e-15)
    return np.asarray(found.x, np.float64)


def operating_point(parts: Sequence[TwinPart], nodes: int, volts: float) -> TwinPoint:
    """Solve one circuit.

    parts: any number, between nodes 0 .. nodes - 1; nodes: at least 2, ground and supply
    counted; volts: the supply [V], a scalar, up to some four times a filament's test
    voltage. Returns potentials (nodes,) [V], amps (parts,) [A] and how well they balance.

    >>> halves = operating_point([TwinPart(1, 2, 10.0), TwinPart(2, 0, 10.0)], 3, 12.0)
    >>> halves.potentials.round(6).tolist(), halves.converged
    ([0.0, 12.0, 6.0], True)
    """
    circuit = _Circuit(parts, nodes, volts)
    unknown = np.full(nodes - 2, 0.5 * volts)
    residual = 0.0
    for leak in LEAKS if nodes > 2 else ():
        unknown = _root(circuit, unknown, leak)
        residual = float(np.abs(circuit.balance(unknown, LEAK)[0]).max())
        if residual <= RESIDUAL:
            break
    potentials = np.concatenate([[0.0, volts], unknown])
    return TwinPoint(potentials, circuit.laws(unknown)[0], residual, residual <= RESIDUAL)
