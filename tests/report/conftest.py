"""The invented example results."""

from pathlib import Path

import pytest

from lampwright.results.json_text import from_json
from lampwright.results.ranking import Ranking

EXAMPLES = Path(__file__).parents[1] / "results" / "examples"
NAMES = ("one", "sidecar", "eight", "none")


def load(name: str) -> Ranking:
    """Read one example."""
    return from_json((EXAMPLES / f"{name}.json").read_text(encoding="utf-8"))


@pytest.fixture(params=NAMES)
def ranking(request: pytest.FixtureRequest) -> Ranking:
    """Give each example in turn."""
    return load(request.param)


@pytest.fixture
def sidecar() -> Ranking:
    """Give the example with every kind of part."""
    return load("sidecar")
