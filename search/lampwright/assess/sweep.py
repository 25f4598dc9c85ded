"""Light against the supply: one fitted circuit, its parts nominal, in every state at many supplies.

The judge asks whether a lamp keeps its band at three supplies; this shows how near it comes
in between and beyond, as the curve of every filament. No source: the judge's own solver.
"""

from functools import lru_cache

import numpy as np

from lampwright.judge.every_state import new_points, settle
from lampwright.judge.fitting import fit_choice
from lampwright.judge.judge import Judge, ShortedError
from lampwright.network.netlist import Netlist
from lampwright.parts.diode import DiodeType
from lampwright.parts.filament import Filament
from lampwright.problem.problem import Choice, Problem, fit_one
from lampwright.solve.laws import Floats, Models
from lampwright.solve.newton import new_workspace
from lampwright.solve.part_options import tabulate

BELOW, ABOVE = 0.75, 1.1
"""How far a sweep goes, as shares of the low and of the high supply."""


class UnsolvedError(Exception):
    """An operating point of a sweep has no solution."""


@lru_cache(maxsize=8)
def _tables(filaments: tuple[Filament, ...], diodes: tuple[DiodeType, ...], volts: float) -> Models:
    return tabulate(list(filaments), list(diodes), volts)


def supplies_of(problem: Problem) -> tuple[float, ...]:
    """Supplies [V], rising: the spec's three, four below, two between each two, two above; to the millivolt.

    Of a spec whose supplies are equal there are fewer.
    """
    low, normal, high = (float(volts) for volts in problem.volts)
    every = [
        *np.linspace(BELOW * low, low, 5),
        *np.linspace(low, normal, 4),
        *np.linspace(normal, high, 4),
        *np.linspace(high, ABOVE * high, 3),
    ]
    return tuple(sorted({round(float(volts), 3) for volts in every}))


def sweep_flux(judge: Judge, netlist: Netlist, choice: Choice, supplies: tuple[float, ...]) -> Floats:
    """Flux relative to rated [1]: (states, filaments, supplies).

    Raises ShortedError where supply meets ground, UnsolvedError where a point has no solution.
    """
    problem = judge.problem
    boundary = judge.boundary(netlist.partition, netlist.joints)
    if boundary is None:
        raise ShortedError
    # the part_options's own tables end at the high supply
    models = _tables(problem.part_options.filaments, problem.part_options.diode_types, max(supplies))
    fit = fit_one(problem, choice, netlist.diodes, netlist.resistors)
    work = new_workspace()
    fit_choice(0, fit, models, work)
    states, vertices = boundary.vertex_node.shape
    filaments = len(problem.layout.filaments)
    flux = np.zeros((states, filaments, len(supplies)))
    for at, volts in enumerate(supplies):
        points = new_points(states, len(netlist.ends), vertices)
        if settle(netlist.ends[None], boundary.vertex_node, volts, models, work, points):
            raise UnsolvedError
        flux[:, :, at] = np.exp2(points.stops[:, :filaments])
    return flux
