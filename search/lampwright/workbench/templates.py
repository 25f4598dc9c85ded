"""The templates of the page: every value escaped, no name left undefined.

A part of the page is filled again after each change and put in the place of the old one. No source: ours.
"""

from functools import cache
from importlib.resources import files
from urllib.parse import quote

from jinja2 import Environment
from markupsafe import Markup

from lampwright.progress.figures import span
from lampwright.report import si
from lampwright.report.page.environment import coded, environment
from lampwright.workbench.asked import positions_of
from lampwright.workbench.boxed import box_of
from lampwright.workbench.chosen import OFFERED
from lampwright.workbench.shelf_view import card_of, diode_names, lamp_cards, offered_to
from lampwright.workbench.terminals import TERMINALS, plugs
from lampwright.workbench.words import CYCLE, KEYS, next_word

KNOWN = {
    "positions_of": positions_of,
    "box_of": box_of,
    "card_of": card_of,
    "lamp_cards": lamp_cards,
    "offered_to": offered_to,
    "diode_names": diode_names,
    "next_word": next_word,
    "coded": coded,
    "OFFERED": OFFERED,
    "stops": si.stops,
    "span": span,
    "quoted": quote,
    "TERMINALS": TERMINALS,
    "plugs": plugs,
    "CYCLE": CYCLE,
    "KEYS": KEYS,
}
"""All that a template may ask, by name."""


def page_file(name: str) -> str:
    """Read a file of the page."""
    return (files("lampwright.workbench") / "page" / name).read_text(encoding="utf-8")


def filled(name: str, **values: object) -> Markup:
    """Fill a template."""
    return Markup(_environment().get_template(name).render(values))


def drawn(svg: str) -> Markup:
    """A drawing made here, to be shown as it is."""
    return Markup(svg)


@cache
def _environment() -> Environment:
    return environment("bench-templates", page_file, KNOWN)
