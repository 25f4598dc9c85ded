"""A worksheet as two pages to print: the student's, and the key. Nothing on them moves or is fetched.

The student's page is made of rows without answers; what the key has besides is there because its rows have
it. No source: our layout.
"""

import re
from collections.abc import Sequence

from markupsafe import Markup
from msgspec import Struct

from lampwright.report.explain.controls import Controls
from lampwright.report.page.templates import page_text, rendered
from lampwright.report.schematic.feed import feeds_of
from lampwright.report.schematic.svg import STYLE, schematic
from lampwright.report.topics.worksheet import sheet_name
from lampwright.results.worksheet import Worksheet, WorksheetCircuit
from lampwright.words import Paper

PIXEL = 25.4 / 96.0
"""Millimetres of a pixel of CSS."""
HIGH, LEAST_SCALE, NARROW = 88.0, 0.8, 126.0
"""How high a drawing is to be [mm], unless that makes its words too small; how wide one beside words is."""


class SheetDrawing(Struct, frozen=True):
    """A drawing for the page; is_narrow: words have room beside it."""

    svg: Markup
    is_narrow: bool


def worksheet_page(sheet: Worksheet, controls: Sequence[Controls], paper: Paper) -> str:
    """Write the student's page of a worksheet without answers; controls: those of its circuits, in order."""
    return _page("worksheet.html", sheet_name(sheet), sheet, controls, paper)


def worksheet_key(sheet: Worksheet, controls: Sequence[Controls], paper: Paper) -> str:
    """Write the key of a worksheet; controls: those of its circuits, in order."""
    return _page("worksheet_key.html", f"Key to {sheet_name(sheet).lower()}", sheet, controls, paper)


def _page(template: str, name: str, sheet: Worksheet, controls: Sequence[Controls], paper: Paper) -> str:
    return rendered(
        template,
        heading=name,
        sheet=sheet,
        drawings=[_drawing(one, own) for one, own in zip(sheet.circuits, controls, strict=True)],
        style=Markup(page_text("worksheet.css").replace("{paper}", paper).replace("{name}", name)),
    )


def _drawing(circuit: WorksheetCircuit, controls: Controls) -> SheetDrawing:
    """The schematic of a circuit, empty where there is none to see, in a size that is read at a desk."""
    if circuit.design is None:
        return SheetDrawing(Markup(), is_narrow=False)
    drawn = schematic(circuit.design, feeds_of(circuit.design, controls), ids=False)
    wide, high = drawn.wide * PIXEL, drawn.high * PIXEL
    scale = min(1.0, max(LEAST_SCALE, HIGH / high))
    sized = f'width="{wide * scale:.1f}mm" height="{high * scale:.1f}mm"'
    svg = re.sub(r'width="[^"]*" height="[^"]*"', sized, drawn.svg, count=1)
    # the style is for pages that move, and knows colours that only browsers know
    return SheetDrawing(Markup(svg.replace(f"<style>{STYLE}</style>", "")), is_narrow=wide * scale <= NARROW)
