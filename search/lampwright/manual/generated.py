"""Reference made from the program: commands, spec keys, rows of JSON files and Python names, as Markdown.

A page of `lampwright/docs` that has the line `<!-- generated: commands -->` gets it in that place. So has the
site that Sphinx builds, and so have the pages of `lampwright docs`. No source: our conventions.
"""

import inspect
import json
import re
from collections.abc import Callable, Iterator, Mapping
from functools import partial
from importlib import import_module
from typing import Any, get_args

import click

from lampwright.results.json_text import Which
from lampwright.results.json_text import schema_text as result_schema
from lampwright.spec.format import schema_text

MARKER = re.compile(r"^<!-- generated: (\w+) -->$", re.MULTILINE)
LIMITS = {
    "minimum": "at least",
    "exclusiveMinimum": "above",
    "maximum": "at most",
    "exclusiveMaximum": "below",
    "minItems": "items: at least",
    "maxItems": "items: at most",
}
"""Words of JSON Schema that set a limit, as a reader says them."""

Schema = Mapping[str, Any]


def filled(text: str, group: click.Group) -> str:
    """Put what is generated in the place of its marker; raises KeyError for a marker that nothing makes."""
    makers: dict[str, Callable[[], str]] = {
        "commands": lambda: commands_text(group),
        "keys": keys_text,
        "python": python_text,
    }
    makers |= {which: partial(rows_text, which) for which in get_args(Which)}
    return MARKER.sub(lambda found: makers[found[1]](), text)


def commands_text(group: click.Group) -> str:
    """Say each command as its help does: what it is for, how it is called, its options, its exit status."""
    # a command remembers the help option that it is first asked for
    top = click.Context(group, info_name="lampwright", **group.context_settings)
    parts = []
    for name in group.list_commands(top):
        command = group.commands[name]
        context = click.Context(command, info_name=name, parent=top)
        usage = " ".join([context.command_path, *command.collect_usage_pieces(context)])
        records = [one.get_help_record(context) for one in command.get_params(context)]
        rows = [(f"`{record[0]}`", prose(record[1])) for record in records if record and record[1]]
        said = inspect.cleandoc(f"{command.help}")
        status = f"{command.epilog or ''}".replace("\b", "").strip()
        parts += [f"## `lampwright {name}`", prose(said), f"```text\n{usage}\n```", _table("option", rows)]
        parts += [f"```text\n{status}\n```"] if status else []
    return "\n\n".join(parts)


def keys_text() -> str:
    """Say each table and key of a spec, from the table that the program reads specs by."""
    return "\n\n".join(_sections("", json.loads(schema_text())))


def rows_text(which: Which) -> str:
    """Say each row of a file of results, from its JSON Schema."""
    schema = json.loads(result_schema(which))
    parts = [prose(schema["description"]), _fields(schema)]
    for name, row in sorted(schema.get("$defs", {}).items()):
        parts += [f"### `{name}` of {which}", prose(row.get("description", "")), _fields(row)]
    return "\n\n".join(part for part in parts if part)


def python_text() -> str:
    """Say each public name of the package with its docstring, and the classes of what its calls give."""
    front = import_module("lampwright")
    parts: list[str] = []
    given: dict[str, type] = {}
    for name in front.__all__:
        thing = getattr(front, name)
        parts += _named(name, thing)
        answer = None if isinstance(thing, type) else inspect.signature(thing).return_annotation
        if isinstance(answer, type) and answer.__module__.startswith("lampwright."):
            given[answer.__name__] = answer
    parts.append("## What the calls give")
    for name, kind in sorted(given.items()):
        parts += _named(name, kind, "###", made=False)
    return "\n\n".join(parts)


def prose(text: str) -> str:
    r"""Leave nothing in a plain text that Markdown would take for a sign, but backticks and indented code.

    >>> prose("DIR/<name of SPEC>, *all* of `a_b` or a_b")
    'DIR/\\<name of SPEC>, \\*all\\* of `a_b` or a\\_b'
    """
    pieces = re.split(r"(`[^`]*`|^    .*$)", text, flags=re.MULTILINE)
    return "".join(
        re.sub(r"([*_<\[\]|])", r"\\\1", one) if n % 2 == 0 else one for n, one in enumerate(pieces)
    )


