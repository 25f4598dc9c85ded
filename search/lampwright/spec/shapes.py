"""Shapes of a value: a small language in which the spec format is written down once.

`fields.py` states the format in it; `validator.py` checks a file against it; `schema.py`
writes the JSON Schema from it. A shape says only what can be seen in the value alone;
what needs two places of the file (a lamp named in a row) is in `references.py`.
"""

from dataclasses import dataclass, field
from typing import Any, Final, TypeAlias


class _Absent:
    """The one value that stands for nothing usable read."""

    def __repr__(self) -> str:
        """Its name."""
        return "ABSENT"


ABSENT: Final = _Absent()


@dataclass(frozen=True)
class Number:
    """A real number from low to high; `above`: low itself excluded; `below`: high itself excluded."""

    low: float
    high: float
    above: bool = False
    below: bool = False


@dataclass(frozen=True)
class Whole:
    """A whole number from low to high."""

    low: int
    high: int


@dataclass(frozen=True)
class OneOf:
    """One of a few values."""

    values: tuple[int | str, ...]


@dataclass(frozen=True)
class Flag:
    """True or false."""


@dataclass(frozen=True)
class Text:
    """Text that matches the whole of a pattern; `fault` ends the sentence if it does not."""

    pattern: str
    most: int
    fault: str
    near: tuple[str, ...] = ()


@dataclass(frozen=True)
class ListOf:
    """A list of least to most items; `distinct`: no two alike; `rising`: each above the one before."""

    item: "Shape"
    least: int
    most: int
    distinct: bool = False
    rising: bool = False


@dataclass(frozen=True)
class Either:
    """A single value or a list, told apart by the brackets."""

    single: "Shape"
    several: ListOf


@dataclass(frozen=True)
class Field:
    """A key of a table: its shape, what it means, and what would do where it is wrong."""

    key: str
    shape: "Shape"
    doc: str
    want: str
    required: bool = False
    default: Any = field(default=ABSENT)


@dataclass(frozen=True)
class Entry:
    """The keys a user makes up: the shape of the key and of what stands under it."""

    key: Text
    shape: "Shape"
    doc: str
    want: str
    most: int


@dataclass(frozen=True)
class Table:
    """A table of known keys, and of made-up ones where `others` says so; at least so many keys."""

    fields: tuple[Field, ...] = ()
    others: Entry | None = None
    least: int = 1


@dataclass(frozen=True)
class Tagged:
    """A table whose keys depend on the value of one of them."""

    tag: Field
    cases: tuple[tuple[str, Table], ...]


Shape: TypeAlias = Number | Whole | OneOf | Flag | Text | ListOf | Either | Table | Tagged
