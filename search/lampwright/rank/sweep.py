"""Light against the supply: one fitted circuit, its parts nominal, in every state at many supplies.

The judge asks whether a lamp keeps its band at three supplies; this shows how near it comes
in between and beyond, as the curve of every filament. No source: the judge's own solver.
"""

from functools import lru_cache

import numpy as np

from lampwright.network.embed import Embedding
from lampwright.parts.diode import DiodeType
from lampwright.parts.filament import Filament
from lampwright.rank.every_state import new_points, settle
from lampwright.rank.fitting import fit_choice
from lampwright.rank.judge import Judge, ShortedError
from lampwright.rank.study import Choice, Study, fit_one
from lampwright.solve.laws import Floats, Models
from lampwright.solve.newton import new_workspace
from lampwright.solve.shelf import tabulate

BELOW, ABOVE = 0.75, 1.1
"""How far a sweep goes, as shares of the low and of the high supply."""


class UnsolvedError(Exception):
    """An operating point of a sweep has no solution."""


@lru_cache(maxsize=8)
def _tables(filaments: tuple[Filament, ...], diodes: tuple[DiodeType, ...], volts: float) -> Models:
    return tabulate(list(filaments), list(diodes), volts)


def supplies_of(study: Study) -> tuple[float, ...]:
    """Supplies [V], rising: the spec's three, four below, two between each two, two above; to the millivolt.

    Of a spec whose supplies are equal there are fewer.
    """
    low, normal, high = (float(volts) for volts in study.volts)
    every = [
        *np.linspace(BELOW * low, low, 5),
        *np.linspace(low, normal, 4),
        *np.linspace(normal, high, 4),
        *np.linspace(high, ABOVE * high, 3),
    ]
    return tuple(sorted({round(float(volts), 3) for volts in every}))


def sweep_flux(judge: Judge, embedding: Embedding, choice: Choice, supplies: tuple[float, ...]) -> Floats:
    """Flux relative to rated [1]: (states, filaments, supplies).

    Raises ShortedError where supply meets ground, UnsolvedError where a point has no solution.
    """
    study = judge.study
    boundary = judge.boundary(embedding.partition, embedding.joints)
    if boundary is None:
        raise ShortedError
    # the shelf's own tables end at the high supply
    models = _tables(study.shelf.filaments, study.shelf.diode_types, max(supplies))
    fit = fit_one(study, choice, embedding.diodes, embedding.resistors)
    work = new_workspace()
    fit_choice(0, fit, models, work)
    states, vertices = boundary.vertex_node.shape
    filaments = len(study.layout.filaments)
    flux = np.zeros((states, filaments, len(supplies)))
    for at, volts in enumerate(supplies):
        points = new_points(states, len(embedding.ends), vertices)
        if settle(embedding.ends[None], boundary.vertex_node, volts, models, work, points):
            raise UnsolvedError
        flux[:, :, at] = np.exp2(points.stops[:, :filaments])
    return flux
