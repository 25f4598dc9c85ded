"""What a document says in two places that do not agree: names, terminals, voltages, zones.

Works on what the sieve left, so anything may be missing; what is missing has had its
finding already and is passed over here.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from itertools import combinations, pairwise
from typing import Any

from lampwright.errors import FilePlace, Finding, shown
from lampwright.spec.build import (
    build_levels,
    code_patterns,
    code_settings,
    failure_keys,
    positions_of,
    zone_of,
    zone_pairs,
)
from lampwright.spec.levels import are_apart
from lampwright.spec.model import GROUND, HELPER, SUPPLY
from lampwright.spec.wording import listed, nearest, offered

_SUPPLY_THING = "supply"
_PAIRS_SHOWN = 6
_PRICE_DECIMALS = 4
MOST_PATTERNS, MOST_SETTINGS = 64, 8
"""Of one code."""
_LEAST_OF_SYSTEM, _MOST_OF_SYSTEM = 0.5, 1.6


def reference_findings(
    clean: Mapping[str, Any], file: FilePlace, sifted: Sequence[Finding] = ()
) -> Iterator[Finding]:
    """Yield what is wrong between the parts of a sifted document, in order of the format.

    sifted: what was left out of it, and is not blamed for being missing.
    """
    yield from _volts(_table(clean, "supply"), file.key("supply", "volts"))
    yield from own_lamp_findings(_table(clean, "types"), file.key("types"))
    yield from _terminals(clean, file.key("controls"))
    yield from _filament_names(clean, file.key("lamps"))
    yield from _commons(clean, file.key("lamps"))
    yield from _levels(_table(clean, "levels"), file.key("levels"))
    for n, row in enumerate(clean.get("behaviour", []), 1):
        place = file.key("behaviour").row(n)
        yield from _when(clean, _table(row, "when"), place.key("when"))
        yield from _lamps(clean, tuple(_table(row, "show")), place.key("show"))
    for n, same in enumerate(clean.get("same", []), 1):
        place = file.key("same").row(n)
        yield from _when(clean, _table(same, "when"), place.key("when"))
        yield from _lamps(clean, _items(same, "lamps"), place.key("lamps"))
    for n, row in enumerate(clean.get("brighter", []), 1):
        place = file.key("brighter").row(n)
        for key in ("when", "versus"):
            yield from _when(clean, _table(row, key), place.key(key))
        for key in ("lamp", "than"):
            if isinstance(row, Mapping) and key in row:
                yield from _lamps(clean, (row[key],), place.key(key))
    yield from _either(clean, file.key("either"))
    yield from _codes(clean, file.key("code"), sifted)
    yield from _alike(clean, file.key("alike"))
    yield from _zones(clean, file.key("place"))
    yield from _wiring(clean, file.key("wiring"))
    lamps = tuple(_table(clean, "lamps"))
    for name in _items(_table(clean, "stock"), "alike"):
        yield from _unknown(name, lamps, "lamp of this spec", file.key("stock", "alike", name))
    yield from _stock(_table(clean, "stock"), file.key("stock"))


def _table(holder: object, key: str) -> Mapping[str, Any]:
    inner = holder.get(key) if isinstance(holder, Mapping) else None
    return inner if isinstance(inner, Mapping) else {}


def _items(holder: object, key: str) -> tuple[Any, ...]:
    inner = holder.get(key) if isinstance(holder, Mapping) else None
    return tuple(inner) if isinstance(inner, list) else ()


def _unknown(name: str, known: tuple[str, ...], what: str, place: FilePlace) -> Iterator[Finding]:
    """Yield a finding for a name that is not among those known, if any are."""
    if known and name not in known:
        yield Finding(place, f"{shown(name)} is no {what}", offered(name, known))


def _volts(supply: Mapping[str, Any], place: FilePlace) -> Iterator[Finding]:
    system = supply.get("system", 0)
    least, most = _LEAST_OF_SYSTEM * system, _MOST_OF_SYSTEM * system
    for volts in supply.get("volts", []) if system else ():
        if not least <= volts <= most:
            said = f"{volts:g} V is no voltage of a {system:g} V system"
            yield Finding(place, said, f"write voltages from {least:g} to {most:g}")


def own_lamp_findings(table: Mapping[str, Any], place: FilePlace) -> Iterator[Finding]:
    """Yield what does not agree within lamps of the user's own: each filament is said once, in one way."""
    for name, lamp in table.items():
        for keys in ((), ("minor",)):
            said = _table(lamp, "minor") if keys else lamp
            if not isinstance(said, Mapping) or (keys and not said):
                continue
            at = place.key(name, *keys)
            if "watts" not in said and "amps" not in said:
                yield Finding(at, "it has neither watts nor amps", "write one of them, as amps = 0.3")
            for one, other in (("watts", "amps"), ("lumens", "kelvin")):
                if one in said and other in said:
                    yield Finding(at, f"{one} and {other} are given", "keep one: the other follows")


