"""What a file's values have that their shapes do not allow, and what is left without it.

A validator goes through a value and its shape together, notes a finding for whatever does
not fit, and returns the value with that left out. What is left is used to look for
further findings, so that one run tells all; a made-up name stays even if what stands
under it is wrong, lest the rows that use it be blamed as well.

    >>> validator = Validator()
    >>> validator.clean(Whole(0, 4), 5, Place("tail.toml", opens=True).key("joints"), "write 0 to 4")
    ABSENT
    >>> print(validator.findings[0])
    tail.toml: joints: 5 is over 4; write 0 to 4
"""

import datetime
import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from difflib import get_close_matches
from math import inf, isfinite, isnan
from typing import Any

from lampwright.errors import Finding
from lampwright.spec.shapes import (
    ABSENT,
    Either,
    Entry,
    Field,
    Flag,
    ListOf,
    Number,
    OneOf,
    Shape,
    Table,
    Tagged,
    Text,
    Whole,
)

_SHOWN_MOST = 40
_WHOLE_MOST = 2**63 - 1  # TOML 1.0: what a reader must be able to hold


@dataclass(frozen=True)
class Place:
    """A place in a file as a user reads it; `opens`: what follows stands after a colon."""

    text: str
    opens: bool = False

    def key(self, name: str) -> "Place":
        """Return the place of a key."""
        plain = name if re.fullmatch(r"[A-Za-z0-9_/ -]+", name) and len(name) <= _SHOWN_MOST else shown(name)
        return Place(f"{self.text}{': ' if self.opens else '.'}{plain}")

    def row(self, number: int) -> "Place":
        """Return the place of a table in a list of tables, counted from 1."""
        return Place(f"{self.text} {number}", opens=True)

    def item(self, number: int) -> "Place":
        """Return the place of an item of a list, counted from 1."""
        return Place(f"{self.text} item {number}", opens=True)


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


def sort_of(value: object) -> str:
    """Return what sort of TOML value this is, for the middle of a sentence."""
    sorts = (
        (bool, "true or false"),
        (int | float, "a number"),
        (str, "text"),
        (list, "a list"),
        (dict, "a table"),
    )
    return next((name for sort, name in sorts if isinstance(value, sort)), "a date or time")


def nearest(word: str, known: tuple[str, ...]) -> str:
    """Return a question that offers the nearest known word, or nothing."""
    close = get_close_matches(word, known, n=1)
    return f"did you mean {shown(close[0])}? " if close else ""


def listed(words: tuple[str, ...], joined: str = "or") -> str:
    """Return words as an enumeration: a, b or c."""
    words = tuple(word if word.isprintable() else shown(word) for word in words)
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} {joined} {words[-1]}"


