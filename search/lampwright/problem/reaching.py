"""Words that no type offered for a lamp can reach, whatever the circuit.

A circuit of lamps, wire, resistors and diodes puts no more across a filament than the supply,
and light rises with volts. So if even straight across the low supply a lamp gives less light
than its word asks, no circuit will do. At a higher supply it is better off: what is asked stays
or, for `full`, rises no faster than the light. A word for two phases asks both its steady words.

Likewise lamps that must be equally bright: where the light that rows ask of two of them lies too far apart,
in lumens, for every two types on offer, no circuit will do either.

Worked case: R10W straight across 9.4 V gives 24 % of its rated light or, if its bulb holds no
gas, 27 %: it may yet be lit, 25 %, and the judge finds out. W2.3W gives 24 %, and cannot.
"""

from collections.abc import Iterator, Sequence
from itertools import combinations
from math import floor

from lampwright.errors import FilePlace, Finding, shown
from lampwright.parts.filament import Filament, flux_across
from lampwright.parts.tables import UnknownPart
from lampwright.problem.edges import NOTHING, flux_band
from lampwright.solve.shelf import Shelf, shelf_of
from lampwright.spec.levels import band_of, phase_words
from lampwright.spec.model import AskedBand, Lamp, Spec, filament_names
from lampwright.spec.states import comparisons_of, covers, expand_states

ROUNDING = 1e-9
"""Share of the asked light that is not missed, but lost in the digits."""


def reach_findings(spec: Spec, file: FilePlace) -> Iterator[Finding]:
    """Yield each lamp and word that no type offered can reach, where a row first asks for it.

    Lamps whose types are unknown, or of another number of filaments, are left out.
    """
    low, shelf = spec.supply.volts[0], shelf_of(spec)
    owners = {name: (lamp, at) for lamp in spec.lamps for at, name in enumerate(lamp.filaments)}
    told: set[tuple[str, str]] = set()
    for row in spec.behaviour:
        place = file.key("behaviour").row(row.number).key("show")
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
                    yield Finding(place.key(name), f"{shown(written)} {said}", remedy)


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


def unlike_findings(spec: Spec, file: FilePlace) -> Iterator[Finding]:
    """Yield each two lamps that must be equally bright and are asked for light that no types can match.

    Lamps whose types are unknown, or of another number of filaments, are left out.
    """
    names, states = filament_names(spec), expand_states(spec)
    offered = _filaments_offered(spec)
    for number, row in enumerate(spec.same, 1):
        told: set[tuple[str, str]] = set()
        for state in states:
            if row.failures != state.failures or not covers(row.when, state.setting):
                continue
            for pair in combinations(row.lamps, 2):
                asked = [state.bands[names.index(name)] for name in pair]
                if pair in told or any(name not in offered for name in pair) or None in asked:
                    continue
                words = [state.words[names.index(name)] for name in pair]
                if not _can_match(spec, row.within, pair, asked, offered):
                    told.add(pair)
                    said = f"{pair[0]} is asked {shown(words[0])} and {pair[1]} {shown(words[1])}"
                    said += f" with {state.full_name}: no types on offer then give equal light, within"
                    said += f" {row.within:g}"
                    place = file.key("same").row(number).key("lamps")
                    yield Finding(place, said, "ask them alike, or narrow the when of one row")


def fainter_findings(spec: Spec, file: FilePlace) -> Iterator[Finding]:
    """Yield each row that asks a lamp to be brighter than other rows leave room for.

    Lamps whose types are unknown, or of another number of filaments, are left out.
    """
    states, names = expand_states(spec), filament_names(spec)
    offered, told = _filaments_offered(spec), set[int]()
    for one in comparisons_of(spec, states):
        lamp, than = names[one.first], names[one.second]
        if one.row in told or lamp not in offered or than not in offered:
            continue
        asked = states[one.first_state].bands[one.first], states[one.second_state].bands[one.second]
        if all(
            any(
                _leaves_room(spec, one.by, fitted, asked, volts)
                for fitted in _pairs_of(spec, lamp, than, offered)
            )
            for volts in spec.supply.volts
        ):
            continue
        told.add(one.row)
        words = states[one.first_state].words[one.first], states[one.second_state].words[one.second]
        where = states[one.first_state].full_name, states[one.second_state].full_name
        said = (
            f"{lamp} is asked {shown(words[0])} with {where[0]} and {than} {shown(words[1])} with {where[1]}:"
        )
        said += f" no types on offer then differ {one.by:g} times in light"
        place = file.key("brighter").row(one.row).key("by")
        yield Finding(place, said, "ask for less, or change what is asked of one of them")


