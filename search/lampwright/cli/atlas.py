"""The command for an atlas: its arguments become one call of `app`. No source: our conventions."""

from pathlib import Path

import click

from lampwright.cli.group import ATLAS_STATUSES, FOUND, ready_kernels, tell
from lampwright.cli.options import Number, as_json, workers_option
from lampwright.cli.show import columns, show
from lampwright.cli.stopping import STOPPED


@click.command(epilog=ATLAS_STATUSES, short_help="List what a few lamps and wire can show at all.")
@click.option(
    "--feeds", type=click.IntRange(1, 3), default=2, show_default=True, metavar="N", help="Switched feeds."
)
@click.option(
    "--lamps", type=click.IntRange(1, 7), default=4, show_default=True, metavar="N", help="Most lamps."
)
@click.option("--always-live", is_flag=True, help="Allow a terminal that is live in every setting.")
@click.option(
    "--joints", type=click.IntRange(0, 4), default=2, show_default=True, metavar="N", help="Most joints."
)
@click.option(
    "--diodes", type=click.IntRange(0, 3), default=0, show_default=True, metavar="N", help="Most diodes."
)
@click.option(
    "--types", metavar="TYPES", help="Lamp types to fit, as P21W,W3W; else four that go well together."
)
@click.option(
    "--system",
    type=Number(1.0, 60.0),
    default=12.0,
    show_default=True,
    metavar="VOLTS",
    help="System voltage; the supply is 13.5 V, and from 11.8 to 14.4 V, on 12 V, and in proportion.",
)
@workers_option("Threads to use; the result is the same for any number.")
@click.option(
    "--time-limit",
    type=Number(min=0.0, min_open=True),
    metavar="SECONDS",
    help="Stop after this time and keep the sizes that are complete.",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    metavar="DIR",
    help="Folder for the result; else one of its own in results/atlas.",
)
@as_json
@click.pass_context
def atlas(
    context: click.Context,
    feeds: int,
    lamps: int,
    always_live: bool,
    joints: int,
    diodes: int,
    types: str | None,
    system: float,
    workers: int,
    time_limit: float | None,
    out: Path | None,
    as_json: bool,
) -> None:
    """List which functions of the feeds a lamp can show, and with how few lamps.

    Every circuit within the bounds is listed and solved in every setting; then what
    several lamps show together. A poster, a page to search, a table and JSON are kept.
    """
    ready_kernels()
    from lampwright.app.atlas_options import AtlasOptions
    from lampwright.app.commands import atlas_to_disk
    from lampwright.app.render import atlas_text, progress_on_stderr, result_text

    options = AtlasOptions(
        feeds=feeds,
        lamps=lamps,
        always_live=always_live,
        joints=joints,
        diodes=diodes,
        types=None if types is None else tuple(one.strip() for one in types.split(",")),
        system=system,
        workers=workers,
        time_limit=time_limit,
        out=out,
    )
    progress = progress_on_stderr()
    try:
        made = atlas_to_disk(options, progress)
    finally:
        progress.close()
    folder = f"{options.folder(made.name)}"
    tell(f"written to {folder}")
    show(result_text(made, as_json) if as_json else atlas_text(made, folder, columns()))
    context.exit(FOUND if made.complete else STOPPED)
