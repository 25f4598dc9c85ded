"""Arguments and options that several commands share. No source: our conventions."""

import os
from collections.abc import Callable
from math import isnan
from pathlib import Path
from typing import Any

import click

from lampwright.searching.options import BUDGET


class Number(click.FloatRange):
    """A number in a range; not-a-number is in none."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """Read a number."""
        number = float(super().convert(value, param, ctx))
        if isnan(number):
            self.fail(f"{value} is no number", param, ctx)
        return number


MOST_WORKERS = max(64, 4 * (os.cpu_count() or 1))
"""More would do nothing sooner, and a slip (`--workers 1000000`) would fill the machine with processes."""

INPUT_FILE = click.Path(path_type=Path)

as_json = click.option("--json", "as_json", is_flag=True, help="Print the result as JSON, and nothing else.")
budget_option = click.option(
    "--budget",
    type=click.IntRange(min=1),
    default=BUDGET,
    show_default=True,
    metavar="N",
    help="Most circuits to search; a spec that asks for more is refused.",
)


def out_option(said: str) -> Callable[[Any], Any]:
    """Make the option that names the folder of results; said: what it is to the command."""
    return click.option(
        "--out",
        type=click.Path(path_type=Path),
        default=Path("results"),
        show_default=True,
        metavar="DIR",
        help=said,
    )


def workers_option(said: str) -> Callable[[Any], Any]:
    """Make the option that says how many processes to use; said: what they do."""
    return click.option(
        "--workers",
        type=click.IntRange(min=1, max=MOST_WORKERS),
        default=lambda: os.cpu_count() or 1,
        show_default="all processors",
        metavar="N",
        help=said,
    )


stored_in = out_option("Folder of the stored results.")


def rank_option(does: str) -> Callable[[Any], Any]:
    """Make the option that takes a stored design; does: what the command does with it."""
    said = f"{does} the N-th design of the stored result, in place of CIRCUIT."
    return click.option("--rank", type=click.IntRange(min=1), metavar="N", help=said)
