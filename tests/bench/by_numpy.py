"""Operating points by a batched Newton method in numpy: all circuits of one size at once.

Damped as any such solver would be: the step is clipped to the box between ground and
supply, and shortened where the gradient along it says that it overshot. Circuits that have
converged leave the batch.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from tests.bench.circuits import VOLTS, Circuits, Floats, Ints
from tests.bench.numpy_laws import NumpyLaws

from lampwright.solve.newton import LEAK, RESIDUAL

AT_ONCE = 4000
"""Circuits in a batch: their arrays stay in the processor's cache."""

MOST_STEPS = 200
MOST_CUTS = 30


@dataclass
class _Active:
    """Circuits still at work: where they belong, their parts, incidence (n, p, k), potentials (n, k)."""

    place: Ints
    kind: Ints
    row: Ints
    value: Floats
    applied: Floats
    inner: Floats
    x: Floats

    def only(self, which: NDArray[np.bool_] | Ints) -> "_Active":
        """Some of them."""
        return _Active(*(getattr(self, name)[which] for name in self.__dataclass_fields__))


class ByNumpy:
    """Solves with these laws."""

    def __init__(self, laws: NumpyLaws) -> None:
        self.laws = laws

    def points(self, circuits: Circuits) -> Floats:
        """The currents (n, p) [A]; not numbers where not converged."""
        amps = np.full(circuits.kind.shape, np.nan)
        for start in range(0, len(amps), AT_ONCE):
            self._solve(_begin(circuits, np.arange(start, min(start + AT_ONCE, len(amps)))), amps)
        return amps

    def _solve(self, active: _Active, out: Floats) -> None:
        amps, siemens = self._laws(active, active.x)
        for step in range(MOST_STEPS):
            gradient = _gradient(active, amps, active.x)
            done = np.abs(gradient).max(axis=1) < RESIDUAL
            if step and done.any():
                out[active.place[done]] = amps[done]
                left = ~done
                if not left.any():
                    return
                active, gradient = active.only(left), gradient[left]
                siemens = siemens[left]
            inner = active.inner
            matrix = np.matmul(inner.transpose(0, 2, 1) * siemens[:, None, :], inner)
            matrix += LEAK * np.eye(inner.shape[2])
            wish = active.x - np.linalg.solve(matrix, gradient[..., None])[..., 0]
            amps, siemens = self._advance(active, gradient, np.clip(wish, 0.0, VOLTS) - active.x, matrix)

    def _advance(
        self, active: _Active, gradient: Floats, move: Floats, matrix: Floats
    ) -> tuple[Floats, Floats]:
        """Move the potentials, shortened where needed; the currents and conductances there."""
        before = (gradient * move).sum(axis=1)
        uphill = before >= 0.0
        if uphill.any():
            alone = gradient[uphill] / np.diagonal(matrix[uphill], axis1=1, axis2=2)
            x = active.x[uphill]
            move[uphill] = np.clip(x - alone, 0.0, VOLTS) - x
            before = (gradient * move).sum(axis=1)
        share = np.ones(len(move))
        amps, siemens = self._laws(active, active.x + move)
        at, some, i = np.arange(len(move)), active, amps
        for _ in range(MOST_CUTS):
            here = _gradient(some, i, some.x + share[at, None] * move[at])
            after = (here * move[at]).sum(axis=1)
            over = (after > -0.25 * before[at]) & (np.abs(here).max(axis=1) >= RESIDUAL)
            if not over.any():
                break
            at, some, after = at[over], some.only(over), after[over]
            share[at] *= np.clip(before[at] / (before[at] - after), 0.1, 0.7)
            i, g = self._laws(some, some.x + share[at, None] * move[at])
            amps[at], siemens[at] = i, g
        active.x += share[:, None] * move
        return amps, siemens

    def _laws(self, active: _Active, x: Floats) -> tuple[Floats, Floats]:
        drop = active.applied + np.matmul(active.inner, x[..., None])[..., 0]
        return self.laws.of(active.kind, active.row, active.value, drop)


def _gradient(active: _Active, amps: Floats, x: Floats) -> Floats:
    gradient: Floats = np.matmul(amps[:, None, :], active.inner)[:, 0, :] + LEAK * x
    return gradient


def _begin(circuits: Circuits, place: Ints) -> _Active:
    nodes = circuits.node_of[0, circuits.ends[place]]
    count, parts = nodes.shape[:2]
    incidence = np.zeros((count, parts, circuits.unknown + 2))
    n, p = np.arange(count)[:, None], np.arange(parts)[None, :]
    incidence[n, p, nodes[..., 0]] += 1.0
    incidence[n, p, nodes[..., 1]] -= 1.0
    inner = np.ascontiguousarray(incidence[:, :, 2:])
    start = np.full((count, circuits.unknown), VOLTS / 2)
    fitted = circuits.kind[place], circuits.row[place], circuits.value[place]
    return _Active(place, *fitted, incidence[:, :, 1] * VOLTS, inner, start)
