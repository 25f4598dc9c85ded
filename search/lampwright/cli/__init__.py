"""The command line: `lampwright`, and what it exits with."""

from lampwright.cli.commands import main

__all__ = ["main"]
