"""Zones and wires, [place] and [wiring]: what a document says of them, and its changes.

No source: our format.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from lampwright.spec.build import zone_of, zone_pairs
from lampwright.workbench.asked import asked_of, table_in, texts_of
from lampwright.workbench.change import Change, number_of, refused
from lampwright.workbench.toml_edit import Document, Edit, inline, put, put_inside, relisted, table_of

FIGURES = ("length", "most_drop", "celsius")
MOST_SIZES = 8


@dataclass(frozen=True)
class ZonedThing:
    """A thing and the zone it is in, nothing where it is in none; kind: `supply`, `feed` or `lamp`."""

    name: str
    kind: str
    zone: str


@dataclass(frozen=True)
class ZoneLength:
    """Metres of a wire between two zones, or within one; as the file calls them; None: not said.

    is_known: there are such zones.
    """

    name: str
    ends: tuple[str, str]
    metres: float | None
    is_known: bool = True


@dataclass(frozen=True)
class PlacedView:
    """The zones of a document, its things in them, what its wires are; wiring None: no wire has a length."""

    zones: tuple[str, ...]
    things: tuple[ZonedThing, ...]
    most: int | None
    wiring: Mapping[str, Any] | None
    lengths: tuple[ZoneLength, ...]
    sizes: str


def placed_view(document: Mapping[str, Any]) -> PlacedView:
    """Read what can be read of zones and wires."""
    asked, place = asked_of(document), _sound(table_in(document, "place"))
    zones = dict(zone_of(place))
    named = [("supply", "supply")] + [(one.name, "feed") for one in asked.controls]
    named += [(one.name, "lamp") for one in asked.lamps]
    most = table_in(document, "place").get("most_conductors")
    wiring = document.get("wiring")
    own = table_in(document, "wiring")
    sizes = own.get("sizes", [own["size"]] if "size" in own else [])
    figures = [one for one in (sizes if isinstance(sizes, list) else []) if _is_number(one)]
    return PlacedView(
        zones=tuple(dict.fromkeys(zones.values())),
        things=tuple(ZonedThing(name, kind, zones.get(name, "")) for name, kind in named),
        most=most if isinstance(most, int) and not isinstance(most, bool) else None,
        wiring=own if isinstance(wiring, Mapping) else None,
        lengths=_lengths(place, table_in(own, "lengths")),
        sizes=", ".join(f"{one:g}" for one in figures),
    )


def _sound(place: Mapping[str, Any]) -> dict[str, Any]:
    """The things and zones of [place] that have their shape."""
    texts = {key: said for key, said in place.items() if isinstance(said, str)}
    return texts | {key: list(texts_of(said)) for key, said in place.items() if isinstance(said, list)}


def _is_number(said: object) -> bool:
    return isinstance(said, int | float) and not isinstance(said, bool)


def _lengths(place: Mapping[str, Any], said: Mapping[str, Any]) -> tuple[ZoneLength, ...]:
    """Every pair of zones once, as the file calls it where it does, then what names no pair."""
    known, found = zone_pairs(place), dict[tuple[str, str], ZoneLength]()
    for name, ends in known:
        if ends not in found or name in said:
            found[ends] = ZoneLength(name, ends, _metres(said, name))
    strange = [key for key in said if key not in dict(known)]
    others = (ZoneLength(key, (key, key), _metres(said, key), is_known=False) for key in strange)
    return (*found.values(), *others)


def _metres(said: Mapping[str, Any], name: str) -> float | None:
    return float(said[name]) if _is_number(said.get(name)) else None


def put_zone(document: Document, change: Change) -> None:
    """Put a thing, by its name, into the zone that value names; with none it is in no zone."""
    thing, zone = change.name, change.value.strip()
    if thing not in {one.name for one in placed_view(document).things}:
        raise refused(thing or "zone", "there is no such thing any more", "look at the page as it is now")
    if zone == "most_conductors":
        raise refused(thing, "no zone can be called so", "call it otherwise")
    place = table_of(document, "place")
    for key in list(place):
        if key == thing and isinstance(place[key], str):
            place.pop(key)
        elif isinstance(place[key], list) and place[key] != [thing]:
            relisted(place, key, thing, None)
        elif isinstance(place[key], list) and key != zone:
            place.pop(key)
    own = place.get(zone)
    if zone and isinstance(own, list) and thing not in own:
        place[zone] = inline([*own, thing])
    elif zone and not isinstance(own, list):
        _begin_zone(place, thing, zone)
    if not place:
        document.pop("place")


def _begin_zone(place: Any, thing: str, zone: str) -> None:
    """Put a thing into a zone that has no list: with a list of its own, unless a thing is called so."""
    if isinstance(place.get(zone), str):
        place[thing] = inline(zone)
    else:
        place[zone] = inline([thing])


def put_conductors(document: Document, change: Change) -> None:
    """How many conductors may go from zone to zone at the most."""
    put(document, ("place", "most_conductors"), number_of(change, "conductors"))


def edit_wiring(document: Document, change: Change) -> None:
    """Whether wires have lengths (key `on`), or a figure of them; `lengths` by the zones that name says."""
    if change.key == "on":
        if change.value == "true":
            put(document, ("wiring", "length"), 2)
        else:
            document.pop("wiring", None)
        return
    wiring = table_of(document, "wiring")
    match change.key:
        case key if key in FIGURES:
            value = number_of(change, "metres" if key == "length" else key)
            wiring.pop(key, None) if value is None else wiring.update({key: inline(value)})
        case "lengths":
            put_inside(wiring, "lengths", change.name, number_of(change, "metres"))
        case "sizes":
            _put_sizes(wiring, change)
        case _:
            raise refused("wiring", f"it has no {change.key}", "load the page again")


def _put_sizes(wiring: Any, change: Change) -> None:
    """Cross-sections as typed, with commas between them; one alone is that of every wire."""
    words = [one for one in change.value.split(",") if one.strip()][:MOST_SIZES]
    sizes = [number_of(Change("wiring", key="sizes", value=one), "mm2") for one in words]
    for key in ("size", "sizes"):
        is_said = bool(sizes) and key == ("size" if len(sizes) == 1 else "sizes")
        if is_said:
            wiring[key] = inline(sizes[0] if key == "size" else sizes)
        else:
            wiring.pop(key, None)


EDITS: Mapping[str, Edit] = {"zone": put_zone, "conductors": put_conductors, "wiring": edit_wiring}
