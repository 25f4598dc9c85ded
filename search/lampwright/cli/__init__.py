"""The command line: `lampwright`, and what it exits with."""

from collections.abc import Sequence

from lampwright.cli.show import open_streams
from lampwright.cli.stopping import leaving_at_once

__all__ = ["main"]


def main(arguments: Sequence[str] | None = None) -> None:
    """Run a command, of the arguments of this process if none are given; ends with SystemExit."""
    with leaving_at_once():
        open_streams()
        from lampwright.cli.commands import main as commands

        commands(arguments)
