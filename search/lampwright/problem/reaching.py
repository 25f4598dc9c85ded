"""Words that no type offered for a lamp can reach, whatever the circuit.

A circuit of lamps, wire, resistors and diodes puts no more across a filament than the supply,
and light rises with volts. So if even straight across the low supply a lamp gives less light
than its word asks, no circuit will do. At a higher supply it is better off: what is asked stays
or, for `full`, rises no faster than the light. A word for two phases asks both its steady words.

Worked case: R10W straight across 9.4 V gives 24 % of its rated light or, if its bulb holds no
gas, 27 %: it may yet be lit, 25 %, and the judge finds out. W2.3W gives 24 %, and cannot.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import floor

from lampwright.errors import Finding
from lampwright.parts.catalogue import lamp_names, lamp_type
from lampwright.parts.filament import Filament, relative_flux_of
from lampwright.problem.edges import flux_band
from lampwright.spec.levels import band_of, phase_word
from lampwright.spec.model import AskedBand, Lamp, Spec
from lampwright.spec.wording import FilePlace, shown

ROUNDING = 1e-9
"""Share of the asked light that is not missed, but lost in the digits."""


@dataclass(frozen=True)
class _Reach:
    """What a type gives straight across the low supply, and the least its word asks: relative flux."""

    kind: str
    given: float
    asked: float

    @property
    def share(self) -> float:
        return self.given / self.asked


@dataclass(frozen=True)
class _Ask:
    """A filament, by its lamp and its number there, a steady word, and where the file first says so."""

    lamp: Lamp
    filament: int
    word: str
    place: FilePlace
    written: str


def reach_findings(spec: Spec, file: str) -> Iterator[Finding]:
    """Yield each lamp and word that no type offered can reach, where a row first asks for it.

    Lamps whose types are unknown, or of another number of filaments, are left out.
    """
    low = spec.supply.volts[0]
    for ask in _asks(spec, file):
        asked = band_of(spec.levels, ask.word)
        best = _best(ask, asked, spec.supply.system, low) if asked else None
        if best is None or best.share >= 1.0 - ROUNDING:
            continue
        who = best.kind if len(ask.lamp.choose) == 1 else f"the best type, {best.kind},"
        said = f"{shown(ask.written)} asks for at least {100.0 * best.asked:.4g} % of rated light, but"
        said += f" straight across the low supply of {low:g} V {who} gives {_percent_below(best.given)} %"
        remedy = "choose a type for this voltage, raise the low supply,"
        yield Finding(ask.place.text, said, f"{remedy} or let {ask.word} begin lower in [levels]")


def _asks(spec: Spec, file: str) -> Iterator[_Ask]:
    """Yield every filament and steady word of the rows once."""
    filaments = {name: (lamp, at) for lamp in spec.lamps for at, name in enumerate(lamp.filaments)}
    told: set[tuple[str, str]] = set()
    for row in spec.behaviour:
        place = FilePlace(file, opens=True).key("behaviour").row(row.number).key("show")
        for name, written in row.show:
            for word in (phase_word(written, "closed"), phase_word(written, "open")):
                if (name, word) not in told:
                    told.add((name, word))
                    yield _Ask(*filaments[name], word, place.key(name), written)


def _best(ask: _Ask, asked: AskedBand, system: int, volts: float) -> _Reach | None:
    """The type that comes nearest or farthest beyond; None where nothing is asked or a type does not fit."""
    if not set(ask.lamp.choose) <= set(lamp_names(system)):
        return None
    likely = [lamp_type(name, system) for name in ask.lamp.choose]
    if any(len(kind.filaments) != len(ask.lamp.filaments) for kind in likely):
        return None
    reaches = [
        _reach(kind.name, lamp_type(kind.name, system, filling).filaments[ask.filament], asked, volts)
        for kind in likely
        for filling in kind.fillings
    ]
    if any(reach.asked <= 0.0 for reach in reaches):
        return None
    return max(reaches, key=lambda reach: reach.share)


def _reach(kind: str, filament: Filament, asked: AskedBand, volts: float) -> _Reach:
    given = float(relative_flux_of(filament, volts))
    return _Reach(kind, given, flux_band(asked, filament, volts).low)


def _percent_below(flux: float) -> str:
    """Percent to a tenth, downwards, so that a miss never reads like what was asked."""
    return f"{floor(1000.0 * flux) / 10.0:g}"
