"""What each change of the page does to the document of a spec.

Every edit takes the document and a `Change`, and changes the one in place; `EDITS` names them all.
What a changed spec then lacks or contradicts is no business of theirs: the findings say it.
"""

from collections.abc import Mapping
from typing import Any

from lampwright.spec.model import GROUND
from lampwright.workbench.asked import asked_of
from lampwright.workbench.change import Change, number_of, refused
from lampwright.workbench.renaming import rename_control, rename_filament, rename_lamp, things_of
from lampwright.workbench.toml_edit import Document, Edit, inline, put, table_of

SEVERAL = ("supply.volts",)
MOST_SELECTOR = 2000


def edit_title(document: Document, change: Change) -> None:
    """The title."""
    put(document, ("title",), change.value.strip())


def edit_supply(document: Document, change: Change) -> None:
    """A voltage of the supply: the system's, or the low, normal or high one."""
    if change.key == "always_live":
        put(document, ("supply", "always_live"), change.value == "true")
        return
    value = number_of(change, "volts")
    if change.key == "system":
        _scaled(document, value)
        return
    at = {"low": 0, "normal": 1, "high": 2}.get(change.key)
    if at is None or value is None:
        raise refused("supply", "a voltage is missing", "write low, normal and high volts")
    said = table_of(document, "supply").get("volts")
    volts = list(said) if isinstance(said, list) and len(said) == 3 else [0, 0, 0]
    volts[at] = value
    put(document, ("supply", "volts"), volts)


USUAL: Mapping[float, tuple[float, float, float]] = {
    6: (5.6, 6.75, 7.2),
    12: (11.8, 13.5, 14.4),
    24: (23.0, 27.0, 28.8),
}
"""Low, normal and high volts of the usual systems. No source: common practice."""


def _scaled(document: Document, system: float | None) -> None:
    """Another system: its usual volts take the place of volts that were usual for the one before."""
    supply = table_of(document, "supply")
    before, volts = supply.get("system"), supply.get("volts")
    put(document, ("supply", "system"), system)
    if (
        system is not None
        and system in USUAL
        and (volts is None or (before in USUAL and tuple(volts) == USUAL[before]))
    ):
        put(document, ("supply", "volts"), USUAL[system])


def add_control(document: Document, change: Change) -> None:
    """A new control: key is its kind, name what it is called, value the terminal it feeds."""
    controls = table_of(document, "controls")
    feed = change.value.strip()
    name = _free(change.name.strip() or f"feed {feed}", [*controls, *things_of(document)])
    if change.key == "positions":
        fields: dict[str, object] = {
            "kind": "positions",
            "positions": {"off": [], "on": [["30", feed or "A"]]},
        }
    else:
        fields = {"kind": "flasher" if change.key == "flasher" else "switch", "feed": feed}
    _append(controls, name, fields)


def add_plug(document: Document, change: Change) -> None:
    """The feeds of a coupling: value has `terminal=name` or `terminal=name*` (a flasher), one a line."""
    known = {control.feed for control in asked_of(document).controls}
    for line in change.value.splitlines()[:16]:
        terminal, _, name = line.partition("=")
        if terminal in known:
            continue
        kind = "flasher" if name.endswith("*") else "switch"
        add_control(document, Change("add", name.rstrip("*"), kind, "", terminal))


def edit_control(document: Document, change: Change) -> None:
    """A field of a control: its name, kind, feed, most amps or positions."""
    table = _own(document, "controls", change.name)
    match change.key:
        case "name":
            rename_control(document, change.name, change.value.strip())
        case "kind":
            _change_kind(table, change.value)
        case "feed":
            table["feed"] = inline(change.value.strip())
        case "most_amps":
            put(document, ("controls", change.name, "most_amps"), number_of(change, "amps"))
        case "positions":
            table["positions"] = inline(_selector(change.value))
        case _:
            raise refused(change.name, f"a control has no {change.key}", "load the page again")


def _change_kind(table: Any, kind: str) -> None:
    if kind not in ("switch", "flasher", "positions"):
        raise refused("kind", "this is no kind of control", "choose switch, flasher or selector")
    feed = table.get("feed")
    table["kind"] = inline(kind)
    if kind == "positions":
        table.pop("feed", None)
        table["positions"] = inline({"off": [], "on": [["30", feed or "A"]]})
    elif "positions" in table:
        ends = [end for pairs in table["positions"].values() for pair in pairs for end in pair]
        table.pop("positions")
        table["feed"] = inline(next((end for end in ends if end not in ("30", GROUND)), "A"))


def _selector(text: str) -> dict[str, list[list[str]]]:
    """Positions as they are typed, a line each: `left: 30-L, 31-A`."""
    positions: dict[str, list[list[str]]] = {}
    for line in text[:MOST_SELECTOR].splitlines():
        name, colon, joins = line.partition(":")
        if not line.strip():
            continue
        pairs = [[end.strip() for end in pair.split("-")] for pair in joins.split(",") if pair.strip()]
        if not colon or any(len(pair) != 2 for pair in pairs):
            raise refused("positions", f'"{line.strip()[:40]}" is no position', "write left: 30-L, 31-A")
        positions[name.strip()] = pairs
    return positions


