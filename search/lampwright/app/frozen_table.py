"""Tables and lists of a document that nobody changes, and back to what a TOML reader gives.

>>> said = frozen({"lamps": {"x": {"choose": ["R5W"]}}})
>>> said["lamps"]["x"]["choose"], thawed(said)
(('R5W',), {'lamps': {'x': {'choose': ['R5W']}}})
"""

from collections.abc import Iterable, Iterator, Mapping
from typing import Any


class FrozenTable(Mapping[str, Any]):
    """A table with its keys in their order; equal to any mapping that says the same."""

    def __init__(self, said: Mapping[str, Any] | None = None) -> None:
        """Keep what is said now, and no later change of it."""
        self._said = {key: frozen(value) for key, value in (said or {}).items()}

    def __getitem__(self, key: str) -> Any:
        """What a key says."""
        return self._said[key]

    def __iter__(self) -> Iterator[str]:
        """The keys in their order."""
        return iter(self._said)

    def __len__(self) -> int:
        """How many keys there are."""
        return len(self._said)

    def __repr__(self) -> str:
        """Show it as a plain dictionary."""
        return repr(thawed(self))


def frozen(value: Any) -> Any:
    """A value of a document that cannot be changed; numbers of arrays become Python's own."""
    if isinstance(value, Mapping):
        return FrozenTable(value)
    if isinstance(value, str | bytes):
        return value
    if isinstance(value, Iterable):
        return tuple(frozen(one) for one in value)
    return value.item() if hasattr(value, "item") else value


def thawed(value: Any) -> Any:
    """The same in dictionaries and lists, as a TOML reader gives it."""
    if isinstance(value, Mapping):
        return {key: thawed(one) for key, one in value.items()}
    return [thawed(one) for one in value] if isinstance(value, tuple | list) else value


def given(**said: object) -> FrozenTable:
    """What was given of some keywords."""
    return FrozenTable({key: value for key, value in said.items() if value is not None})


def many(value: object) -> object:
    """One thing where many may stand, as a list of it."""
    return [value] if isinstance(value, str | int | float) else value
