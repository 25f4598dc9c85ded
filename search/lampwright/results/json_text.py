"""Rows as JSON text: a result written, a stored ranking read back, and the schema of each.

Keys, types, units and digits are those that the rows declare (`results.row`). Writing: one object per row,
the fields in the order they are declared, the kind of a statement last; what a row need not have and has not
(the ohms of a wire) is left out, and what has no finite value is null; the same result always gives the same
bytes. Reading: each object must have exactly the keys of its row, each value the type of its field, so a file
of another version, cut short or edited by hand, is an input error and never a traceback. No source: our
format; schemas are JSON Schema, draft 2020-12.
"""

import json
import re
from collections.abc import Iterator
from functools import cache
from inspect import cleandoc
from itertools import repeat
from types import UnionType
from typing import Any, Literal, TypeAlias, TypeVar, get_args, get_origin

import msgspec
from msgspec.json import schema_components
from msgspec.structs import fields

from lampwright.errors import Finding, InputError
from lampwright.results.atlas import Atlas
from lampwright.results.design import Rating
from lampwright.results.explanation import Explanation
from lampwright.results.fitting import LampFit
from lampwright.results.ranking import FORMAT, Catalogue, CheckReport, CountReport, Curves, Ranking
from lampwright.results.row import BY_UNIT, IN_UNIT, Row, rounding, written
from lampwright.results.sheet import BenchSheet

Result: TypeAlias = (
    Ranking | CheckReport | CountReport | Catalogue | Curves | Explanation | LampFit | Atlas | BenchSheet
)
Written = TypeVar("Written", bound=Row)
Which = Literal["ranking", "check", "explanation", "atlas", "sheet"]
ROOTS: dict[Which, type[Row]] = {
    "ranking": Ranking,
    "check": CheckReport,
    "explanation": Explanation,
    "atlas": Atlas,
    "sheet": BenchSheet,
}
TITLES: dict[Which, str] = {
    "ranking": "ranking.json of lampwright",
    "check": "what `lampwright check --json` prints",
    "explanation": "what `lampwright explain --json` prints",
    "atlas": "atlas.json of lampwright",
    "sheet": "what `lampwright sheet --json` prints",
}
DIALECT = "https://json-schema.org/draft/2020-12/schema"

MOST_FAULTS = 20
"""So many faults of a file are told; of the others, how many there are."""

REMEDY = "use a ranking.json as a run wrote it, or run the search again"
NAMES = {
    "str": "a text",
    "int": "a whole number",
    "float": "a number",
    "bool": "true or false",
    "null": "null",
    "array": "a list",
    "object": "an object",
}
"""What the library calls a type, and what we do."""

_fields = cache(fields)


def to_json(result: Result) -> str:
    """Write a result as JSON, indented by two, ending in a newline.

    >>> from lampwright.results.ranking import Catalogue
    >>> print(to_json(Catalogue(lines=(), series=())), end="")
    {
      "lines": [],
      "series": []
    }
    """
    text = json.dumps(_object(result), ensure_ascii=False, allow_nan=False)
    # the same bytes as `json` gives that indents, which writes four times as long
    return msgspec.json.format(text, indent=2) + "\n"


def _object(row: Row) -> dict[str, Any]:
    """Turn one row into a JSON object."""
    plain: dict[str, Any] = {}
    for field in _fields(type(row)):
        value = getattr(row, field.name)
        if value is None and field.default is None:
            continue
        kind = field.type
        if isinstance(row, Rating) and rounding(kind) == IN_UNIT:
            kind = BY_UNIT[row.unit]
        plain[field.encode_name] = _value(value, kind, field.name)
    config = row.__struct_config__
    return {**plain, config.tag_field: config.tag} if config.tag_field else plain


def _value(value: object, kind: Any, name: str) -> object:
    """Turn one field's value into JSON."""
    match value:
        case Row():
            return _object(value)
        case tuple():
            return [_value(one, kind, name) for one in value]
        case float():
            return written(kind, value, name)
    return value


def as_written(result: Written) -> Written:
    """The same result with every figure as its file has it, so that text, page and file say one number.

    >>> from lampwright.results.design import NodeReading
    >>> as_written(NodeReading(node="54", volts=1.23456, held="live")).volts
    1.235
    """
    return msgspec.convert(_object(result), type(result))


