"""A TOML file as a user wrote it: read, or refused with the line as the editor shows it and what is wrong.

What the parser says of a file that is no TOML ("Invalid value", "Cannot declare twice") is true and of
little help. So the line it stopped at is looked at again for the slips that people make, and the first
that fits is told. Only a file that is wrong is looked at so.

    >>> read_toml("volts = 11,8", "a.toml")
    Traceback (most recent call last):
    lampwright.errors.InputError: a.toml: line 1: `volts = 11,8` has a decimal comma; write a point, as 11.8

Findings of what a file means name its rows by number; `row_lines` tells on which lines these begin.
No source: TOML 1.0 for what is allowed, our own wording.
"""

import re
import tomllib
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from lampwright.errors import Finding, InputError, Nth, Steps, TextLines

Document = dict[str, Any]
"""What a file says, as the parser gives it."""

SHOWN_MOST = 60
CURLY = "“”„‟«»‘’‚"
BLOCK = re.compile(r"(\"\"\"|''')(?:.|\n)*?\1")
TEXT = re.compile(r'"(?:[^"\\\n]|\\.)*"|\'[^\'\n]*\'')
HEAD = re.compile(r"^[ \t]*(\[\[?)([^\[\]\n]+)\]", re.MULTILINE)
MULTIPLE = re.compile(r"^\s*\[\s*(behaviour|either|code|same|brighter|part)\s*\]")


def read_toml(text: str, file: str) -> Document:
    """Return what a file says. Raises InputError where it is no TOML."""
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InputError([_fault(str(error), text, file)]) from None
    except (ValueError, RecursionError) as error:
        why = "is nested too deeply" if isinstance(error, RecursionError) else "has a number too long to read"
        finding = Finding(file, f"the file {why}", "write plain tables, as lampwright new FILE does")
        raise InputError([finding]) from None


def row_lines(text: str) -> TextLines:
    """On which lines the rows of a text begin, [[behaviour]] and its like, by the steps that lead to them."""
    count, found = Counter[tuple[str, ...]](), dict[Steps, int]()
    for line, keys, is_row in _heads(text):
        if is_row:
            count[keys] += 1
            found[(*keys, Nth(count[keys]))] = line
    return TextLines(found)


def table_lines(text: str) -> TextLines:
    """On which lines the tables of a text begin, by the keys that lead to them."""
    return TextLines({keys: line for line, keys, is_row in _heads(text) if not is_row})


def _heads(text: str) -> Iterator[tuple[int, tuple[str, ...], bool]]:
    """Yield the line of each head, its keys, and whether it is of a row; those in long texts are none."""
    plain, at, line = BLOCK.sub(lambda block: "\n" * block[0].count("\n"), text), 0, 1
    for head in HEAD.finditer(plain):
        line += plain.count("\n", at, head.start(1))
        at = head.start(1)
        with suppress(tomllib.TOMLDecodeError):
            yield line, tuple(_keys(tomllib.loads(f"[{head[2]}]"))), len(head[1]) > 1


def _keys(table: Document) -> Iterator[str]:
    for key, inner in table.items():
        yield key
        yield from _keys(inner)


@dataclass(frozen=True)
class Slip:
    """Where the parser stopped: its words, the line, that without texts, the lines before and after."""

    what: str
    line: str
    bare: str
    before: tuple[str, ...]
    after: tuple[str, ...]


def _fault(message: str, text: str, file: str) -> Finding:
    """Say what is wrong in the line that the parser names."""
    found = re.fullmatch(r"(.*) \(at (?:line (\d+), column \d+|end of document)\)", message, re.DOTALL)
    lines = text.replace("\r\n", "\n").split("\n")
    what = found[1] if found else message
    number = int(found[2]) if found and found[2] else max(1, len(text.rstrip("\n").split("\n")))
    is_head = "=" not in lines[number - 1] and what.startswith("Invalid value")
    if what == "Unclosed array" or is_head:
        opened = _opened(lines, number)
        number, what = opened, what if opened == number else "Unclosed array"
    line = lines[number - 1]
    slip = Slip(
        what, line, TEXT.sub('""', line).split("#")[0], tuple(lines[: number - 1]), tuple(lines[number:])
    )
    said, remedy = next(told for told in (cause(slip) for cause in CAUSES) if told)
    shown = line.strip() if len(line.strip()) <= SHOWN_MOST else line.strip()[: SHOWN_MOST - 3] + "..."
    return Finding(f"{file}: line {number}", f"`{shown}` {said}" if shown else f"the line {said}", remedy)


def _opened(lines: list[str], number: int) -> int:
    """The line in which the list that is open at the end of the line before was begun."""
    for at in range(number - 1, 0, -1):
        bare = TEXT.sub('""', lines[at - 1]).split("#")[0]
        if bare.count("[") > bare.count("]") and "=" in bare:
            return at
    return number


Told = tuple[str, str] | None


