"""The errors a user can meet, each with a place and a remedy.

A message reads: place: what was read, why it cannot be; what would do. Findings
are collected, so that one run tells all that is wrong with an input.
"""

import datetime
import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import isfinite

_SHOWN_MOST = 40


@dataclass(frozen=True)
class Nth:
    """A step into a list: to the table, or the item, of this number, counted from 1."""

    number: int
    is_item: bool = False


Steps = tuple[str | Nth, ...]
"""The keys and numbers that lead to a place of a file."""


@dataclass(frozen=True)
class TextLines:
    """On which lines of a text places begin, by the steps that lead to them."""

    begins: Mapping[Steps, int]


@dataclass(frozen=True)
class FilePlace:
    """A place in what a user wrote: the file, or call, and the steps that lead into it.

    lines: on which lines places of the file begin, where that helps to find them.

    >>> place = FilePlace("tail.toml", lines=TextLines({("behaviour", Nth(2)): 14})).key("behaviour").row(2)
    >>> str(place.key("show", "left"))
    'tail.toml: behaviour 2 (line 14): show.left'
    """

    file: str
    steps: Steps = ()
    lines: TextLines = field(default=TextLines({}), compare=False, repr=False)

    def key(self, *names: str) -> "FilePlace":
        """The place of a key, or of a key in a table under a key."""
        return replace(self, steps=(*self.steps, *names))

    def row(self, number: int) -> "FilePlace":
        """The place of a table in a list of tables, counted from 1."""
        return self._to(Nth(number))

    def item(self, number: int) -> "FilePlace":
        """The place of an item of a list, counted from 1."""
        return self._to(Nth(number, is_item=True))

    def of(self, file: str) -> "FilePlace":
        """The same place of another file, or call."""
        return replace(self, file=file)

    def holds(self, finding: "Finding") -> bool:
        """Whether what is found is here, or inside."""
        own = finding.at if isinstance(finding.at, FilePlace) else None
        return own is not None and own.file == self.file and own.steps[: len(self.steps)] == self.steps

    def _to(self, step: Nth) -> "FilePlace":
        return replace(self, steps=(*self.steps, step))

    @property
    def inner(self) -> str:
        """The place without the file; a row has its line behind it, and where there is none the table."""
        text, opens, at_row, line = "", False, False, 0
        for count, step in enumerate(self.steps, 1):
            begins = self.lines.begins.get(self.steps[:count], 0)
            if isinstance(step, str):
                text += ": " if opens else "." if text else ""
                text += step if _is_plain(step) else shown(step)
                opens, line = False, begins or line
            else:
                text += f" item {step.number}" if step.is_item else f"{', row' * opens} {step.number}"
                text += f" (line {begins})" if begins else ""
                opens, at_row = True, True
        return text + (f" (line {line})" if line and not at_row else "")

    def __str__(self) -> str:
        """The place as a user reads it."""
        return f"{self.file}: {self.inner}" if self.steps else self.file


def _is_plain(name: str) -> bool:
    return bool(re.fullmatch(r"[A-Za-z0-9_/ -]+", name)) and len(name) <= _SHOWN_MOST


def shown(value: object) -> str:
    """A value as a user would write it, cut to fit a line."""
    if isinstance(value, dict):
        return "a table"
    try:
        text = json.dumps(value, ensure_ascii=False, allow_nan=True)
    except (TypeError, ValueError, RecursionError):
        text = str(value) if isinstance(value, datetime.date | datetime.time) else "this"
    if isinstance(value, float) and not isfinite(value):
        text = str(value)
    if not text.isprintable():
        text = ascii(value)
    return text if len(text) <= _SHOWN_MOST else text[: _SHOWN_MOST - 3] + "..."


@dataclass(frozen=True)
class Finding:
    """One thing wrong with an input.

    at: where: a place of a file (`tail.toml: behaviour 2: show.left`), or what else is named in words.
    said: what was read and why it cannot be (`"dimm" is no word for a lamp`).
    remedy: what would do (`use off, dim, lit, ...`).
    """

    at: FilePlace | str
    said: str
    remedy: str

    @property
    def place(self) -> str:
        """Where, in words."""
        return str(self.at)

    @property
    def inner(self) -> str:
        """Where in the file, in words; what is no place inside one as it is."""
        return (self.at.inner if isinstance(self.at, FilePlace) else "") or self.place

    @property
    def steps(self) -> Steps:
        """The steps that lead to it in the file; none where it is no place inside one."""
        return self.at.steps if isinstance(self.at, FilePlace) else ()

    def of(self, file: str) -> "Finding":
        """The same, told of another file or call."""
        return replace(self, at=self.at.of(file)) if isinstance(self.at, FilePlace) else self

    def __str__(self) -> str:
        """The one line a user reads: what cannot be printed in it is escaped, what is long is cut."""
        return f"{one_line(self.place)}: {one_line(self.said)}; {one_line(self.remedy)}"


MOST_SAID = 400
"""Characters of each of the three things a finding says."""


def one_line(text: str) -> str:
    """A text as it may stand in a message: no control characters, line ends, direction marks; not long."""
    plain = re.sub(r"[^ -~]", lambda one: one[0] if one[0].isprintable() else ascii(one[0])[1:-1], text)
    return plain if len(plain) <= MOST_SAID else plain[: MOST_SAID - 3] + "..."


class LampwrightError(Exception):
    """Base of all errors that are the input's or the machine's, never a defect of ours."""


class InputError(LampwrightError):
    """The input is wrong; carries every finding.

    Exit status 2, and nothing has been written.
    """

    def __init__(self, findings: Sequence[Finding]) -> None:
        """Keep the findings, in the order they were met."""
        super().__init__("\n".join(str(finding) for finding in findings))
        self.findings = tuple(findings)
