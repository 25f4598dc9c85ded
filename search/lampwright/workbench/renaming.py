"""Another name for a control or a lamp wherever a document names it, or none: then what is said of it goes.

No source: our format.
"""

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from lampwright.spec.model import FAILURES
from lampwright.workbench.asked import asked_of
from lampwright.workbench.change import refused
from lampwright.workbench.toml_edit import Document, put, relisted, renamed

SETTINGS = {"behaviour": ("when",), "same": ("when",), "brighter": ("when", "versus"), "code": ("when",)}
"""The keys of rows that name controls with their positions."""


def things_of(document: Document) -> list[str]:
    """The names that no other thing may have."""
    asked = asked_of(document)
    names = [one.name for one in asked.controls] + [one.name for one in asked.lamps]
    return [*names, *asked.filaments, *FAILURES, "supply"]


def rename_control(document: Document, old: str, new: str | None) -> None:
    """Another name for a control, or none. Raises InputError for a name that is taken."""
    _expect_free(document, old, new)
    renamed(document, "controls", _to(old, new))
    for holder, key in _settings_in(document):
        renamed(holder, key, _to(old, new))
        relisted(holder[key], "fuse_blown", old, new)
    for code in _rows(document, "code"):
        relisted(code, "control", old, new)
    _drop(document, "code", lambda row: "control" in row or "tell_apart" in row)
    _rename_placed(document, old, new)


def rename_lamp(document: Document, old: str, new: str | None) -> None:
    """Another name for a lamp, or none. Raises InputError for a name that is taken."""
    _expect_free(document, old, new)
    filaments = next((one.filaments for one in asked_of(document).lamps if one.name == old), (old,))
    renamed(document, "lamps", _to(old, new))
    for name in dict.fromkeys((*filaments, old) if new is None else (old,)):
        rename_filament(document, name, new)
    groups = document.get("alike")
    if isinstance(groups, list) and any(old in group for group in groups if isinstance(group, list)):
        kept = [[new if one == old else one for one in group if new or one != old] for group in groups]
        put(document, ("alike",), [group for group in kept if len(group) > 1] or None)
    _rename_placed(document, old, new)
    stock = document.get("stock")
    if isinstance(stock, Mapping):
        relisted(stock, "alike", old, new)


def rename_filament(document: Document, old: str, new: str | None) -> None:
    """Another name for a filament in what is asked, or none."""
    for row in (*_rows(document, "behaviour"), *_alternative_rows(document)):
        if isinstance(row.get("show"), Mapping):
            renamed(row, "show", _to(old, new))
    for holder, key in _settings_in(document):
        for failure in ("failed", "ground_lost"):
            relisted(holder[key], failure, old, new)
    _drop(document, "behaviour", lambda row: bool(row.get("show", True)))
    for row in (*_rows(document, "same"), *_rows(document, "code")):
        relisted(row, "lamps", old, new)
    _drop(document, "same", lambda row: len(row.get("lamps", ())) > 1)
    _drop(document, "code", lambda row: "lamps" in row)
    if new is None:
        _drop(document, "brighter", lambda row: old not in (row.get("lamp"), row.get("than")))
    for row in _rows(document, "brighter"):
        relisted(row, "lamp", old, new)
        relisted(row, "than", old, new)


def _settings_in(document: Document) -> Iterator[tuple[Any, Any]]:
    """Yield every list or table that names controls, by what holds it and where."""
    rows = [(row, key) for table, keys in SETTINGS.items() for row in _rows(document, table) for key in keys]
    rows += [(row, "when") for row in _alternative_rows(document)]
    yield from ((row, key) for row, key in rows if isinstance(row.get(key), Mapping))
    for code in _rows(document, "code"):
        yield from ((code["tell_apart"], at) for at in range(len(code.get("tell_apart", ()))))


def _alternative_rows(document: Document) -> Iterator[Any]:
    """Yield the rows of every alternative."""
    for either in _rows(document, "either"):
        for option in either.get("rows", ()):
            yield from option if isinstance(option, list) else [option]


def _drop(document: Document, name: str, is_kept: Callable[[Any], bool]) -> None:
    """Rows that say nothing any more go, and their list with the last."""
    rows = _rows(document, name)
    gone = [at for at, row in enumerate(rows) if isinstance(row, Mapping) and not is_kept(row)]
    for at in reversed(gone):
        del rows[at]
    if gone and not rows:
        document.pop(name)


def _rename_placed(document: Document, old: str, new: str | None) -> None:
    place = document.get("place")
    if not isinstance(place, Mapping):
        return
    if isinstance(place.get(old), str):
        renamed(document, "place", _to(old, new))
    for key in list(place):
        if isinstance(place[key], list):
            relisted(place, key, old, new)


def _rows(document: Document, key: str) -> Any:
    rows = document.get(key)
    return rows if isinstance(rows, list) else []


def _to(old: str, new: str | None) -> Callable[[str], str | None]:
    return lambda key: new if key == old else key


def _expect_free(document: Document, old: str, new: str | None) -> None:
    if new is None or new == old:
        return
    if not new:
        raise refused(old, "a name is missing", "write one")
    if new in things_of(document):
        raise refused(old, f'"{new[:40]}" is the name of something else', "write another name")
