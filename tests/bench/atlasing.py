"""An atlas from shell to page: every circuit of five lamps of two feeds and an always live terminal."""

import json
import os
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.bench.clock import run_program
from tests.bench.searches import compile_kernels
from tests.bench.table import Row, Size

MOST_SECONDS = 30.0
"""On two cores."""


def measure(size: Size) -> tuple[Row, ...]:
    """Survey, judge, explain and draw; in a fresh process, kernels compiled before."""
    compile_kernels(size)
    lamps = 2 if size is Size.TINY else 5
    arguments = ["atlas", "--feeds", "2", "--always-live", "--lamps", f"{lamps}"]
    with TemporaryDirectory() as name:
        tries = [
            run_program([*arguments, "--out", name, "--workers", f"{os.cpu_count() or 1}"])
            for _ in range(1 if size is Size.TINY else 2)
        ]
        atlas = json.loads((Path(name) / "atlas.json").read_text(encoding="utf-8"))
    best = min(tries, key=lambda run: run.seconds)
    listed, counted, fitted, points = (
        sum(row[key] for row in atlas["sizes"]) for key in ("drawings", "counted", "fitted", "points")
    )
    title = f"2 feeds, always live, {lamps} lamps"
    told = len(atlas["functions"]) + len(atlas["behaviours"])
    return (
        Row(title, f"{listed:,} drawings, {fitted:,} circuits with types", "as counted", listed == counted),
        Row(
            "  from shell to page",
            f"{best.seconds:.1f} s, {best.mebibytes}",
            "<= 30 s",
            best.seconds <= MOST_SECONDS,
        ),
        Row("", f"{points:,} operating points, {told} behaviours judged, explained and drawn"),
    )
