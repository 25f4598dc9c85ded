"""What all commands share: one place where errors become lines, and runs an exit status.

A command raises, or exits with a status of its own; here an error of the input becomes one
line on stderr for each finding, and never a traceback. No source: our conventions.
"""

import atexit
import gc
import sys
from contextlib import suppress
from pathlib import Path
from typing import Any

import click

from lampwright.cli.show import OutputError, let_go
from lampwright.cli.stopping import STOPPED, stopping_politely
from lampwright.errors import Finding, LampwrightError
from lampwright.kernels import Kernels, collect_rarely, keep_kernels, kernels_to_come, load_numba_alone

FOUND = 0
NONE = 1
WRONG = 2

STATUSES = """\b
Exit status:
  0  found; the circuit meets the spec; done
  1  no circuit within the limits; the circuit does not meet the spec
  2  the input is wrong, or a file cannot be written
  3  stopped before the end, with what was found so far kept
"""
SEARCH_STATUSES = """\b
Exit status:
  0  at least one circuit meets the spec
  1  none does, within the limits searched
  2  the input is wrong, or the result cannot be written
  3  stopped before the end (time limit, Ctrl-C); what was found is kept
"""
ATLAS_STATUSES = """\b
Exit status:
  0  done, whatever was found
  2  the input is wrong, or the result cannot be written
  3  stopped before the end (time limit, Ctrl-C); complete sizes are kept
"""
CHECK_STATUSES = """\b
Exit status:
  0  the circuit meets the spec
  1  it does not
  2  the input is wrong
"""
EXPLAIN_STATUSES = """\b
Exit status:
  0  done
  1  the stored result has no design: it is told why not
  2  the input is wrong
"""
WORKSHEET_STATUSES = """\b
Exit status:
  0  done
  1  no circuit is of that grade or an easier one: nothing is written
  2  the input is wrong, no circuit meets a spec, or a file cannot be written
  3  stopped before the end
"""
PLAIN_STATUSES = """\b
Exit status: 0 done, 2 the input is wrong.
"""


ORDER = (
    *("new", "bench", "search", "check", "explain", "draw", "sheet", "worksheet", "count", "atlas"),
    *("parts", "fit", "schema", "docs"),
)


class CommandGroup(click.Group):
    """The commands, in the order in which one uses them, with one catch around them."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Put them in order."""
        del ctx
        return sorted(self.commands, key=ORDER.index)

    def main(self, *arguments: Any, **options: Any) -> Any:
        """Run a command and end with its exit status; arguments that cannot be are told in one line."""
        try:
            status = super().main(
                *arguments, **{"prog_name": "lampwright", **options, "standalone_mode": False}
            )
        except click.ClickException as error:
            if type(error).__name__ == "NoArgsIsHelpError":  # it is the help
                error.show()
            else:
                tell(_told(error))
            status = WRONG
        except click.Abort:
            status = STOPPED
        except BrokenPipeError:
            let_go()
            status = FOUND
        except OSError as error:
            # the help, which click writes
            let_go()
            tell(str(OutputError(error)))
            status = WRONG
        sys.exit(status if isinstance(status, int) else FOUND)

    def invoke(self, ctx: click.Context) -> Any:
        """Run a command; turn an error into lines and an exit status."""
        keep_kernels()
        collect_rarely()
        # a last collection would go through every object of the compiler, for half a second
        atexit.register(gc.freeze)
        try:
            with stopping_politely():
                return super().invoke(ctx)
        except LampwrightError as error:
            tell(str(error))
            ctx.exit(WRONG)
        except KeyboardInterrupt:
            resumes = ctx.invoked_subcommand == "search"
            tell(
                "stopped; what was stored is kept: the same command goes on from there"
                if resumes
                else "stopped"
            )
            ctx.exit(STOPPED)


def _told(error: click.ClickException) -> str:
    """What is wrong with the arguments of a command, and where to read of them."""
    context = getattr(error, "ctx", None)
    command = context.command_path if context else "lampwright"
    said = " ".join(error.format_message().split()).rstrip(".")
    place = command.removeprefix("lampwright").strip() or "command"
    return str(Finding(place, f"{said[:1].lower()}{said[1:]}", f"see {command} --help"))


def ready_kernels(*specs: Path) -> None:
    """Compile the kernels where that is still to be done, telling a person who waits; load what runs them.

    specs: read before, so that who has a slip in one waits for neither. Raises InputError.
    """
    if specs:
        from lampwright.app.commands import read_alone

        for spec in specs:
            read_alone(spec)
    kernels = kernels_to_come()
    if kernels is not None:
        _compile(kernels)
    load_numba_alone()


def _compile(kernels: Kernels) -> None:
    from lampwright.app.compiling import compile_kernels
    from lampwright.app.render import progress_on_stderr

    if sys.stderr.isatty():
        tell("first run of this version: compiling, about a minute; later runs start at once")
    progress = progress_on_stderr()
    try:
        compile_kernels(kernels, progress)
    finally:
        progress.close()


def tell(text: str) -> None:
    """Write lines on stderr, each with the program's name; where that is full they are lost."""
    with suppress(OSError):
        for line in text.splitlines():
            click.echo(f"lampwright: {line}", file=sys.stderr)
