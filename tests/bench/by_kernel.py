"""Operating points by the compiled solver, circuit after circuit."""

from numba import njit
from tests.bench.circuits import VOLTS, Circuits, Floats, Ints, diode_models, filament_types

from lampwright.solve.laws import Models, base_of
from lampwright.solve.newton import (
    BASE,
    CURRENT,
    KIND,
    VALUE,
    bind_ends,
    cold_start,
    new_workspace,
    solve_bound,
)
from lampwright.solve.part_options import tabulate


class ByKernel:
    """Scratch and tables, made once."""

    def __init__(self) -> None:
        self.models: Models = tabulate(filament_types(), diode_models(), VOLTS)
        self.work = new_workspace()

    def solve(self, circuits: Circuits, amps: Floats, steps: Ints) -> None:
        """Fill the currents (n, p) [A] and the steps (n,), negative where not converged."""
        _solve_all(
            circuits.ends,
            circuits.node_of,
            circuits.kind,
            circuits.row,
            circuits.value,
            VOLTS,
            self.models.table,
            self.models.filaments,
            self.work.reals,
            self.work.whole,
            amps,
            steps,
        )


@njit(cache=True, nogil=True)
def _solve_all(  # type: ignore[no-untyped-def]
    ends, node_of, kind, row, value, volts, table, filaments, reals, whole, amps, steps
):
    parts = ends.shape[1]
    for circuit in range(ends.shape[0]):
        for p in range(parts):
            whole[KIND + p] = kind[circuit, p]
            whole[BASE + p] = base_of(kind[circuit, p], row[circuit, p], filaments)
            reals[VALUE + p] = value[circuit, p]
        count = bind_ends(ends, circuit, node_of, 0, whole)
        cold_start(count, volts, reals)
        steps[circuit], _ = solve_bound(parts, count, volts, table, reals, whole)
        for p in range(parts):
            amps[circuit, p] = reals[CURRENT + p]
