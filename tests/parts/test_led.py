"""An LED substitute against Kirchhoff's law round its string, solved by scipy."""

import numpy as np
import pytest
from scipy.optimize import brentq

from lampwright.parts.diode import diode_amps, led_type, thermal_volts


@pytest.mark.parametrize("system", [6, 12, 24])
@pytest.mark.parametrize("share", [0.6, 0.9, 1.2])
def test_led_by_its_equations(system: int, share: float) -> None:
    # v = m n VT ln(1 + I/Is) + I Rs; current to 1e-9 of itself, or of a milliampere
    led, volts = led_type(system), share * system

    def left_over(amps: float) -> float:
        drop = led.emission * thermal_volts() * np.log1p(amps / led.saturation_amps)
        return float(drop + amps * led.series_ohms - volts)

    wanted = brentq(left_over, 0.0, 5.0, xtol=1e-16)
    got = float(diode_amps(volts, led.saturation_amps, led.emission, led.series_ohms, thermal_volts()))
    assert abs(got - wanted) < 1e-9 * max(wanted, 1e-3)
    assert (got > 0.1 * led.max_amps) == (share > 0.75), "on above the threshold, two thirds of the system"


@pytest.mark.parametrize("system", [6, 12, 24])
def test_led_blocks_backward(system: int) -> None:
    led = led_type(system)
    back = diode_amps(-1.2 * system, led.saturation_amps, led.emission, led.series_ohms, thermal_volts())
    assert -1e-9 < float(back) <= 0.0
