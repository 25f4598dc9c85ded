"""What must hold whatever comes in: our own errors alone, all text printable, JSON that is JSON."""

import json
import time
from collections.abc import Callable
from contextlib import suppress
from typing import TypeVar

from hypothesis import HealthCheck, settings
from tests import selection

from lampwright.errors import MOST_SAID, LampwrightError
from lampwright.results.json_text import Result, to_json

Answer = TypeVar("Answer")
SLOW = 2.0
"""Seconds of the processor that no input may take; held nightly, however busy the machine is."""


def fuzzed(default: int, nightly: int) -> settings:
    """Run so many examples: by default always the same, nightly others, which `--hypothesis-seed` repeats."""
    return settings(
        max_examples=selection.examples(default, nightly),
        deadline=None,
        derandomize=not selection.NIGHTLY,
        database=None,
        suppress_health_check=list(HealthCheck),
    )


def only_ours(call: Callable[[], Answer]) -> Answer | None:
    """What a call gives; None where it is refused, in lines that can be printed and are not long."""
    began = time.process_time()
    try:
        return call()
    except LampwrightError as error:
        for line in str(error).split("\n"):
            assert line, "a refusal says something"
            assert line.isprintable(), "a message has marks that cannot be printed"
            assert len(line) <= 3 * MOST_SAID + 4, "a message is one short line"
        return None
    finally:
        if selection.NIGHTLY and time.process_time() - began >= SLOW:
            # again, since the first of its kind imports a library or loads a kernel
            began = time.process_time()
            with suppress(LampwrightError):
                call()
            took = time.process_time() - began
            assert took < SLOW, f"it took {took:.1f} s"


def is_sound(result: Result) -> None:
    """Hold a result's JSON against RFC 8259, which has no not-a-number."""

    def refuse(constant: str) -> None:
        raise AssertionError(f"{constant} is no JSON")

    assert json.loads(to_json(result), parse_constant=refuse)


def is_printable(text: str) -> None:
    """Hold that a text of lines has no control characters or direction marks."""
    for line in text.split("\n"):
        assert line.isprintable(), "a text has marks that cannot be printed"
