"""The templates of the page and of a notebook's cells: every value escaped, no name left undefined.

Rows go in as they are. How a figure is written, and what is said of a topic, a template asks the functions
named here; `tests/report/test_page/test_templates.py` holds that it asks nothing else, and rightly.
Templates are compiled once for each text of them, and kept in the user's cache.
"""

from collections.abc import Callable, Mapping
from functools import cache
from importlib.resources import files
from typing import Any

from jinja2 import Environment
from markupsafe import Markup

from lampwright.report import si
from lampwright.report.page.environment import coded, environment
from lampwright.report.topics import (
    atlas,
    compared,
    doubts,
    flashing,
    front,
    front_plot,
    funnel,
    margins,
    not_taken,
    parts,
    resistances,
    sheet,
    shortfall,
    spec_lines,
    stock,
    sweep,
    takes,
    wiring,
    worksheet,
)
from lampwright.words import many, money

FUNCTIONS: tuple[Callable[..., object], ...] = (
    coded,
    many,
    money,
    atlas.bound_words,
    atlas.least_words,
    atlas.level_words,
    atlas.light_cells,
    atlas.margin_words,
    atlas.none_words,
    atlas.nowhere,
    atlas.option_words,
    atlas.settings_of,
    atlas.size_heads,
    atlas.size_rows,
    atlas.size_sentence,
    atlas.titled,
    doubts.doubt_rows,
    doubts.hinge_words,
    doubts.type_words,
    flashing.flash_rows,
    flashing.inrush_words,
    front.beaten_text,
    front.helpers_differ,
    front.marked,
    front.notes,
    front.score_text,
    front_plot.meaning_of,
    funnel.counted_in,
    funnel.listed_rows,
    funnel.removals,
    funnel.removed,
    funnel.stage_rows,
    funnel.values_tried,
    margins.asked_of,
    margins.dots,
    margins.scale_of,
    margins.ticks,
    not_taken.not_taken_words,
    parts.all_counts,
    parts.choice_words,
    parts.joined_rows,
    parts.load_rows,
    parts.made_of,
    parts.part_rows,
    parts.purchases,
    parts.tightest,
    parts.to_fit,
    compared.compared_words,
    resistances.nonstandard_words,
    resistances.ranges_sentence,
    sheet.alike_words,
    sheet.cold_words,
    sheet.colour_words,
    sheet.coupling_words,
    sheet.expected_words,
    sheet.fewest_words,
    sheet.fits_beside,
    sheet.points_words,
    sheet.powered_words,
    sheet.set_words,
    sheet.sheet_fuse_words,
    sheet.sheet_title,
    sheet.sheet_wire_rows,
    sheet.shown_faults,
    sheet.sign_cells,
    sheet.span_words,
    shortfall.missed_rows,
    shortfall.near_rows,
    shortfall.nearest_title,
    shortfall.proofs,
    shortfall.told_of,
    si.percent,
    si.stops,
    si.volts,
    spec_lines.changed_lines,
    stock.copy_rows,
    stock.item_rows,
    sweep.asked_word,
    sweep.first_states,
    sweep.sweep_chart,
    takes.other_way_words,
    takes.taken_words,
    wiring.fuse_words,
    wiring.splice_words,
    wiring.terminal_words,
    wiring.wire_rows,
    wiring.wiring_said,
    worksheet.circuit_word,
    worksheet.light_word,
    worksheet.question_lines,
    worksheet.span_of_supply,
    worksheet.spec_words,
    worksheet.supply_words,
    worksheet.right_letters,
)
TEXTS: Mapping[str, object] = {
    "HINGES_HEADING": doubts.HINGES_HEADING,
    "SURE": doubts.SURE,
    "SHAPES": front_plot.SHAPES,
    "UNCOVERED": funnel.UNCOVERED,
    "NOT_TAKEN_HEADING": not_taken.NOT_TAKEN_HEADING,
    "COMPARED": compared.COMPARED,
    "NONSTANDARD_HEADING": resistances.NONSTANDARD_HEADING,
    "HOW_SUGGESTED": shortfall.HOW,
    "LETTERS": worksheet.LETTERS,
    "OTHER_WAYS": takes.OTHER_WAYS,
}
KNOWN = {**{one.__name__: one for one in FUNCTIONS}, **TEXTS}
"""All that a template may ask, by name."""


def page_text(name: str) -> str:
    """Read a file of the page."""
    return (files("lampwright.report") / "page" / name).read_text(encoding="utf-8")


def rendered(name: str, **values: object) -> Markup:
    """Fill a template."""
    return Markup(_environment().get_template(name).render(values))


def macros(name: str) -> Any:
    """The macros of a template, as functions."""
    return _environment().get_template(name).module


@cache
def _environment() -> Environment:
    return environment("templates", page_text, KNOWN)