def _leaves_room(
    spec: Spec,
    by: float,
    fitted: tuple[Filament, Filament],
    asked: Sequence[AskedBand | None],
    volts: float,
) -> bool:
    """Whether light within what is asked of two filaments at one supply [V] can differ so many times."""
    bands = [flux_band(band or NOTHING, one, volts) for one, band in zip(fitted, asked, strict=True)]
    # no circuit gives more than the supply straight across
    most = min(bands[0].high, float(flux_across(fitted[0], (volts,))[0]) * (1.0 + ROUNDING))
    least = max(bands[1].low, spec.levels.off.high)
    return bool(most * fitted[0].lumens >= by * least * fitted[1].lumens)


Kinds = dict[str, Filament]
"""The filaments that may be fitted in one place, by type and filling."""


def _filaments_offered(spec: Spec) -> dict[str, Kinds]:
    """What may be fitted for each filament; of lamps whose types are unknown or do not fit, nothing."""
    shelf, found = shelf_of(spec), dict[str, Kinds]()
    for lamp in spec.lamps:
        try:
            kinds = [shelf.lamp(name) for name in lamp.choose]
        except UnknownPart:
            continue
        if any(len(kind.filaments) != len(lamp.filaments) for kind in kinds):
            continue
        for at, name in enumerate(lamp.filaments):
            found[name] = {
                f"{kind.name}, {filling}": shelf.lamp(kind.name, filling).filaments[at]
                for kind in kinds
                for filling in kind.fillings
            }
    return found


def _can_match(
    spec: Spec,
    within: float,
    pair: tuple[str, str],
    asked: Sequence[AskedBand | None],
    offered: dict[str, Kinds],
) -> bool:
    """Whether at every supply some types give both what is asked of them, and equal light."""
    fits = _pairs_of(spec, *pair, offered)
    return all(
        any(_ranges_match(spec, within, fitted, asked, volts) for fitted in fits)
        for volts in spec.supply.volts
    )


def _pairs_of(
    spec: Spec, name: str, other_name: str, offered: dict[str, Kinds]
) -> list[tuple[Filament, Filament]]:
    """What may be fitted for two filaments together: those of one lamp are of one type."""
    owner = {name: lamp.name for lamp in spec.lamps for name in lamp.filaments}
    return [
        (one, other)
        for kind, one in offered[name].items()
        for kind_of_other, other in offered[other_name].items()
        if owner[name] != owner[other_name] or kind == kind_of_other
    ]


def _ranges_match(
    spec: Spec,
    within: float,
    fitted: tuple[Filament, Filament],
    asked: Sequence[AskedBand | None],
    volts: float,
) -> bool:
    """Whether light within what is asked of two filaments at one supply [V] can be equal, or both off."""
    bands = [flux_band(band or NOTHING, one, volts) for one, band in zip(fitted, asked, strict=True)]
    if all(band.low <= spec.levels.off.high for band in bands):
        return True
    low, other_low = (band.low * one.lumens for band, one in zip(bands, fitted, strict=True))
    # no circuit gives more than the supply straight across
    most = [float(flux_across(one, (volts,))[0]) * (1.0 + ROUNDING) for one in fitted]
    high, other_high = (
        min(band.high, at_most) * one.lumens for band, at_most, one in zip(bands, most, fitted, strict=True)
    )
    return bool(high >= (1.0 - within) * other_low and low <= (1.0 + within) * other_high)
