"""A worksheet as two pages to print: the student's, and the key. Nothing on them moves or is fetched.

The student's page is made of rows without answers; what the key has besides is there because its rows have
it. No source: our layout.
"""

from collections.abc import Sequence

from markupsafe import Markup

from lampwright.report.explain.controls import Controls
from lampwright.report.page.templates import page_text, rendered
from lampwright.report.schematic.feed import feeds_of
from lampwright.report.schematic.svg import STYLE, schematic
from lampwright.results.worksheet import Worksheet, WorksheetCircuit
from lampwright.words import Paper


def worksheet_page(sheet: Worksheet, controls: Sequence[Controls], paper: Paper) -> str:
    """Write the student's page of a worksheet without answers; controls: those of its circuits, in order."""
    return _page("worksheet.html", sheet, controls, paper)


def worksheet_key(sheet: Worksheet, controls: Sequence[Controls], paper: Paper) -> str:
    """Write the key of a worksheet; controls: those of its circuits, in order."""
    return _page("worksheet_key.html", sheet, controls, paper)


def _page(template: str, sheet: Worksheet, controls: Sequence[Controls], paper: Paper) -> str:
    return rendered(
        template,
        sheet=sheet,
        drawings=[_drawing(one, own) for one, own in zip(sheet.circuits, controls, strict=True)],
        style=Markup(page_text("worksheet.css").replace("{paper}", paper)),
    )


def _drawing(circuit: WorksheetCircuit, controls: Controls) -> Markup:
    """The schematic of a circuit, empty where there is none to see."""
    if circuit.design is None:
        return Markup()
    drawn = schematic(circuit.design, feeds_of(circuit.design, controls), ids=False)
    # the style is for pages that move, and knows colours that only browsers know
    return Markup(drawn.svg.replace(f"<style>{STYLE}</style>", ""))
