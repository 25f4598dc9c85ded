"""JSON Schema of the stored results, made from the rows themselves.

The rows are the one place where the format is stated; their docstrings become the
descriptions, their types the types, the rounding table the units. The schemas are
shipped beside this file, and a test holds them to what is made here.
Source: JSON Schema, draft 2020-12.
"""

import inspect
import json
import types
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

from msgspec.structs import FieldInfo, fields

from lampwright.results.encode import Json, key_of
from lampwright.results.explanation import Explanation
from lampwright.results.ranking import FORMAT, CheckReport, Ranking
from lampwright.results.rounding import BY_FIELD
from lampwright.results.row import Row

DIALECT = "https://json-schema.org/draft/2020-12/schema"
Which = Literal["ranking", "check", "explanation"]
ROOTS: dict[Which, type[Row]] = {"ranking": Ranking, "check": CheckReport, "explanation": Explanation}
TITLES: dict[Which, str] = {
    "ranking": "ranking.json of lampwright",
    "check": "what `lampwright check --json` prints",
    "explanation": "what `lampwright explain --json` prints",
}
SIMPLE: dict[type, str] = {str: "string", float: "number", bool: "boolean", types.NoneType: "null"}


def schema_text(which: Which) -> str:
    """Write the schema of a ranking, a check report or an explanation as JSON."""
    below: dict[str, Json] = {}
    root = _row(ROOTS[which], below)
    schema: dict[str, Json] = {"$schema": DIALECT, "title": TITLES[which], **root}
    schema["$defs"] = {name: below[name] for name in sorted(below)}
    return json.dumps(schema, indent=2, ensure_ascii=False) + "\n"


def _row(row: type[Row], below: dict[str, Json]) -> dict[str, Json]:
    """Describe one row, and, in `below`, the rows it holds."""
    hints = get_type_hints(row)
    columns = fields(row)
    needed: list[Json] = [key_of(field.name) for field in columns if field.default is not None]
    return {
        "description": inspect.getdoc(row) or "",
        "type": "object",
        "properties": {key_of(field.name): _field(field, hints[field.name], below) for field in columns},
        "required": needed,
        "additionalProperties": False,
    }


def _field(field: FieldInfo, hint: Any, below: dict[str, Json]) -> dict[str, Json]:
    """Describe one field; one that is None by default is left out of the file rather than null."""
    if field.name == "format":
        return {"description": "Version of this format.", "const": FORMAT}
    described = _type(_without_none(hint) if field.default is None else hint, below)
    if field.name in BY_FIELD:
        rule = BY_FIELD[field.name]
        said = f"[{rule.unit}], whole" if described.get("type") == "integer" else rule.describe()
        return {"description": said, **described}
    return described


def _type(hint: Any, below: dict[str, Json]) -> dict[str, Json]:
    """Describe what a type allows."""
    if _is_row(hint):
        return _reference(hint, below)
    if get_origin(hint) is tuple:
        return {"type": "array", "items": _type(get_args(hint)[0], below)}
    if get_origin(hint) is Literal:
        return {"enum": list(get_args(hint))}
    if get_origin(hint) in (Union, types.UnionType):
        if any(_is_row(choice) for choice in get_args(hint)):
            return {"anyOf": [_type(choice, below) for choice in get_args(hint)]}
        return {"type": [SIMPLE[choice] for choice in get_args(hint)]}
    if hint is int:
        return {"type": "integer", "minimum": 0}
    return {"type": SIMPLE[hint]}


def _reference(row: type[Row], below: dict[str, Json]) -> dict[str, Json]:
    """Refer to a row, describing it the first time it is met."""
    if row.__name__ not in below:
        below[row.__name__] = {}
        below[row.__name__] = _row(row, below)
    return {"$ref": f"#/$defs/{row.__name__}"}


def _is_row(hint: Any) -> bool:
    return isinstance(hint, type) and issubclass(hint, Row)


def _without_none(hint: Any) -> Any:
    """Give the one type an optional field holds when it is there."""
    return next(choice for choice in get_args(hint) if choice is not types.NoneType)
