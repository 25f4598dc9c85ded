"""What of many cases is run by default, and what only in the complete selection, `pytest -m ""`."""

from collections.abc import Iterable
from typing import Any

import pytest
from _pytest.mark.structures import ParameterSet

NIGHTLY = False
"""Whether the complete selection runs; told before any test is collected."""


def some(cases: Iterable[Any], default: int | Iterable[Any]) -> list[ParameterSet]:
    """Mark all but the default cases, so many from the front or those named, as nightly."""
    return some_rows(
        ((one,) for one in cases), default if isinstance(default, int) else [(one,) for one in default]
    )


def some_rows(
    cases: Iterable[tuple[Any, ...]], default: int | Iterable[tuple[Any, ...]]
) -> list[ParameterSet]:
    """Mark, of cases of several values each, all but the default ones as nightly."""
    listed = list(cases)
    kept = listed[:default] if isinstance(default, int) else list(default)
    assert kept, "no case is left by default"
    assert all(one in listed for one in kept), f"{kept} are not all among the cases"
    return [pytest.param(*one, marks=() if one in kept else pytest.mark.nightly) for one in listed]


def examples(default: int, nightly: int) -> int:
    """Say how many examples a property is tried on."""
    return nightly if NIGHTLY else default
