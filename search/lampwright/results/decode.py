"""A stored ranking read back, or refused with every reason why.

The rows' own types say what is allowed where: each object must have exactly the fields of
its row, each value the type of its field. A file of another format version, or one that was
cut short or edited by hand, is an input error and never a traceback. No source: our format.
"""

import json
import types
from collections.abc import Callable
from typing import Any, Literal, TypeVar, Union, get_args, get_origin, get_type_hints

from msgspec.structs import fields

from lampwright.errors import Finding, InputError
from lampwright.results.encode import key_of
from lampwright.results.ranking import FORMAT, Ranking
from lampwright.results.row import Row

REMEDY = "use a ranking.json as a run wrote it, or run the search again"
NAMES = {
    str: "a text",
    int: "a whole number",
    float: "a number",
    bool: "true or false",
    types.NoneType: "null",
}

_Row = TypeVar("_Row", bound=Row)
_Tell = Callable[[str, str], None]


def from_json(text: str, place: str = "ranking.json") -> Ranking:
    """Read a ranking from the text of its file.

    place: what to call the file in a message. Raises InputError with all findings.
    """
    found: list[Finding] = []

    def tell(where: str, said: str) -> None:
        found.append(Finding(f"{place}: {where}" if where else place, said, REMEDY))

    ranking = _read(text, tell)
    if found or ranking is None:
        raise InputError(found)
    return ranking


def _read(text: str, tell: _Tell) -> Ranking | None:
    """Parse, look at the format version, then read the rows."""
    try:
        plain = json.loads(text)
    except json.JSONDecodeError as error:
        tell(f"line {error.lineno}", f"this is not JSON ({error.msg})")
        return None
    if not isinstance(plain, dict) or "format" not in plain:
        tell("", "this is no ranking: it has no format version")
        return None
    if plain["format"] != FORMAT:
        tell("format", f"the version is {plain['format']!r}, and this program reads version {FORMAT}")
        return None
    return _row(Ranking, plain, "", tell)


def _row(row: type[_Row], plain: Any, where: str, tell: _Tell) -> _Row | None:
    """Read one object; tell of every key missing or unknown."""
    if not isinstance(plain, dict):
        tell(where, f"{_said(plain)} stands where an object belongs")
        return None
    hints = get_type_hints(row)
    columns = {key_of(field.name): field for field in fields(row)}
    for key in sorted(plain.keys() - columns.keys()):
        tell(where, f'the key "{key}" is unknown')
    values = {}
    for key, field in columns.items():
        if key in plain:
            below = f"{where}.{key}" if where else key
            values[field.name] = _value(hints[field.name], plain[key], below, tell)
        elif field.required:
            tell(where, f'the key "{key}" is missing')
            values[field.name] = None
    return row(**values)


def _value(hint: Any, plain: Any, where: str, tell: _Tell) -> Any:
    """Read one value as its field's type says."""
    if _is_row(hint):
        return _row(hint, plain, where, tell)
    lists = [choice for choice in _choices(hint) if get_origin(choice) is tuple]
    if lists and (plain is not None or hint is lists[0]):
        return _list(get_args(lists[0])[0], plain, where, tell)
    rows = [choice for choice in _choices(hint) if _is_row(choice)]
    if rows and plain is not None:
        return _row(rows[0], plain, where, tell)
    if not _is_one_of(_choices(hint), plain):
        tell(where, f"{_said(plain)} stands where {_wanted(hint)} belongs")
        return None
    return float(plain) if float in _choices(hint) and plain is not None else plain


def _list(hint: Any, plain: Any, where: str, tell: _Tell) -> tuple[Any, ...]:
    """Read a list, entry by entry; entries are counted from 1 in messages."""
    if not isinstance(plain, list):
        tell(where, f"{_said(plain)} stands where a list belongs")
        return ()
    return tuple(_value(hint, entry, f"{where}[{number}]", tell) for number, entry in enumerate(plain, 1))


def _is_row(hint: Any) -> bool:
    return isinstance(hint, type) and issubclass(hint, Row)


def _choices(hint: Any) -> tuple[Any, ...]:
    """Give the types, or the words, a field may hold."""
    if get_origin(hint) in (Union, types.UnionType, Literal):
        return get_args(hint)
    return (hint,)


def _is_one_of(choices: tuple[Any, ...], plain: Any) -> bool:
    """Tell whether a value is one of the words, or of one of the types; a whole number is a number."""
    if type(plain) is int and float in choices:
        return True
    return any(plain == choice if isinstance(choice, str) else type(plain) is choice for choice in choices)


def _wanted(hint: Any) -> str:
    """Say what a field may hold."""
    return " or ".join(
        f'"{choice}"' if isinstance(choice, str) else NAMES[choice] for choice in _choices(hint)
    )


def _said(plain: Any) -> str:
    """Say what was read, shortly."""
    if isinstance(plain, dict):
        return "an object"
    if isinstance(plain, list):
        return "a list"
    said = json.dumps(plain, ensure_ascii=False)
    return said if len(said) <= 40 else said[:36] + '..."'
