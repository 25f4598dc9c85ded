"""A lamp from its measured volts and amps: which filament of the model fits them, and how surely.

A lamp that stands in no table is measured on the bench. What of the model do its points decide?
The filament is the model's own (`filament`): watts P and temperature T at some rated volts, and the
share s of P that is conducted; in series with it leads of R ohm, and beside it the voltmeter. These
four, and the scale errors a and b of the two meters, are the least of

    sum ((I_i (1 + b) / I(V_i (1 + a)) - 1) / e)^2  +  sum ((x - x_0) / u_x)^2

over the points and over what is known beforehand, x_0 ± u_x: leads and meters by the user, T and s by
what lamps commonly have, so loosely that points which tell of them win. e, the scatter of a point, is
what the points themselves show about the curve. Uncertainties are one standard deviation, from the
inverse of J^T J at the least: they have in them the scatter, the leads and the meters, and what the
points leave open of each other.

Gas-filled and vacuum lamps lose heat by two laws; both are fitted, and where the one is half as far
off as the other, the points decide it.

Worked case: the measured lamp of 20 W (LAMPS-2021) comes to 20.1 W at 12 V and a share of 0.19.

Source: least squares, textbook method (common practice); the model as in `filament`.
"""

from dataclasses import dataclass

import numpy as np
from scipy.optimize import least_squares

from lampwright.parts.conduction import Filling, conducted, conducted_share
from lampwright.parts.filament import Filament
from lampwright.parts.tables import Floats, constant
from lampwright.parts.tungsten import cold_kelvin, radiated, resistivity

KNOTS = 3000
HOTTEST = 3690.0
SHARE_SPREAD = 0.1
"""How far s may be from the common share, one standard deviation [1]: our own, some three times as far as
measured lamps are."""
KELVIN_SPREAD = 250.0
"""The same of T [K]: as far as the catalogue's lamps are from their middle."""
LEAST_SCATTER = 5e-4
"""Points are not trusted to be nearer the curve than this, relative: no meter for a bench reads closer."""
FREE = 5
"""Figures that the points are asked for: watts, temperature, share, leads, and a scale."""
ROUNDS = 3
"""The scatter is what the curve of the round before leaves: three rounds, and it moves no more."""
STEPS = (1e-5,) * 6


@dataclass(frozen=True)
class Measuring:
    """How a lamp was measured.

    leads: ohms between the voltmeter's clips and the lamp's own contacts, and leads_off how far they
    may be off [ohm]. volts_off, amps_off: scale errors of the meters [1]. meter: ohms of the voltmeter, where
    its current is among the amps measured; infinite where it is not. Scalars.
    """

    leads: float
    leads_off: float
    volts_off: float
    amps_off: float
    meter: float = np.inf


@dataclass(frozen=True)
class Estimate:
    """A figure and its standard deviation, in one unit."""

    value: float
    off: float


@dataclass(frozen=True)
class FittedFilament:
    """The filament that fits points best in one filling.

    volts: rated [V]. watts [W], kelvin [K], share [1], leads [ohm]: estimates. relative: fitted over
    measured amps less 1, (points,) [1]. scatter: of a point [1].
    """

    filling: Filling
    volts: float
    watts: Estimate
    kelvin: Estimate
    share: Estimate
    leads: Estimate
    relative: Floats
    scatter: float

    @property
    def rms(self) -> float:
        """Root of the mean square of `relative` [1]."""
        return float(np.sqrt(np.mean(self.relative**2)))


def fit_points(
    volts: Floats, amps: Floats, rated: float, filling: Filling, bench: Measuring, kelvin: float | None = None
) -> FittedFilament:
    """The filament of one filling that fits these points best.

    volts [V], amps [A]: as measured, (points,), above 0. rated: volts at which watts are asked for [V].
    kelvin: T [K] where it is known, or is to be as in other lamps; None lets the points say.
    """
    grid = np.geomspace(cold_kelvin() + 1e-3, HOTTEST, KNOTS)
    usual = constant(f"usual_kelvin_{filling}") if kelvin is None else kelvin
    spread = KELVIN_SPREAD if kelvin is None else 1.0
    first = float(np.interp(rated, volts, amps, right=amps[-1] * (rated / volts[-1]) ** 0.55)) * rated
    known = np.array([usual, conducted_share(filling, rated), bench.leads, 0.0, 0.0])
    off = np.array([spread, SHARE_SPREAD, bench.leads_off, bench.volts_off, bench.amps_off])
    off = np.maximum(off, 1e-9)
    # laws of the temperature alone, looked up once and not at every step
    ohms, radiating, conducting = resistivity(grid), radiated(grid), conducted(grid, filling)

    def relative(x: Floats) -> Floats:
        own = known + x[1:] * off
        one = _filament(rated, first * float(np.exp(x[0])), float(own[0]), float(own[1]), filling)
        hot = one.ohms_factor * ohms
        lamp = np.sqrt((one.radiated_factor * radiating + one.conducted_factor * conducting) / hot)
        across = lamp * (hot + own[2])
        read = np.interp(volts * (1.0 + own[3]), across, lamp + across / bench.meter) / (1.0 + own[4])
        return np.asarray(read / amps - 1.0)

    def least(x: Floats, scatter: float) -> Floats:
        return np.concatenate([relative(x) / scatter, x[1:]])

    low, high = (_bounds(edge, known, off) for edge in (0, 1))
    scatter, x, jacobian = 1e-2, np.zeros(6), np.eye(6)
    for _ in range(ROUNDS):
        found = least_squares(least, x, bounds=(low, high), diff_step=STEPS, args=(scatter,))
        x, jacobian, apart = found.x, np.asarray(found.jac), relative(found.x)
        scatter = max(LEAST_SCATTER, float(np.sqrt(np.sum(apart**2) / max(1, len(volts) - FREE))))
    spread_of = np.sqrt(np.diag(np.linalg.inv(jacobian.T @ jacobian)))
    watts = first * float(np.exp(x[0]))
    values, offs = known + x[1:] * off, spread_of[1:] * off
    return FittedFilament(
        filling=filling,
        volts=rated,
        watts=Estimate(watts, watts * float(spread_of[0])),
        kelvin=Estimate(float(values[0]), float(offs[0])),
        share=Estimate(float(values[1]), float(offs[1])),
        leads=Estimate(float(values[2]), float(offs[2])),
        relative=apart,
        scatter=scatter,
    )


def _bounds(edge: int, known: Floats, off: Floats) -> Floats:
    """Where figures must stay, in deviations: T from 1500 to 3400 K, s from 0 to 0.7, leads from 0."""
    kelvin, share = ((1500.0, 3400.0)[edge] - known[0]) / off[0], ((0.0, 0.7)[edge] - known[1]) / off[1]
    leads = (-known[2] / off[2] - 1e-9, 1e3)[edge]
    far = (-10.0, 10.0)[edge]
    return np.array([(-2.0, 2.0)[edge], kelvin, share, leads, far, far])


def _filament(volts: float, watts: float, kelvin: float, share: float, filling: Filling) -> Filament:
    return Filament(
        place="single",
        test_volts=volts,
        watts=watts,
        lumens=1.0,
        rated_kelvin=kelvin,
        filling=filling,
        conducted_share=share,
        watts_tolerance=0.0,
        flux_tolerance=0.0,
        life_hours=None,
        life_exponent=constant(f"life_exponent_{filling}"),
    )
