"""The figure of the page on filaments: measured points on calculated curves, as SVG.

From the points, and by the lamps, of `tests/published/test_measured_curves.py`.
"""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from scipy.optimize import minimize_scalar
from tests.published.test_measured_curves import amps_with_leads, curve, measured_lamp, small_bulb

from lampwright.parts.conduction import conducted_share
from lampwright.parts.filament import Filament

LAMPS = {"37 W": "#8a4b00", "20 W": "#0b5566", "8 W": "#7a1f5c", "2.5 V": "#33691e"}
WIDE, HIGH = 640, 400
LEFT, RIGHT, TOP, FOOT = 56, 600, 20, 350
LEAST, MOST, AMPS = 0.05, 14.0, 3.5


def figure() -> str:
    """Write the whole figure."""
    return "\n".join(
        [
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE} {HIGH}" width="{WIDE}"'
            f' height="{HIGH}" font-family="Liberation Sans, Arial, sans-serif" font-size="13"'
            ' fill="#22262b">',
            "<title>Amps against volts: points measured, lines calculated</title>",
            f'<rect width="{WIDE}" height="{HIGH}" fill="#fffefa"/>',
            *_grid(),
            *(line for name, ink in LAMPS.items() for line in _lamp(name, ink)),
            f'<text x="{(LEFT + RIGHT) / 2}" y="{HIGH - 10}" text-anchor="middle">volts at the meter</text>',
            f'<text x="16" y="{(TOP + FOOT) / 2}" text-anchor="middle" transform="rotate(-90 16 '
            f'{(TOP + FOOT) / 2})">amps</text>',
            "</svg>\n",
        ]
    )


def across(volts: float) -> float:
    return LEFT + (RIGHT - LEFT) * float(np.log(volts / LEAST) / np.log(MOST / LEAST))


def up(amps: float) -> float:
    return FOOT - (FOOT - TOP) * amps / AMPS


def lamp_of(name: str) -> Filament:
    """The lamp; the small bulb with the watts, within 10 %, that fit best."""
    if name != "2.5 V":
        return measured_lamp(name)
    volts, amps = curve(name)
    one = small_bulb("gas", conducted_share("gas", 2.5), 2600.0)

    def scaled(scale: float) -> Filament:
        return replace(one, watts=scale * one.watts)

    def off(scale: float) -> float:
        return float(np.abs(amps_with_leads(scaled(scale), volts) / amps - 1.0).max())

    return scaled(float(minimize_scalar(off, bounds=(0.9, 1.1), method="bounded").x))


def _grid() -> Iterator[str]:
    for volts in (0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10):
        x = across(volts)
        yield f'<path d="M{x:.1f} {TOP}V{FOOT}" stroke="#ddd7c8"/>'
        yield f'<text x="{x:.1f}" y="{FOOT + 18}" text-anchor="middle">{volts:g}</text>'
    for amps in range(4):
        y = up(amps)
        yield f'<path d="M{LEFT} {y:.1f}H{RIGHT}" stroke="#ddd7c8"/>'
        yield f'<text x="{LEFT - 8}" y="{y + 4:.1f}" text-anchor="end">{amps}</text>'


def _lamp(name: str, ink: str) -> Iterator[str]:
    volts, amps = curve(name)
    grid = np.geomspace(volts[0], volts[-1], 60)
    ours = amps_with_leads(lamp_of(name), grid)
    path = " ".join(f"{across(v):.1f},{up(a):.1f}" for v, a in zip(grid, ours, strict=True))
    yield f'<polyline points="{path}" fill="none" stroke="{ink}" stroke-width="2"/>'
    for v, a in zip(volts, amps, strict=True):
        yield f'<circle cx="{across(v):.1f}" cy="{up(a):.1f}" r="3.2" fill="#fffefa" stroke="{ink}"/>'
    x, y = across(float(volts[-1])), up(float(amps[-1]))
    place = f'x="{x - 4:.1f}" y="{y - 10:.1f}" text-anchor="end"'
    yield f'<text {place} fill="{ink}" font-weight="bold">{name}</text>'
