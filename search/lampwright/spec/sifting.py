"""What a file's values have that the format does not allow, and what is left without it.

A sieve goes through a value and its schema together, notes a finding for whatever does
not fit, and returns the value with that left out, None where nothing is left: TOML has no
such value. What is left is used to look for further findings, so that one run tells all; a
made-up name stays even if what stands under it is wrong, lest the rows that use it be blamed as well.

    >>> from lampwright.spec.format import spec_schema
    >>> sieve = Sieve()
    >>> joints = spec_schema()["properties"]["search"]["properties"]["joints"]
    >>> sieve.value(joints, 5, FilePlace("tail.toml").key("joints"))
    >>> print(sieve.findings[0])
    tail.toml: joints: 5 is over 4; write a whole number from 0 to 4
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from math import isinf, isnan
from operator import ge, gt, le, lt
from typing import Any

from lampwright.errors import FilePlace, Finding, shown
from lampwright.spec.format import Schema
from lampwright.spec.wording import is_no, listed, nearest

_WHOLE_MOST = 2**63 - 1  # TOML 1.0: what a reader must be able to hold
_EDGES = (
    ("minimum", lt, "under"),
    ("exclusiveMinimum", le, "not above"),
    ("maximum", gt, "over"),
    ("exclusiveMaximum", ge, "not under"),
)


@dataclass
class Sieve:
    """Goes through a value with its schema; `findings` is what it met, in order of the format."""

    findings: list[Finding] = field(default_factory=list)

    def value(self, schema: Schema, value: object, place: FilePlace, want: str = "") -> Any:
        """Return the value without what does not fit; None if nothing is left. want: where it has none."""
        want = schema.get("want", want)
        if "oneOf" in schema:
            schema = _case(schema["oneOf"], value)
        if schema.get("type") == "object":
            return self._table(schema, value, place, want)
        if schema.get("type") == "array":
            return self._list(schema, value, place, want)
        said = _fault(schema, value)
        if said:
            words = schema.get("examples") or schema.get("enum", ())
            near = nearest(value, words) if isinstance(value, str) else ""
            return self._note(place, said, near + want)
        return float(value) if schema.get("type") == "number" else value  # type: ignore[arg-type]

    def _note(self, place: FilePlace, said: str, remedy: str) -> None:
        self.findings.append(Finding(place, said, remedy))

    def _list(self, schema: Schema, value: object, place: FilePlace, want: str) -> Any:
        if not isinstance(value, list):
            return self._note(place, is_no(value, "a list"), want)
        least, most, item = schema["minItems"], schema["maxItems"], schema["items"]
        if not least <= len(value) <= most:
            span = f"{least}" if least == most else f"{least} to {most}"
            if len(value) == 2 * most and all(type(one) is int for one in value):
                want = f"write decimal points, as {value[0]}.{value[1]}; {want}"
            return self._note(place, f"a list of {len(value)}, where {span} would stand", want)
        if item.get("type") == "object":
            return [self.value(item, row, place.row(n), want) for n, row in enumerate(value, 1)]
        items = [self.value(item, one, place.item(n), want) for n, one in enumerate(value, 1)]
        if None in items:
            return None
        for n, one in enumerate(items):
            if schema.get("uniqueItems") and one in items[:n]:
                return self._note(place, f"{shown(one)} stands twice", want)
            if schema.get("rising") and n and not items[n - 1] < one:
                return self._note(place, f"{shown(items[n - 1])} then {shown(one)} does not rise", want)
        return items

    def _table(self, schema: Schema, value: object, place: FilePlace, want: str) -> Any:
        """Return the table with defaults put in; made-up keys stay, None where wrong."""
        if not isinstance(value, dict):
            return self._note(place, is_no(value, "a table"), want)
        known, least = schema["properties"], schema["minProperties"]
        if len(value) < least:
            short = "it is empty" if not value else f"it has {len(value)} of at least {least} entries"
            return self._note(place, short, want)
        result: dict[str, Any] = {}
        for key, inner in known.items():
            if key in value:
                result[key] = self.value(inner, value[key], place.key(key))
            elif key in schema["required"] or ("unless" in inner and not set(inner["unless"]) & set(value)):
                self._note(place.key(key), "is missing", inner["want"])
            elif "default" in inner:
                result[key] = inner["default"]
        result = {key: item for key, item in result.items() if item is not None}
        if "const" in known.get("kind", ()) and "kind" not in result:
            self._made_up(schema, value, place)
            return None
        return result | self._made_up(schema, value, place)

    def _made_up(self, schema: Schema, value: Mapping[str, Any], place: FilePlace) -> dict[str, Any]:
        known, others = schema["properties"], schema["additionalProperties"]
        made_up = {key: item for key, item in value.items() if key not in known}
        if not others:
            usual = tuple(key for key, inner in known.items() if "const" not in inner)
            for key in made_up:
                use = nearest(key, tuple(known)) or f"use {listed(usual)}"
                self._note(place.key(key), f"{shown(key)} is no key here", use.strip())
            return {}
        most = schema["maxProperties"] - len(known)
        if len(made_up) > most:
            self._note(place, f"{len(made_up)} entries are too many", f"use at most {most}")
        for key in made_up:
            self.value(schema["propertyNames"], key, place.key(key), "choose another name")
        return {key: self.value(others, item, place.key(key)) for key, item in made_up.items()}


def _case(cases: list[Schema], value: object) -> Schema:
    """Return the shape meant: by the table's kind or, where that is wrong, its keys; or by the brackets."""
    if "properties" not in cases[0]:
        return next(case for case in cases if (case["type"] == "array") == isinstance(value, list))
    keys = value if isinstance(value, dict) else {}
    said = [case for case in cases if case["title"] == keys.get("kind")]
    return said[0] if said else max(cases, key=lambda case: len(set(case["properties"]) & set(keys)))


def _fault(schema: Schema, value: object) -> str:
    """Return what is wrong with a value that is neither list nor table, or nothing."""
    if "enum" in schema:
        known = type(value) in (int, str) and value in schema["enum"]
        return "" if known else f"{shown(value)} is not {listed(tuple(str(one) for one in schema['enum']))}"
    if schema["type"] == "boolean":
        return "" if isinstance(value, bool) else is_no(value, "true or false")
    return _text_fault(schema, value) if schema["type"] == "string" else _number_fault(schema, value)


def _text_fault(schema: Schema, value: object) -> str:
    if not isinstance(value, str):
        return is_no(value, "text")
    if not value:
        return '"" is empty'
    if len(value) > schema["maxLength"]:
        return f"{shown(value)} is longer than {schema['maxLength']} characters"
    # the pattern names the worst of what cannot be printed; there is more of it
    fits = value.isprintable() and re.fullmatch(schema["pattern"], value)
    return "" if fits else f"{shown(value)} {schema['fault']}"


def _number_fault(schema: Schema, value: object) -> str:
    if isinstance(value, bool) or not isinstance(value, int | float):
        return is_no(value, "a number")
    if schema["type"] == "integer" and not isinstance(value, int):
        return f"{shown(value)} is no whole number"
    if isinstance(value, int) and abs(value) > _WHOLE_MOST:
        return f"{shown(value)} is too great"
    bounded = "maximum" in schema or "exclusiveMaximum" in schema
    if isnan(value) or (isinf(value) and bounded):
        return f"{shown(value)} is no finite number"
    for word, breaks, said in _EDGES:
        if word in schema and breaks(value, schema[word]):
            return f"{shown(value)} is {said} {schema[word]:g}"
    return ""
