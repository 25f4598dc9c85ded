"""Operating points by the compiled solver, eight fits of a circuit at a time."""

from numba import njit
from tests.bench.circuits import VOLTS, Circuits, Floats, Ints, diode_models, filament_types

from lampwright.solve.lane_newton import new_lanes, set_lane, solve_lanes, start_lane, take_lane
from lampwright.solve.lanes import LANES
from lampwright.solve.laws import Models
from lampwright.solve.newton import CURRENT, KIND, ROW, VALUE, bind_ends, new_workspace
from lampwright.solve.part_options import tabulate


class ByLanes:
    """Scratch and tables, made once; for circuits that are fitted LANES times each."""

    def __init__(self) -> None:
        self.models: Models = tabulate(filament_types(), diode_models(), VOLTS)
        self.work, self.lanes = new_workspace(), new_lanes()

    def solve(self, circuits: Circuits, amps: Floats, steps: Ints) -> None:
        """Fill the currents (n, p) [A] and steps (n,): 1, negative where not converged."""
        _solve_all(
            circuits.ends,
            circuits.node_of,
            circuits.kind,
            circuits.row,
            circuits.value,
            VOLTS,
            self.models,
            self.work,
            self.lanes,
            amps,
            steps,
        )


@njit(cache=True, nogil=True)
def _solve_all(  # type: ignore[no-untyped-def]
    ends, node_of, kind, row, value, volts, models, work, lanes, amps, steps
):
    parts = ends.shape[1]
    for first in range(0, ends.shape[0], LANES):
        count = bind_ends(ends, first, node_of, 0, work.whole)
        used = min(LANES, ends.shape[0] - first)
        for lane in range(used):
            for p in range(parts):
                work.whole[KIND + p] = kind[first + lane, p]
                work.whole[ROW + p] = row[first + lane, p]
                work.reals[VALUE + p] = value[first + lane, p]
            set_lane(lane, parts, models, work, lanes)
            start_lane(lane, count, volts, lanes)
        failed = solve_lanes(used, parts, count, models, work, lanes)
        for lane in range(used):
            take_lane(lane, parts, count, models, work, lanes)
            steps[first + lane] = -1 if (failed >> lane) & 1 else 1
            for p in range(parts):
                amps[first + lane, p] = work.reals[CURRENT + p]
