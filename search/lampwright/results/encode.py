"""A result as JSON text: one object per row, the fields in the order they are declared.

Keys and digits are those that the rows declare (`results.row`); what a row need not have and has not (the
ohms of a wire) is left out, and what has no finite value is null. The kind of a statement comes last. The
same result always gives the same bytes. No source: our format.
"""

import json
from functools import cache
from typing import Any, TypeAlias

from msgspec.structs import fields

from lampwright.results.design import Rating
from lampwright.results.explanation import Explanation
from lampwright.results.ranking import Catalogue, CheckReport, CountReport, Curves, Ranking
from lampwright.results.row import BY_UNIT, IN_UNIT, Row, rounding, written

Result: TypeAlias = Ranking | CheckReport | CountReport | Catalogue | Curves | Explanation

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
    return json.dumps(_object(result), indent=2, ensure_ascii=False, allow_nan=False) + "\n"


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