def from_json(text: str, place: str = "ranking.json") -> Ranking:
    """Read a ranking from the text of its file.

    place: what to call the file in a message. Raises InputError with all that can be told to be wrong.
    """
    try:
        plain = json.loads(text, parse_constant=_refuse_constant)
    except json.JSONDecodeError as error:
        raise _refusal(place, [(f"line {error.lineno}", f"this is not JSON ({error.msg})")]) from error
    except (ValueError, RecursionError) as error:
        raise _refusal(place, [("", "this is not JSON (a number or a nest that no result has)")]) from error
    if not isinstance(plain, dict) or "format" not in plain:
        raise _refusal(place, [("", "this is no ranking: it has no format version")])
    if plain["format"] != FORMAT:
        said = f"the version is {plain['format']!r}, and this program reads version {FORMAT}"
        raise _refusal(place, [("format", said)])
    try:
        return msgspec.convert(plain, Ranking)
    except (msgspec.ValidationError, UnicodeEncodeError) as error:
        raise _refusal(place, _faults(plain, Ranking)) from error


def _refuse_constant(name: str) -> None:
    """Refuse NaN and Infinity, which Python reads and JSON has not."""
    raise ValueError(name)


def _refusal(place: str, faults: list[tuple[str, str]]) -> InputError:
    """Refuse a file for these faults: where each is in it, and what was read and why it cannot be."""
    told = faults[:MOST_FAULTS]
    if len(faults) > len(told):
        told.append(("", f"{len(faults) - len(told):,} more of its entries cannot stand"))
    return InputError(
        [Finding(f"{place}: {where}" if where else place, said, REMEDY) for where, said in told]
    )


def _faults(plain: Any, kind: Any, where: str = "") -> list[tuple[str, str]]:
    """Find all that keeps a value from being of a type; entries are counted from 1."""
    try:
        msgspec.convert(plain, kind)
    except UnicodeEncodeError:
        said = "half of a character stands in one of its texts"
    except msgspec.ValidationError as error:
        said = _fault(str(error), plain)
    else:
        return []
    return list(_faults_within(plain, kind, where)) or [(where, said)]


def _faults_within(plain: Any, kind: Any, where: str) -> Iterator[tuple[str, str]]:
    """Find what is wrong with the keys and entries of a value that may hold others."""
    kinds = get_args(kind) if get_origin(kind) is UnionType else (kind,)
    rows = [one for one in kinds if isinstance(one, type) and issubclass(one, Row)]
    lists = [get_args(one) for one in kinds if get_origin(one) is tuple]
    if isinstance(plain, dict) and rows:
        known = {field.encode_name: field for field in _fields(rows[0])}
        for key, field in known.items():
            if key in plain:
                yield from _faults(plain[key], field.type, f"{where}.{key}".removeprefix("."))
            elif field.required:
                yield where, f'the key "{key}" is missing'
        for key in (key for key in plain if key not in known):
            yield where, f"the key {_said(key)} is unknown"
    elif isinstance(plain, list) and lists:
        of = repeat(lists[0][0]) if lists[0][-1] is Ellipsis else lists[0]
        for number, (one, own) in enumerate(zip(plain, of, strict=False), 1):
            yield from _faults(one, own, f"{where}[{number}]")


def _fault(what: str, plain: Any) -> str:
    """Say what is wrong with a value, in our words."""
    wanted = re.match(r"Expected `([a-z |]+)`( >= 0)?(?: of length (\d+))?", what)
    if not wanted:
        return f"{_said(plain)} cannot stand here"
    belongs = " or ".join(NAMES.get(name, name) for name in wanted[1].split(" | "))
    more = " from 0 on" if wanted[2] else f" of {wanted[3]}" if wanted[3] else ""
    return f"{_said(plain)} stands where {belongs}{more} belongs"


def _said(plain: Any) -> str:
    """Say what was read, shortly."""
    if isinstance(plain, dict):
        return "an object"
    if isinstance(plain, list):
        return "a list"
    said = json.dumps(plain, ensure_ascii=False).encode(errors="backslashreplace").decode()
    return said if len(said) <= 40 else said[:36] + '..."'


def schema_text(which: Which) -> str:
    """Write the schema of a ranking, a check report, an explanation or an atlas as JSON."""
    schema = {"$schema": DIALECT, **_schema_of(ROOTS[which]), "title": TITLES[which]}
    return json.dumps(schema, indent=2, ensure_ascii=False) + "\n"


def _schema_of(root: type[Row]) -> dict[str, Any]:
    """Describe a row and all the rows it holds."""
    _, rows = schema_components([root], ref_template="#/$defs/{name}")
    for row in rows.values():
        row["description"] = cleandoc(row["description"])
        row["required"] = [key for key, value in row["properties"].items() if _is_always_there(value)]
    return {**rows.pop(root.__name__), "$defs": rows}


def _is_always_there(value: dict[str, Any]) -> bool:
    """Tell whether a key is written whatever its value; one that need not be is left out rather than null."""
    if value.pop("default", ...) is not None:
        return True
    (there,) = (choice for choice in value.pop("anyOf") if choice != {"type": "null"})
    value.update(there)
    return False