def _named_terminals(control: object) -> Iterator[tuple[tuple[str, ...], str]]:
    """Yield each terminal a control names, with the keys that lead to it."""
    if isinstance(control, Mapping) and "feed" in control:
        yield ("feed",), control["feed"]
    positions = _table(control, "positions")
    for position in positions:
        yield from ((("positions", position), end) for pair in _items(positions, position) for end in pair)


def _terminals(clean: Mapping[str, Any], place: FilePlace) -> Iterator[Finding]:
    fed: dict[str, str] = {}
    for name, control in _table(clean, "controls").items():
        for keys, terminal in _named_terminals(control):
            is_feed = keys == ("feed",)
            fault = _terminal_fault(terminal, is_feed)
            if fault is None and is_feed and fed.setdefault(terminal, name) != name:
                fault = f"is the feed of {fed[terminal]} already", "give each control a feed of its own"
            if fault is not None:
                yield Finding(place.key(name, *keys), f"{shown(terminal)} {fault[0]}", fault[1])


def _terminal_fault(terminal: str, is_feed: bool) -> tuple[str, str] | None:
    if re.fullmatch(r"[jJ]\d+", terminal):
        return "is how joints are named", "name the terminal otherwise"
    if terminal.lower() in ("ground", "earth"):
        return "is terminal 31 here", f"write {shown(GROUND)}, or name the terminal otherwise"
    if is_feed and terminal == GROUND:
        return "is ground and no feed", "name the terminal the contact feeds"
    if is_feed and terminal == SUPPLY:
        return "is the supply itself and no feed", "name the terminal the contact feeds"
    return None


def _known_terminals(clean: Mapping[str, Any]) -> tuple[str, ...]:
    controls = _table(clean, "controls").values()
    named = [terminal for control in controls for _, terminal in _named_terminals(control)]
    live = [SUPPLY] if _table(clean, "supply").get("always_live") else []
    return tuple(dict.fromkeys([*(t for t in named if t not in (SUPPLY, GROUND)), *live, GROUND]))


def _filaments(clean: Mapping[str, Any]) -> dict[str, tuple[str, ...]]:
    """Return the filaments of each lamp."""
    lamps = _table(clean, "lamps")
    return {name: _items(lamp, "filaments") or (name,) for name, lamp in lamps.items()}


def _filament_names(clean: Mapping[str, Any], place: FilePlace) -> Iterator[Finding]:
    filaments = _filaments(clean)
    taken: dict[str, str] = {}
    helped = bool(_table(_table(clean, "extras"), "lamps"))
    for lamp, names in filaments.items():
        for name in (lamp, *names) if helped else ():
            if re.fullmatch(rf"{HELPER}\d+", name):
                said = f"{shown(name)} is how helper lamps are named"
                yield Finding(place.key(lamp), said, "name it otherwise, or leave out extras.lamps")
        for name in names:
            owner = taken.setdefault(name, lamp)
            if owner != lamp:
                said = f"{shown(name)} is a filament of lamp {owner} already"
            elif name != lamp and name in filaments and name not in filaments[name]:
                said = f"{shown(name)} is the name of another lamp"
            else:
                continue
            yield Finding(place.key(lamp), said, "give each filament a name of its own")


