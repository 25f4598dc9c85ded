"""The command for a worksheet: its arguments become one call of `app`. No source: our conventions."""

from pathlib import Path
from typing import Literal

import click

from lampwright.cli.group import FOUND, NONE, WORKSHEET_STATUSES, ready_kernels, tell
from lampwright.cli.options import INPUT_FILE, stored_in


@click.command(epilog=WORKSHEET_STATUSES, short_help="Write a worksheet for a class, and its key.")
@click.argument("specs", metavar="SPECS", type=INPUT_FILE, nargs=-1, required=True)
@click.option(
    "--grade",
    type=click.IntRange(1, 3),
    default=3,
    show_default=True,
    metavar="N",
    help="The hardest circuits to ask about, from 1 to 3.",
)
@click.option(
    "--seed",
    type=click.IntRange(min=0),
    default=1,
    show_default=True,
    metavar="N",
    help="Another number asks other things in another order; the same one prints the same sheet.",
)
@stored_in
@click.option(
    "--to",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="File to write, .html or .pdf, its key beside it; else both, in DIR/<name of the first spec>/.",
)
@click.option(
    "--paper", type=click.Choice(("A4", "letter")), default="A4", show_default=True, help="Size of a PDF."
)
@click.pass_context
def worksheet(
    context: click.Context,
    specs: tuple[Path, ...],
    grade: int,
    seed: int,
    out: Path,
    to: Path | None,
    paper: Literal["A4", "letter"],
) -> None:
    """Write a worksheet for a class about the circuits of one spec or several, and the key apart.

    Students predict, observe and explain; say which lamp burns when, and what happens if one
    fails; and draw a circuit. Every answer is simulated, at the lowest supply, the normal and the
    highest. A spec without a stored result is searched first. A PDF needs the extra `paper`;
    any browser prints the pages as well.
    """
    ready_kernels(*specs)
    from lampwright.app.commands import worksheet_files
    from lampwright.app.render import progress_on_stderr
    from lampwright.app.worksheet_options import WorksheetOptions

    options = WorksheetOptions(out=out, grade=grade, seed=seed, paper=paper, to=to)
    progress = progress_on_stderr()
    try:
        written = worksheet_files(specs, options, progress)
    finally:
        progress.close()
    for file in written.files:
        tell(f"wrote {file}")
    for line in written.told:
        tell(line)
    if not written.files:
        tell(
            f"nothing was written: no circuit of these is of grade {grade} or less; ask for a higher --grade"
        )
    context.exit(FOUND if written.files else NONE)
