"""Copper wire, the blade fuse before it, and the numbers of the terminals it joins.

What does a metre of wire of a given area [mm²] drop? The greatest resistance a standard allows
at 20 C, times 1 + 0.00393 per kelvin above; of the two standards (IEC 60228 class 5,
flexible cable, and ISO 6722-1, road-vehicle cable) the greater. No allowance for
contacts: crimps, splices and couplings are taken to be perfect.

What may it carry? Lists differ by two for the same copper. The lesser of a trade's
continuous rating for plain PVC cable and an owners' rule of thumb is taken, and never
more than for any thicker wire; the ratings of thin-wall cable, which rely on 105 C
insulation and one cable by itself, are kept in the data and not used.

Which fuse does a feed want? The next rating of which the continuous load is at most three
quarters: a fuse near its rating ages, and a lamp's inrush of some ten times its current lasts
only milliseconds, which a fuse of that size lets by. That the wire behind it carries the rating
is the choice of the wire.

What does `58L` mean, and which pin carries it? Terminals of a spec may bear any name; where it is
a number of DIN 72552 its meaning is known, and where the trailer couplings of ISO 1724 (7 pins)
and ISO 11446 (13 pins) have a pin for it, so is the pin.

Worked case: 0.75 mm² has at most 26 mΩ/m at 20 C and 30.1 mΩ/m at 60 C. 3.9 A wants at least
5.2 A, which is a brown fuse of 7.5 A. `58L` is the left position and tail lamps, on pin 7.

Source: S21, S22, ISO-6722, IEC-60028; S24, S25, S26; gauges ASTM-B258, S93, S23; fuses ISO-8820-3, S46,
S47, S91 for ratings and colours, S48, S49 for the share; terminals DIN-72552, S72, S73, S74, S75, S92;
couplings S75, S76, S77, S78, S79.
"""

from dataclasses import dataclass
from functools import cache
from math import pi

from lampwright.parts.tables import UnknownPart, constant, read_table

THIN_WALL = "thin-wall"
RESISTANCE_CELSIUS = 20.0
GAUGES = range(36, -1, -2)  # common practice: even gauges are what shops keep


@cache
def wire_sizes() -> tuple[float, ...]:
    """Cross-sections with a resistance and a conservative current [mm²], rising; scalars."""
    with_ohms = {row.number("area_mm2") for row in read_table("wire_ohms.csv").rows}
    with_amps = {area for area, _ in _conservative()}
    return tuple(sorted(with_ohms & with_amps))


def ohms_per_metre(area_mm2: float, celsius: float) -> float:
    """Resistance of a wire [Ω/m], a scalar, at a copper temperature [degrees Celsius].

    R = R20 (1 + a (t - 20)), a of constants.csv. area_mm2: one of wire_sizes() [mm²].
    Raises UnknownPart for no such size. Source: IEC 60228, ISO 6722-1, IEC 60028.

    >>> round(ohms_per_metre(0.75, 20.0), 4), round(ohms_per_metre(0.75, 60.0), 4)
    (0.026, 0.0301)
    """
    printed = [
        row.number("mohm_per_m")
        for row in read_table("wire_ohms.csv").rows
        if row.number("area_mm2") == _known(area_mm2)
    ]
    return max(printed) / 1000.0 * (1.0 + constant("copper_per_kelvin") * (celsius - RESISTANCE_CELSIUS))


def continuous_amps(area_mm2: float) -> float:
    """What a wire may carry for good [A], a scalar: the lesser of the conservative lists.

    area_mm2: one of wire_sizes() [mm²]. Ambient temperature is not stated by the lists.
    Raises UnknownPart for no such size. Source: S25, S26.

    >>> continuous_amps(0.75), continuous_amps(1.0)
    (7.0, 8.75)
    """
    return min(amps for area, amps in _conservative() if area >= _known(area_mm2))


def awg_area_mm2(gauge: int) -> float:
    """Cross-section [mm²], a scalar, of a solid wire of an American gauge (dimensionless).

    d = 0.127 mm 92^((36 - n) / 39). Source: ASTM B258.

    >>> round(awg_area_mm2(18), 3)
    0.823
    """
    exponent = (36 - gauge) / constant("awg_steps")
    diameter = constant("awg_36_mm") * constant("awg_ratio") ** exponent
    return float(pi / 4.0 * diameter**2)


def awg_for(area_mm2: float) -> int:
    """The thinnest even gauge that is no thinner than a cross-section [mm²], a scalar.

    Gauge 0 for anything thicker still. Source: ASTM B258; even gauges common practice.

    >>> [awg_for(area) for area in (0.5, 0.75, 1.0, 1.5, 2.5)]
    [20, 18, 16, 14, 12]
    """
    return next((gauge for gauge in GAUGES if awg_area_mm2(gauge) >= area_mm2), 0)


@cache
def _conservative() -> tuple[tuple[float, float], ...]:
    rows = read_table("wire_amps.csv").rows
    kept = [row for row in rows if not row.text("list").startswith(THIN_WALL)]
    return tuple((row.number("area_mm2"), row.number("amps")) for row in kept)


def _known(area_mm2: float) -> float:
    if area_mm2 not in wire_sizes():
        raise UnknownPart("size of wire", f"{area_mm2:g}", tuple(f"{area:g}" for area in wire_sizes()))
    return area_mm2


@dataclass(frozen=True)
class BladeFuse:
    """A rating [A] and the colour of the body."""

    amps: float
    colour: str


@cache
def blade_fuses() -> tuple[BladeFuse, ...]:
    """All ratings [A], rising, a sequence. Source: ISO 8820-3."""
    rows = read_table("fuses.csv").rows
    return tuple(BladeFuse(row.number("amps"), row.text("colour")) for row in rows)


def fuse_for(load: float) -> BladeFuse | None:
    """The least fuse for a continuous load [A], a scalar; None where no blade fuse is large enough.

    Source: common practice for the share of constants.csv, see S48, S49.

    >>> fuse_for(3.9)
    BladeFuse(amps=7.5, colour='brown')
    """
    share = constant("fuse_load_share")
    return next((fuse for fuse in blade_fuses() if load <= share * fuse.amps), None)


def terminal_meaning(name: str) -> str:
    """What a terminal number means; empty where the name is none; text, no unit.

    >>> terminal_meaning("54"), terminal_meaning("bell")
    ('stop lamps', '')
    """
    rows = read_table("terminals.csv").rows
    return next((row.text("meaning") for row in rows if row.text("terminal") == name), "")


def coupling_pin(name: str) -> int | None:
    """The pin of a trailer coupling that carries a terminal; None where there is none; no unit.

    Pins 1 to 7 are on both couplings, higher ones on that of 13 pins alone.

    >>> coupling_pin("58L"), coupling_pin("49a")
    (7, None)
    """
    rows = read_table("trailer_pins.csv").rows
    return next((int(row.number("pin")) for row in rows if name and row.text("terminal") == name), None)
