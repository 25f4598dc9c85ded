"""The command that explains: its arguments become one call of `app`. No source: our conventions."""

from pathlib import Path

import click

from lampwright.cli.group import EXPLAIN_STATUSES, FOUND, NONE, ready_kernels
from lampwright.cli.options import INPUT_FILE, Number, as_json, rank_option, stored_in
from lampwright.cli.show import columns, show


@click.command(epilog=EXPLAIN_STATUSES, short_help="Tell why a design works, or why there is none.")
@click.argument("spec", type=INPUT_FILE)
@click.argument("circuit", type=INPUT_FILE, required=False)
@rank_option("Explain")
@stored_in
@click.option(
    "--volts",
    type=Number(0.0, 60.0, min_open=True),
    metavar="V",
    help="Supply of a CIRCUIT without SPEC; else the volts at which its lamps are rated.",
)
@as_json
@click.pass_context
def explain(
    context: click.Context,
    spec: Path,
    circuit: Path | None,
    rank: int | None,
    out: Path,
    volts: float | None,
    as_json: bool,
) -> None:
    """Tell in words why a circuit does what it does under SPEC.

    The circuit is the file CIRCUIT, or a design of the stored result: the first, or the
    one of --rank. Every sentence comes from the simulated operating points. Where the search
    found nothing, tell why not.

    CIRCUIT alone, with no SPEC, is drawn and told for every setting of the feeds that it
    names, each with a switch of its own; 30 is always live, and 31 is ground.
    """
    from lampwright.app.commands import explain_file, explain_lone, explain_stored, is_circuit
    from lampwright.app.render import result_text

    if circuit is not None and rank is not None:
        raise click.UsageError("give either CIRCUIT or --rank, not both")
    is_alone = circuit is None and is_circuit(spec)
    if is_alone and rank is not None:
        raise click.UsageError(f"--rank is of a spec's result, and {spec.name} is a circuit")
    if volts is not None and not is_alone:
        raise click.UsageError("--volts is for a CIRCUIT without SPEC; a spec has its own supply")
    if is_alone:
        ready_kernels()
        lone = explain_lone(spec, volts)
        told = result_text(lone.explanation(), as_json)
        show(told if as_json else f"{lone.picture(columns())}\n{told}")
    elif circuit is not None:
        ready_kernels()
        show(result_text(explain_file(spec, circuit), as_json))
    else:
        stored = explain_stored(spec, rank, out)
        show(result_text(stored, as_json))
        context.exit(FOUND if stored.why_not is None else NONE)
