"""Operating points by `scipy.optimize.root` with a Jacobian, one circuit at a time."""

import numpy as np
from scipy.optimize import root
from tests.bench.circuits import VOLTS, Circuits, Floats
from tests.bench.numpy_laws import NumpyLaws

from lampwright.solve.newton import LEAK

FAR = 1e4
"""No potential beyond is looked at [V]."""


class ByScipy:
    """Powell's hybrid method of MINPACK; laws and Jacobian are computed together, once a step."""

    def __init__(self, laws: NumpyLaws) -> None:
        self.laws = laws

    def points(self, circuits: Circuits) -> Floats:
        """The currents (n, p) [A]; not numbers where scipy says that it did not converge."""
        return np.array([self._point(circuits, at) for at in range(len(circuits.ends))])

    def _point(self, circuits: Circuits, at: int) -> Floats:
        kind, row, value = circuits.kind[at], circuits.row[at], circuits.value[at]
        nodes = circuits.node_of[0, circuits.ends[at]]
        parts = np.arange(len(kind))
        incidence = np.zeros((len(kind), circuits.unknown + 2))
        incidence[parts, nodes[:, 0]] += 1.0
        incidence[parts, nodes[:, 1]] -= 1.0
        inner, applied = incidence[:, 2:], incidence[:, 1] * VOLTS
        leak = LEAK * np.eye(circuits.unknown)

        def balance(x: Floats) -> tuple[Floats, Floats]:
            # the method may run off where a node floats behind diodes
            x = np.nan_to_num(np.clip(x, -FAR, FAR))
            amps, siemens = self.laws.of(kind, row, value, applied + inner @ x)
            return inner.T @ amps + LEAK * x, (inner.T * siemens) @ inner + leak

        found = root(balance, np.full(circuits.unknown, VOLTS / 2), jac=True, method="hybr", tol=1e-12)
        amps, _ = self.laws.of(kind, row, value, applied + inner @ found.x)
        return amps if found.success else np.full(len(kind), np.nan)
