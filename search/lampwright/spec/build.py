"""From a sifted document to the frozen `Spec`, with its digest.

The digest is sha256 over the content written out in one canonical way, so that comments,
spaces, and `8` for `8.0` change nothing, and any change of meaning does.
"""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import asdict, replace
from itertools import product
from math import inf
from typing import Any

from lampwright.spec.format import VERSION
from lampwright.spec.levels import DEFAULT_LEVELS
from lampwright.spec.model import (
    FAILURES,
    OFF,
    ON,
    Band,
    BehaviourRow,
    Bounds,
    Brighter,
    Control,
    Diodes,
    Extras,
    Failures,
    HelperLamps,
    Lamp,
    Levels,
    Origin,
    OwnFilament,
    OwnLamp,
    PartsBox,
    Position,
    Resistors,
    Same,
    Spec,
    StockedResistor,
    Supply,
    Wiring,
    Zones,
    switch,
)

DARKNESS = (OFF, "dark")
"""Words of a lamp that is not alight."""

SIZES = (0.5, 0.75, 1.0, 1.5, 2.5)
"""Cross-sections to choose from where the file names none [mm2]; common practice."""


def build_spec(
    clean: Mapping[str, Any], name: str, text: str, ways: tuple[tuple[BehaviourRow, ...], ...] = ()
) -> Spec:
    """Return the spec of a sifted document with these ways; optional tables may be missing."""
    place = clean.get("place", {})
    spec = Spec(
        name=name,
        title=clean.get("title", ""),
        supply=Supply(**_frozen(clean["supply"])),
        controls=tuple(_control(key, table) for key, table in clean["controls"].items()),
        lamps=tuple(
            Lamp(name=key, **{"filaments": (key,), **_frozen(table)}) for key, table in clean["lamps"].items()
        ),
        extras=_extras(clean.get("extras", {})),
        bounds=Bounds(**clean.get("search", {"joints": 1, "wires": 0})),
        levels=build_levels(clean.get("levels", {})),
        behaviour=tuple(
            build_row(n, row, clean) for n, row in enumerate(clean.get("behaviour", ()), 1) if row is not None
        ),
        same=tuple(
            Same(
                lamps=tuple(same["lamps"]),
                when=_when(same["when"], clean),
                within=same["within"],
                failures=_failures(same["when"], clean),
            )
            for same in clean.get("same", ())
        ),
        place=Zones(zone_of=zone_of(place), most_conductors=place.get("most_conductors")),
        digest="",
        text=text,
        wiring=_wiring(clean["wiring"], dict(zone_pairs(place))) if "wiring" in clean else None,
        stock=_stock(clean["stock"]) if "stock" in clean else None,
        alike=tuple(tuple(group) for group in clean.get("alike", ())),
        types=tuple(own_lamp(key, table) for key, table in clean.get("types", {}).items()),
        brighter=tuple(_brighter(row, clean) for row in clean.get("brighter", ())),
        ways=ways,
    )
    return replace(spec, digest=_digest(spec))


def _brighter(row: Mapping[str, Any], clean: Mapping[str, Any]) -> Brighter:
    failures = _failures(row["when"], clean)
    return Brighter(
        lamp=row["lamp"],
        than=row.get("than", row["lamp"]),
        when=_when(row["when"], clean),
        versus=_when(row["versus"], clean),
        by=row["by"],
        failures=failures,
        versus_failures=_failures(row["versus"], clean) or failures,
    )


def build_levels(table: Mapping[str, Any]) -> Levels:
    """Return the bands, the file's over the defaults; one number is the edge that matters."""
    said: dict[str, Any] = {
        word: edges if word == "dark" else _band(word, edges) for word, edges in table.items()
    }
    return replace(DEFAULT_LEVELS, **said)


def _band(word: str, edges: Any) -> Band:
    if isinstance(edges, list):
        return Band(*edges)
    return Band(0.0, edges) if word == "off" else Band(edges, inf)


def zone_pairs(place: Mapping[str, Any]) -> tuple[tuple[str, tuple[str, str]], ...]:
    """Return both ways to write every two zones of `[place]`, a zone with itself among them; and the two."""
    zones = tuple(dict.fromkeys(zone for _, zone in zone_of(place)))
    pairs = [(a, b) for at, a in enumerate(zones) for b in zones[at:]]
    return tuple((f"{first}-{last}", (a, b)) for a, b in pairs for first, last in ((a, b), (b, a)))


def _frozen(value: Any) -> Any:
    """Return what one table says with its lists as tuples."""
    if isinstance(value, Mapping):
        return {key: _frozen(item) for key, item in value.items()}
    return tuple(_frozen(item) for item in value) if isinstance(value, list) else value


def _control(name: str, table: Mapping[str, Any]) -> Control:
    most_amps = table.get("most_amps")
    if table["kind"] != "positions":
        return switch(name, table["feed"], table["kind"], most_amps)
    positions = tuple(Position(position, pairs) for position, pairs in _frozen(table["positions"]).items())
    return Control(name=name, kind="positions", feed=None, positions=positions, most_amps=most_amps)


def _extras(table: Mapping[str, Any]) -> Extras:
    resistors, diodes = _frozen(table.get("resistors")), _frozen(table.get("diodes"))
    if resistors is not None:
        resistors["watts"] = tuple(sorted(float(watt) for watt in resistors["watts"]))
    lamps = _frozen(table.get("lamps"))
    return Extras(
        resistors=None if resistors is None else Resistors(**resistors),
        diodes=None if diodes is None else Diodes(**diodes),
        lamps=None if lamps is None else HelperLamps(**lamps),
    )


