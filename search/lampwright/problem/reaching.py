"""Words that no type offered for a lamp can reach, whatever the circuit.

A circuit of lamps, wire, resistors and diodes puts no more across a filament than the supply,
and light rises with volts. So if even straight across the low supply a lamp gives less light
than its word asks, no circuit will do. At a higher supply it is better off: what is asked stays
or, for `full`, rises no faster than the light. A word for two phases asks both its steady words.

Worked case: R10W straight across 9.4 V gives 24 % of its rated light or, if its bulb holds no
gas, 27 %: it may yet be lit, 25 %, and the judge finds out. W2.3W gives 24 %, and cannot.
"""

from collections.abc import Iterator
from math import floor

from lampwright.errors import Finding
from lampwright.parts.filament import flux_across
from lampwright.parts.tables import UnknownPart
from lampwright.problem.edges import flux_band
from lampwright.solve.shelf import Shelf, shelf_of
from lampwright.spec.levels import band_of, phase_words
from lampwright.spec.model import AskedBand, Lamp, Spec
from lampwright.spec.wording import FilePlace, shown

ROUNDING = 1e-9
"""Share of the asked light that is not missed, but lost in the digits."""


def reach_findings(spec: Spec, file: str) -> Iterator[Finding]:
    """Yield each lamp and word that no type offered can reach, where a row first asks for it.

    Lamps whose types are unknown, or of another number of filaments, are left out.
    """
    low, shelf = spec.supply.volts[0], shelf_of(spec)
    owners = {name: (lamp, at) for lamp in spec.lamps for at, name in enumerate(lamp.filaments)}
    told: set[tuple[str, str]] = set()
    for row in spec.behaviour:
        place = FilePlace(file, opens=True).key("behaviour").row(row.number).key("show")
        for name, written in row.show:
            for word in phase_words(written):
                asked = band_of(spec.levels, word)
                if asked is None or (name, word) in told:
                    continue
                told.add((name, word))
                said = _out_of_reach(*owners[name], asked, shelf, low)
                if said:
                    remedy = "choose a type for this voltage, raise the low supply,"
                    remedy += f" or let {word} begin lower in [levels]"
                    yield Finding(place.key(name).text, f"{shown(written)} {said}", remedy)


def _out_of_reach(lamp: Lamp, filament: int, asked: AskedBand, shelf: Shelf, volts: float) -> str:
    """How far the type that comes nearest stays below; nothing where one does not or a type does not fit."""
    try:
        kinds = [shelf.lamp(name) for name in lamp.choose]
    except UnknownPart:
        return ""
    if any(len(kind.filaments) != len(lamp.filaments) for kind in kinds):
        return ""
    reaches = []
    for kind in kinds:
        for filling in kind.fillings:
            one = shelf.lamp(kind.name, filling).filaments[filament]
            least = flux_band(asked, one, volts).low
            if least <= 0.0:
                return ""
            reaches.append((float(flux_across(one, (volts,))[0]), least, kind.name))
    given, least, best = max(reaches, key=lambda reach: reach[0] / reach[1])
    if given / least >= 1.0 - ROUNDING:
        return ""
    who = best if len(lamp.choose) == 1 else f"the best type, {best},"
    # downwards to a tenth of a percent, so that a miss never reads like what was asked
    return (
        f"asks for at least {100.0 * least:.4g} % of rated light, but"
        f" straight across the low supply of {volts:g} V {who} gives {floor(1000.0 * given) / 10.0:g} %"
    )
