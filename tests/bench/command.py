"""The command: which benches, at which size, shown and kept where."""

import os
import platform
import sys
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import click
import numba
import numpy as np
from tests.bench import (
    atlasing,
    bounding,
    checking,
    choosing,
    compiling,
    flagship,
    hardest,
    judging,
    ladder,
    listing,
    paging,
    ranging,
    refuting,
    solving,
    stopping,
    treating,
)
from tests.bench.table import Row, Section, Size, save, show

BENCHES: dict[str, Callable[[Size], tuple[Row, ...]]] = {
    "solving": solving.measure,
    "hardest": hardest.measure,
    "listing": listing.measure,
    "refuting": refuting.measure,
    "ranging": ranging.measure,
    "judging": judging.measure,
    "ladder": ladder.measure,
    "treating": treating.measure,
    "checking": checking.measure,
    "choosing": choosing.measure,
    "bounding": bounding.measure,
    "compiling": compiling.measure,
    "flagship": flagship.measure,
    "atlasing": atlasing.measure,
    "paging": paging.measure,
    "stopping": stopping.measure,
}
MEASURED = Path(__file__).parent / "measured.md"


@click.command(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80})
@click.option("--quick", "size", flag_value="QUICK", default="QUICK", help="Some three minutes (default).")
@click.option("--full", "size", flag_value="FULL", help="The ladder's top and beyond: half an hour or more.")
@click.option("--tiny", "size", flag_value="TINY", help="Seconds; shows that the benches work, no more.")
@click.option(
    "--only", type=click.Choice(list(BENCHES)), multiple=True, help="This bench alone; may be repeated."
)
@click.option(
    "--save",
    "page",
    type=click.Path(path_type=Path),
    is_flag=False,
    flag_value=MEASURED,
    metavar="[FILE]",
    help="Write what was measured into FILE, by default measured.md beside the benches.",
)
def main(size: str, only: tuple[str, ...], page: Path | None) -> None:
    """Measure lampwright against its targets and against general libraries, in one run."""
    sections = []
    for name in only or BENCHES:
        print(f"{name} ...", file=sys.stderr, flush=True)
        sections.append(_section(name, Size[size]))
        if page is not None:
            save(sections, page)
    show(sections)


def _section(name: str, size: Size) -> Section:
    before = os.getloadavg()[0]
    rows = BENCHES[name](size)
    load = f"load {before:.1f} before, {os.getloadavg()[0]:.1f} after"
    versions = f"Python {platform.python_version()}, numpy {np.__version__}, numba {numba.__version__}"
    day = f"{datetime.now(UTC):%Y-%m-%d}"
    circumstances = f"{day}, {size.name.lower()}, {os.cpu_count()} cores, {load}, {versions}"
    return Section(name, circumstances, rows)
