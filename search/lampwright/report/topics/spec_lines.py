"""Changes of a spec as its lines, before and after. No source: our layout."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True)
class SpecLine:
    """A line of a spec beside a change: the table it is in, as it was, or as it is to be."""

    kind: Literal["head", "old", "new"]
    text: str


def changed_lines(written: str, change: str) -> tuple[SpecLine, ...]:
    """Set the lines of a change of the spec beside those in the spec as written, table by table.

    A key that the spec does not say has no line before. A change that says that something is left out, in a
    comment, stands in place of the whole table. Of several tables of one name the most alike is meant.

    >>> written = "[supply]\\nvolts = [1,\\n 2]"
    >>> [(line.kind, line.text) for line in changed_lines(written, "[supply]\\nvolts = [3, 4]")]
    [('head', '[supply]'), ('old', 'volts = [1,'), ('old', ' 2]'), ('new', 'volts = [3, 4]')]
    """
    told: list[SpecLine] = []
    for head, keys in _tables(change):
        if head:
            told.append(SpecLine("head", head))
        was = [own for name, own in _tables(written) if _bare(name) == _bare(head)]
        before = max(was, key=lambda own: _shared(own, keys), default={})
        if len(was) > 1 and not _shared(before, keys):
            before = {}
        drops = any(not key for key in keys)
        for key, lines in before.items():
            is_kept = _bare("".join(lines)) == _bare("".join(keys.get(key, ())))
            if key and (drops or key in keys) and not is_kept:
                told += [SpecLine("old", line) for line in lines]
        for key, lines in keys.items():
            if _bare("".join(before.get(key, ()))) != _bare("".join(lines)):
                told += [SpecLine("new", line) for line in lines]
    return tuple(told)


def _tables(text: str) -> list[tuple[str, dict[str, list[str]]]]:
    """Part a spec into its tables: heads, and the lines of every key; comments stand under no key."""
    found: list[tuple[str, dict[str, list[str]]]] = [("", {})]
    key, depth = "", 0
    for line in text.splitlines():
        if not depth and re.match(r"\s*\[", line):
            found.append((line.partition("#")[0].strip(), {}))
        elif depth or line.strip():
            if not depth:
                key = "" if line.lstrip().startswith("#") else line.partition("=")[0].strip()
            found[-1][1].setdefault(key, []).append(line.rstrip())
            depth += _opened(line)
    return found


def _opened(line: str) -> int:
    """How many more brackets a line opens than it closes, texts and comments left out."""
    bare = re.sub(r'"[^"]*"|\'[^\']*\'', "", line).partition("#")[0]
    return sum(bare.count(one) for one in "[{") - sum(bare.count(one) for one in "]}")


def _shared(one: Mapping[str, Sequence[str]], other: Mapping[str, Sequence[str]]) -> int:
    """How many keys two tables say alike."""
    return sum(_bare("".join(lines)) == _bare("".join(other.get(key, ()))) for key, lines in one.items())


def _bare(head: str) -> str:
    return re.sub(r"\s", "", head)
