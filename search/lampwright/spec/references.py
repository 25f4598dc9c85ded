"""What a document says in two places that do not agree: names, terminals, voltages, zones.

Works on what the validator left, so anything may be missing; what is missing has had its
finding already and is passed over here.
"""

import re
from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any

from lampwright.errors import Finding
from lampwright.spec.build import build_levels, zone_pairs
from lampwright.spec.model import GROUND, OFF, ON, SUPPLY
from lampwright.spec.wording import FilePlace, listed, nearest, offered, shown

_SUPPLY_THING = "supply"
_PAIRS_SHOWN = 6
_PRICE_DECIMALS = 4
_LEAST_OF_SYSTEM, _MOST_OF_SYSTEM = 0.5, 1.6


def reference_findings(clean: Mapping[str, Any], file: FilePlace) -> Iterator[Finding]:
    """Yield what is wrong between the parts of a sifted document, in order of the format."""
    yield from _volts(_table(clean, "supply"), file.key("supply").key("volts"))
    yield from _terminals(clean, file.key("controls"))
    yield from _filament_names(clean, file.key("lamps"))
    yield from _commons(clean, file.key("lamps"))
    if "levels" in clean:
        yield from _levels(clean["levels"], file.key("levels"))
    for n, row in enumerate(clean.get("behaviour", []), 1):
        place = file.key("behaviour").row(n)
        yield from _when(clean, _table(row, "when"), place.key("when"))
        yield from _lamps(clean, tuple(_table(row, "show")), place.key("show"))
    for n, same in enumerate(clean.get("same", []), 1):
        place = file.key("same").row(n)
        yield from _when(clean, _table(same, "when"), place.key("when"))
        yield from _lamps(clean, _items(same, "lamps"), place.key("lamps"))
    yield from _zones(clean, file.key("place"))
    yield from _wiring(clean, file.key("wiring"))
    yield from _alike(clean, file.key("stock").key("alike"))
    yield from _stock(_table(clean, "stock"), file.key("stock"))


def _table(holder: object, key: str) -> Mapping[str, Any]:
    inner = holder.get(key) if isinstance(holder, Mapping) else None
    return inner if isinstance(inner, Mapping) else {}


def _items(holder: object, key: str) -> tuple[str, ...]:
    inner = holder.get(key) if isinstance(holder, Mapping) else None
    return tuple(inner) if isinstance(inner, list) else ()


def _volts(supply: Mapping[str, Any], place: FilePlace) -> Iterator[Finding]:
    system = supply.get("system")
    for volts in supply.get("volts", []):
        if system and not _LEAST_OF_SYSTEM * system <= volts <= _MOST_OF_SYSTEM * system:
            yield Finding(
                place.text,
                f"{volts:g} V is no voltage of a {system} V system",
                f"write voltages from {_LEAST_OF_SYSTEM * system:g} to {_MOST_OF_SYSTEM * system:g}",
            )


def _named_terminals(control: object) -> Iterator[tuple[tuple[str, ...], str]]:
    """Yield each terminal a control names, with the keys that lead to it."""
    if isinstance(control, Mapping) and "feed" in control:
        yield ("feed",), control["feed"]
    for position, pairs in _table(control, "positions").items():
        if isinstance(pairs, list):
            yield from ((("positions", position), terminal) for pair in pairs for terminal in pair)


def _terminals(clean: Mapping[str, Any], place: FilePlace) -> Iterator[Finding]:
    fed: dict[str, str] = {}
    for name, control in _table(clean, "controls").items():
        for keys, terminal in _named_terminals(control):
            at = place.key(name)
            for key in keys:
                at = at.key(key)
            fault = _terminal_fault(terminal, is_feed=keys == ("feed",))
            if fault:
                yield Finding(at.text, *fault)
            elif keys == ("feed",) and terminal in fed:
                said = f"{shown(terminal)} is the feed of {fed[terminal]} already"
                yield Finding(at.text, said, "give each control a feed of its own")
            elif keys == ("feed",):
                fed[terminal] = name


