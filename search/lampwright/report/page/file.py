"""The page of a run: one HTML file a person opens, reads, operates and prints.

Everything is in the file: style, script, drawings and readings; nothing is fetched. Text
goes in escaped, the readings as JSON that no parser of HTML takes for anything else, and
the page's own policy lets run the one script whose digest it names. The best designs are
drawn in full, as many as the size allows; the others are rows. The same ranking always
gives the same bytes, for no time stands in the page.

Source: HTML Living Standard; Content Security Policy Level 3 for the policy. The layout is ours.
"""

import base64
import hashlib
from collections.abc import Iterator, Sequence

from markupsafe import Markup
from msgspec.structs import replace

from lampwright.report import si
from lampwright.report.explain.controls import Controls
from lampwright.report.page.bench import bench_controls, bench_json, damages_of, first_state
from lampwright.report.page.design import near_html, sheet_html
from lampwright.report.page.templates import page_text, rendered
from lampwright.report.schematic.feed import feeds_of
from lampwright.report.schematic.narrow import narrow_schematic
from lampwright.report.schematic.svg import schematic
from lampwright.report.topics.front_plot import front_plot
from lampwright.report.topics.shortfall import in_short
from lampwright.results.design import Design
from lampwright.results.ranking import Front, Ranking

MOST_DRAWN = 20
MOST_ROWS = 300
MOST_FRONT = 60
ROOM = 1_500_000
"""Characters for the designs in full; the whole page stays below two mebibytes."""
SCRIPTS = ("flow.js", "page.js")


def page_html(ranking: Ranking, controls: Controls, spec_text: str) -> str:
    """Write the page of a ranking; the controls are the spec's, the text is the spec as written."""
    script = "".join(page_text(name) for name in SCRIPTS)
    shown, sheets = [], []
    for design, sheet in _drawn(ranking, controls):
        shown.append(design)
        sheets.append(sheet)
    return rendered(
        "page.html",
        ranking=ranking,
        controls=bench_controls(controls),
        damages=damages_of(controls),
        sheets=sheets,
        drawn=len(sheets) if ranking.designs else 0,
        front=front_html(ranking.front, ranking.designs, len(sheets)),
        most_rows=MOST_ROWS,
        lamps=[reading.lamp for reading in shown[0].states[0].lamps] if shown else [],
        names=[design_name(design, ranking) for design in shown],
        bench=bench_json(shown, controls) if shown else "",
        start=first_state(shown[0]) if shown else 0,
        spec_text=spec_text,
        style=Markup(page_text("page.css")),
        script=Markup(script),
        digest=script_digest(script),
    )


def design_name(design: Design, ranking: Ranking) -> str:
    """What a drawn circuit is called where one is chosen: a design, or a near miss."""
    if ranking.designs:
        return f"Design {design.rank}: {si.stops(design.margin_stops)}"
    near = ranking.shortfall.near_misses if ranking.shortfall else ()
    return next(f"Circuit {design.rank}: {in_short(one)}" for one in near if one.design.rank == design.rank)


def front_html(front: Front | None, designs: Sequence[Design], drawn: int) -> Markup:
    """Write the front's part of the page; nothing where it has fewer than two points.

    drawn: how many designs, from the first, are on the page in full.
    """
    if front is None or len(front.points) < 2:
        return Markup("")
    plot = front_plot(front)
    return rendered("front.html", found=front, plot=plot, designs=designs, drawn=drawn, most_rows=MOST_FRONT)


def _drawn(ranking: Ranking, controls: Controls) -> Iterator[tuple[Design, Markup]]:
    """Draw the best designs, or where there are none the near misses, in full while there is room.

    The first is always drawn. Where the faults of a design do not fit any more, it is drawn without them.
    """
    near = {one.design.rank: one for one in ranking.shortfall.near_misses} if ranking.shortfall else {}
    room = ROOM
    for design in (ranking.designs or [one.design for one in near.values()])[:MOST_DRAWN]:
        feeds = feeds_of(design, controls)
        drawn = schematic(design, feeds), narrow_schematic(design, feeds)
        for one in (design, _plain(design), replace(_plain(design), trials=())):
            missed = None if ranking.designs else near[design.rank]
            sheet = near_html(missed, drawn, controls) if missed else sheet_html(one, drawn, controls)
            size = len(sheet) + len(bench_json([one], controls))
            if size <= room:
                break
        room -= size
        if room < 0 and design.rank > 1:
            return
        yield one, sheet


def _plain(design: Design) -> Design:
    """A design without its states at other supplies and with other choices."""
    return replace(
        design,
        sweep=replace(design.sweep, points=None) if design.sweep else None,
        choices=tuple(replace(one, parts=None, states=None) for one in design.choices),
    )


def script_digest(script: str) -> str:
    """Name a script as a policy does."""
    return base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