def remove_control(document: Document, change: Change) -> None:
    """Take a control away, and what rows say of it."""
    rename_control(document, change.name, None)


def add_lamp(document: Document, change: Change) -> None:
    """A new lamp: value is its type, name what it is called, key `2` where it has two filaments."""
    lamps = table_of(document, "lamps")
    name = _free(change.name.strip() or "lamp", [*lamps, *things_of(document)])
    fields: dict[str, object] = {"choose": [change.value]}
    if change.key == "2":
        taken = [*lamps, *things_of(document)]
        fields["filaments"] = [_free(f"{name} stop", taken), _free(f"{name} tail", taken)]
        fields["common"] = GROUND
    _append(lamps, name, fields)


def edit_lamp(document: Document, change: Change) -> None:
    """A field of a lamp: its name, a filament's name, where its holder is earthed, or its types."""
    table = _own(document, "lamps", change.name)
    match change.key:
        case "name":
            rename_lamp(document, change.name, change.value.strip())
        case "common":
            put(document, ("lamps", change.name, "common"), change.value or None)
        case "more":
            _retyped(table, [*table.get("choose", ()), change.value])
        case "less":
            _retyped(table, [one for one in table.get("choose", ()) if one != change.value])
        case key if key.startswith("filament "):
            _rename_filament(document, table, int(key[-1]), change.value.strip())
        case _:
            raise refused(change.name, f"a lamp has no {change.key}", "load the page again")


def _retyped(table: Any, types: list[str]) -> None:
    table["choose"] = inline(list(dict.fromkeys(str(one) for one in types)))


def _rename_filament(document: Document, table: Any, at: int, new: str) -> None:
    names = [str(name) for name in table.get("filaments", ())]
    if not 0 <= at < len(names) or not new:
        raise refused("filaments", "there is no such filament, or no name", "write a name")
    old, names[at] = names[at], new
    table["filaments"] = inline(names)
    rename_filament(document, old, new)


def remove_lamp(document: Document, change: Change) -> None:
    """Take a lamp away, and what is asked of it."""
    rename_lamp(document, change.name, None)


def edit_extras(document: Document, change: Change) -> None:
    """Whether resistors, diodes or helper lamps are allowed, how many, and which."""
    if change.name not in ("resistors", "diodes", "lamps"):
        raise refused("extras", "there is nothing of this name", "load the page again")
    path = ("extras", change.name)
    own: Any = document.get("extras", {})
    said = (
        dict(own[change.name])
        if isinstance(own, Mapping) and change.name in own
        else _first(change.name, document)
    )
    match change.key:
        case "most":
            most = number_of(change, "parts") or 0
            put(document, path, None if most == 0 else said | {"most": most})
        case "low" | "high":
            ohms = list(said.get("ohms", (1, 100)))
            ohms[change.key == "high"] = number_of(change, "ohms") or 1
            put(document, path, said | {"ohms": ohms})
        case "series":
            put(document, path, said | {"series": change.value})
        case "choose":
            types = [one.strip() for one in change.value.split(",") if one.strip()]
            put(document, path, said | {"choose": types})
        case _:
            raise refused("extras", f"there is no {change.key}", "load the page again")


def _first(name: str, document: Document) -> dict[str, Any]:
    """What is written of extras when they are first allowed."""
    if name == "resistors":
        return {"most": 1, "series": "E6", "ohms": [1, 100], "watts": [5, 10, 25]}
    if name == "diodes":
        return {"most": 1, "choose": ["1N5404"]}
    single = [one for lamp in asked_of(document).lamps if len(lamp.filaments) == 1 for one in lamp.choose]
    return {"most": 1, "choose": single[:1] or ["P21W"]}


def edit_bounds(document: Document, change: Change) -> None:
    """How many joints and wires the search may use."""
    if change.key not in ("joints", "wires"):
        raise refused("search", f"there is no {change.key}", "load the page again")
    put(document, ("search", change.key), number_of(change, change.key) or 0)


def _own(document: Document, key: str, name: str) -> Any:
    tables: Any = document.get(key, {})
    if not isinstance(tables, Mapping) or not isinstance(tables.get(name), Mapping):
        raise refused(name or key, "there is none of this name any more", "look at the page as it is now")
    return tables[name]


def _append(tables: Any, name: str, fields: Mapping[str, object]) -> None:
    import tomlkit

    table = tomlkit.table()
    for key, value in fields.items():
        table.append(key, inline(value))
    tables.append(name, table)


def _free(name: str, taken: list[str]) -> str:
    """A name that nothing has yet."""
    if name not in taken:
        return name
    return next(f"{name} {n}" for n in range(2, 1000) if f"{name} {n}" not in taken)


EDITS: Mapping[str, Edit] = {
    "title": edit_title,
    "supply": edit_supply,
    "control.add": add_control,
    "control.plug": add_plug,
    "control.edit": edit_control,
    "control.remove": remove_control,
    "lamp.add": add_lamp,
    "lamp.edit": edit_lamp,
    "lamp.remove": remove_lamp,
    "extras": edit_extras,
    "bounds": edit_bounds,
}
"""The changes that concern one place of the file; those of the board stand in `wishes`."""