def _commons(clean: Mapping[str, Any], place: FilePlace) -> Iterator[Finding]:
    known = _known_terminals(clean) if "controls" in clean else ()
    for name, lamp in _table(clean, "lamps").items():
        common = lamp.get("common", GROUND) if isinstance(lamp, Mapping) else GROUND
        at = place.key(name, "common")
        if common == SUPPLY and known and SUPPLY not in known:
            said = f"{shown(common)} is a terminal only where always_live = true"
            yield Finding(at, said, offered(common, known))
        else:
            yield from _unknown(common, known, "terminal of this circuit", at)


def _levels(table: Mapping[str, Any], place: FilePlace) -> Iterator[Finding]:
    levels = build_levels(table)
    if levels.off.low != 0.0:
        said = f"a lamp without light, flux 0, would not be off ({levels.off.low:g} at least)"
        yield Finding(place.key("off"), said, "let the band of off begin at 0")
    edges = (
        ("off ends at", levels.off.high),
        ("dim begins at", levels.dim.low),
        ("dim ends at", levels.dim.high),
        ("lit begins at", levels.lit.low),
        ("full begins at", levels.full.low),
    )
    for (lower_is, lower), (upper_is, upper) in pairwise(edges):
        if lower > upper:
            said = f"{upper_is} {upper:g}, but {lower_is} {lower:g}"
            word = upper_is.split()[0]
            yield Finding(place.key(word), said, "let off, dim, lit and full follow each other upwards")


def _when(clean: Mapping[str, Any], when: Mapping[str, Any], place: FilePlace) -> Iterator[Finding]:
    controls = _table(clean, "controls")
    for name, position in when.items():
        if name in failure_keys(clean):
            yield from _failures(clean, name, position, place.key(name))
            continue
        known = (*controls, *failure_keys(clean)) if controls else ()
        yield from _unknown(name, known, "control of this spec, nor a failure", place.key(name))
        control = controls.get(name)
        if isinstance(control, Mapping) and isinstance(position, str):
            yield from _unknown(position, positions_of(clean, name), f"position of {name}", place.key(name))


def _failures(clean: Mapping[str, Any], key: str, said: object, place: FilePlace) -> Iterator[Finding]:
    """Yield what is wrong with the names of failed parts, blown fuses or lost grounds of a row."""
    lamps, controls = _table(clean, "lamps"), _table(clean, "controls")
    for name in (said,) if isinstance(said, str) else said if isinstance(said, list) else ():
        if key == "failed":
            filaments = (one for names in _filaments(clean).values() for one in names)
            known, what = (*lamps, *filaments), "lamp or filament of this spec"
        elif key == "fuse_blown":
            fed = tuple(one for one, control in controls.items() if _is_fed(control))
            rail = (SUPPLY,) if SUPPLY in _known_terminals(clean) else ()
            known, what = (*fed, *rail), "control that the supply feeds through a fuse"
        else:
            home = dict(zone_of(_table(clean, "place"))).get(_SUPPLY_THING)
            zones = (zone for thing, zone in zone_of(_table(clean, "place")) if thing in lamps)
            known = (*lamps, *dict.fromkeys(zone for zone in zones if zone != home))
            what = "lamp of this spec, nor a zone away from the supply with lamps in it"
        yield from _unknown(name, tuple(dict.fromkeys(known)), what, place)


def _is_fed(control: object) -> bool:
    """Whether a contact of a control ever joins a terminal to the supply."""
    pairs = (
        pair for name in _table(control, "positions") for pair in _items(_table(control, "positions"), name)
    )
    return isinstance(control, Mapping) and ("feed" in control or any(SUPPLY in pair for pair in pairs))


