"""The invented example results, read as text."""

from pathlib import Path

import pytest

EXAMPLES = sorted((Path(__file__).parent / "examples").glob("*.json"), key=lambda path: path.name)


@pytest.fixture(params=EXAMPLES, ids=[path.stem for path in EXAMPLES])
def example(request: pytest.FixtureRequest) -> str:
    """Give the text of each example ranking in turn."""
    path: Path = request.param
    return path.read_text(encoding="utf-8")
