"""JSON Schema of the results, made from the rows themselves.

The rows are the one place where the format is stated; their docstrings become the descriptions, their types
the types, units and digits. Source: JSON Schema, draft 2020-12.
"""

import json
from inspect import cleandoc
from typing import Any, Literal

from msgspec.json import schema_components

from lampwright.results.explanation import Explanation
from lampwright.results.ranking import CheckReport, Ranking
from lampwright.results.row import Row

DIALECT = "https://json-schema.org/draft/2020-12/schema"
Which = Literal["ranking", "check", "explanation"]
ROOTS: dict[Which, type[Row]] = {"ranking": Ranking, "check": CheckReport, "explanation": Explanation}
TITLES: dict[Which, str] = {
    "ranking": "ranking.json of lampwright",
    "check": "what `lampwright check --json` prints",
    "explanation": "what `lampwright explain --json` prints",
}


def schema_text(which: Which) -> str:
    """Write the schema of a ranking, a check report or an explanation as JSON."""
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