def _lamps(clean: Mapping[str, Any], names: tuple[str, ...], place: FilePlace) -> Iterator[Finding]:
    filaments = _filaments(clean)
    known = tuple(name for names in filaments.values() for name in names)
    for name in names:
        if name in filaments and name not in known:
            said = f"{shown(name)} has filaments of its own names"
            yield Finding(place.key(name), said, f"use {listed(filaments[name])}")
        else:
            yield from _unknown(name, known, "lamp of this spec", place.key(name))


def _either(clean: Mapping[str, Any], place: FilePlace) -> Iterator[Finding]:
    for number, table in enumerate(clean.get("either", []), 1):
        for at, option in enumerate(_items(table, "rows"), 1):
            alternative = place.row(number).key("rows").item(at)
            rows = enumerate(option, 1) if isinstance(option, list) else [(0, option)]
            for n, row in rows:
                own = alternative.row(n) if n else alternative
                yield from _when(clean, _table(row, "when"), own.key("when"))
                yield from _lamps(clean, tuple(_table(row, "show")), own.key("show"))


def _codes(clean: Mapping[str, Any], place: FilePlace, sifted: Sequence[Finding]) -> Iterator[Finding]:
    """Yield what is wrong with codes: settings that are none, words that do not tell apart, few patterns."""
    for number, code in enumerate(clean.get("code", []), 1):
        if not isinstance(code, Mapping):
            continue
        at, controls = place.row(number), _table(clean, "controls")
        yield from _lamps(clean, _items(code, "lamps"), at.key("lamps"))
        yield from _when(clean, _table(code, "when"), at.key("when"))
        for n, setting in enumerate(_items(code, "tell_apart"), 1):
            own = at.key("tell_apart").row(n)
            yield from _when(clean, setting or {}, own)
            for name in (one for one in setting or {} if one in _table(code, "when")):
                yield Finding(
                    own.key(name), f"{shown(name)} stands in its when as well", "keep one of the two"
                )
        if any(at.key(key).holds(one) for key in ("tell_apart", "control") for one in sifted):
            continue
        if ("tell_apart" in code) == ("control" in code):
            has = "both tell_apart and control" if "control" in code else "neither tell_apart nor control"
            yield Finding(at, f"it has {has}", 'keep one, as control = "gear"')
        elif "control" in code:
            yield from _unknown(code["control"], tuple(controls), "control of this spec", at.key("control"))
        yield from _patterns(clean, code, at)


def _patterns(clean: Mapping[str, Any], code: Mapping[str, Any], place: FilePlace) -> Iterator[Finding]:
    levels, words = build_levels(_table(clean, "levels")), _items(code, "words")
    for first, second in combinations(words, 2):
        if not are_apart(levels, first, second):
            said = f"{shown(first)} and {shown(second)} do not tell settings apart: one light may be both"
            yield Finding(place.key("words"), said, 'write words of which light fits one, as ["off", "lit"]')
    if not words or not _items(code, "lamps") or "blank" not in code:
        return
    settings, patterns = len(code_settings(code, clean)), len(words) ** len(code["lamps"])
    if patterns > MOST_PATTERNS:
        said = f"its lamps and words make {patterns:,} patterns, more than {MOST_PATTERNS}"
        yield Finding(place, said, "name fewer lamps or words")
    elif settings > MOST_SETTINGS:
        said = f"{shown(code.get('control'))} has {settings} positions, more than {MOST_SETTINGS}"
        yield Finding(place.key("control"), said, "name those to be told apart in tell_apart")
    elif settings > len(code_patterns(code)):
        apart = len(code_patterns(code))
        said = f"{settings} settings are to be told apart by {apart} pattern{'s' * (apart != 1)}"
        yield Finding(place, said, "name more lamps or words, or fewer settings")


