"""A circuit file as a JSON Schema, for an editor: made of what its reader holds a part against.

Draft 2020-12. What needs two parts, or a spec, it cannot say. No source: our format.
"""

import json
from typing import Any

from lampwright.network.circuit_file import KEYS, KINDS, LIMITS, MOST_NAME, NEEDS
from lampwright.results.json_text import DIALECT
from lampwright.spec.format import types_schema

MEANINGS = {
    "ref": "Its name; of a filament the one that the spec gives it.",
    "kind": "What it is.",
    "lamp": "The lamp that a filament belongs to, where that is called something else.",
    "type": "A lamp or diode of the catalogue (`lampwright parts`), or a lamp of [types].",
    "ohms": "Resistance [ohm].",
    "watts": "What a resistor stands [W]; left out, its heat decides.",
    "from": "The node of one end: a feed, 30 for what is always live, 31 for ground, or a joint j1, j2, ...",
    "to": "The node of the other end. A diode conducts from `from` to `to`.",
}


def schema_text() -> str:
    """Return the schema as editors read it."""
    schema = {
        "$schema": DIALECT,
        "title": "lampwright circuit",
        "description": "The parts of a circuit, and lamps of its own that it brings.",
        "type": "object",
        "properties": {
            "lampwright": {"const": 1, "description": "The version of this format; it may be left out."},
            "title": {"type": "string", "description": "What the circuit is, for those who read it."},
            "part": {
                "type": "array",
                "minItems": 1,
                "description": "A table for each part, [[part]].",
                "items": {"oneOf": [_part(kind) for kind in KINDS]},
            },
            "types": types_schema(),
        },
        "required": ["part"],
        "additionalProperties": False,
    }
    return json.dumps(schema, indent=2, ensure_ascii=False) + "\n"


def _part(kind: str) -> dict[str, Any]:
    return {
        "title": kind,
        "type": "object",
        "properties": {key: {"description": MEANINGS[key], **_value(key, kind)} for key in KEYS},
        "required": ["kind", "from", "to", *NEEDS[kind]],
        "additionalProperties": False,
    }


def _value(key: str, kind: str) -> dict[str, Any]:
    if key == "kind":
        return {"const": kind}
    if key in LIMITS:
        least, most = LIMITS[key]
        return {"type": "number", "minimum": least, "maximum": most}
    some = {"minLength": 1} if key in ("from", "to") else {}
    return {"type": "string", "maxLength": MOST_NAME, "pattern": r"^[^\x00-\x1f\x7f]*$", **some}
