"""Strict types, lint and format, by the tools themselves as pyproject.toml sets them."""

import subprocess
import sys
from pathlib import Path

import pytest

SECONDS = 600
"""A first run of the type checker reads all of numpy's and scipy's types."""


def complaints(root: Path, *command: str) -> str:
    """Run a tool of the `test` extra at the root; what it says if it fails, else nothing."""
    pytest.importorskip(command[0], reason="a tool of the `test` extra; CI has it")
    line = (sys.executable, "-m", *command)
    done = subprocess.run(line, cwd=root, capture_output=True, text=True, timeout=SECONDS, check=False)
    return done.stdout + done.stderr if done.returncode else ""


@pytest.mark.parametrize(
    "command", [("mypy", "--strict"), ("ruff", "check"), ("ruff", "format", "--check")], ids=" ".join
)
def test_has_no_complaints(root: Path, command: tuple[str, ...]) -> None:
    said = complaints(root, *command)
    assert not said, said
