"""A rectifier diode, and an LED substitute for a lamp: Shockley's law with series resistance, in closed form.

What current does a diode take at V volts across it? I solves
    V = n V_T ln(1 + I / Is) + I Rs,
whose answer is explicit in Lambert's W:
    I = (n V_T / Rs) W((Is Rs / n V_T) exp((V + Is Rs) / n V_T)) - Is.
W of an exponential is Wright's omega of the exponent, which cannot overflow.

Worked case: a 1N4007 at 27 C takes 1 A at 0.912 V.

Assumes steady state at the card's temperature, no reverse breakdown (the reverse rating
is a limit, not a law), no charge storage.

What does a builder get who plugs an LED into the holder of a filament lamp? Something
polarised: forward it takes nothing below a threshold of about two thirds of the marked
volts, and above it a current that the resistor sets; backward it blocks. It is a string of m
junctions and a dropping resistor, one Shockley diode whose emission is that of all its junctions
together, m n, with Is such that the junctions alone drop the threshold at the current of rated
watts, and Rs such that the whole takes rated watts at the test voltage: 6.75, 13.5 or 28 V.

Worked case: 12 V, 2 W: 148 mA at 13.5 V, 8 V across three junctions and 5.5 V across 37 ohms.

Assumes of the substitute: no electronics (some regulate, some take either polarity, some carry
a resistor in parallel to please a flasher's lamp check); every cap alike, a filament of
two like a whole lamp; light in proportion to current. A model to warn by, low confidence.

Source: Shockley 1949; closed form as in Banwell and Jayakumar, Electron. Lett. 36
(2000) 291 (MEMORY); cards S54, limits S51 and S52. Substitutes: S88 for the watts; threshold,
junctions and the rest common practice (`constants.csv`).
"""

from dataclasses import dataclass
from math import exp, log1p

import numpy as np
from numpy.typing import ArrayLike

from lampwright.parts.nature import BOLTZMANN, ELEMENTARY_CHARGE
from lampwright.parts.tables import Floats, constant

TEST_VOLTS: dict[float, float] = {6: 6.75, 12: 13.5, 24: 28.0}  # [V], as UN R37 tests lamps


@dataclass(frozen=True)
class DiodeType:
    """A diode of the catalogue: its card at 27 C and its limits.

    saturation_amps Is [A], emission n [1], series_ohms Rs [Ω]: the typical diode.
    max_amps [A]: average forward current; reverse_volts [V]: repetitive peak.
    forward_volts_max [V] at at_amps [A]: the data sheet's greatest drop.
    """

    name: str
    saturation_amps: float
    emission: float
    series_ohms: float
    max_amps: float
    reverse_volts: float
    forward_volts_max: float
    at_amps: float
    source: str
    confidence: str

    @property
    def spread(self) -> float:
        """Factor [1] on Is for the corners of tolerance: Is / spread and Is times spread.

        exp((V_max - V_card(at_amps)) / (n V_T)): divided by it, the diode drops just the
        data sheet's maximum at at_amps. The other side is taken as wide, for want of a
        published minimum.
        """
        drop = diode_volts(self, self.at_amps)
        return exp((self.forward_volts_max - drop) / (self.emission * thermal_volts()))


def thermal_volts() -> float:
    """V_T = k T / q [V] at the temperature of the cards, 300.15 K; a scalar."""
    return BOLTZMANN * constant("diode_kelvin") / ELEMENTARY_CHARGE


def diode_volts(diode: DiodeType, amps: float) -> float:
    """Drop V = n V_T ln(1 + I / Is) + I Rs [V] at amps I [A], above -Is; scalars."""
    log_term = log1p(amps / diode.saturation_amps)
    return diode.emission * thermal_volts() * log_term + amps * diode.series_ohms


def _arrays(*given: ArrayLike) -> tuple[Floats, ...]:
    return tuple(np.asarray(each, dtype=np.float64) for each in given)


def diode_amps(
    volts: ArrayLike,
    saturation_amps: ArrayLike,
    emission: ArrayLike,
    series_ohms: ArrayLike,
    thermal_volts: ArrayLike,
) -> Floats:
    """Current of a Shockley diode with series resistance.

    volts: V [V]; saturation_amps: Is [A]; emission: n [1]; series_ohms: Rs [Ω], above 0;
    thermal_volts: V_T [V]; any shapes, broadcast. Returns I [A], above -Is.
    Any volts: forward it nears (V - drop) / Rs, backward -Is.
    """
    # a quarter of a second to import, and a search solves by tables
    from scipy.special import wrightomega

    V, Is, n, Rs, VT = _arrays(volts, saturation_amps, emission, series_ohms, thermal_volts)
    scale, drop = n * VT, Is * Rs
    omega = wrightomega((V + drop) / scale + np.log(drop / scale))
    return np.asarray(scale / Rs * omega - Is, dtype=np.float64)


def diode_siemens(
    volts: ArrayLike,
    saturation_amps: ArrayLike,
    emission: ArrayLike,
    series_ohms: ArrayLike,
    thermal_volts: ArrayLike,
) -> Floats:
    """Derivative dI/dV = (I + Is) / (n V_T + Rs (I + Is)) of `diode_amps`.

    Arguments as there: [V], [A], [1], [Ω], [V], any shapes, broadcast. Returns [S].
    """
    _, Is, n, Rs, VT = _arrays(volts, saturation_amps, emission, series_ohms, thermal_volts)
    carried = Is + diode_amps(volts, saturation_amps, emission, series_ohms, thermal_volts)
    return np.asarray(carried / (n * VT + Rs * carried))


def led_watts(system: float) -> float:
    """Watts of a substitute at its test voltage [W]; system: 6, 12 or 24 [V], a scalar."""
    return constant("led_watts_24" if system == 24 else "led_watts")


def led_type(system: float) -> DiodeType:
    """The substitute for a lamp of a 6, 12 or 24 V system, as a diode; anode first.

    max_amps [A] is its current at the test voltage, at which it is fully lit; its other
    limits are not stated and stand as infinite.

    >>> led = led_type(12)
    >>> f"{led.max_amps:.3f} A, {led.series_ohms:.0f} ohms"
    '0.148 A, 37 ohms'
    """
    volts = TEST_VOLTS[system]
    amps = led_watts(system) / volts
    threshold = constant("led_threshold_share") * system
    junctions = max(1, round(threshold / constant("led_junction_volts")))
    emission = junctions * constant("led_emission")
    return DiodeType(
        name="LED substitute",
        saturation_amps=amps * exp(-threshold / (emission * thermal_volts())),
        emission=emission,
        series_ohms=(volts - threshold) / amps,
        max_amps=amps,
        reverse_volts=float("inf"),
        forward_volts_max=volts,
        at_amps=amps,
        source="S88; common practice",
        confidence="low",
    )