def _named(name: str, thing: Any, level: str = "##", made: bool = True) -> Iterator[str]:
    """Say a function, or a class with its methods; `made` says whether a user makes such a thing."""
    yield f"{level} `{name}`"
    if made and not (isinstance(thing, type) and issubclass(thing, Exception)):
        yield _call(name, thing).replace(" -> None\n", "\n")
    yield prose(inspect.getdoc(thing) or "")
    if isinstance(thing, type):
        for key, own in vars(thing).items():
            if key.startswith("_") or not (own := _callable(own)):
                continue
            yield f"{level}# `{name}.{key}`"
            yield _call(f"{name}.{key}", own) if inspect.isfunction(own) else ""
            yield prose(inspect.getdoc(own) or "")


def _callable(own: Any) -> Any:
    if isinstance(own, classmethod | staticmethod):
        return own.__func__
    return own if inspect.isfunction(own) or isinstance(own, property) else None


def _call(name: str, thing: Any) -> str:
    """Write a call with its arguments, one a line where they are many."""
    signature = inspect.signature(thing)
    shown = [one for key, one in signature.parameters.items() if key not in ("self", "cls")]
    written = f"{signature.replace(parameters=shown)}"
    # where a class is defined is nobody's business
    written = re.sub(r"\b(?:[a-z_]\w*\.)+(?=[A-Z])", "", written).replace("'", "")
    if len(written) > 70:
        head, _, answer = written.rpartition(") -> ")
        inner = ",\n    ".join(re.split(r", (?=(?:\*|\w+:))", head.removeprefix("(")))
        written = f"(\n    {inner},\n) -> {answer}" if answer else written
    return f"```text\n{name}{written}\n```"


def _sections(path: str, shape: Schema) -> Iterator[str]:
    """Write a table of a spec, then the tables in it."""
    kinds = shape.get("oneOf", [shape])
    for kind in kinds:
        if kind.get("type") != "object":
            continue
        title = f"`[{path}]`" if path else "The whole file"
        title += f", {kind['title']}" if len(kinds) > 1 and "title" in kind else ""
        yield f"### {title}"
        yield prose(shape.get("description", ""))
        if kind.get("properties"):
            yield _fields(kind)
        if isinstance(every := kind.get("additionalProperties"), dict):
            name = f"{_above(path)}NAME"
            yield f"Every other key, `{name}`: {prose(every.get('description', ''))} Is: {_shape(every)}."
            yield from _inner(name, every)
    for key, inner in (pair for kind in kinds for pair in kind.get("properties", {}).items()):
        yield from _inner(f"{_above(path)}{key}", inner)


def _inner(path: str, shape: Schema) -> Iterator[str]:
    items = shape.get("items", {})
    of_tables = items.get("type") == "object"
    inner = {**items, "description": shape.get("description", "")} if of_tables else shape
    if inner.get("type") == "object" or any(one.get("type") == "object" for one in inner.get("oneOf", ())):
        yield from _sections(f"[{path}]" if of_tables else path, inner)


def _above(path: str) -> str:
    return f"{path.strip('[]')}." if path else ""


def _fields(shape: Schema) -> str:
    needed = shape.get("required", ())
    rows = []
    for key, field in shape.get("properties", {}).items():
        said = prose(field.get("description", ""))
        default = f"; if left out `{json.dumps(field['default'])}`" if "default" in field else ""
        must = "; required" if key in needed else ""
        rows.append((f"`{key}`", f"{said} Is: {_shape(field)}{must}{default}.".strip()))
    return _table("key", rows)


def _shape(field: Schema) -> str:
    """Say in few words what a value may be."""
    if "$ref" in field:
        return f"`{field['$ref'].rpartition('/')[2]}`"
    if "const" in field:
        return f"`{json.dumps(field['const'])}`"
    if "enum" in field:
        return "one of " + ", ".join(f"`{json.dumps(one)}`" for one in field["enum"])
    for word in ("anyOf", "oneOf"):
        if word in field and "type" not in field:
            return " or ".join(dict.fromkeys(_shape(one) for one in field[word]))
    if field.get("type") == "array":
        inner = _shape(field["items"]) if isinstance(field.get("items"), dict) else ""
        return f"list of {inner}" if inner else "list"
    kind = f"{field.get('type', '')}"
    limits = [f"{words} {field[word]:g}" for word, words in LIMITS.items() if word in field]
    kind = {"object": "table", "string": "text"}.get(kind, kind)
    return ", ".join([kind, *limits]).strip(", ")


def _table(head: str, rows: list[tuple[str, str]]) -> str:
    if not rows:
        return ""
    lines = [f"| {head} | what it means |", "|---|---|"]
    lines += [f"| {first} | {' '.join(second.split())} |" for first, second in rows]
    return "\n".join(lines)
