"""The commands: each translates its arguments into one call of `app`.

Nothing is computed here. `app` is imported inside the commands, so that help is
there at once, without the compiled libraries. No source: our conventions.
"""

import shlex
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click
from click.core import ParameterSource

from lampwright import __version__
from lampwright.cli.atlas import atlas
from lampwright.cli.explain import explain
from lampwright.cli.fit import fit
from lampwright.cli.group import (
    CHECK_STATUSES,
    FOUND,
    NONE,
    PLAIN_STATUSES,
    SEARCH_STATUSES,
    STATUSES,
    CommandGroup,
    ready_kernels,
    tell,
)
from lampwright.cli.options import (
    INPUT_FILE,
    Number,
    as_json,
    budget_option,
    out_option,
    rank_option,
    stored_in,
    workers_option,
)
from lampwright.cli.show import columns, show
from lampwright.cli.stopping import STOPPED
from lampwright.cli.worksheet import worksheet
from lampwright.searching.options import AIM_WORDS, SearchOptions, aims_of

if TYPE_CHECKING:
    from lampwright.app.sheet_options import SheetFiles

WHICH = ("spec", "circuit", "ranking", "check", "explanation", "atlas", "sheet")
DEFAULT_OUT = Path("results")
VERDICTS = {"found": FOUND, "none": NONE, "stopped": STOPPED}


@click.group(
    cls=CommandGroup,
    commands=(atlas, explain, fit, worksheet),
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80},
    epilog=STATUSES,
)
@click.version_option(__version__, prog_name="lampwright", message="%(prog)s %(version)s")
def main() -> None:
    """Find every circuit of lamps and wire that does what you ask.

    Say in a spec what each lamp must do for every setting of the switches and the
    flasher. lampwright lists the circuits that could do it, simulates each with the
    physics of filaments, and ranks those that meet the spec.

    \b
    To begin, on a page:
      lampwright bench
    or with a file:
      lampwright new lamps.toml        and edit it
      lampwright search lamps.toml
    """


@main.command(epilog=PLAIN_STATUSES, short_help="Write a commented spec to start from.")
@click.argument("file", type=INPUT_FILE)
def new(file: Path) -> None:
    """Write a commented spec to start from; a file that exists is left alone."""
    from lampwright.app.commands import new_spec

    new_spec(file)
    tell(f"wrote {file}; edit it, then: lampwright search {file}")


@main.command(epilog=PLAIN_STATUSES, short_help="Ask, search and try on a page, without writing a file.")
@click.argument("spec", type=INPUT_FILE, required=False)
@out_option("Folder for results, below the one you start in.")
@click.option(
    "--port",
    type=click.IntRange(0, 65535),
    default=0,
    metavar="N",
    help="Port to use; else any that is free.",
)
@workers_option("Processes that a search uses.")
@click.option("--no-browser", is_flag=True, help="Print the link, and open no browser.")
def bench(spec: Path | None, out: Path, port: int, workers: int, no_browser: bool) -> None:
    """Open a page of your own on which to ask a spec, search it, and read the answer.

    The page is for this machine and this link alone. It reads and writes the folder in
    which it is started, and what lies below; SPEC is the spec to begin with.
    """
    ready_kernels()
    from lampwright.workbench.serving import open_bench

    open_bench(spec, out, port, workers, tell, browser=not no_browser)


