"""The sheet for the bench as a page to print: build it, test it cold and under power, find what is wrong.

It fits one page of A4 or Letter for usual designs; a larger one breaks before the tests. Nothing on it
moves and nothing is fetched. No source: our layout.
"""

from dataclasses import replace

from markupsafe import Markup

from lampwright.report.explain.controls import Controls
from lampwright.report.page.templates import page_text, rendered
from lampwright.report.schematic.feed import feeds_of
from lampwright.report.schematic.svg import STYLE, schematic
from lampwright.report.schematic.tags import Marks
from lampwright.report.topics.states import folded, unfolded
from lampwright.results.sheet import BenchSheet
from lampwright.words import Paper

ROOM: dict[Paper, str] = {"A4": "62", "letter": "46"}
"""How high a drawing may be [mm]: Letter is the shorter."""
SUPPLY_SIDE = ("+", "−")
"""What the numbers of wires on the supply's side begin with."""


def sheet_page(sheet: BenchSheet, controls: Controls, paper: Paper) -> str:
    """Write the sheet of a design; the controls are its spec's."""
    fuses = {name: one.fuse_amps for one in sheet.fuses for name in one.terminals}
    feeds = [replace(feed, fuse=fuses.get(feed.terminal)) for feed in feeds_of(sheet.design, controls)]
    marks = Marks(
        leads={(one.ref, one.node): one.wire for one in sheet.leads},
        supply={(one.control, one.end): one.wire for one in sheet.supply_leads},
    )
    drawn = schematic(sheet.design, feeds, ids=False, marks=marks)
    sound = [row for row in sheet.design.states if not row.damage]
    return rendered(
        "sheet.html",
        sheet=sheet,
        tests=sheet.tests,
        design=sheet.design,
        # the style is for pages that move, and knows colours that only browsers know
        drawing=Markup(drawn.svg.replace(f"<style>{STYLE}</style>", "")),
        supply_side=[one for one in sheet.wires if one.number.startswith(SUPPLY_SIDE)],
        harness=[one for one in sheet.wires if not one.number.startswith(SUPPLY_SIDE)],
        table=folded(unfolded(sound)),
        style=Markup(page_text("sheet.css").replace("{paper}", paper).replace("{drawing}", ROOM[paper])),
    )