def _curly(slip: Slip) -> Told:
    marks = [mark for mark in CURLY if mark in TEXT.sub("", slip.line).split("#")[0]]
    return (f"has curly quotes, {marks[0]}", 'write straight ones, "') if marks else None


def _twice(slip: Slip) -> Told:
    if MULTIPLE.match(slip.line):
        name = slip.line.strip(" []\t")
        return "stands twice as a table of its own", f"write each row in double brackets, [[{name}]]"
    if "twice" in slip.what:
        first = [at for at, line in enumerate(slip.before, 1) if line.strip() == slip.line.strip()]
        where = f" in line {first[0]}" if first else " above"
        return f"is a table that stands{where} already", "put both together, or call one otherwise"
    if "Duplicate" in slip.what:
        return f"says {slip.what.rpartition(' ')[2]} twice in its braces", "keep one of the two"
    if "overwrite" in slip.what or "Cannot mutate" in slip.what:
        key = slip.bare.split("=")[0].strip()
        return f"says {key} a second time" if key else "stands a second time", "keep one of the two"
    return None


def _braces(slip: Slip) -> Told:
    if slip.bare.count("{") <= slip.bare.count("}"):
        if "key part" in slip.what and re.search(r",\s*\}", slip.bare):
            return "has a comma before its closing brace", "leave that comma out"
        return None
    rest = "\n".join(slip.after)
    closing, next_head = rest.find("}"), re.search(r"^\s*\[|\{", rest, re.MULTILINE)
    if closing >= 0 and (next_head is None or closing < next_head.start()):
        return (
            "begins a table in braces that goes on in the next line",
            "write it in one line, { a = 1, b = 2 }",
        )
    return "has a brace { that is not closed", "close it with }"


def _brackets(slip: Slip) -> Told:
    if re.match(r"\s*\[+\s*[\w-]+\s+[\w-]", slip.bare) and "declaration" in slip.what:
        name = slip.bare.strip(" []\t")
        return "has a name of two words", f'put the name in quotes, ["{name}"]'
    if "array declaration" in slip.what or "table declaration" in slip.what:
        return "is a head whose brackets do not match", "write [name], or [[name]] for a row"
    if "Unclosed array" in slip.what:
        if re.search(r"\d\s+\d", slip.bare):
            return "has no comma between two items", "put a comma between them"
        return (
            "has a list [ that is not closed, or lacks a comma",
            "close it with ], with commas between items",
        )
    return None


def _decimal_comma(slip: Slip) -> Told:
    found = re.search(r"=\s*[+-]?(\d+),(\d+)\s*$", slip.bare)
    return ("has a decimal comma", f"write a point, as {found[1]}.{found[2]}") if found else None


def _open_text(slip: Slip) -> Told:
    rest = TEXT.sub("", slip.line)
    mark = next((mark for mark in "\"'" if mark in rest.split("#")[0]), "")
    if mark and ("Illegal character" in slip.what or "Expected" in slip.what or "Unterminated" in slip.what):
        return f"has a text whose quote {mark} is not closed", f"close it with {mark} in the same line"
    if "Unescaped" in slip.what:
        return "has a backslash in double quotes", "write it twice, or put the text in single quotes"
    return None


def _value(slip: Slip) -> Told:
    key, sign, value = (part.strip() for part in slip.bare.partition("="))
    if not sign:
        return (
            "is no key with a value",
            "write key = value, or [name] for a table, as system = 12 or [supply]",
        )
    if not value:
        return "has no value after the =", "write one, or leave the line out"
    if value in ("True", "False", "TRUE", "FALSE"):
        return f"writes {value} large", f"write {value.lower()}"
    if re.fullmatch(r"[+-]?\.\d+|[+-]?\d+\.", value):
        return "has a number without a figure on both sides of its point", "write both, as 0.5 or 5.0"
    if re.fullmatch(r"[+-]?0\d+(\.\d+)?", value):
        return "has a number that begins with 0", "leave that 0 out"
    if re.fullmatch(r"[+-]?[\d.]+\s*[A-Za-z%Ω]+", value):
        return "has a unit behind the number", "write the number alone"
    if "Expected '='" in slip.what:
        return "has a key of two words", 'put the key in quotes, as "two words" = 1'
    if "Expected newline" in slip.what:
        return "has something behind its value", "leave it out, or put a # before it"
    if re.search(r"(^|[\[,{=]\s*)[A-Za-z][\w/.-]*", value) and "Invalid" in slip.what:
        return "has text without quotes", f'put it in quotes, as {key or "key"} = "word"'
    return None


def _other(slip: Slip) -> Told:
    return f"is no TOML ({slip.what[:1].lower()}{slip.what[1:]})", "mend this line"


CAUSES: tuple[Callable[[Slip], Told], ...] = (
    _curly,
    _twice,
    _decimal_comma,
    _braces,
    _brackets,
    _open_text,
    _value,
    _other,
)
"""The slips, in the order in which they are looked for; the last fits every line."""