@main.command(epilog=SEARCH_STATUSES, short_help="Search for circuits that meet a spec; the main job.")
@click.argument("spec", type=INPUT_FILE)
@out_option("Folder for results; this one goes to DIR/<name of SPEC>/.")
@as_json
@click.option(
    "--most",
    type=click.IntRange(min=1),
    default=5,
    show_default=True,
    metavar="N",
    help="Print everything, and at most N designs in full.",
)
@click.option("--all", "everything", is_flag=True, help="Print everything, not what matters most.")
@workers_option("Processes to use; the result is the same for any number.")
@click.option(
    "--extra-parts",
    type=click.IntRange(min=0),
    metavar="N",
    help="Most resistors and diodes together, if fewer than the spec allows.",
)
@click.option(
    "--more-lamps",
    type=click.IntRange(min=0),
    default=0,
    metavar="N",
    help="Show circuits with up to N helper lamps more than the least, too.",
)
@click.option(
    "--time-limit",
    type=Number(min=0.0, min_open=True),
    metavar="SECONDS",
    help="Stop after this time and keep what was found.",
)
@click.option(
    "--scheduler",
    metavar="ADDRESS",
    help="Work on the Dask cluster of this scheduler, as tcp://host:8786; needs the extra `cluster`.",
)
@click.option("--fresh", is_flag=True, help="Begin again, forgetting what a stopped run has stored.")
@budget_option
@click.option(
    "--prefer",
    default=",".join(AIM_WORDS),
    metavar="AIMS",
    help=f"Rank by these first, as margin,faults; by default {', '.join(AIM_WORDS)}.",
)
@click.option(
    "--no-bound",
    is_flag=True,
    help="List from no extra parts on, without first proving how many are needed.",
)
@click.pass_context
def search(
    context: click.Context,
    spec: Path,
    out: Path,
    as_json: bool,
    most: int,
    everything: bool,
    workers: int,
    extra_parts: int | None,
    more_lamps: int,
    time_limit: float | None,
    scheduler: str | None,
    fresh: bool,
    budget: int,
    prefer: str,
    no_bound: bool,
) -> None:
    """Search for circuits that meet SPEC, rank them, and keep the result.

    A run that was stopped goes on where it was when started again.
    """
    aims = aims_of(prefer)
    ready_kernels(spec)
    from lampwright.app.commands import search_to_disk
    from lampwright.app.render import progress_on_stderr, result_text, search_text

    options = SearchOptions(
        out=out,
        most=most,
        workers=workers,
        extra_parts=extra_parts,
        time_limit=time_limit,
        fresh=fresh,
        budget=budget,
        scheduler=scheduler,
        prefer=aims,
        bound=not no_bound,
        more_lamps=more_lamps,
    )
    progress = progress_on_stderr()
    try:
        ranking = search_to_disk(spec, options, progress)
    finally:
        progress.close()
    tell(f"written to {out / spec.stem}")
    if as_json:
        show(result_text(ranking, as_json))
    else:
        in_full = everything or context.get_parameter_source("most") is not ParameterSource.DEFAULT
        again = shlex.join([f"{spec}"] if out == DEFAULT_OUT else [f"{spec}", "--out", f"{out}"])
        most_in_full = most if in_full else 0
        show(search_text(ranking, columns(), most_in_full, f"{out / spec.stem}", again, spec))
    context.exit(VERDICTS[ranking.verdict.kind])


@main.command(epilog=CHECK_STATUSES, short_help="Judge one circuit against a spec.")
@click.argument("spec", type=INPUT_FILE)
@click.argument("circuit", type=INPUT_FILE, required=False)
@rank_option("Judge")
@stored_in
@click.option(
    "--fit",
    "fits",
    multiple=True,
    metavar="PART=WHAT",
    help="Fit another type or value, as side=R5W or R1=4.7; may be given again.",
)
@click.option(
    "--save",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Write what is judged as a circuit file. One that is there is replaced.",
)
@as_json
@click.pass_context
def check(
    context: click.Context,
    spec: Path,
    circuit: Path | None,
    rank: int | None,
    out: Path,
    fits: tuple[str, ...],
    save: Path | None,
    as_json: bool,
) -> None:
    """Judge a circuit against SPEC, state by state.

    The circuit is the file CIRCUIT, or the design of --rank in the stored result, with
    the types and values of --fit in it.
    """
    if (circuit is None) == (rank is None):
        raise click.UsageError("give either CIRCUIT or --rank" + ", not both" * (rank is not None))
    ready_kernels()
    from lampwright.app.commands import check_files, check_stored
    from lampwright.app.render import result_text

    if circuit is not None:
        report = check_files(spec, circuit, fits, save)
    else:
        report = check_stored(spec, rank or 1, out, fits, save)
    show(result_text(report, as_json))
    if save is not None:
        tell(f"wrote {save}")
    context.exit(FOUND if report.meets else NONE)


@main.command(epilog=PLAIN_STATUSES, short_help="Draw a design into an SVG, PNG or PDF file.")
@click.argument("spec", type=INPUT_FILE)
@click.argument("circuit", type=INPUT_FILE, required=False)
@rank_option("Draw")
@stored_in
@click.option(
    "--to",
    type=click.Path(path_type=Path),
    required=True,
    metavar="FILE",
    help="File to write; it ends in .svg, .png or .pdf. One that is there is replaced.",
)
@click.option(
    "--width",
    type=click.IntRange(min=100, max=10_000),
    metavar="PIXELS",
    help="Width of a PNG; as the drawing asks, if left out.",
)
def draw(spec: Path, circuit: Path | None, rank: int | None, out: Path, to: Path, width: int | None) -> None:
    """Draw the schematic of a circuit under SPEC into a file.

    The circuit is the file CIRCUIT, or a design of the stored result: the first, or the
    one of --rank. CIRCUIT may stand alone, with no SPEC. An SVG needs nothing else; PNG and
    PDF need the extra `picture`.
    """
    from lampwright.app.commands import draw_file, draw_lone, draw_stored, is_circuit

    if circuit is not None and rank is not None:
        raise click.UsageError("give either CIRCUIT or --rank, not both")
    is_alone = circuit is None and is_circuit(spec)
    if is_alone and rank is not None:
        raise click.UsageError(f"--rank is of a spec's result, and {spec.name} is a circuit")
    if is_alone:
        ready_kernels()
        draw_lone(spec, to, width)
    elif circuit is not None:
        ready_kernels()
        draw_file(spec, circuit, to, width)
    else:
        draw_stored(spec, rank or 1, out, to, width)
    tell(f"wrote {to}")


