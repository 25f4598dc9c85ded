"""From a sifted document to the frozen `Spec`, with its digest.

The digest is sha256 over the content written out in one canonical way, so that comments,
spaces, and `8` for `8.0` change nothing, and any change of meaning does.
"""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from math import inf
from typing import Any

from lampwright.spec.fields import VERSION
from lampwright.spec.levels import DEFAULT_LEVELS
from lampwright.spec.model import (
    Band,
    Bounds,
    Control,
    Diodes,
    Extras,
    Lamp,
    Levels,
    Place,
    Position,
    Resistors,
    Row,
    Same,
    Spec,
    Stock,
    StockedResistor,
    Supply,
    Wiring,
    switch,
)
from lampwright.spec.shapes import ABSENT
from lampwright.spec.wiring_fields import CELSIUS, LENGTH, MOST_DROP, SIZES


@dataclass(frozen=True)
class ZonePair:
    """Two zones, or one twice, that a wire may join."""

    first: str
    second: str

    @property
    def names(self) -> tuple[str, ...]:
        """The ways to write it."""
        return tuple(dict.fromkeys((f"{self.first}-{self.second}", f"{self.second}-{self.first}")))


def build_spec(clean: Mapping[str, Any], name: str, text: str) -> Spec:
    """Return the spec of a sifted document; optional tables may be missing."""
    search = clean.get("search", {"joints": 1, "wires": 0})
    spec = Spec(
        name=name,
        title=clean.get("title", ""),
        supply=_supply(clean["supply"]),
        controls=build_controls(clean["controls"]),
        lamps=tuple(_lamp(key, table) for key, table in clean["lamps"].items()),
        extras=_extras(clean.get("extras", {})),
        bounds=Bounds(search["joints"], search["wires"]),
        levels=build_levels(clean.get("levels", {})),
        behaviour=tuple(_row(n, row) for n, row in enumerate(clean["behaviour"], 1) if row is not ABSENT),
        same=tuple(Same(tuple(s["lamps"]), _when(s["when"]), s["within"]) for s in clean.get("same", ())),
        place=_place(clean.get("place", {})),
        digest="",
        text=text,
        wiring=_wiring(clean["wiring"], zone_pairs(clean.get("place", {}))) if "wiring" in clean else None,
        stock=_stock(clean["stock"]) if "stock" in clean else None,
    )
    return replace(spec, digest=_digest(spec))


def build_controls(table: Mapping[str, Any]) -> tuple[Control, ...]:
    """Return the controls in file order, each with its positions."""
    return tuple(_control(name, item) for name, item in table.items())


def build_levels(table: Mapping[str, Any]) -> Levels:
    """Return the bands, the file's over the defaults; one number is the edge that matters."""
    off, lit, full = (table.get(word) for word in ("off", "lit", "full"))
    dim, dark = table.get("dim"), table.get("dark")
    return Levels(
        off=DEFAULT_LEVELS.off if off is None else _band(off if isinstance(off, list) else [0.0, off]),
        dim=DEFAULT_LEVELS.dim if dim is None else _band(dim),
        lit=DEFAULT_LEVELS.lit if lit is None else _band(lit if isinstance(lit, list) else [lit, inf]),
        full=DEFAULT_LEVELS.full if full is None else _band(full if isinstance(full, list) else [full, inf]),
        dark=DEFAULT_LEVELS.dark if dark is None else float(dark),
    )


def _band(pair: list[float]) -> Band:
    return Band(pair[0], pair[1])


def _supply(table: Mapping[str, Any]) -> Supply:
    low, normal, high = table["volts"]
    return Supply(table["system"], (low, normal, high), table["always_live"])


def _control(name: str, table: Mapping[str, Any]) -> Control:
    most_amps = table.get("most_amps")
    if table["kind"] != "positions":
        return switch(name, table["feed"], table["kind"], most_amps)
    positions = tuple(
        Position(position, tuple((a, b) for a, b in pairs)) for position, pairs in table["positions"].items()
    )
    return Control(name, "positions", None, positions, most_amps)


