"""A result as JSON text: one object per row, the fields in the order they are declared.

`from_node` and `to_node` are written `from` and `to`; what a row need not have and has not (the
ohms of a wire) is left out; every number is rounded by the table in `results.rounding`, and what
has no finite value is null. The same result always gives the same bytes. No source: our format.
"""

import json
from typing import TypeAlias

from msgspec.structs import fields

from lampwright.results.design import Rating
from lampwright.results.explanation import Explanation
from lampwright.results.ranking import Catalogue, CheckReport, CountReport, Curves, Ranking
from lampwright.results.rounding import written
from lampwright.results.row import Row

Result: TypeAlias = Ranking | CheckReport | CountReport | Catalogue | Curves | Explanation
Json: TypeAlias = "str | int | float | bool | list[Json] | dict[str, Json] | None"

WRITTEN_AS = {"from_node": "from", "to_node": "to"}


def to_json(result: Result) -> str:
    """Write a result as JSON, indented by two, ending in a newline.

    >>> from lampwright.results.ranking import Catalogue
    >>> print(to_json(Catalogue(lines=(), series=())), end="")
    {
      "lines": [],
      "series": []
    }
    """
    return json.dumps(_plain(result), indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def key_of(field: str) -> str:
    """Give the key under which a field is written."""
    return WRITTEN_AS.get(field, field)


def _plain(row: Row) -> Json:
    """Turn one row into a JSON object."""
    unit = row.unit if isinstance(row, Rating) else ""
    plain: dict[str, Json] = {}
    for field in fields(row):
        value = getattr(row, field.name)
        if value is None and field.default is None:
            continue
        plain[key_of(field.name)] = _value(field.name, value, unit)
    return plain


def _value(name: str, value: object, unit: str) -> Json:
    """Turn one field's value into JSON."""
    if value is None or isinstance(value, str | bool | int):
        return value
    if isinstance(value, float):
        return written(name, value, unit)
    if isinstance(value, tuple):
        return [_value(name, entry, unit) for entry in value]
    assert isinstance(value, Row), "a row holds rows"
    return _plain(value)
