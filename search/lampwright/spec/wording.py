"""How a finding says what it read, and what would do."""

import datetime
from collections.abc import Sequence
from difflib import get_close_matches

from lampwright.errors import shown


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