def _lamp(name: str, table: Mapping[str, Any]) -> Lamp:
    return Lamp(name, tuple(table["choose"]), tuple(table.get("filaments", (name,))), table.get("common"))


def _extras(table: Mapping[str, Any]) -> Extras:
    resistors, diodes = table.get("resistors"), table.get("diodes")
    return Extras(
        resistors=None if resistors is None else _resistors(resistors),
        diodes=None if diodes is None else Diodes(diodes["most"], tuple(diodes["choose"])),
    )


def _resistors(table: Mapping[str, Any]) -> Resistors:
    least, greatest = table["ohms"]
    watts = tuple(sorted(float(watt) for watt in table["watts"]))
    return Resistors(table["most"], table["series"], (least, greatest), watts, table.get("tolerance"))


def _when(table: Mapping[str, Any]) -> tuple[tuple[str, str], ...]:
    # a position that could not be read matches no setting, so that its row covers none
    return tuple((control, "" if position is ABSENT else position) for control, position in table.items())


def _row(number: int, table: Mapping[str, Any]) -> Row:
    unreadable = (("", ""),)
    when = _when(table["when"]) if "when" in table else unreadable
    show = tuple((lamp, word) for lamp, word in table.get("show", {}).items() if word is not ABSENT)
    return Row(number, when, show)


def _place(table: Mapping[str, Any]) -> Place:
    zone_of: list[tuple[str, str]] = []
    for key, item in table.items():
        if isinstance(item, list):
            zone_of += [(thing, key) for thing in item]
        elif isinstance(item, str):
            zone_of.append((key, item))
    return Place(tuple(zone_of), table.get("most_conductors"))


def zone_pairs(table: Mapping[str, Any]) -> tuple[ZonePair, ...]:
    """Return every two zones of `[place]`, a zone with itself among them, in order of the file."""
    zones = tuple(dict.fromkeys(zone for _, zone in _place(table).zone_of))
    return tuple(ZonePair(a, b) for at, a in enumerate(zones) for b in zones[at:])


def _wiring(table: Mapping[str, Any], pairs: tuple[ZonePair, ...]) -> Wiring:
    named = {name: pair for pair in pairs for name in pair.names}
    lengths = tuple(
        (named[key].first, named[key].second, metres)
        for key, metres in table.get("lengths", {}).items()
        if key in named
    )
    sizes = (table["size"],) if "size" in table else tuple(table.get("sizes", SIZES))
    return Wiring(
        table.get("length", LENGTH),
        lengths,
        sizes,
        table.get("most_drop", MOST_DROP),
        table.get("celsius", CELSIUS),
    )


def _stock(table: Mapping[str, Any]) -> Stock:
    prices = dict(table.get("prices", {}))
    resistor_price = prices.pop("resistor", None)
    return Stock(
        builds=tuple(table["builds"]),
        least_margin=table["least_margin"],
        alike=tuple(table["alike"]),
        lamps=tuple(table.get("lamps", {}).items()),
        diodes=tuple(table.get("diodes", {}).items()),
        resistors=tuple(
            StockedResistor(row["ohms"], row["watts"], row["have"], row.get("price"))
            for row in table.get("resistors", ())
        ),
        prices=tuple(prices.items()),
        resistor_price=resistor_price,
    )


def _digest(spec: Spec) -> str:
    content = asdict(spec)
    for key in ("name", "digest", "text"):
        del content[key]
    # a spec without a table or key of a later version keeps the digest it had before there was one
    for key in ("wiring", "stock"):
        if content[key] is None:
            del content[key]
    if content["levels"]["dark"] == DEFAULT_LEVELS.dark:
        del content["levels"]["dark"]
    written = json.dumps([VERSION, content], sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(written.encode()).hexdigest()