@dataclass
class Validator:
    """Goes through a value with its shape; `findings` is what it met, in file order of the format."""

    findings: list[Finding] = field(default_factory=list)

    def clean(self, shape: Shape, value: object, place: Place, want: str) -> Any:
        """Return the value without what does not fit its shape; ABSENT if nothing is left."""
        match shape:
            case Number() | Whole():
                return self._number(shape, value, place, want)
            case OneOf():
                return self._one_of(shape, value, place, want)
            case Flag():
                return value if isinstance(value, bool) else self._sort(value, "true or false", place, want)
            case Text():
                return self._text(shape, value, place, want)
            case ListOf():
                return self._list(shape, value, place, want)
            case Either():
                return self.clean(
                    shape.several if isinstance(value, list) else shape.single, value, place, want
                )
            case Tagged():
                return self._tagged(shape, value, place, want)
            case Table():
                return self.table(shape, value, place, want)

    def _note(self, place: Place, said: str, remedy: str) -> Any:
        self.findings.append(Finding(place.text, said, remedy))
        return ABSENT

    def _sort(self, value: object, wanted: str, place: Place, want: str) -> Any:
        read = shown(value)
        said = (
            f"{read} is not {wanted}"
            if read == sort_of(value)
            else f"{read} is {sort_of(value)}, not {wanted}"
        )
        if isinstance(value, bool):
            said = f"{read} is not {wanted}"
        return self._note(place, said, want)

    def _number(self, shape: Number | Whole, value: object, place: Place, want: str) -> Any:
        if isinstance(value, bool) or not isinstance(value, int | float):
            return self._sort(value, "a number", place, want)
        if isinstance(shape, Whole) and not isinstance(value, int):
            return self._note(place, f"{shown(value)} is no whole number", want)
        if isinstance(value, int) and abs(value) > _WHOLE_MOST:
            return self._note(place, f"{shown(value)} is too great", want)
        if isnan(value) or (value in (inf, -inf) and shape.high < inf):
            return self._note(place, f"{shown(value)} is no finite number", want)
        above, below = (shape.above, shape.below) if isinstance(shape, Number) else (False, False)
        if value < shape.low or (above and value == shape.low):
            return self._note(
                place, f"{shown(value)} is {'not above' if above else 'under'} {shape.low:g}", want
            )
        if value > shape.high or (below and value == shape.high):
            return self._note(
                place, f"{shown(value)} is {'not under' if below else 'over'} {shape.high:g}", want
            )
        return value if isinstance(shape, Whole) else float(value)

    def _one_of(self, shape: OneOf, value: object, place: Place, want: str) -> Any:
        if type(value) in (int, str) and value in shape.values:
            return value
        words = tuple(known for known in shape.values if isinstance(known, str))
        near = nearest(value, words) if isinstance(value, str) else ""
        names = listed(tuple(str(known) for known in shape.values))
        return self._note(place, f"{shown(value)} is not {names}", near + want)

    def _text(self, shape: Text, value: object, place: Place, want: str) -> Any:
        if not isinstance(value, str):
            return self._sort(value, "text", place, want)
        if not value:
            return self._note(place, '"" is empty', want)
        if len(value) > shape.most:
            return self._note(place, f"{shown(value)} is longer than {shape.most} characters", want)
        if re.fullmatch(shape.pattern, value) is None:
            return self._note(place, f"{shown(value)} {shape.fault}", nearest(value, shape.near) + want)
        return value

    def _list(self, shape: ListOf, value: object, place: Place, want: str) -> Any:
        if not isinstance(value, list):
            return self._sort(value, "a list", place, want)
        if not shape.least <= len(value) <= shape.most:
            span = f"{shape.least}" if shape.least == shape.most else f"{shape.least} to {shape.most}"
            return self._note(place, f"a list of {len(value)}, where {span} would stand", want)
        if isinstance(shape.item, Table):
            return [self.table(shape.item, item, place.row(n), want) for n, item in enumerate(value, 1)]
        items = [self.clean(shape.item, item, place.item(n), want) for n, item in enumerate(value, 1)]
        if ABSENT in items:
            return ABSENT
        for n, item in enumerate(items):
            if shape.distinct and item in items[:n]:
                return self._note(place, f"{shown(item)} stands twice", want)
            if shape.rising and n and not items[n - 1] < item:
                return self._note(place, f"{shown(items[n - 1])} then {shown(item)} does not rise", want)
        return items

    def _tagged(self, shape: Tagged, value: object, place: Place, want: str) -> Any:
        if not isinstance(value, dict):
            return self._sort(value, "a table", place, want)
        tag: Any = ABSENT
        if shape.tag.key in value:
            tag = self.clean(shape.tag.shape, value[shape.tag.key], place.key(shape.tag.key), shape.tag.want)
        else:
            self._missing(shape.tag, place)
        likeness = {name: len({f.key for f in table.fields} & set(value)) for name, table in shape.cases}
        chosen = max(likeness, key=likeness.__getitem__) if tag is ABSENT else tag
        rest = {key: item for key, item in value.items() if key != shape.tag.key}
        result = self.table(replace(dict(shape.cases)[chosen], least=0), rest, place, want)
        return ABSENT if tag is ABSENT else {shape.tag.key: tag, **result}

    def table(self, shape: Table, value: object, place: Place, want: str) -> Any:
        """Return the table with defaults put in; made-up keys stay, ABSENT where wrong."""
        if not isinstance(value, dict):
            return self._sort(value, "a table", place, want)
        if len(value) < shape.least:
            short = "it is empty" if not value else f"it has {len(value)} of at least {shape.least} entries"
            return self._note(place, short, want)
        result: dict[str, Any] = {}
        for known in shape.fields:
            self._field(known, value, place, result)
        fixed = tuple(known.key for known in shape.fields)
        made_up = {key: item for key, item in value.items() if key not in fixed}
        if shape.others is None:
            for key in made_up:
                use = nearest(key, fixed) or f"use {listed(fixed)}"
                self._note(place.key(key), f"{shown(key)} is no key here", use.strip())
        else:
            result |= self._entries(shape.others, made_up, place)
        return result

    def _field(self, known: Field, value: Mapping[str, Any], place: Place, result: dict[str, Any]) -> None:
        if known.key in value:
            item = self.clean(known.shape, value[known.key], place.key(known.key), known.want)
            if item is not ABSENT:
                result[known.key] = item
        elif known.required:
            self._missing(known, place)
        elif known.default is not ABSENT:
            result[known.key] = known.default

    def _entries(self, entry: Entry, made_up: Mapping[str, Any], place: Place) -> dict[str, Any]:
        if len(made_up) > entry.most:
            self._note(place, f"{len(made_up)} entries are too many", f"use at most {entry.most}")
        for key in made_up:
            self.clean(entry.key, key, place.key(key), "choose another name")
        return {
            key: self.clean(entry.shape, item, place.key(key), entry.want) for key, item in made_up.items()
        }

    def _missing(self, known: Field, place: Place) -> Any:
        return self._note(place.key(known.key), "is missing", known.want)
