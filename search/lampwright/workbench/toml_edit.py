"""Small changes to a TOML document that leave the rest of it, comments and order, as it was written.

No source: TOML 1.0 by its library; our rules.
"""

import json
import re
from collections.abc import Callable, Mapping
from typing import Any

import tomlkit
from tomlkit.container import OutOfOrderTableProxy
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, InlineTable, Item, Table

from lampwright.errors import Finding, InputError

Document = tomlkit.TOMLDocument
PLAIN = re.compile(r"[A-Za-z0-9_-]+")


def parsed(text: str, file: str) -> Document:
    """The document of a text. Raises InputError for one that only an editor can change."""
    try:
        return tomlkit.parse(text)
    except TOMLKitError as error:
        said = f"the text is no TOML yet ({error})"
        raise InputError([Finding(file, said, "mend it as text first")]) from None


def written(document: Document, before: str = "") -> str:
    """The text of a document; blank lines between tables are kept as regular as they were before."""
    text = tomlkit.dumps(document)
    if any(mark in text for mark in ("'''", '"""', "\r")):
        return text
    if not re.search(r"\n\n\n", before):
        text = re.sub(r"\n{3,}", "\n\n", text)
    if not re.search(r"[^\n]\n\[", before):
        text = re.sub(r"(?<=[^\n]\n)(?=\[)", "\n", text)
    if not before.endswith("\n\n"):
        text = text.rstrip("\n") + "\n"
    return text


def inline(value: object) -> Item:
    """A value as a person writes it on one line; None in a table is left out."""
    return tomlkit.item(tomlkit.value(_text(value)))


def _text(value: object) -> str:
    if isinstance(value, Mapping):
        pairs = [f"{_key(key)} = {_text(one)}" for key, one in value.items() if one is not None]
        return f"{{ {', '.join(pairs)} }}" if pairs else "{}"
    if isinstance(value, list | tuple):
        return f"[{', '.join(map(_text, value))}]"
    if isinstance(value, bool):
        return str(value).lower()
    return f"{value:.10g}" if isinstance(value, int | float) else _quoted(str(value))


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _key(name: str) -> str:
    return name if PLAIN.fullmatch(name) else _quoted(name)


def table_of(document: Any, *names: str) -> Any:
    """The table under these keys, made if need be."""
    holder = document
    for at, name in enumerate(names):
        if name not in holder:
            made = tomlkit.table(is_super_table=at + 1 < len(names) or name in ("controls", "lamps"))
            holder.append(name, made)
        holder = holder[name]
        if not isinstance(holder, Mapping):
            raise InputError([Finding(".".join(names), "this is no table", "mend it as text first")])
    return holder


def put(document: Document, keys: tuple[str, ...], value: object) -> None:
    """Put a value in its place; None takes what stands there away, and the table if it was its last."""
    *tables, last = keys
    if value is None:
        holders = [document]
        for name in tables:
            inner = holders[-1].get(name)
            if not isinstance(inner, Mapping):
                return
            holders.append(inner)  # type: ignore[arg-type]  # a table, which is a mapping too
        holders[-1].pop(last, None)
        if tables and not holders[-1]:
            put(document, tuple(tables), None)
        return
    table_of(document, *tables)[last] = inline(value)


def rows_of(document: Document, name: str) -> Any:
    """The list of tables of a name, made if need be."""
    if name not in document:
        document.append(name, tomlkit.aot())
    rows = document[name]
    if not isinstance(rows, AoT):
        raise InputError([Finding(name, f"rows are not written as [[{name}]]", "change them as text")])
    return rows


def new_row(document: Document, name: str, said: Mapping[str, object]) -> Any:
    """A new row at the end of a list of tables."""
    table = tomlkit.table()
    for key, value in said.items():
        table.append(key, inline(value))
    rows = rows_of(document, name)
    rows.append(table)
    return rows[-1]


def renamed(holder: Any, key: str, new_name: Callable[[str], str | None]) -> None:
    """Give the keys of a table other names, order and insides kept; those without a name go."""
    table = holder[key]
    if isinstance(table, InlineTable):
        pairs = [(new_name(name), said) for name, said in table.unwrap().items()]
        if [name for name, _ in pairs] != list(table):
            holder[key] = inline({name: said for name, said in pairs if name is not None})
        return
    if isinstance(table, OutOfOrderTableProxy):
        said = "its tables stand apart in the file"
        raise InputError([Finding("tables", said, "put them together, or change the name as text")])
    items = list(table.items())
    names = [new_name(key) for key, _ in items]
    if names == [key for key, _ in items]:
        return
    for key, _ in items:
        del table[key]
    for name, (key, item) in zip(names, items, strict=True):
        if name is not None:
            if isinstance(item, Table) and name != key:
                item.display_name = None
            table.append(name, item)
