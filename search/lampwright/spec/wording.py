"""How a finding names a place of a file, and what it read there."""

import datetime
import json
import re
from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from math import isfinite

_SHOWN_MOST = 40


@dataclass(frozen=True)
class FilePlace:
    """A place in a file as a user reads it; `opens`: what follows stands after a colon."""

    text: str
    opens: bool = False

    def key(self, *names: str) -> "FilePlace":
        """Return the place of a key, or of a key in a table under a key."""
        place = self
        for name in names:
            plain = re.fullmatch(r"[A-Za-z0-9_/ -]+", name) and len(name) <= _SHOWN_MOST
            place = FilePlace(f"{place.text}{': ' if place.opens else '.'}{name if plain else shown(name)}")
        return place

    def row(self, number: int) -> "FilePlace":
        """Return the place of a table in a list of tables, counted from 1."""
        return FilePlace(f"{self.text}{', row' if self.opens else ''} {number}", opens=True)

    def item(self, number: int) -> "FilePlace":
        """Return the place of an item of a list, counted from 1."""
        return FilePlace(f"{self.text} item {number}", opens=True)

    def holds(self, place: str) -> bool:
        """Whether the place of a finding is this one or inside it."""
        return place.startswith(self.text) and place[len(self.text) :][:1] in ("", ".", ":", ",", " ")


def shown(value: object) -> str:
    """Return a value as a user would write it, cut to fit a line."""
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


def is_no(value: object, wanted: str) -> str:
    """Return that a value is not of the sort wanted, and what it is where that is not plain."""
    sorts = ((int | float, "a number"), (str, "text"), (list, "a list"), (dict, "a table"))
    other = "a date or time" if isinstance(value, datetime.date | datetime.time) else "no such thing"
    sort = next((name for kind, name in sorts if isinstance(value, kind)), other)
    plain = isinstance(value, bool | dict)
    return f"{shown(value)} is not {wanted}" if plain else f"{shown(value)} is {sort}, not {wanted}"


def nearest(word: str, known: Sequence[object]) -> str:
    """Return a question that offers the nearest known word, or nothing."""
    close = get_close_matches(word, [one for one in known if isinstance(one, str)], n=1)
    return f"did you mean {shown(close[0])}? " if close else ""


def listed(words: tuple[str, ...], joined: str = "or") -> str:
    """Return words as an enumeration: a, b or c."""
    words = tuple(word if word.isprintable() else shown(word) for word in words)
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} {joined} {words[-1]}"


def offered(word: str, known: tuple[str, ...]) -> str:
    """Return a remedy for an unknown word: the nearest known one, and all of them."""
    return f"{nearest(word, known)}use {listed(known)}"
