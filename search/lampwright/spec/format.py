"""The spec format, version 1: `format.toml`, which says how it is to be read, as a JSON Schema.

Draft 2020-12. What a file says is held against it (`sifting.py`); editors that complete and
check while one writes get it as text. What needs two places of a file (a lamp named in a row)
it cannot say: that is in `references.py`.
"""

import json
import tomllib
from collections.abc import Mapping
from functools import cache
from importlib import resources
from typing import Any

Schema = dict[str, Any]

VERSION = 1
OURS = ("want", "fault", "rising", "unless")
"""Words of our own beside those of JSON Schema; editors do not know them."""


@cache
def spec_schema() -> Schema:
    """Return the schema of a whole file, with the words of our own."""
    text = (resources.files("lampwright.spec") / "format.toml").read_text(encoding="utf-8")
    return _shape(tomllib.loads(text), {"table": "spec", "minProperties": 0})


def schema_text() -> str:
    """Return the schema as editors read it."""
    schema = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "lampwright spec, version 1",
        "description": "What each lamp must do for every setting of the controls.",
        **_plain(spec_schema()),
    }
    return json.dumps(schema, indent=2, ensure_ascii=False) + "\n"


def types_schema() -> Schema:
    """Return the schema of [types], which circuit files have, too, as editors read it."""
    plain: Schema = _plain(spec_schema()["properties"]["types"])
    return plain


def _shape(tables: Mapping[str, Any], shape: Schema) -> Schema:
    """Return a shape in words of JSON Schema alone but for our own, with all that it names put in."""
    shape = dict(shape)
    if "like" in shape:
        return _shape(tables, {**tables["shapes"][shape.pop("like")], **shape})
    if "items" in shape:
        shape["items"] = _shape(tables, shape["items"])
    if "oneOf" in shape:
        shape["oneOf"] = [_shape(tables, one) for one in shape["oneOf"]]
    if "table" in shape:
        keys = tables[shape.pop("table")]
        kinds = keys["kind"]["is"]["enum"] if "kind" in keys else ()
        shape |= {"oneOf": [_table(tables, keys, kind) for kind in kinds]} if kinds else {}
        shape = shape if kinds else {**_table(tables, keys), **shape}
    return shape


def _table(tables: Mapping[str, Any], keys: Mapping[str, Any], kind: str = "") -> Schema:
    """Return the shape of a table; of one whose keys depend on its kind, the shape for that kind."""
    table: Schema = {"title": kind} if kind else {}
    table |= {"type": "object", "properties": {}, "required": [], "additionalProperties": False}
    table["minProperties"] = 0 if kind else 1
    for key, row in keys.items():
        if kind not in row.get("kinds", [kind]):
            continue
        words = {"description": row["description"], "want": row["want"], **_shape(tables, row["is"])}
        if key == "*":
            names = {name: word for name, word in row["keys"].items() if name != "most"}
            table["propertyNames"] = _shape(tables, names)
            most = row["keys"]["most"] + len(keys) - 1
            table |= {"maxProperties": most, "additionalProperties": words}
            continue
        table["properties"][key] = {"title": key.replace("_", " "), **words}
        if "unless" in row:
            table["properties"][key]["unless"] = row["unless"]
            table["anyOf"] = [{"required": [one]} for one in (key, *row["unless"])]
        table["required"] += [key] if row.get("required") else []
    if kind:
        table["properties"]["kind"]["const"] = kind
    return table


def _plain(shape: Any) -> Any:
    """Return a shape without the words of our own; what would do stands in the description."""
    if isinstance(shape, list):
        return [_plain(one) for one in shape]
    if not isinstance(shape, dict):
        return shape
    plain = {word: _plain(said) for word, said in shape.items() if word not in OURS}
    if "want" in shape:
        plain["description"] = f"{shape['description']} ({shape['want']})"
    return plain | ({"pattern": f"^({shape['pattern']})$"} if "pattern" in shape else {})
