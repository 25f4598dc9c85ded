"""The spec format as a JSON Schema (draft 2020-12), read off the table of fields.

For editors that complete and check while one writes. It says what the shapes say; what
needs two places of a file stays with the loader. `spec.schema.json` beside this module
is its text, and a test holds it to that.
"""

import json
from importlib import resources
from math import inf
from typing import Any

from lampwright.spec.fields import SPEC
from lampwright.spec.shapes import (
    ABSENT,
    Either,
    Field,
    Flag,
    ListOf,
    Number,
    OneOf,
    Shape,
    Table,
    Tagged,
    Text,
    Whole,
)

SCHEMA_FILE = "spec.schema.json"


def schema_text() -> str:
    """Return the schema as it is shipped."""
    return (resources.files("lampwright.spec") / SCHEMA_FILE).read_text(encoding="utf-8")


def write_schema_text() -> str:
    """Return the schema written anew from the table of fields."""
    schema = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "lampwright spec, version 1",
        "description": "What each lamp must do for every setting of the controls.",
        **_schema(SPEC),
    }
    return json.dumps(schema, indent=2, ensure_ascii=False) + "\n"


def _schema(shape: Shape) -> dict[str, Any]:
    match shape:
        case Number():
            return _number(shape)
        case Whole():
            return {"type": "integer", "minimum": shape.low, "maximum": shape.high}
        case OneOf():
            return {"enum": list(shape.values)}
        case Flag():
            return {"type": "boolean"}
        case Text():
            return {"type": "string", "maxLength": shape.most, "pattern": f"^({shape.pattern})$"}
        case ListOf():
            return _list(shape)
        case Either():
            return {"oneOf": [_schema(shape.single), _schema(shape.several)]}
        case Tagged():
            return {"oneOf": [_case(shape.tag, name, table) for name, table in shape.cases]}
        case Table():
            return _table(shape)


def _number(shape: Number) -> dict[str, Any]:
    low = "exclusiveMinimum" if shape.above else "minimum"
    high = "exclusiveMaximum" if shape.below else "maximum"
    return {"type": "number", low: shape.low} | ({high: shape.high} if shape.high < inf else {})


def _list(shape: ListOf) -> dict[str, Any]:
    schema = {"type": "array", "items": _schema(shape.item), "minItems": shape.least, "maxItems": shape.most}
    return schema | ({"uniqueItems": True} if shape.distinct else {})


def _case(tag: Field, name: str, table: Table) -> dict[str, Any]:
    schema = _table(Table((tag, *table.fields)))
    schema["title"] = name
    schema["properties"][tag.key] = {"const": name, "description": tag.doc}
    return schema


def _table(shape: Table) -> dict[str, Any]:
    schema: dict[str, Any] = {"type": "object", "properties": {f.key: _field(f) for f in shape.fields}}
    schema["required"] = [known.key for known in shape.fields if known.required]
    schema["minProperties"] = shape.least
    schema["additionalProperties"] = False
    if shape.others is not None:
        entry = shape.others
        schema["propertyNames"] = {"maxLength": entry.key.most, "pattern": f"^({entry.key.pattern})$"}
        schema["additionalProperties"] = {**_schema(entry.shape), "description": entry.doc}
    return schema


def _field(known: Field) -> dict[str, Any]:
    schema = {
        "title": known.key.replace("_", " "),
        "description": f"{known.doc} ({known.want})",
        **_schema(known.shape),
    }
    return schema if known.default is ABSENT else {**schema, "default": known.default}
