"""What must hold whatever comes in: our own errors alone, all text printable, JSON that is JSON."""

import json
from collections.abc import Callable
from typing import TypeVar

from hypothesis import HealthCheck, settings
from tests import selection

from lampwright.errors import MOST_SAID, LampwrightError
from lampwright.results.json_text import Result, to_json

Answer = TypeVar("Answer")
SLOW = 2000
"""Milliseconds that no input may take; held nightly, on a machine that does nothing else."""


def fuzzed(default: int, nightly: int) -> settings:
    """Run so many examples: by default always the same, nightly others each time, and none that is slow."""
    return settings(
        max_examples=selection.examples(default, nightly),
        deadline=SLOW if selection.NIGHTLY else None,
        derandomize=not selection.NIGHTLY,
        database=None,
        suppress_health_check=list(HealthCheck),
    )


def only_ours(call: Callable[[], Answer]) -> Answer | None:
    """What a call gives; None where it is refused, in lines that can be printed and are not long."""
    try:
        return call()
    except LampwrightError as error:
        for line in str(error).split("\n"):
            assert line, "a refusal says something"
            assert line.isprintable(), "a message has marks that cannot be printed"
            assert len(line) <= 3 * MOST_SAID + 4, "a message is one short line"
        return None


def is_sound(result: Result) -> None:
    """Hold a result's JSON against RFC 8259, which has no not-a-number."""

    def refuse(constant: str) -> None:
        raise AssertionError(f"{constant} is no JSON")

    assert json.loads(to_json(result), parse_constant=refuse)


def is_printable(text: str) -> None:
    """Hold that a text of lines has no control characters or direction marks."""
    for line in text.split("\n"):
        assert line.isprintable(), "a text has marks that cannot be printed"