@main.command(epilog=PLAIN_STATUSES, short_help="Write the sheet for the bench: wire it, test it.")
@click.argument("spec", type=INPUT_FILE)
@click.argument("circuit", type=INPUT_FILE, required=False)
@rank_option("Take")
@stored_in
@click.option(
    "--to",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="File to write, .html or .pdf; else both, in DIR/<name of SPEC>/. One that is there is replaced.",
)
@click.option(
    "--coupling",
    type=click.Choice(("ISO 1724", "ISO 11446", "four-way flat", "seven-way blade"), case_sensitive=False),
    help="Coupling between the spec's zones; else the smaller one of ISO that will do.",
)
@click.option(
    "--paper", type=click.Choice(("A4", "letter")), default="A4", show_default=True, help="Size of a PDF."
)
@as_json
def sheet(
    spec: Path,
    circuit: Path | None,
    rank: int | None,
    out: Path,
    to: Path | None,
    coupling: str | None,
    paper: Literal["A4", "letter"],
    as_json: bool,
) -> None:
    """Write one page for the bench: how to wire a circuit under SPEC, and how to test it.

    The circuit is the file CIRCUIT, or a design of the stored result: the first, or the
    one of --rank. The page has the schematic with numbered wires, parts and fuses, ohms to
    read before power, volts to read under power, and what a wrong reading means. A PDF needs
    the extra `paper`; any browser prints the page as well.
    """
    if circuit is not None and rank is not None:
        raise click.UsageError("give either CIRCUIT or --rank, not both")
    if as_json and to is not None:
        raise click.UsageError("give either --to or --json, not both")
    ready_kernels()
    from lampwright.app.commands import sheet_file, sheet_rows, sheet_stored
    from lampwright.app.sheet_options import SheetOptions

    options = SheetOptions(out=out, coupling=coupling, paper=paper, to=to)
    if as_json:
        from lampwright.app.render import result_text

        show(result_text(sheet_rows(spec, circuit, rank or 1, options), as_json))
    elif circuit is None:
        _tell_files(sheet_stored(spec, rank or 1, options))
    else:
        _tell_files(sheet_file(spec, circuit, options))


def _tell_files(written: "SheetFiles") -> None:
    """Say which files were written, and what was left out."""
    for file in written.files:
        tell(f"wrote {file}")
    if written.left_out:
        tell(written.left_out)


@main.command(epilog=PLAIN_STATUSES, short_help="Tell how many circuits a spec asks for.")
@click.argument("spec", type=INPUT_FILE)
@as_json
@budget_option
def count(spec: Path, as_json: bool, budget: int) -> None:
    """Tell how many circuits SPEC asks for, and about how long a search takes."""
    ready_kernels(spec)
    from lampwright.app.commands import count_spec
    from lampwright.app.render import result_text

    show(result_text(count_spec(spec, budget), as_json))


@main.command(epilog=PLAIN_STATUSES, short_help="List the catalogue, or the curve of one lamp.")
@click.argument("type", required=False)
@click.option(
    "--types",
    type=INPUT_FILE,
    metavar="FILE",
    help="Lamps of your own, [types.NAME], as a spec's types_from names them.",
)
@as_json
def parts(type: str | None, types: Path | None, as_json: bool) -> None:
    """List the catalogue; with TYPE (such as P21W or P21W@24), the curve of that lamp."""
    from lampwright.app.commands import list_parts, part_curves
    from lampwright.app.render import result_text

    if type is None:
        show(result_text(list_parts(types), as_json))
    else:
        show(result_text(part_curves(type, types), as_json))


@main.command(epilog=PLAIN_STATUSES, short_help="Print the JSON Schema of a file.")
@click.argument("which", type=click.Choice(WHICH), default="spec")
def schema(which: str) -> None:
    """Print the JSON Schema of a file: a spec, a circuit, a ranking, or what others print with --json."""
    from lampwright.app.commands import schema_text

    show(schema_text(which))


@main.command(epilog=PLAIN_STATUSES, short_help="Open the documentation, which is in the program.")
@click.option(
    "--to",
    type=click.Path(path_type=Path, file_okay=False),
    metavar="DIR",
    help="Folder to write the pages into; else the user's cache.",
)
@click.option("--no-browser", is_flag=True, help="Say where the pages are, and open no browser.")
def docs(to: Path | None, no_browser: bool) -> None:
    """Write the documentation as pages that need no network, and open them.

    Tutorials, recipes, the reference of every command and key, and how the answers are found.
    """
    from lampwright.app.commands import write_docs

    first = write_docs(main, to)
    show(f"{first}\n")
    if not no_browser:
        click.launch(f"{first}")