def failure_keys(clean: Mapping[str, Any]) -> tuple[str, ...]:
    """Return the keys of a `when` that name failures in this document: those that no control bears."""
    return tuple(key for key in FAILURES if key not in clean.get("controls", {}))


def _when(table: Mapping[str, Any], clean: Mapping[str, Any]) -> tuple[tuple[str, str], ...]:
    # a position that could not be read matches no setting, so that its row covers none
    return tuple(
        (control, position if isinstance(position, str) else "")
        for control, position in table.items()
        if control not in failure_keys(clean)
    )


def _failures(table: Mapping[str, Any], clean: Mapping[str, Any]) -> Failures:
    said = {key: table[key] for key in failure_keys(clean) if table.get(key)}
    return Failures(
        **{key: (one,) if isinstance(one, str) else tuple(sorted(one)) for key, one in said.items()}
    )


def build_row(
    number: int, table: Mapping[str, Any], clean: Mapping[str, Any], origin: Origin | None = None
) -> BehaviourRow:
    """Return a row of behaviour of a sifted document."""
    show = tuple((lamp, word) for lamp, word in table.get("show", {}).items() if word is not None)
    when = table.get("when", {"": ""})
    return BehaviourRow(number, _when(when, clean), show, _failures(when, clean), origin)


def code_settings(code: Mapping[str, Any], clean: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return the settings that a code tells apart, each a `when` with what holds besides in all."""
    settings, control = code.get("tell_apart"), code.get("control")
    if settings is None:
        settings = [{control: position} for position in positions_of(clean, control)]
    return [{**code.get("when", {}), **setting} for setting in settings]


def positions_of(clean: Mapping[str, Any], control: str | None) -> tuple[str, ...]:
    """Return the positions of a control of a document, none where it has no such control or says none."""
    table = clean.get("controls", {}).get(control)
    if not table:
        return ()
    return tuple(table.get("positions", ())) if table["kind"] == "positions" else (OFF, ON)


def code_patterns(code: Mapping[str, Any]) -> list[dict[str, str]]:
    """Return every pattern of a code's words over its lamps, the first lamp slowest."""
    patterns = product(code["words"], repeat=len(code["lamps"]))
    shown = [pattern for pattern in patterns if code["blank"] or not set(pattern) <= set(DARKNESS)]
    return [dict(zip(code["lamps"], pattern, strict=True)) for pattern in shown]


def own_lamp(name: str, table: Mapping[str, Any]) -> OwnLamp:
    """Return a lamp of the user's own from its sifted table."""
    filaments = tuple(_own_filament(one, table["volts"]) for one in (table, table.get("minor")) if one)
    plain = {key: said for key, said in table.items() if key in OwnLamp.__dataclass_fields__}
    return OwnLamp(name=name, filaments=filaments, **plain)


def _own_filament(table: Mapping[str, Any], volts: float) -> OwnFilament:
    volts = table.get("volts", volts)
    watts = table["watts"] if "watts" in table else volts * table["amps"]
    return OwnFilament(volts, watts, table.get("lumens"), table.get("kelvin"))


def zone_of(place: Mapping[str, Any]) -> tuple[tuple[str, str], ...]:
    """Return each thing with its zone."""
    found: list[tuple[str, str]] = []
    for key, item in place.items():
        if isinstance(item, list):
            found += [(thing, key) for thing in item]
        elif isinstance(item, str):
            found.append((key, item))
    return tuple(found)


def _wiring(table: Mapping[str, Any], pairs: Mapping[str, tuple[str, str]]) -> Wiring:
    lengths = table.get("lengths", {}).items()
    return Wiring(
        length=table["length"],
        lengths=tuple((*pairs[key], metres) for key, metres in lengths if key in pairs),
        sizes=(table["size"],) if "size" in table else tuple(table.get("sizes", SIZES)),
        most_drop=table["most_drop"],
        celsius=table["celsius"],
    )


def _stock(table: Mapping[str, Any]) -> PartsBox:
    prices = dict(table.get("prices", {}))
    resistor_price = prices.pop("resistor", None)
    return PartsBox(
        builds=tuple(table["builds"]),
        least_margin=table["least_margin"],
        alike=tuple(table["alike"]),
        lamps=tuple(table.get("lamps", {}).items()),
        diodes=tuple(table.get("diodes", {}).items()),
        resistors=tuple(StockedResistor(**row) for row in table.get("resistors", ())),
        prices=tuple(prices.items()),
        resistor_price=resistor_price,
    )


def _digest(spec: Spec) -> str:
    content = {key: said for key, said in asdict(spec).items() if key not in ("name", "digest", "text")}
    # a spec without a table or key of a later version keeps the digest it had before there was one
    for key in ("wiring", "stock"):
        if content[key] is None:
            del content[key]
    if content["levels"]["dark"] == DEFAULT_LEVELS.dark:
        del content["levels"]["dark"]
    for key in ("types", "alike", "brighter", "ways"):
        if not content[key]:
            del content[key]
    if content["supply"]["system"].is_integer():
        content["supply"]["system"] = int(content["supply"]["system"])
    if content["extras"]["lamps"] is None:
        del content["extras"]["lamps"]
    for lamp in content["lamps"]:
        del lamp["is_helper"]
        if lamp["colour"] is None:
            del lamp["colour"]
    for said in (*content["behaviour"], *content["same"]):
        said.pop("origin", None)
        if not any(said["failures"].values()):
            del said["failures"]
    for row in (row for rows in content.get("ways", ()) for row in rows):
        row["origin"] = str(Origin(**row["origin"]))
    written = json.dumps([VERSION, content], sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(written.encode()).hexdigest()
