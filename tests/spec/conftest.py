"""The sound spec that tests bend, and the place of the shipped ones."""

from pathlib import Path

import pytest

HERE = Path(__file__).parent


@pytest.fixture(scope="session")
def sound() -> str:
    """A small spec without a fault: a flasher, a switch, two lamps."""
    return (HERE / "sound.toml").read_text(encoding="utf-8")


@pytest.fixture
def specs() -> Path:
    """The folder of shipped specs."""
    return HERE.parents[1] / "specs"