def _terminal_fault(terminal: str, is_feed: bool) -> tuple[str, str] | None:
    if re.fullmatch(r"[jJ]\d+", terminal):
        return f"{shown(terminal)} is how joints are named", "name the terminal otherwise"
    if terminal.lower() in ("ground", "earth"):
        return (
            f"{shown(terminal)} is terminal 31 here",
            f"write {shown(GROUND)}, or name the terminal otherwise",
        )
    if is_feed and terminal == GROUND:
        return f"{shown(GROUND)} is ground and no feed", "name the terminal the contact feeds"
    if is_feed and terminal == SUPPLY:
        return f"{shown(SUPPLY)} is the supply itself and no feed", "name the terminal the contact feeds"
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
    for lamp, names in filaments.items():
        for name in names:
            owner = taken.setdefault(name, lamp)
            if owner != lamp:
                said = f"{shown(name)} is a filament of lamp {owner} already"
            elif name != lamp and name in filaments and name not in filaments[name]:
                said = f"{shown(name)} is the name of another lamp"
            else:
                continue
            yield Finding(place.key(lamp).text, said, "give each filament a name of its own")


def _commons(clean: Mapping[str, Any], place: FilePlace) -> Iterator[Finding]:
    known = _known_terminals(clean)
    for name, lamp in _table(clean, "lamps").items():
        common = lamp.get("common") if isinstance(lamp, Mapping) else None
        if common is None or common in known or "controls" not in clean:
            continue
        said = f"{shown(common)} is no terminal of this circuit"
        if common == SUPPLY:
            said = f"{shown(common)} is a terminal only where always_live = true"
        remedy = offered(common, known)
        yield Finding(place.key(name, "common").text, said, remedy)


def _levels(table: Mapping[str, Any], place: FilePlace) -> Iterator[Finding]:
    levels = build_levels(table)
    if levels.off.low != 0.0:
        said = f"a lamp without light, flux 0, would not be off ({levels.off.low:g} at least)"
        yield Finding(place.key("off").text, said, "let the band of off begin at 0")
    edges = (
        ("dim", levels.off.high, "off ends at", levels.dim.low, "dim begins at"),
        ("lit", levels.dim.high, "dim ends at", levels.lit.low, "lit begins at"),
        ("full", levels.lit.low, "lit begins at", levels.full.low, "full begins at"),
    )
    for word, lower, lower_is, upper, upper_is in edges:
        if lower > upper:
            said = f"{upper_is} {upper:g}, but {lower_is} {lower:g}"
            yield Finding(place.key(word).text, said, "let off, dim, lit and full follow each other upwards")


def _positions(control: object) -> tuple[str, ...]:
    if isinstance(control, Mapping) and control.get("kind") == "positions":
        return tuple(_table(control, "positions"))
    return (OFF, ON)


def _when(clean: Mapping[str, Any], when: Mapping[str, Any], place: FilePlace) -> Iterator[Finding]:
    controls = _table(clean, "controls")
    for name, position in when.items():
        if not controls:
            return
        if name not in controls:
            known = tuple(controls)
            remedy = offered(name, known)
            yield Finding(place.key(name).text, f"{shown(name)} is no control of this spec", remedy)
            continue
        positions = _positions(controls[name])
        if (
            isinstance(controls[name], Mapping)
            and isinstance(position, str)
            and positions
            and position not in positions
        ):
            said = f"{shown(position)} is no position of {name}"
            yield Finding(place.key(name).text, said, offered(position, positions))


def _lamps(clean: Mapping[str, Any], names: tuple[str, ...], place: FilePlace) -> Iterator[Finding]:
    filaments = _filaments(clean)
    known = tuple(name for names in filaments.values() for name in names)
    for name in names:
        if not known or name in known:
            continue
        said, remedy = f"{shown(name)} is no lamp of this spec", offered(name, known)
        if name in filaments:
            said, remedy = f"{shown(name)} has filaments of its own names", f"use {listed(filaments[name])}"
        yield Finding(place.key(name).text, said, remedy)


