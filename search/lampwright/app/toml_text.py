"""The document of a spec as TOML that a person would write: tables by name, rows with theirs inside."""

from collections.abc import Iterable, Mapping
from dataclasses import asdict, fields
from typing import Any

import tomlkit
from tomlkit.items import InlineTable, Item, Table

from lampwright.spec.model import OwnLamp

NAMED = ("controls", "types", "lamps")
"""Tables of tables, each under a head of its own."""
_APART = ("name", "filaments")


def spec_text(document: Mapping[str, Any]) -> str:
    """Return the text of a file with this document, in its order; what is no table stands above."""
    text = tomlkit.document()
    for key, said in sorted(document.items(), key=lambda pair: _is_of_tables(pair[1])):
        if key in NAMED:
            text.append(key, _tables(said))
        elif isinstance(said, dict):
            text.append(key, _table(said))
        elif _is_of_tables(said):
            rows = tomlkit.aot()
            for row in said:
                rows.append(_table(row))
            text.append(key, rows)
        else:
            text.append(key, _inline(said))
    return tomlkit.dumps(text)


def types_text(lamps: Iterable[OwnLamp]) -> str:
    """Return the tables [types.NAME] of which these lamps are read; what is usual is left out."""
    return spec_text({"types": {one.name: _lamp(one) for one in lamps}})


def _lamp(lamp: OwnLamp) -> dict[str, Any]:
    plain = {one.name: (getattr(lamp, one.name), one.default) for one in fields(lamp)}
    table = {key: said for key, (said, usual) in plain.items() if key not in _APART and said != usual}
    first, *minor = (
        {key: said for key, said in asdict(one).items() if said is not None} for one in lamp.filaments
    )
    return {**first, **table, **({"minor": minor[0]} if minor else {})}


def _is_of_tables(said: object) -> bool:
    return isinstance(said, dict) or (isinstance(said, list) and isinstance(said[0], dict))


def _tables(said: Mapping[str, Any]) -> Table:
    tables = tomlkit.table(is_super_table=True)
    for name, inner in said.items():
        tables.append(name, _table(inner))
    return tables


def _table(said: Mapping[str, Any]) -> Table:
    table = tomlkit.table()
    for key, value in said.items():
        table.append(key, _inline(value))
    return table


def _inline(value: Any) -> Item:
    """A value on one line."""
    if isinstance(value, dict):
        inline: InlineTable = tomlkit.inline_table()
        for key, one in value.items():
            inline.append(key, _inline(one))
        return inline
    if isinstance(value, list):
        array = tomlkit.array()
        for one in value:
            array.append(_inline(one))
        return array
    item: Item = tomlkit.item(value)
    return item
