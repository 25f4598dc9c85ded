"""An LED substitute for a filament lamp: a string of junctions and a dropping resistor.

What does a builder get who plugs an LED into the holder of a filament lamp? Something
polarised: forward it takes nothing below a threshold of about two thirds of the marked
volts, and above it a current that the resistor sets; backward it blocks. The string is
one Shockley diode whose emission is that of all its junctions together,
    V = m n V_T ln(1 + I / Is) + I Rs,
with Is such that the junctions alone drop the threshold at the current of rated watts,
and Rs such that the whole takes rated watts at the test voltage: 6.75, 13.5 or 28 V.

Worked case: 12 V, 2 W: 148 mA at 13.5 V, 8 V across three junctions and 5.5 V across 37 ohms.

Assumes: no electronics (some substitutes regulate, some take either polarity, some carry
a resistor in parallel to please a flasher's lamp check); every cap alike, a filament of
two like a whole lamp; light in proportion to current. A model to warn by, low confidence.

Source: S88 for the watts; threshold, junctions and the rest common practice (`constants.csv`).
"""

from math import exp

from lampwright.parts.diode import DiodeType, thermal_volts
from lampwright.parts.tables import constant

TEST_VOLTS = {6: 6.75, 12: 13.5, 24: 28.0}  # [V], as UN R37 tests lamps


def led_watts(system: int) -> float:
    """Watts of a substitute at its test voltage [W]; system: 6, 12 or 24 [V], a scalar."""
    return constant("led_watts_24" if system == 24 else "led_watts")


def led_type(system: int) -> DiodeType:
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