def _zones(clean: Mapping[str, Any], place: FilePlace) -> Iterator[Finding]:
    table = _table(clean, "place")
    things = (*_table(clean, "lamps"), *_table(clean, "controls"), _SUPPLY_THING)
    zone_of: dict[str, str] = {}
    placed = [(key, key, item) for key, item in table.items() if isinstance(item, str)]
    placed += [(key, thing, key) for key, item in table.items() if isinstance(item, list) for thing in item]
    for key, thing, zone in placed:
        if thing not in things:
            remedy = offered(thing, things)
            yield Finding(
                place.key(key).text, f"{shown(thing)} is no lamp or control, nor the supply", remedy
            )
        elif things.count(thing) > 1:
            said = f"{shown(thing)} is the name of two things"
            yield Finding(place.key(key).text, said, "give lamp and control different names")
        elif zone_of.setdefault(thing, zone) != zone:
            said = f"{shown(thing)} is in zone {zone_of[thing]} already"
            yield Finding(place.key(key).text, said, "put each thing in one zone")
    if table.get("most_conductors") is not None and len(set(zone_of.values())) < 2:
        said = "conductors between zones are bounded, but there are not two zones"
        yield Finding(place.key("most_conductors").text, said, "place things in two zones, or leave this out")


def _wiring(clean: Mapping[str, Any], place: FilePlace) -> Iterator[Finding]:
    table = _table(clean, "wiring")
    if "size" in table and "sizes" in table:
        yield Finding(place.key("sizes").text, "size is given as well", "keep one: size fixes, sizes offers")
    known = dict(zone_pairs(_table(clean, "place")))
    taken: dict[tuple[str, str], str] = {}
    for name in _table(table, "lengths"):
        at = place.key("lengths").key(name)
        if not known:
            said = f"{shown(name)} names zones, and no thing is in a zone"
            yield Finding(at.text, said, "place things in zones with [place], or write length = 2.0")
        elif name not in known:
            pairs = tuple(f"{a}-{b}" for a, b in dict.fromkeys(known.values()))
            remedy = f"use {listed(pairs)}" if len(pairs) <= _PAIRS_SHOWN else "join two of its zones by -"
            said = f"{shown(name)} is no pair of zones of [place]"
            yield Finding(at.text, said, nearest(name, tuple(known)) + remedy)
        elif taken.setdefault(known[name], name) != name:
            said = f"{shown(name)} is {taken[known[name]]} again"
            yield Finding(at.text, said, "keep one of them")


def _alike(clean: Mapping[str, Any], place: FilePlace) -> Iterator[Finding]:
    known = tuple(_table(clean, "lamps"))
    for name in _items(_table(clean, "stock"), "alike"):
        if known and name not in known:
            remedy = offered(name, known)
            yield Finding(place.key(name).text, f"{shown(name)} is no lamp of this spec", remedy)


def _stock(table: Mapping[str, Any], place: FilePlace) -> Iterator[Finding]:
    rows = table.get("resistors", [])
    seen: dict[tuple[float, float], int] = {}
    for number, row in enumerate(rows if isinstance(rows, list) else [], 1):
        at = place.key("resistors").row(number)
        if isinstance(row, Mapping) and "ohms" in row and "watts" in row:
            first = seen.setdefault((row["ohms"], row["watts"]), number)
            if first != number:
                said = f"{row['ohms']:g} ohm, {row['watts']:g} W stands in row {first} already"
                yield Finding(at.text, said, "keep one row, with all there are")
        yield from _price(row.get("price") if isinstance(row, Mapping) else None, at.key("price"))
    for name, price in _table(table, "prices").items():
        yield from _price(price, place.key("prices").key(name))


def _price(price: object, place: FilePlace) -> Iterator[Finding]:
    """Yield a finding for a price that is no sum of money: it must be exact where sums are compared."""
    if isinstance(price, float) and round(price, _PRICE_DECIMALS) != price:
        said = f"{Decimal(repr(price)):f} has more than {_PRICE_DECIMALS} decimals"
        yield Finding(place.text, said, f"write at most {_PRICE_DECIMALS}, as {price:.2f}")
