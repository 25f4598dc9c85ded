"""Small changes to a TOML document that leave the rest of it, comments and order, as it was written.

No source: TOML 1.0 by its library; our rules.
"""

import json
import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any

import tomlkit
from tomlkit.container import OutOfOrderTableProxy
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, InlineTable, Item, Table

from lampwright.errors import Finding, InputError
from lampwright.workbench.change import Change

Document = tomlkit.TOMLDocument
Edit = Callable[[Document, Change], None]
"""What a change of the page does to a document, in place."""
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


def one_a_line(values: Sequence[object]) -> Item:
    """A list as a person writes it whose items are long."""
    lines = "".join(f"    {_text(value)},\n" for value in values)
    return tomlkit.item(tomlkit.value(f"[\n{lines}]"))


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


def put_inside(row: Any, key: str, name: str, value: object, *, keeps_empty: bool = False) -> None:
    """Put a value into a small table of a row, made if need be; None takes it out, and the last the table.

    keeps_empty: a table that is empty stays.
    """
    table: Any = row.get(key)
    if isinstance(table, Table):
        table.pop(name, None) if value is None else table.update({name: inline(value)})
    elif isinstance(table, InlineTable) and value is not None and name in table:
        table[name] = inline(value)
    else:
        before = dict(table) if isinstance(table, Mapping) else {}
        row[key] = inline({**before, name: value})
    if not row[key] and not keeps_empty:
        del row[key]


def put_key(row: Any, key: str, value: object) -> None:
    """Put a value under a key of a row, in braces or not; None takes it out."""
    if value is None:
        row.pop(key, None)
    elif key in row or not isinstance(row, InlineTable):
        row[key] = inline(value)
    else:
        row.append(key, inline(value))


def row_at(document: Document, name: str, number: str) -> Any:
    """The row of a list of tables that the page calls by its number. Raises InputError where it is gone."""
    rows = rows_of(document, name)
    if not number.isdecimal() or not 0 < int(number) <= len(rows):
        said = "there is no such row any more"
        raise InputError([Finding(name, said, "look at the page as it is now")])
    return rows[int(number) - 1]


def remove_row(document: Document, name: str, number: str) -> None:
    """Take a row of a list of tables away, and the list with its last."""
    row_at(document, name, number)
    rows = rows_of(document, name)
    del rows[int(number) - 1]
    if not rows:
        document.pop(name)


def relisted(table: Any, key: str, old: str, new: str | None) -> None:
    """Another name in a list, or the text that stands for it; None takes it out, the list with its last."""
    said = table.get(key)
    names = [said] if isinstance(said, str) else list(said) if isinstance(said, list) else []
    if old not in names:
        return
    left = [new if name == old else name for name in names if new or name != old]
    if not left:
        table.pop(key)
    else:
        table[key] = inline(left[0] if isinstance(said, str) else left)


def rows_of(document: Document, name: str) -> Any:
    """The list of tables of a name, made if need be."""
    if name not in document:
        document.append(name, tomlkit.aot())
    rows = document[name]
    if not isinstance(rows, AoT):
        raise InputError([Finding(name, f"rows are not written as [[{name}]]", "change them as text")])
    return rows


def new_row(document: Document, name: str, said: Mapping[str, object]) -> Any:
    """A new row at the end of a list of tables; said: plain values, or items as they are to be written."""
    table = tomlkit.table()
    for key, value in said.items():
        table.append(key, value if isinstance(value, Item) else inline(value))
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