def _alike(clean: Mapping[str, Any], place: FilePlace) -> Iterator[Finding]:
    """Yield what is wrong with groups of lamps that take the same type."""
    lamps, taken = _table(clean, "lamps"), dict[str, int]()
    for number, group in enumerate(_items(clean, "alike"), 1):
        at = place.item(number)
        for name in group if isinstance(group, list) else ():
            if name not in lamps:
                yield from _unknown(name, tuple(lamps), "lamp of this spec", at)
            elif taken.setdefault(name, number) != number:
                yield Finding(at, f"{shown(name)} is in group {taken[name]} already", "join the two groups")
        offered_to = [set(_items(lamps.get(name), "choose")) for name in group or ()]
        if all(offered_to) and not set.intersection(*offered_to):
            said = f"no type is offered to all of {listed(tuple(group), 'and')}"
            yield Finding(at, said, "let their choose have a type in common")


def _zones(clean: Mapping[str, Any], place: FilePlace) -> Iterator[Finding]:
    table = _table(clean, "place")
    things = (*_table(clean, "lamps"), *_table(clean, "controls"), _SUPPLY_THING)
    zone_of: dict[str, str] = {}
    placed = [(key, key, item) for key, item in table.items() if isinstance(item, str)]
    placed += [(key, thing, key) for key in table for thing in _items(table, key)]
    for key, thing, zone in placed:
        said = remedy = ""
        if thing not in things:
            said, remedy = "is no lamp or control, nor the supply", offered(thing, things)
        elif things.count(thing) > 1:
            said, remedy = "is the name of two things", "give lamp and control different names"
        elif zone_of.setdefault(thing, zone) != zone:
            said, remedy = f"is in zone {zone_of[thing]} already", "put each thing in one zone"
        if said:
            yield Finding(place.key(key), f"{shown(thing)} {said}", remedy)
    if table.get("most_conductors") is not None and len(set(zone_of.values())) < 2:
        said = "conductors between zones are bounded, but there are not two zones"
        yield Finding(place.key("most_conductors"), said, "place things in two zones, or leave this out")


def _wiring(clean: Mapping[str, Any], place: FilePlace) -> Iterator[Finding]:
    table = _table(clean, "wiring")
    if "size" in table and "sizes" in table:
        yield Finding(place.key("sizes"), "size is given as well", "keep one: size fixes, sizes offers")
    known = dict(zone_pairs(_table(clean, "place")))
    taken: dict[tuple[str, str], str] = {}
    for name in _table(table, "lengths"):
        said = remedy = ""
        if not known:
            said = "names zones, and no thing is in a zone"
            remedy = "place things in zones with [place], or write length = 2.0"
        elif name not in known:
            pairs = tuple(f"{a}-{b}" for a, b in dict.fromkeys(known.values()))
            remedy = f"use {listed(pairs)}" if len(pairs) <= _PAIRS_SHOWN else "join two of its zones by -"
            said, remedy = "is no pair of zones of [place]", nearest(name, tuple(known)) + remedy
        elif taken.setdefault(known[name], name) != name:
            said, remedy = f"is {taken[known[name]]} again", "keep one of them"
        if said:
            yield Finding(place.key("lengths", name), f"{shown(name)} {said}", remedy)


def _stock(table: Mapping[str, Any], place: FilePlace) -> Iterator[Finding]:
    seen: dict[tuple[float, float], int] = {}
    for number, row in enumerate(_items(table, "resistors"), 1):
        if not isinstance(row, Mapping):
            continue
        at = place.key("resistors").row(number)
        if "ohms" in row and "watts" in row:
            first = seen.setdefault((row["ohms"], row["watts"]), number)
            if first != number:
                said = f"{row['ohms']:g} ohm, {row['watts']:g} W stands in row {first} already"
                yield Finding(at, said, "keep one row, with all there are")
        yield from _price(row.get("price"), at.key("price"))
    for name, price in _table(table, "prices").items():
        yield from _price(price, place.key("prices", name))


def _price(price: object, place: FilePlace) -> Iterator[Finding]:
    """Yield a finding for a price that is no sum of money: it must be exact where sums are compared."""
    if isinstance(price, float) and round(price, _PRICE_DECIMALS) != price:
        said = f"{Decimal(repr(price)):f} has more than {_PRICE_DECIMALS} decimals"
        yield Finding(place, said, f"write at most {_PRICE_DECIMALS}, as {price:.2f}")
