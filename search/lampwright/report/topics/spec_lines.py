"""Changes of a spec as its lines, before and after. Source: TOML 1.0, by its library; the layout is ours."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any, Literal

HEADS = {False: "[{}]", True: "[[{}]]"}


@dataclass(frozen=True)
class SpecLine:
    """A line of a spec beside a change: the table it is in, as it was, or as it is to be."""

    kind: Literal["head", "old", "new"]
    text: str


@dataclass
class _WrittenTable:
    """A table as a file has it: its head, the keys that lead to it, which row it is, from 1, or 0.

    lines: of every key, with what it says; comments alone stand under no key.
    """

    head: str
    path: tuple[str, ...]
    row: int
    lines: dict[str, list[str]] = field(default_factory=dict)
    says: dict[str, Any] = field(default_factory=dict)


def changed_lines(written: str, change: str, row: int | None = None) -> tuple[SpecLine, ...]:
    """Set the lines of a change of the spec beside those in the spec as written, table by table.

    row: of a list of tables, the one in whose place the change stands. A key that the spec does not say has
    no line before. A change that says that something is left out, in a comment, stands in place of the whole
    table.

    >>> written = "[supply]\\nvolts = [1,\\n 2]"
    >>> [(line.kind, line.text) for line in changed_lines(written, "[supply]\\nvolts = [3, 4]")]
    [('head', '[supply]'), ('old', 'volts = [1,'), ('old', ' 2]'), ('new', 'volts = [3, 4]')]
    """
    import tomlkit  # most pages tell of no change
    from tomlkit.exceptions import TOMLKitError

    try:
        before = {(one.path, one.row): one for one in _tables(tomlkit.parse(written))}
    except TOMLKitError:  # what is written was read by another library, and is only shown here
        before = {}
    told: list[SpecLine] = []
    for table in _tables(tomlkit.parse(change)):
        if table.head:
            told.append(SpecLine("head", table.head))
        was = before.get((table.path, row or table.row), _WrittenTable("", (), 0))
        parent = before.get((table.path[:-1], 0))
        if not was.path and parent and table.path[-1:] and table.path[-1] in parent.lines:
            told += [SpecLine("old", line) for line in parent.lines[table.path[-1]]]
        told += _beside(was, table)
    return tuple(told)


def _beside(was: _WrittenTable, table: _WrittenTable) -> Iterator[SpecLine]:
    """Yield the lines of one table that go, then those that come."""
    kept = [key for key, said in table.says.items() if key in was.says and was.says[key] == said]
    drops = "" in table.lines
    for key, lines in was.lines.items():
        if key and key not in kept and (drops or key in table.lines):
            yield from (SpecLine("old", line) for line in lines)
    for key, lines in table.lines.items():
        if key not in kept:
            yield from (SpecLine("new", line) for line in lines)


def _tables(document: Any) -> Iterator[_WrittenTable]:
    """Yield the tables of a document with something in them, as they stand in it."""
    return (one for one in _walk(document, "", (), 0) if one.lines)


def _walk(container: Any, head: str, path: tuple[str, ...], row: int) -> Iterator[_WrittenTable]:
    from tomlkit.items import AoT, Comment, Table

    own, inner = _WrittenTable(head, path, row), []
    for key, item in container.body:
        if isinstance(item, Table | AoT):
            name = ".".join((*([head.strip("[]")] if head else []), key.as_string().strip()))
            tables = item.body if isinstance(item, AoT) else [item]
            inner += [
                (one.value, HEADS[isinstance(item, AoT)].format(name), (*path, key.key), number)
                for number, one in enumerate(tables, isinstance(item, AoT))
            ]
        elif isinstance(item, Comment):
            own.lines.setdefault("", []).append(item.as_string().strip())
        elif key is not None:
            said = (
                f"{key.as_string()}{key.sep}{item.as_string()}{item.trivia.comment_ws}{item.trivia.comment}"
            )
            own.lines[key.key] = [line.rstrip() for line in said.splitlines()]
            own.says[key.key] = item.unwrap()
    yield own
    for one in inner:
        yield from _walk(*one)
